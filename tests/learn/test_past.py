"""The logged life once more, day by day; and a plan that only looks leaves the forecast as it is."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np

from lentic.advice.forecast import forecast_of
from lentic.advice.over_time import over_time_of, within
from lentic.learn.fit import Effort, Fit, fit
from lentic.learn.forecast import futures
from lentic.learn.past import Past, past
from lentic.logbook.events import Change, Event, Feed, Look, Reading, Scrape
from lentic.logbook.tank import Fixture, Glass, Heater, SourceWater, Tank, Turtle
from lentic.logbook.units import NITRATE

BEGIN, END = datetime(2026, 3, 2, 8, tzinfo=UTC), datetime(2026, 3, 30, tzinfo=UTC)
TANK = Tank(
    name="Attic", timezone="UTC", glass=Glass(length_cm=110.0, width_cm=45.0, water_depth_cm=40.0, water_l=190.0),
    source_water=SourceWater(no3_mg_l=6.0, kh_dkh=7.0, po4_mg_l=0.1), heater=Heater(watts=150.0, set_c=25.0),
    turtles=(Turtle(id="b", mass_g=500.0),), lamps=(Fixture(use="plants", ppfd=60.0, hours=8.0),),
)  # fmt: skip
FEW = Effort(members=16, passes=2, seed=4, threads=1)


@cache
def log() -> tuple[Event, ...]:
    found: list[Event] = [Feed(time=BEGIN + timedelta(days=d), food="pellet_adult", grams=1.5) for d in range(28)]
    for week in range(4):
        moment = BEGIN + timedelta(days=7.0 * week + 5.0)
        found.append(Reading(time=moment, quantity="nitrate", value=NITRATE["mg/lno3"].convert(25.0), unit="mg/L NO3"))
        found.append(Scrape(time=moment + timedelta(minutes=10)))
        found.append(Change(time=moment + timedelta(minutes=20), litres=40.0))
    below = Reading(time=BEGIN + timedelta(days=13, hours=1), quantity="ammonia", value=0.2, unit="mg/L N", below=True)
    return tuple(sorted([*found, below], key=lambda e: e.time))


@cache
def fitted() -> Fit:
    return fit(TANK, log(), (), END, FEW)


@cache
def lived() -> Past:
    return past(fitted())


def test_the_past_has_every_day_of_the_log_and_ends_where_the_fit_stands() -> None:
    found, ensemble = lived(), fitted().ensemble
    assert len(found.days) == 28 and found.days[0] == BEGIN.date()
    end = ensemble.gather(ensemble["temperature"])
    assert np.abs(found.values["temperature"][-1] - end).max() < 0.5
    held = ensemble.gather(ensemble["nitrate"] / ensemble["volume"])
    assert np.abs(found.values["nitrate"][-1] / held - 1.0).max() < 0.1


def test_the_past_shows_the_change_of_water() -> None:
    """40 of 190 L replaced on the morning of day 5 by water with 6 mg/L NO3 leave less at noon than a day before."""
    nitrate = np.median(lived().values["nitrate"], axis=1)
    assert nitrate[5] < nitrate[4]


def test_living_it_once_more_leaves_the_fit_alone() -> None:
    before = fitted().ensemble.data.copy()
    past(fitted())
    assert np.array_equal(before, fitted().ensemble.data)


def test_a_look_in_a_plan_changes_no_day_of_the_forecast() -> None:
    plain = futures(fitted(), log(), (), END, 12)
    looked = futures(fitted(), log(), (Look(time=END + timedelta(days=9), where="panes", grade=1.0),), END, 12)
    for quantity, values in plain.values.items():
        assert np.array_equal(values, looked.values[quantity], equal_nan=True), quantity


def test_readings_stand_beside_the_estimate_of_their_day() -> None:
    found = over_time_of(fitted(), log(), lived(), forecast_of(fitted(), futures(fitted(), log(), (), END, 12)))
    nitrate, ammonia = found.of("nitrate"), found.of("ammonia")
    assert nitrate is not None and ammonia is not None
    assert [round(read.value) for read in nitrate.reads] == [25, 25, 25, 25]
    assert all(read.low < read.value < read.high and read.estimate.known for read in nitrate.reads)
    below = ammonia.reads[0]
    assert (below.beyond, below.low, below.high) == ("below", 0.0, below.value)
    assert [label for label, _ in nitrate.events] == ["water changed"]


def test_a_span_shows_its_days_and_no_more() -> None:
    found = over_time_of(fitted(), log(), lived(), forecast_of(fitted(), futures(fitted(), log(), (), END, 12)))
    month = within(found, "4 weeks")
    assert month.begin >= found.first and month.end == found.end
    before = within(found, "4 weeks", 1)
    assert before.end < found.now
    for record in within(found, "the whole log").records:
        assert record.past is None or len(record.past.times) <= 191
