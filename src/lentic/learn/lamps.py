"""What a lamp still gives and when it falls below a line, from a few readings and what its class does.

The logarithm of the UV index falls in a straight line with age. For a given half-life the best start is exact; the
half-lives on a grid are weighed by the class and by how well they tell the readings.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.science.light import lamp_ageing

Array = npt.NDArray[np.float64]

READING_SD, STEP = 0.04, 0.05
"""Error of a meter held at the same place, of ln index, and half its step; common practice, no source."""
GRID, STEPS = 81, 9


@dataclass(frozen=True, kw_only=True)
class LampPrior:
    """Half-life of a class with its spread of the logarithm, and the index of a new one where that is known."""

    half_life_d: float
    half_life_sd: float
    new: float | None = None
    new_sd: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Decay:
    """Possible lamps, each with its weight: index when new and half-life."""

    new: Array
    half_life_d: Array
    weight: Array

    def at(self, age_d: float) -> tuple[float, float, float]:
        """Return the index at an age, with the range of 8 in 10."""
        return self._quantiles(self.new * lamp_ageing(age_d, self.half_life_d))

    def age_below(self, line: float) -> tuple[float, float, float]:
        """Return the age at which the index falls below a line, with the range of 8 in 10. [d]"""
        return self._quantiles(self.half_life_d * np.log2(np.maximum(self.new / line, 1e-9)))

    def age_below_share(self, share: float) -> tuple[float, float, float]:
        """Return the age at which so much of the new lamp is left, with the range of 8 in 10. [d]"""
        return self._quantiles(self.half_life_d * -np.log2(share))

    def _quantiles(self, values: Array) -> tuple[float, float, float]:
        order = np.argsort(values)
        total = np.cumsum(self.weight[order])
        low, middle, high = (
            float(values[order[min(int(np.searchsorted(total, share * total[-1])), order.size - 1)]])
            for share in (0.1, 0.5, 0.9)
        )
        return low, middle, high


def decay_of(prior: LampPrior, ages_d: Array, readings: Array) -> Decay | None:
    """Return the lamps that agree with the readings.

    Parameters
    ----------
    prior : LampPrior
        What the class does. [-]
    ages_d : Array
        Age of the lamp at each reading. [d]
    readings : Array
        UV index at the same place, above nought. [-]

    Returns
    -------
    Decay or None
        Lamps with weights that add to one; None without a reading and without a class that is known when new. [-]

    Notes
    -----
    ``U = U0 2^(-t/h)``; normal errors of ln U, log-normal prior of h, exact for U0.
    """
    if ages_d.size == 0 and prior.new is None:
        return None
    steps = np.linspace(-2.5, 2.5, GRID)
    half = prior.half_life_d * np.exp(prior.half_life_sd * steps)
    sd = np.hypot(READING_SD, STEP / readings) if ages_d.size else np.ones(0)
    start = np.log(readings)[None, :] + np.log(2.0) * ages_d[None, :] / half[:, None]
    precision = np.broadcast_to(1.0 / sd**2, start.shape)
    if prior.new is not None:
        known = np.full((GRID, 1), np.log(prior.new))
        start = np.concatenate([start, known], axis=1)
        precision = np.concatenate([precision, np.full((GRID, 1), prior.new_sd**-2)], axis=1)
    total = precision.sum(axis=1)
    mean = (precision * start).sum(axis=1) / total
    misfit = (precision * (start - mean[:, None]) ** 2).sum(axis=1)
    chance = np.exp(-0.5 * (steps**2 + misfit - misfit.min()))
    nodes = np.linspace(-2.0, 2.0, STEPS)
    new = np.exp(mean[:, None] + nodes / np.sqrt(total)[:, None])
    weight = chance[:, None] * np.exp(-0.5 * nodes**2)
    return Decay(new=new.ravel(), half_life_d=np.repeat(half, STEPS), weight=weight.ravel() / weight.sum())
