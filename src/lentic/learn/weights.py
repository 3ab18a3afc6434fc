"""Is this animal lighter than it should be? The last two weighings against all before them.

The logarithm of the mass is taken as a level, a steady gain or loss, a yearly swing and a slow wander, with the gut
and the scale on top. What the earlier weighings say about the last two is then exact; an alarm needs both to lie low.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

import numpy as np
import numpy.typing as npt

from lentic.science.constants import YEAR_D

Array = npt.NDArray[np.float64]

LEVEL_SD, TREND_SD, SEASON_SD, WANDER_SD, WANDER_D = 2.0, 0.25, 0.025, 0.010, 60.0
"""Spread of ln mass: its level, gain a year, each half of the yearly swing, and a wander that fades in some weeks."""
YOUNG_TREND_SD = 0.8
"""The same of the gain a year of an animal that still grows."""
GUT_SD, SCALE_G = 0.018, 1.5
"""Full or empty gut and bladder, of ln mass, and the scale in grams; common practice, no source."""
LEAST = 4
"""Weighings before any word about a loss."""
STEPS_TOGETHER, STEPS_ALONE = 2.0, 1.6
LEAST_TOGETHER, LEAST_ALONE = 0.058, 0.035
"""How many standard deviations, and how much of the mass, the last two (or the last alone) must lie below."""
SLOW_D, SLOW_STEPS, SLOW_LEAST = 75.0, 2.2, 0.08
"""A loss that creeps hides in the trend: the last two against what was known so many days ago."""


class Weight(StrEnum):
    """What the weighings say; the text is for the keeper."""

    TOO_FEW = "Too few weighings to tell a loss from a full or empty gut."
    USUAL = "No loss that food, season and scale do not explain."
    AGAIN = "Lighter than expected, once. Weigh again in the next days, at the same hour and before food."
    LOST = "Lighter than expected, twice in a row."


@dataclass(frozen=True, kw_only=True)
class Watched:
    """The verdict on the last weighings, with what was expected of the last one."""

    weight: Weight
    expected_g: float | None = None
    low_g: float | None = None
    high_g: float | None = None
    change: float | None = None
    """Last two weighings (or the last alone) over what was expected of them, less one."""


def watch(days: Array, grams: Array, growing: bool = False) -> Watched:
    """Return whether the last weighings lie below what the earlier ones let expect.

    Parameters
    ----------
    days : Array
        When, rising. [d]
    grams : Array
        Mass. [g]
    growing : bool
        Whether the animal is still young and gains quickly. [-]

    Returns
    -------
    Watched
        The verdict and the expected mass. [-]

    Notes
    -----
    Normal regression with a covariance of level, trend, season and wander; tuned on invented healthy and losing
    animals, see the test of this module.
    """
    if days.size < LEAST:
        return Watched(weight=Weight.TOO_FEW)
    y = np.log(grams)
    mean, cover = _expected(days, y, grams, days.size - 1, growing)
    sd = float(np.sqrt(cover[0, 0]))
    alone = float(y[-1] - mean[0])
    low, middle, high = (float(np.exp(mean[0] + step * sd)) for step in (-1.2816, 0.0, 1.2816))
    weight, change = Weight.USUAL, alone
    if alone < -max(LEAST_ALONE, STEPS_ALONE * sd):
        weight = Weight.AGAIN
    if days.size > LEAST:
        soon, lost = _last_two(days, y, grams, days.size - 2, growing=growing, line=(STEPS_TOGETHER, LEAST_TOGETHER))
        before = int(np.count_nonzero(days[:-2] <= days[-1] - SLOW_D))
        late, crept = soon, False
        if before >= LEAST:
            late, crept = _last_two(days, y, grams, before, growing=growing, line=(SLOW_STEPS, SLOW_LEAST))
        if lost or crept:
            weight, change = Weight.LOST, min(soon, late) if crept else soon
    return Watched(weight=weight, expected_g=middle, low_g=low, high_g=high, change=float(np.expm1(change)))


def _last_two(
    days: Array, y: Array, grams: Array, known: int, *, growing: bool, line: tuple[float, float]
) -> tuple[float, bool]:
    """Return how far the last two lie from what the first `known` let expect, and whether that is too far below."""
    kept = [*range(known), y.size - 2, y.size - 1]
    mean, cover = _expected(days[kept], y[kept], grams[kept], known, growing)
    both = y[-2:] - mean
    limit = max(line[1], line[0] * float(np.sqrt(cover.sum()) / 2.0))
    return float(both.mean()), bool(both.mean() < -limit and np.all(both < -0.5 * limit))


def _expected(days: Array, y: Array, grams: Array, known: int, growing: bool) -> tuple[Array, Array]:
    """Return mean and covariance of the readings after the first `known`, their own error included."""
    t = days - days[known - 1]
    apart = t[:, None] - t[None, :]
    trend = (YOUNG_TREND_SD if growing else TREND_SD) / YEAR_D
    cover = (
        LEVEL_SD**2
        + trend**2 * np.outer(t, t)
        + SEASON_SD**2 * np.cos(2.0 * np.pi * apart / YEAR_D)
        + WANDER_SD**2 * np.exp(-np.abs(apart) / WANDER_D)
        + np.diag(GUT_SD**2 + (SCALE_G / grams) ** 2)
    )
    level = float(y[:known].mean())
    gain = np.linalg.solve(cover[:known, :known], cover[:known, known:])
    mean: Array = level + gain.T @ (y[:known] - level)
    rest: Array = cover[known:, known:] - cover[known:, :known] @ gain
    return mean, rest
