"""The growth curve of one turtle: what is known of its kind, moved by the few times it was measured or weighed.

For a given rate the curve is a straight function of the final length, the length today and how heavy the animal is
for its length; so each rate on a grid has an exact answer, and rates are weighed by how well they tell the readings.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from lentic.science.growth import length_from_mass, shell_length, years_to_length

Array = npt.NDArray[np.float64]

CALIPER_CM = 0.1
"""Error of calipers on a moving animal; common practice, no source. [cm]"""
CURVE_SD = 0.015
"""How far an animal strays from a smooth curve, as a share of its length; common practice, no source."""
CONDITION_SD = 0.04
"""How far food, water and eggs move the mass of one animal; common practice, no source. [ln]"""
HATCHLING_SD_CM = 1.0
"""Error of the length at hatching, because no single curve fits the first two years; common practice. [cm]"""
RATES, POINTS = 41, 64


@dataclass(frozen=True, kw_only=True)
class Asymptote:
    """Final shell length of one sex of a kind, with its share where the sex is not known."""

    mean_cm: float
    sd_cm: float
    share: float = 1.0


@dataclass(frozen=True, kw_only=True)
class GrowthPrior:
    """What is known of a kind before this animal was measured; spreads of rate and coefficient are of the logarithm."""

    asymptotes: tuple[Asymptote, ...]
    rate: float
    rate_sd: float
    coefficient: float
    coefficient_sd: float
    hatchling_cm: float


@dataclass(frozen=True, kw_only=True)
class Sight:
    """One time the animal was measured or weighed; `years` counts from the reference day and is not above nought."""

    years: float
    centimetres: float | None = None
    grams: float | None = None


@dataclass(frozen=True, kw_only=True)
class Growth:
    """Possible curves of one animal, each with its weight; the length is that of the reference day."""

    asymptote: Array
    length: Array
    rate: Array
    coefficient: Array
    weight: Array

    def length_at(self, years: float) -> Array:
        """Return the length of every curve some years after the reference day. [cm]"""
        return shell_length(self.asymptote, self.length, self.rate, years)

    def mass_at(self, years: float) -> Array:
        """Return the mass of every curve some years after the reference day. [g]"""
        mass: Array = self.coefficient * self.length_at(years) ** 3
        return mass

    def years_to(self, goal_cm: float) -> Array:
        """Return when every curve reaches a length; infinite where it never does. [a]"""
        return years_to_length(self.asymptote, self.length, self.rate, goal_cm)

    def quantiles(self, values: Array, shares: Sequence[float] = (0.1, 0.5, 0.9)) -> tuple[float, ...]:
        """Return weighted quantiles of a value over the curves; infinite ones count as late."""
        order = np.argsort(values)
        total = np.cumsum(self.weight[order])
        places = np.searchsorted(total, np.asarray(shares) * total[-1])
        return tuple(float(values[order[min(place, order.size - 1)]]) for place in places)


def grow(prior: GrowthPrior, sights: Sequence[Sight], hatched_years: float | None = None) -> Growth | None:
    """Return the curves that agree with what was measured.

    Parameters
    ----------
    prior : GrowthPrior
        What is known of the kind. [-]
    sights : Sequence of Sight
        Measurements and weighings. [-]
    hatched_years : float or None
        When the animal hatched, in years from the reference day, below nought. [a]

    Returns
    -------
    Growth or None
        Curves with weights that add to one; None without any length or mass, or where no curve fits. [-]

    Notes
    -----
    Exact normal regression for every rate of a grid; a mass enters as the length it stands for, and how heavy the
    animal is for its length is learned from days with both.
    """
    rows = _rows(prior, sights, hatched_years)
    if not any(each.grams is not None or each.centimetres is not None for each in sights):
        return None
    rates = prior.rate * np.exp(prior.rate_sd * np.linspace(-2.5, 2.5, RATES))
    chance = np.exp(-0.5 * np.linspace(-2.5, 2.5, RATES) ** 2)
    parts = [
        (rate, *_posterior(rows, float(rate), each, prior), float(likely) * each.share)
        for each in prior.asymptotes
        for rate, likely in zip(rates, chance, strict=True)
    ]
    best = max(part[3] for part in parts)
    points = _points()
    columns = [
        (mean[:, None] + root @ points, np.full(POINTS, rate), np.full(POINTS, share * np.exp(evidence - best)))
        for rate, mean, root, evidence, share in parts
    ]
    return _curves(columns, prior)


def _curves(columns: Sequence[tuple[Array, Array, Array]], prior: GrowthPrior) -> Growth | None:
    """Return all curves in one, without those that would have to shrink; None where no curve tells the readings."""
    unknown = np.concatenate([column[0] for column in columns], axis=1)
    rate = np.concatenate([column[1] for column in columns])
    weight = np.concatenate([column[2] for column in columns])
    possible = (unknown[0] >= unknown[1]) & (unknown[1] > 0.0)
    if weight[possible].sum() <= 0.0:  # longer than its kind is said to grow: it stays as it is
        possible = unknown[1] > 0.0
        unknown[0] = np.maximum(unknown[0], unknown[1])
    if weight[possible].sum() <= 0.0:
        return None
    weight = weight[possible] / weight[possible].sum()
    return Growth(
        asymptote=unknown[0][possible], length=unknown[1][possible], rate=rate[possible],
        coefficient=prior.coefficient * np.exp(3.0 * unknown[2][possible]), weight=weight,
    )  # fmt: skip


@dataclass(frozen=True)
class _Rows:
    """Readings as lengths: when, how long, how sure, and the length by which a wrong coefficient moves each."""

    years: Array
    length: Array
    sd: Array
    leans: Array


def _rows(prior: GrowthPrior, sights: Sequence[Sight], hatched_years: float | None) -> _Rows:
    rows: list[tuple[float, float, float, float]] = []
    for each in sights:
        if each.centimetres is not None:
            sd = float(np.hypot(CALIPER_CM, CURVE_SD * each.centimetres))
            rows.append((each.years, each.centimetres, sd, 0.0))
        if each.grams is not None:
            stands_for = float(length_from_mass(prior.coefficient, each.grams))
            spread = float(np.hypot(CONDITION_SD / 3.0, CURVE_SD))
            rows.append((each.years, stands_for, spread * stands_for, stands_for))
    if hatched_years is not None:
        rows.append((hatched_years, prior.hatchling_cm, HATCHLING_SD_CM, 0.0))
    table = np.array(rows, dtype=np.float64).reshape(-1, 4)
    return _Rows(years=table[:, 0], length=table[:, 1], sd=table[:, 2], leans=table[:, 3])


def _posterior(rows: _Rows, rate: float, asymptote: Asymptote, prior: GrowthPrior) -> tuple[Array, Array, float]:
    """Return mean, root of the covariance and log evidence of final length, length and lean for one rate."""
    grown = np.exp(-rate * rows.years)
    design = np.stack([1.0 - grown, grown, rows.leans], axis=1)
    before = np.array([asymptote.mean_cm, 0.6 * asymptote.mean_cm, 0.0])
    spread = np.diag([asymptote.sd_cm**2, asymptote.mean_cm**2, (prior.coefficient_sd / 3.0) ** 2])
    seen = design @ spread @ design.T + np.diag(rows.sd**2)
    away = rows.length - design @ before
    lower = np.linalg.cholesky(seen)
    scaled = np.linalg.solve(lower, away)
    gain = np.linalg.solve(lower, design @ spread)
    mean = before + gain.T @ scaled
    covariance = spread - gain.T @ gain
    evidence = -0.5 * float(scaled @ scaled) - float(np.log(np.diag(lower)).sum())
    return mean, np.linalg.cholesky(covariance + 1e-12 * np.eye(3)), evidence


@cache
def _points() -> Array:
    """Return evenly strewn standard normal points, the same every time, (3, points)."""
    # additive recurrence with the powers of the root of x^4 = x + 1, which fills a cube evenly
    steps = np.array([1.2207440846057596**-power for power in (1, 2, 3)])
    even = (0.5 + np.outer(steps, np.arange(1, POINTS + 1))) % 1.0
    normal = NormalDist()
    strewn: Array = np.vectorize(normal.inv_cdf)(np.clip(even, 1e-6, 1.0 - 1e-6))
    return strewn
