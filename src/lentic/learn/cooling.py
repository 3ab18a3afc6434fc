"""How fast a tank loses heat, learned from the hours in which its heater was off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

GRID = 801
SPAN = 4.0
"""The grid reaches so many prior deviations to either side. [-]"""


@dataclass(frozen=True, kw_only=True)
class Cooling:
    """One time without heating.

    Parameters
    ----------
    hours : Array
        Since the heater went off, shape (reading,). [h]
    water : Array
        Temperature of the water, shape (reading,). [°C]
    room : float
        Temperature of the room meanwhile. [°C]
    """

    hours: Array
    water: Array
    room: float


@dataclass(frozen=True, kw_only=True)
class Rate:
    """A rate with its range.

    Parameters
    ----------
    p10, p50, p90 : float
        Tenth, half and nine tenths of the posterior. [1/h]
    learned : bool
        Whether the readings narrowed the prior at all. [-]
    """

    p10: float
    p50: float
    p90: float
    learned: bool


def cooling_rate(curves: Sequence[Cooling], prior: float, prior_sd: float, sd: float = 0.1) -> Rate:
    """Return the rate at which the water approaches the room, from all times without heating together.

    Parameters
    ----------
    curves : Sequence[Cooling]
        Times without heating; one with fewer than two readings says nothing. [-]
    prior : float
        Rate expected from the measures of the tank. [1/h]
    prior_sd : float
        Its error as a logarithm. [-]
    sd : float
        Error of a temperature reading. [K]

    Returns
    -------
    Rate
        Rate with the range that holds 8 of 10 cases. [1/h]

    Notes
    -----
    Newton's law, ``T = Troom + (T0 - Troom) exp(-k t)``. The starting temperature of each curve is taken out exactly
    (flat prior); the rate is looked up on a grid of its logarithm.

    References
    ----------
    derived_newton
    """
    steps = np.linspace(-SPAN, SPAN, GRID)
    rates = prior * np.exp(prior_sd * steps)
    score = -0.5 * steps**2
    used = [curve for curve in curves if len(curve.hours) >= 2]
    for curve in used:
        score = score + _score(curve, rates, sd)
    weights = np.exp(score - score.max())
    below = np.cumsum(weights) - 0.5 * weights
    low, middle, high = (float(np.interp(q, below / weights.sum(), rates)) for q in (0.1, 0.5, 0.9))
    return Rate(p10=low, p50=middle, p90=high, learned=bool(used))


def _score(curve: Cooling, rates: Array, sd: float) -> Array:
    """Return the log likelihood of one curve at each rate."""
    shape = np.exp(-rates[:, None] * curve.hours[None, :])
    above = curve.water - curve.room
    norm = np.sum(shape**2, axis=1)
    start = shape @ above / norm
    miss = above[None, :] - start[:, None] * shape
    return np.asarray(-0.5 * np.sum(miss**2, axis=1) / sd**2 - 0.5 * np.log(norm), dtype=np.float64)
