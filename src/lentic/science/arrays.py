"""The two type names every published relation of this room uses, and the one conversion it needs."""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

Array: TypeAlias = npt.NDArray[np.float64]
Number: TypeAlias = Array | float


def as_array(value: Number) -> Array:
    """Return the value as a float array without copying one that already is.

    Parameters
    ----------
    value : Number
        Any quantity. [any]

    Returns
    -------
    Array
        The same quantity; same shape. [any]

    References
    ----------
    definition
    """
    return np.asarray(value, dtype=np.float64)
