"""A suspected cause taken out of the log: what is taken, and what the fitted tank then shows."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from lentic.advice.causes import causes_of
from lentic.advice.withdrawn import LEAD_D, WITHDRAWALS, Taken, effects
from lentic.learn.again import held_drifts
from lentic.learn.fit import Effort, fit
from lentic.logbook.events import (
    Change,
    Event,
    Feed,
    Lamp,
    LostPlant,
    Planted,
    Power,
    Reading,
    Rinse,
    Scrape,
    Siphon,
)
from lentic.logbook.tank import Fixture, Glass, Plant, Room, SourceWater, Tank, Turtle
from lentic.model.members import KNOT_D

BEGIN = datetime(2026, 1, 5, 8, tzinfo=UTC)
END = datetime(2026, 4, 20, tzinfo=UTC)
SINCE = BEGIN + timedelta(days=70)
TANK = Tank(
    name="Attic",
    timezone="UTC",
    glass=Glass(length_cm=110.0, width_cm=45.0, water_depth_cm=40.0, water_l=190.0),
    source_water=SourceWater(no3_mg_l=3.0, kh_dkh=7.0),
    turtles=(Turtle(id="b", mass_g=500.0),),
    plants=(Plant(species="Egeria densa", wet_g=250.0),),
    lamps=(Fixture(use="plants", ppfd=60.0, hours=8.0),),
)


def _at(day: float) -> datetime:
    return BEGIN + timedelta(days=day)


def _log(grams: float = 1.0, later: float = 1.0, litres: float = 40.0, litres_later: float = 40.0) -> list[Event]:
    log: list[Event] = [
        Feed(time=_at(day), food="pellet_adult", grams=grams if day < 50 else later) for day in range(104)
    ]
    log += [Change(time=_at(7.0 * k + 0.4), litres=litres if k < 7 else litres_later) for k in range(15)]
    log += [Scrape(time=_at(day + 0.45)) for day in (14, 28, 42, 56, 70, 77, 84, 91, 98)]
    return sorted(log, key=lambda e: e.time)


def _taken(cause: str, log: list[Event], tank: Tank = TANK) -> Taken | None:
    return WITHDRAWALS[cause](tank, log, SINCE - timedelta(days=LEAD_D))


def test_more_food_is_scaled_back_to_what_it_was() -> None:
    """Twice the grams since three weeks before the trouble: as many grams as before then."""
    without = _taken("load", _log(1.0, 2.0))
    assert without is not None
    late = [e.grams for e in without.events if isinstance(e, Feed) and e.time > _at(55)]
    assert late == pytest.approx([1.0] * len(late), rel=0.05)
    early = [e.grams for e in without.events if isinstance(e, Feed) and e.time < _at(40)]
    assert early == pytest.approx([1.0] * len(early))
    assert _taken("load", _log(1.0, 1.0)) is None
    assert _taken("load", _log(2.0, 1.0)) is None


def test_fewer_litres_are_scaled_up_and_single_events_are_dropped() -> None:
    """What the log does not hold cannot be taken out of it."""
    without = _taken("changes", _log(litres=40.0, litres_later=20.0))
    assert without is not None
    late = [e.litres for e in without.events if isinstance(e, Change) and e.time > _at(60)]
    assert late == pytest.approx([40.0] * len(late), rel=0.1)
    assert _taken("changes", _log()) is None
    for cause, event in (
        ("light", Lamp(time=_at(60), use="plants", hours=14.0)),
        ("plants", LostPlant(time=_at(60), species="Egeria densa", grams=80.0)),
        ("overplanted", Planted(time=_at(60), species="Egeria densa", grams=900.0)),
        ("filter", Rinse(time=_at(60), extent="all", water="tap")),
        ("filter", Rinse(time=_at(60), extent="all", note="hosed out under the tap")),
        ("filter", Power(time=_at(60), on=False)),
        ("disturbance", Rinse(time=_at(60), extent="all", water="tank")),
        ("disturbance", Change(time=_at(60), litres=90.0)),
    ):
        assert _taken(cause, _log()) is None
        dropped = _taken(cause, [*_log(), event])
        assert dropped is not None
        assert list(dropped.events) == _log()


def test_siphoning_that_was_given_up_goes_on() -> None:
    """Once a week up to the fifth week, then never: taken out, it goes on once a week to the end."""
    siphons: list[Event] = [Siphon(time=_at(7.0 * k + 0.3), fraction=0.4) for k in range(7)]
    without = _taken("dirt", sorted([*_log(), *siphons], key=lambda e: e.time))
    assert without is not None
    assert sum(isinstance(e, Siphon) for e in without.events) == pytest.approx(14, abs=1)
    assert _taken("dirt", _log()) is None


def test_what_lies_outside_the_log_is_held_or_left_out_only_where_something_is_known_of_it() -> None:
    reading = Reading(time=_at(80), quantity="tap_nitrate", value=8.0, unit="mg/L N")
    assert _taken("tap", _log()) is None
    tap = _taken("tap", [*_log(), reading])
    assert tap is not None
    assert tap.without.held == ("tap_nitrate_drift", "tap_alkalinity_drift")
    warm = Reading(time=_at(80), quantity="temperature", value=29.0, unit="°C")
    assert _taken("warmth", [*_log(), warm]) is not None
    assert _taken("sun", _log()) is None
    sunny = _taken("sun", _log(), replace(TANK, room=Room(window_sun_h=2.0)))
    assert sunny is not None
    assert sunny.without.sun
    assert _taken("chloramine", _log(), replace(TANK, source_water=SourceWater(chloramine_mg_l=1.0))) is not None


def test_a_held_drift_stays_where_it_was_at_the_turn() -> None:
    values = {f"tap_nitrate_drift_{k}": np.array([0.1 * k]) for k in range(6)}
    held = held_drifts(values, ("tap_nitrate_drift",), 2.5 * KNOT_D, 6)
    assert held == {f"tap_nitrate_drift_{k}": pytest.approx([0.2]) for k in range(2, 6)}


def test_without_the_extra_food_the_fitted_tank_is_cleaner_and_the_cause_gains() -> None:
    """Three times the food: the tank run again without it shows less algae, and load ranks higher for it."""
    log = _log(0.8, 2.4)
    fitted = fit(TANK, log, (), END, Effort(members=64, passes=3, seed=2, threads=1))
    found = effects(fitted, log, "algae", SINCE, END)
    assert set(found) == {"load"}
    assert found["load"] > 0.0
    assert effects(fitted, log, "cloudy", SINCE, END) == {}
    nitrogen = {"pellet_adult": 0.051}
    plain = causes_of(TANK, log, "algae", nitrogen)
    weighed = causes_of(TANK, log, "algae", nitrogen, lambda since: {"load": 1.0})
    chance = {c.cause: c for c in weighed.causes}
    assert chance["load"].chance > {c.cause: c.chance for c in plain.causes}["load"]
    assert "run again without it" in chance["load"].speaks_for[0]
    innocent = causes_of(TANK, log, "algae", nitrogen, lambda since: {"load": 0.0})
    assert "about as green" in {c.cause: c for c in innocent.causes}["load"].against[0]


def test_ammonia_nitrate_and_kh_are_told_from_food_that_was_tripled() -> None:
    """The readings of a tank fed three times as much: run again without that, ammonia and nitrate fall and KH stays."""
    log = _log(0.8, 2.6)
    for day in range(6, 104, 7):
        late = day >= 60
        log += [
            Reading(time=_at(day + 0.2), quantity="nitrate", value=24.0 if late else 8.0, unit="mg/L N"),
            Reading(time=_at(day + 0.21), quantity="ammonia", value=0.4 if late else 0.1, unit="mg/L N"),
            Reading(time=_at(day + 0.22), quantity="kh", value=1.6 if late else 2.4, unit="meq/L"),
        ]
    log.sort(key=lambda e: e.time)
    fitted = fit(TANK, log, (), END, Effort(members=64, passes=3, seed=2, threads=1))
    for of in ("nitrate", "ammonia", "kh"):

        def again(since: datetime, of: str = of) -> dict[str, float]:
            return effects(fitted, log, of, since, END)

        first = causes_of(TANK, log, of, {"pellet_adult": 0.051}, again).causes[0]
        assert first.cause == "load", of
        assert "run again without it" in first.speaks_for[0], of
