"""Cycling: how a young filter grows in, day by day, and the rule that says when it is done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.advice.filtering import FINISHED_MG

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class CyclingDay:
    """One day of a young filter: what tests should show."""

    day: int
    ammonia: tuple[float, float, float]
    nitrite: tuple[float, float, float]


@dataclass(frozen=True, kw_only=True)
class Cycling:
    """How a new filter grows in, with the day from which it may be finished."""

    days: tuple[CyclingDay, ...]
    finished: tuple[int, int, int]
    finished_by_tests: bool
    rule: str


GROWTH_D = {"ammonia": (0.35, 0.15), "nitrite": (0.28, 0.15)}
"""Growth of the two groups near 26 °C and its error as a logarithm: doubling in two to three days, within published
rates, from memory. [1/d, -]"""
SEED_SHARE = (0.003, 1.0)
"""Film at the start as a share of what the load needs, and its error as a logarithm; common practice, no source. [-]"""
WARMTH_PER_K = 1.09
DRAWS, MOST_DAYS = 200, 70


def cycling_of(
    load_mg_n: float, litres: float, temperature_c: float, seeded: float, tests: Sequence[tuple[int, float, float]]
) -> Cycling:
    """Return how a young filter grows in under a load, as far as tests (day, ammonia, nitrite in mg/L N) allow.

    Two films grow exponentially on what they take, never beyond need; which draws are kept is weighed by the tests. The
    draws are fixed quantiles, not random.
    """
    steps = (np.arange(DRAWS) + 0.5) / DRAWS
    shuffled = [(steps * k) % 1.0 for k in (1.0, 61.8034, 37.1, 83.7)]
    normal = [_normal(part) for part in shuffled]
    warm = WARMTH_PER_K ** (temperature_c - 26.0)
    first = np.clip((SEED_SHARE[0] + seeded) * np.exp(SEED_SHARE[1] * normal[0]), 1e-5, 1.0) * load_mg_n
    second = np.clip((SEED_SHARE[0] + seeded) * np.exp(SEED_SHARE[1] * normal[1]), 1e-5, 1.0) * load_mg_n
    rates = [GROWTH_D[k][0] * warm * np.exp(GROWTH_D[k][1] * n) for k, n in zip(GROWTH_D, normal[2:], strict=True)]
    ammonia, nitrite = _grown(load_mg_n, litres, first, second, rates)
    weights = _weights(ammonia, nitrite, tests)
    days = tuple(
        CyclingDay(day=d, ammonia=_band(ammonia[d], weights), nitrite=_band(nitrite[d], weights))
        for d in range(MOST_DAYS)
    )
    clear = (ammonia < FINISHED_MG) & (nitrite < FINISHED_MG)
    settled = np.array([_last_unclear(clear[:, m]) for m in range(DRAWS)], dtype=np.float64)
    low, middle, high = _band(settled, weights)
    last = list(tests)[-2:]
    finished = len(last) == 2 and all(a < FINISHED_MG and n < FINISHED_MG for _, a, n in last)
    return Cycling(
        days=days, finished=(int(low), int(middle), int(high)), finished_by_tests=finished,
        rule="Finished only when on two days running, a day after full feeding, ammonia and nitrite both read below "
        f"{FINISHED_MG:g} mg/L N. With any nitrite it is not finished, whatever the calendar says.",
    )  # fmt: skip


def _normal(part: Array) -> Array:
    """Return normal deviates of shares, by the logistic approximation of the quantile (error below 0.02)."""
    return np.asarray(np.sign(part - 0.5) * _tail(np.minimum(part, 1.0 - part)))


def _tail(p: Array) -> Array:
    t = np.sqrt(-2.0 * np.log(np.maximum(p, 1e-6)))
    return np.asarray(t - (2.30753 + 0.27061 * t) / (1.0 + 0.99229 * t + 0.04481 * t * t))


def _grown(
    load: float, litres: float, first: Array, second: Array, rates: Sequence[Array]
) -> tuple[Array, Array]:  # fmt: skip
    ammonia, nitrite = np.zeros((MOST_DAYS, DRAWS)), np.zeros((MOST_DAYS, DRAWS))
    a = n = np.zeros(DRAWS)
    for day in range(MOST_DAYS):
        taken = np.minimum(first, load + a * litres)
        a = np.maximum(a + (load - taken) / litres, 0.0)
        oxidised = np.minimum(second, taken + n * litres)
        n = np.maximum(n + (taken - oxidised) / litres, 0.0)
        first = np.minimum(first * np.exp(rates[0] * np.minimum(taken / np.maximum(first, 1e-9), 1.0)), 3.0 * load)
        second = np.minimum(
            second * np.exp(rates[1] * np.minimum(oxidised / np.maximum(second, 1e-9), 1.0)), 3.0 * load
        )
        ammonia[day], nitrite[day] = a, n
    return ammonia, nitrite


def _weights(ammonia: Array, nitrite: Array, tests: Sequence[tuple[int, float, float]]) -> Array:
    score = np.zeros(DRAWS)
    for day, a, n in tests:
        if 0 <= day < MOST_DAYS:
            score -= 0.5 * (np.log((ammonia[day] + 0.1) / (a + 0.1)) / 0.4) ** 2
            score -= 0.5 * (np.log((nitrite[day] + 0.1) / (n + 0.1)) / 0.4) ** 2
    return np.asarray(np.exp(score - score.max()))


def _band(values: Array, weights: Array) -> tuple[float, float, float]:
    order = np.argsort(values)
    below = (np.cumsum(weights[order]) - 0.5 * weights[order]) / weights.sum()
    low, middle, high = (float(np.interp(q, below, values[order])) for q in (0.1, 0.5, 0.9))
    return low, middle, high


def _last_unclear(clear: npt.NDArray[np.bool_]) -> int:
    unclear = np.flatnonzero(~clear)
    return int(unclear[-1]) + 1 if unclear.size else 0
