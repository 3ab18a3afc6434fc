"""The functions of the table language for whole arrays of members: slower, but there at once."""

from __future__ import annotations

from numpy import exp, maximum, minimum, sqrt, tanh

__all__ = ["exp", "maximum", "minimum", "sqrt", "tanh"]
