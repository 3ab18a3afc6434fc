"""Balance, due dates and differences from small arrays, without an engine."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest

from lentic.advice.balance import FLOWS, INPUTS, closure, per_week, sentences
from lentic.advice.compare import spans_of
from lentic.advice.forecast import due_from, shown
from lentic.advice.habits import rhythm, usual_litres
from lentic.advice.limits import has_fish, limit_of, limits_for
from lentic.logbook.events import Change
from lentic.logbook.tank import Fish, Glass, Tank

BEGIN = datetime(2026, 3, 1)  # noqa: DTZ001 - local time of a tank
SOUND = np.array([True, True, False])


def booked(**grams: float) -> dict[str, np.ndarray[tuple[int, ...], np.dtype[np.float64]]]:
    return {f"{flow}_{e}": np.full(3, grams.get(flow, 0.0)) for flow in FLOWS for e in ("n", "p")}


def test_a_balance_that_closes_leaves_nothing_and_one_with_a_hole_says_how_much() -> None:
    whole = per_week(booked(food=10.0, change=6.0, stored=4.0), 7.0, SOUND)
    assert whole["food", "N"].tolist() == [10000.0, 10000.0]
    assert closure(whole, "N") == pytest.approx(0.0, abs=1e-12)
    hole = per_week(booked(food=10.0, change=6.0), 7.0, SOUND)
    assert closure(hole, "P") == pytest.approx(0.4)


def test_the_sentences_rank_the_flows_and_say_what_builds_up() -> None:
    weekly = per_week(booked(food=8.0, tap=2.0, change=3.0, thinning=5.0, stored=2.0), 7.0, SOUND)
    said = sentences(weekly, "N")
    assert said[0].index("food") < said[0].index("tap water")
    assert said[1].index("plants taken out") < said[1].index("water changes")
    assert "builds up" in said[2]
    assert sentences(per_week(booked(), 7.0, SOUND), "N") == ["Nitrogen: nothing was booked in this span."]
    assert set(INPUTS) < set(FLOWS)


def test_what_lies_beyond_the_horizon_is_none() -> None:
    due = due_from("scrape panes", np.array([2.0, 3.0, np.nan, np.nan, np.nan]), BEGIN, 10)
    assert due.p10 == datetime(2026, 3, 3)  # noqa: DTZ001 - local time of a tank
    assert due.p50 is None
    assert due.p90 is None
    assert due.chance == pytest.approx(0.4)
    assert due_from("scrape panes", np.array([]), BEGIN, 10).p50 is None


def test_values_are_shown_in_the_unit_of_the_kit() -> None:
    # 62.004 g of nitrate hold 14.007 g of nitrogen: molar masses of IUPAC
    assert shown("nitrate", np.array([14.007]))[0] == pytest.approx(62.004, rel=1e-6)
    # 1 degree of German hardness is 0.3566 meq/L (10 mg/L CaO)
    assert shown("kh", np.array([0.3566]))[0] == pytest.approx(1.0, rel=1e-3)


def test_one_fish_switches_the_fish_rows_on() -> None:
    turtle_only, with_fish = Tank(name="a"), Tank(name="b", fish=(Fish(species="x", count=6),))
    assert not has_fish(turtle_only)
    assert limit_of(turtle_only, "ammonia_free") is None
    assert limit_of(with_fish, "ammonia_free") is not None
    assert all(limit.source for limit in (*limits_for(turtle_only), *limits_for(with_fish)))


def test_spans_end_with_the_horizon() -> None:
    assert [name for _, _, name in spans_of(56)] == ["week 4", "week 8"]
    assert spans_of(3) == [(0, 3, "the last days")]
    assert spans_of(30)[-1] == (23, 30, "the last week")


def test_the_usual_change_takes_percent_of_the_real_water() -> None:
    tank = Tank(name="a", glass=Glass(water_l=200.0))
    moment = tank.utc(BEGIN.date())
    changes = [Change(time=moment, percent=20.0), Change(time=moment, litres=30.0), Change(time=moment, percent=20.0)]
    assert usual_litres(tank, changes) == 40.0
    assert usual_litres(Tank(name="a"), changes) == 30.0
    assert usual_litres(tank, []) is None
    assert changes[1].share_of(200.0) == 0.15
    assert changes[1].share_of(None) is None
    assert changes[0].share_of(None) == 0.2


def test_a_rhythm_needs_three_times_and_is_that_of_the_last_ones() -> None:
    start = Tank(name="a").utc(BEGIN.date())
    times = [start + timedelta(days=d) for d in (0, 20, 40, *range(47, 110, 7))]
    assert rhythm(times) == 7.0
    assert rhythm(times[:3]) == 20.0
    assert rhythm(times[:2]) is None
