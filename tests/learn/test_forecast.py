"""What is carried into the future: plans that end, dawn oxygen that nobody measured."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from lentic.learn.fit import Fit
from lentic.learn.forecast import BREATHING_SD, breathing_factor, continued, with_breathing_unknown
from lentic.logbook.events import Change, Event, Feed, Planted

BEGIN = datetime(2026, 4, 6, tzinfo=UTC)


def _plan(days: int) -> list[Event]:
    plan: list[Event] = [Planted(time=BEGIN, species="Egeria densa", grams=50.0)]
    for day in range(days):
        at = BEGIN + timedelta(days=day, hours=8)
        plan += [Feed(time=at, food="pellet_adult", grams=1.0)]
        plan += [Change(time=at, litres=40.0)] if day % 7 == 6 else []
    return plan


def test_a_plan_of_weeks_goes_on_where_it_ends() -> None:
    """Eight weeks of a plan, half a year ahead: fed every day, changed every Sunday, planted once."""
    found = continued(_plan(56), BEGIN, BEGIN + timedelta(days=182))
    assert sum(isinstance(e, Feed) for e in found) == 182
    assert [e.time.weekday() for e in found if isinstance(e, Change)] == [6] * 26
    assert sum(isinstance(e, Planted) for e in found) == 1
    assert all(e.time < BEGIN + timedelta(days=182) for e in found)


def test_a_plan_that_reaches_the_horizon_and_a_single_thing_to_do_stay_as_they_are() -> None:
    whole = _plan(56)
    assert continued(whole, BEGIN, BEGIN + timedelta(days=56)) == whole
    single: list[Event] = [Change(time=BEGIN + timedelta(days=2), litres=80.0)]
    assert continued(single, BEGIN, BEGIN + timedelta(days=56)) == single
    assert continued([], BEGIN, BEGIN + timedelta(days=56)) == []


def _fit(oxygen_readings: int) -> Fit:
    fake: Any = SimpleNamespace(
        evidence=[SimpleNamespace(what="oxygen")] * oxygen_readings, effort=SimpleNamespace(seed=1),
        ensemble=SimpleNamespace(members=4000),
    )  # fmt: skip
    return cast(Fit, fake)


def test_dawn_oxygen_nobody_measured_is_known_within_a_factor_of_two_of_what_is_missing() -> None:
    free, read = breathing_factor(_fit(0)), breathing_factor(_fit(8))
    assert np.quantile(free, 0.9) == pytest.approx(np.exp(1.2816 * BREATHING_SD), rel=0.06)
    assert np.log(read).std() == pytest.approx(BREATHING_SD / 3.0, rel=0.05)
    assert (free == breathing_factor(_fit(0))).all()


def test_saturated_water_is_surely_saturated() -> None:
    """Benson and Krause 1984: 8.26 mg/L at 25 °C; what is missing to that is scaled, nothing else."""
    found = with_breathing_unknown(np.array([8.263, 7.263]), np.array([25.0, 25.0]), np.array([2.0, 2.0]))
    assert found == pytest.approx([8.263, 6.263], abs=0.02)
    assert with_breathing_unknown(np.array([3.0]), np.array([25.0]), np.array([4.0])) == pytest.approx([0.0])
