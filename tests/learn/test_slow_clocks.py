"""Heat loss, clogging, evaporation and filter capacity: seeded records, and how near the truth the answer comes."""

from __future__ import annotations

import numpy as np
import pytest

from lentic.learn.clogging import Cycle, clogging_of
from lentic.learn.cooling import Cooling, cooling_rate
from lentic.learn.removal import AmmoniaTest, Meal, capacity_of
from lentic.learn.topping import loss_of

CLOGGED = 0.65


def _curve(rng: np.random.Generator, rate: float, every: float = 0.25) -> Cooling:
    hours = np.arange(0.0, 2.01, every)
    water = 19.0 + 6.0 * np.exp(-rate * hours) + 0.1 * rng.normal(size=hours.size)
    return Cooling(hours=hours, water=water, room=19.0)


def test_heat_loss_from_three_two_hour_curves_is_within_15_percent() -> None:
    """200 seeded tanks, a reading each quarter hour with 0.1 °C noise; the measures are off by a fifth."""
    rng = np.random.default_rng(1)
    off, inside = [], 0
    for _ in range(200):
        truth = float(np.exp(rng.uniform(np.log(0.03), np.log(0.12))))
        found = cooling_rate([_curve(rng, truth) for _ in range(3)], truth * np.exp(0.2 * rng.normal()), 0.25)
        off.append(abs(found.p50 / truth - 1.0))
        inside += found.p10 <= truth <= found.p90
    assert np.median(off) <= 0.15
    assert 0.70 <= inside / 200 <= 0.92


def test_without_noise_the_rate_is_the_true_one_and_without_curves_the_expected_one() -> None:
    exact = Cooling(
        hours=np.array([0.0, 4.0, 9.0]), water=20.0 + 5.0 * np.exp(-0.05 * np.array([0.0, 4.0, 9.0])), room=20.0
    )
    assert cooling_rate([exact], 0.08, 0.5, sd=0.001).p50 == pytest.approx(0.05, rel=2e-3)
    none = cooling_rate([], 0.08, 0.3)
    assert none.p50 == pytest.approx(0.08, rel=1e-3) and not none.learned
    # a log-normal of sd 0.3: exp(1.2816 x 0.3)
    assert none.p90 / none.p50 == pytest.approx(np.exp(1.2816 * 0.3), rel=5e-3)
    single = Cooling(hours=np.array([1.0]), water=np.array([24.0]), room=20.0)
    assert not cooling_rate([single], 0.08, 0.3).learned


def _cycle(rng: np.random.Generator, due: float, last: float, clean: float = 480.0) -> Cycle:
    days = np.arange(0.0, last + 0.1, 7.0)
    start = clean * np.exp(0.04 * rng.normal())
    flow = start * np.exp(np.log(CLOGGED) * days / due + 0.05 * rng.normal(size=days.size))
    return Cycle(days=days, flow=flow)


def test_the_next_cleaning_is_told_to_four_days() -> None:
    """200 seeded filters, weekly jug readings over three cycles and the first two weeks of the fourth."""
    rng = np.random.default_rng(2)
    off, inside = [], 0
    for _ in range(200):
        due = float(rng.uniform(21.0, 42.0))
        cycles = [*(_cycle(rng, due, due) for _ in range(3)), _cycle(rng, due, 14.0)]
        found = clogging_of(cycles, CLOGGED)
        assert found is not None
        off.append(abs(found.p50 - due))
        inside += found.p10 <= due <= found.p90
    assert np.quantile(off, 0.8) <= 4.0
    assert inside / 200 >= 0.7


def test_a_leaf_in_the_intake_is_not_dirt() -> None:
    rng = np.random.default_rng(3)
    good = _cycle(rng, 35.0, 21.0)
    blocked = Cycle(days=np.append(good.days, 23.0), flow=np.append(good.flow, 0.4 * good.flow[-1]))
    found, before = clogging_of([_cycle(rng, 35.0, 35.0), blocked], CLOGGED), clogging_of([good], CLOGGED)
    assert found is not None and found.sudden
    assert before is not None and not before.sudden
    assert clogging_of([], CLOGGED) is None


