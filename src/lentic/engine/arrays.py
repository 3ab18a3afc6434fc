"""The functions of the table language for whole arrays of members: slower, but there at once."""

from __future__ import annotations

from math import ceil

from numpy import exp, maximum, minimum, sqrt, tanh

__all__ = ["exp", "maximum", "minimum", "parts", "sqrt", "tanh"]


def parts(dt: float, longest: float) -> int:
    """Return into how many equal parts a step is cut so that none is longer."""
    return max(1, ceil(dt / longest - 1e-6))
