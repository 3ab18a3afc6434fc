"""What a filter can take a day, learned from total ammonia after meals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

PRIOR_SD = 0.9
"""Error of the capacity expected from the media, as a logarithm: a film can be a third or three times it. [-]"""
HALF_MG_N_L = 0.5
"""Total ammonia at which a film works at half its speed; in the range of film kinetics, from memory. [mg/L N]"""
TO_WATER = 0.7
"""Share of eaten nitrogen that reaches the water as ammonia within days; common practice, no source. [-]"""
EXCRETED_A_DAY = 2.0
"""How fast a meal's nitrogen is given off; two thirds within half a day; common practice, no source. [1/d]"""
KIT_SD, KIT_FLOOR = 0.25, 0.05
"""Error of an ammonia kit as a logarithm, and the reading at which it stops shrinking [mg/L N]; common practice."""
GRID, STEP_D = 241, 1.0 / 96.0


@dataclass(frozen=True, kw_only=True)
class Meal:
    """Nitrogen that was eaten.

    Parameters
    ----------
    day : float
        When. [d]
    mg_n : float
        Nitrogen in it. [mg]
    """

    day: float
    mg_n: float


@dataclass(frozen=True, kw_only=True)
class AmmoniaTest:
    """A reading of total ammonia.

    Parameters
    ----------
    day : float
        When. [d]
    mg_n_l : float
        Reading. [mg/L N]
    below : bool
        Whether the truth lies below it. [-]
    """

    day: float
    mg_n_l: float
    below: bool = False


@dataclass(frozen=True, kw_only=True)
class Capacity:
    """What a filter can take.

    Parameters
    ----------
    p10, p50, p90 : float
        Range that holds 8 of 10 cases. [mg N/d]
    used : float
        Share of the middle that the load takes. [-]
    at_least_only : bool
        Whether the tests only say that it is no less: ammonia never rose. [-]
    tests : int
        Tests it rests on. [-]
    """

    p10: float
    p50: float
    p90: float
    used: float
    at_least_only: bool
    tests: int


def capacity_of(meals: Sequence[Meal], tests: Sequence[AmmoniaTest], litres: float, prior: float) -> Capacity | None:
    """Return the nitrogen a filter can take a day, from ammonia tests after meals.

    Parameters
    ----------
    meals : Sequence[Meal]
        Everything fed from some days before the first test on, oldest first. [-]
    tests : Sequence[AmmoniaTest]
        Readings of total ammonia, oldest first. [-]
    litres : float
        Water volume. [L]
    prior : float
        Capacity expected from the media. [mg N/d]

    Returns
    -------
    Capacity or None
        None without tests or meals. [-]

    Notes
    -----
    ``dC/dt = given off / V - (R / V) C / (K + C)``, with what is given off falling exponentially after each meal;
    solved for a grid of capacities at once in steps of a quarter hour, and weighed by how well each explains the tests.

    References
    ----------
    common_practice
    """
    if not tests or not meals:
        return None
    steps = np.linspace(-3.0, 3.0, GRID)
    rates = prior * np.exp(PRIOR_SD * steps)
    shown = _run(meals, [test.day for test in tests], litres, rates)
    score = -0.5 * steps**2
    for row, test in zip(shown, tests, strict=True):
        miss = (np.log(row + KIT_FLOOR) - np.log(test.mg_n_l + KIT_FLOOR)) / KIT_SD
        score = score - 0.5 * np.where(test.below, np.maximum(miss, 0.0), miss) ** 2
    weights = np.exp(score - score.max())
    below = (np.cumsum(weights) - 0.5 * weights) / weights.sum()
    low, middle, high = (float(np.interp(q, below, rates)) for q in (0.1, 0.5, 0.9))
    span = max(tests[-1].day - meals[0].day, 1.0)
    load = TO_WATER * sum(meal.mg_n for meal in meals if meal.day <= tests[-1].day) / span
    risen = any(not test.below and test.mg_n_l > 2.0 * KIT_FLOOR for test in tests)
    return Capacity(p10=low, p50=middle, p90=high, used=load / middle, at_least_only=not risen, tests=len(tests))


def _run(meals: Sequence[Meal], days: Sequence[float], litres: float, rates: Array) -> Array:
    """Return total ammonia on the days of the tests for every capacity, shape (test, capacity). [mg/L]"""
    first = meals[0].day
    ticks = np.arange(first, max(days) + STEP_D, STEP_D)
    given = np.zeros_like(ticks)
    for meal in meals:
        since = ticks - meal.day
        given += np.where(since >= 0.0, TO_WATER * meal.mg_n * EXCRETED_A_DAY * np.exp(-EXCRETED_A_DAY * since), 0.0)
    level = np.zeros_like(rates)
    wanted = {round((day - first) / STEP_D): place for place, day in enumerate(days)}
    shown = np.zeros((len(days), len(rates)))
    for tick, flow in enumerate(given):
        if tick in wanted:
            shown[wanted[tick]] = level
        # implicit in the removal, so that a large capacity cannot take more than there is
        raised = level + STEP_D * flow / litres
        level = raised / (1.0 + STEP_D * rates / litres / (HALF_MG_N_L + raised))
    return shown