def test_evaporation_from_six_top_ups_tells_the_heater_mark_to_a_day() -> None:
    """200 seeded tanks of 0.4 m2: the day on which 10 L are gone."""
    rng = np.random.default_rng(4)
    off = []
    for _ in range(200):
        truth = float(rng.uniform(1.0, 2.7))
        days = np.cumsum(np.append(0.0, rng.integers(2, 6, size=6)))
        level = 0.8 * rng.normal(size=days.size)
        litres = np.append(0.0, np.diff(days) * truth + np.diff(level)) * np.append(
            1.0, np.exp(0.08 * rng.normal(size=6))
        )
        found = loss_of(days, np.maximum(litres, 0.0), 0.4, truth * np.exp(0.4 * rng.normal()), 0.7)
        off.append(abs(found.days_until(10.0)[1] - 10.0 / truth))
    assert np.quantile(off, 0.8) <= 1.0


def test_top_ups_without_error_give_the_loss_and_none_gives_the_prior() -> None:
    days = np.array([0.0, 3.0, 7.0])
    sure = loss_of(days, np.array([0.0, 6.0, 8.0]), 1e-9, 1.0, 1e6)
    assert sure.litres_a_day == pytest.approx(2.0)
    none = loss_of(np.array([0.0]), np.array([0.0]), 0.4, 1.5, 0.5)
    assert (none.litres_a_day, none.sd, none.top_ups) == (1.5, 0.5, 0)


def _fed(rng: np.random.Generator, capacity: float, litres: float, count: int) -> tuple[list[Meal], list[AmmoniaTest]]:
    """Return meals and tests of a filter with other kinetics than those learned with: half-speed at 0.35 mg/L."""
    meals = [Meal(day=float(day), mg_n=float(rng.uniform(70.0, 130.0))) for day in range(14)]
    level, ticks, told = 0.0, np.arange(0.0, 14.0, 0.005), []
    wanted = set((np.sort(rng.choice(np.arange(3, 14), size=count, replace=False)) + rng.uniform(0.2, 0.6)).round(3))
    marks = sorted(wanted)
    for tick in ticks:
        given = sum(0.7 * m.mg_n * 2.2 * np.exp(-2.2 * (tick - m.day)) for m in meals if 0.0 <= tick - m.day < 4.0)
        level += 0.005 * (given - capacity * level / (0.35 + level)) / litres
        while marks and tick >= marks[0]:
            told.append(AmmoniaTest(day=float(tick), mg_n_l=float(level * np.exp(0.15 * rng.normal()))))
            marks.pop(0)
    return meals, told


def test_capacity_from_ten_tests_is_within_30_percent() -> None:
    """40 seeded filters that are well used, ten tests after meals each; the media say it to a factor of two."""
    rng = np.random.default_rng(5)
    off = []
    for _ in range(40):
        truth = float(rng.uniform(80.0, 160.0))
        meals, tests = _fed(rng, truth, 150.0, 10)
        found = capacity_of(meals, tests, 150.0, truth * np.exp(0.6 * rng.normal()))
        assert found is not None and found.tests == 10
        off.append(abs(found.p50 / truth - 1.0))
    assert np.median(off) <= 0.30


def test_a_filter_that_is_hardly_used_only_says_no_less() -> None:
    meals = [Meal(day=float(day), mg_n=30.0) for day in range(10)]
    tests = [AmmoniaTest(day=float(day) + 0.4, mg_n_l=0.04, below=True) for day in range(3, 10)]
    found = capacity_of(meals, tests, 150.0, 200.0)
    assert found is not None and found.at_least_only and found.used < 0.5
    assert capacity_of(meals, [], 150.0, 200.0) is None
