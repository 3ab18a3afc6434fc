"""How much this animal spends beside resting, learned from what it ate and what the scale said."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_GRID = np.linspace(np.log(0.2), np.log(20.0), 4001)
TAILS = (0.1, 0.5, 0.9)
NORMAL_90 = 1.2816
"""Standard deviations from the middle to the tenth and ninetieth of a hundred."""


@dataclass(frozen=True, kw_only=True)
class Trend:
    """A straight line through weighings."""

    grams_per_day: float
    sd: float
    mean_g: float
    days: float
    weighings: int


@dataclass(frozen=True, kw_only=True)
class Multiplier:
    """Energy spent over resting energy: tenth, half and nine tenths of what is possible."""

    p10: float
    p50: float
    p90: float


def weight_trend(days: Array, grams: Array, noise: float) -> Trend | None:
    """Return the straight line through weighings.

    Parameters
    ----------
    days : Array
        When, shape (weighing,). [d]
    grams : Array
        What the scale said, shape (weighing,). [g]
    noise : float
        How far one weighing is off for a full gut, wet shell or the scale, as a share of the mass. [-]

    Returns
    -------
    Trend or None
        None with fewer than two days of weighing. [-]

    Notes
    -----
    Least squares with a known error of each weighing, so that two weighings have an honest spread too.
    """
    if len(days) < 2 or float(np.ptp(days)) < 1.0:
        return None
    mean = float(np.mean(grams))
    about = days - np.mean(days)
    lever = float(np.sum(about**2))
    slope = float(np.sum(about * (grams - mean)) / lever)
    return Trend(
        grams_per_day=slope, sd=noise * mean / float(np.sqrt(lever)), mean_g=mean, days=float(np.ptp(days)),
        weighings=len(days),
    )  # fmt: skip


def usual_multiplier(usual: float, low: float, high: float) -> tuple[float, float]:
    """Return the prior of the multiplier as the mean and deviation of its logarithm.

    Parameters
    ----------
    usual : float
        Where to start. [-]
    low : float
        Low end of what is seen, the tenth of a hundred. [-]
    high : float
        High end of what is seen, the ninetieth of a hundred. [-]

    Returns
    -------
    float
        Mean of the logarithm. [ln]
    float
        Standard deviation of the logarithm. [ln]
    """
    return float(np.log(usual)), float(np.log(high / low) / (2.0 * NORMAL_90))


def activity_multiplier(
    prior: tuple[float, float],
    resting: float,
    eaten: tuple[float, float] | None = None,
    trend: Trend | None = None,
    growth: tuple[float, float] = (0.0, 0.0),
) -> Multiplier:
    """Return what an animal spends over its resting energy, from food eaten less what became weight.

    Parameters
    ----------
    prior : tuple of float
        Mean and deviation of the logarithm, before the scale speaks. [ln]
    resting : float
        Resting energy at the mean mass and temperature of the span. [kcal/d]
    eaten : tuple of float, optional
        Energy eaten over the span and its standard deviation. [kcal/d]
    trend : Trend, optional
        Weight over the span. [-]
    growth : tuple of float
        Energy that a gram of weight costs, and its standard deviation. [kcal/g]

    Returns
    -------
    Multiplier
        The prior where food or weight is missing. [-]

    Notes
    -----
    ``m resting = eaten - growth weight trend``, all errors taken as normal and independent, on a grid of ln m.
    """
    centre, spread = prior
    log_weight = -0.5 * ((_GRID - centre) / spread) ** 2
    if eaten is not None and trend is not None:
        spent = eaten[0] - growth[0] * trend.grams_per_day
        variance = eaten[1] ** 2 + (growth[0] * trend.sd) ** 2 + (growth[1] * trend.grams_per_day) ** 2
        log_weight = log_weight - 0.5 * (np.exp(_GRID) * resting - spent) ** 2 / max(variance, 1e-12)
    weight = np.exp(log_weight - log_weight.max())
    share = np.cumsum(weight) / weight.sum()
    low, middle, high = (float(np.exp(np.interp(tail, share, _GRID))) for tail in TAILS)
    return Multiplier(p10=low, p50=middle, p90=high)
