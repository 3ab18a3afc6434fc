"""Every step of a session passes the gate as the steps before it have left plugs, heater and water."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

import pytest

from lentic.advice.hazards import Situation, Verdict, situation_of
from lentic.advice.hazards.session import questions_of, session_verdict
from lentic.advice.upkeep.graph import Step
from lentic.advice.upkeep.plan import upkeep_of
from lentic.advice.upkeep.situation import situation_of as upkeep_situation
from lentic.logbook.events import Change, Event, Feed, Scrape
from lentic.logbook.tank import Filter, Fish, Fixture, Glass, Heater, SourceWater, Tank, Turtle

NOW = datetime(2026, 5, 1, 8, tzinfo=UTC)
TANK = Tank(
    name="Shelf", glass=Glass(water_l=120.0, pane="glass"), heater=Heater(watts=100, set_c=25),
    filter=Filter(type="canister"), source_water=SourceWater(ph=7.6, temperature_c=12.0),
    turtles=(Turtle(id="mila", species="Sternotherus odoratus"),), fish=(Fish(species="danio_rerio", count=5),),
    lamps=(Fixture(use="basking", hours=10.0),),
)  # fmt: skip
LOG: Sequence[Event] = (
    Feed(time=NOW, food="pellet_adult", grams=1.0), Change(time=NOW, litres=30.0), Scrape(time=NOW, grade=2.0),
)  # fmt: skip
HERE: Situation = situation_of(TANK, LOG, NOW)


def steps() -> tuple[Step, ...]:
    return upkeep_of(upkeep_situation(TANK, LOG, NOW, None, 30.0)).steps


def verdict(of: Sequence[Step]) -> Verdict:
    return session_verdict(HERE, of, TANK, NOW)


def test_the_session_that_is_proposed_trips_no_stop() -> None:
    found = verdict(steps())
    assert not found.stopped
    assert {"ELEC-02", "HEAT-02", "ELEC-05", "PEOPLE-04"} & {each.rule for each in found.found} == set()


def test_hands_before_the_plugs_are_pulled_are_stopped() -> None:
    made = list(steps())
    power = next(step for step in made if step.id == "power_off")
    made.remove(power)
    assert "ELEC-02" in [each.rule for each in verdict(made).stops]


def test_water_under_the_mark_of_a_heater_with_power_is_stopped() -> None:
    made = [step for step in steps() if step.id not in ("power_off", "power_on", "running")]
    assert "HEAT-02" in [each.rule for each in verdict(made).stops]


@pytest.mark.parametrize(("gone", "rule"), [("running", "ELEC-05"), ("wash", "PEOPLE-04")])
def test_what_closes_a_session_is_missed(gone: str, rule: str) -> None:
    made = [step for step in steps() if step.id != gone]
    assert rule in [each.rule for each in verdict(made).found]


def test_a_change_that_is_too_large_for_fish_is_found() -> None:
    large = upkeep_of(upkeep_situation(TANK, LOG, NOW, None, 90.0)).steps
    assert "WATER-13" in [each.rule for each in verdict(large).found]


def test_each_step_is_asked_about_and_the_end() -> None:
    assert len(questions_of(steps(), TANK)) == len(steps()) + 1
