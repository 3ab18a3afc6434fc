"""How much water a tank loses to the air, learned from top-ups."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

import numpy as np
import numpy.typing as npt

from lentic.science.constants import RANGE_80

Array = npt.NDArray[np.float64]

LITRE_SD = 0.08
"""Error of a top-up, as a share of it: can and mark; common practice, no source. [-]"""
MARK_L_PER_M2 = 2.0
"""How far from the mark a top-up ends: 2 mm of level. [L/m2]"""


@dataclass(frozen=True, kw_only=True)
class Loss:
    """Water lost a day, with its error.

    Parameters
    ----------
    litres_a_day, sd : float
        Middle and error. [L/d]
    top_ups : int
        Top-ups it rests on. [-]
    """

    litres_a_day: float
    sd: float
    top_ups: int

    def days_until(self, litres: float) -> tuple[float, float, float]:
        """Return after how many days so much is lost: early, middle, late."""
        low = max(self.litres_a_day - RANGE_80 * self.sd, 1e-6)
        return litres / (self.litres_a_day + RANGE_80 * self.sd), litres / self.litres_a_day, litres / low


def loss_of(days: Array, litres: Array, surface: float, prior: float, prior_sd: float) -> Loss:
    """Return the water lost a day from top-ups that each fill up to the mark.

    Parameters
    ----------
    days : Array
        Day of each top-up or change, shape (top-up,); the first only says when the tank was full. [d]
    litres : Array
        What was filled in, shape (top-up,); nought for a change, after which the tank is full as well. [L]
    surface : float
        Open surface. [m2]
    prior, prior_sd : float
        Loss expected from surface, room and lid, and its error. [L/d]

    Returns
    -------
    Loss
        Middle and error. [L/d]

    Notes
    -----
    Each span between two fillings gives ``litres / days`` with the error of the can and of the mark at both ends;
    spans and prior are weighed by their errors.

    References
    ----------
    mass_balance
    """
    spans, filled = np.diff(days), litres[1:]
    kept = (spans > 0.2) & (filled > 0.0)
    spans, filled = spans[kept], filled[kept]
    error = np.sqrt((LITRE_SD * filled) ** 2 + 2.0 * (MARK_L_PER_M2 * surface) ** 2) / np.maximum(spans, 1e-9)
    weights = np.append(error**-2.0, prior_sd**-2.0)
    rates = np.append(filled / np.maximum(spans, 1e-9), prior)
    return Loss(
        litres_a_day=float(weights @ rates / weights.sum()),
        sd=sqrt(1.0 / float(weights.sum())),
        top_ups=int(kept.sum()),
    )
