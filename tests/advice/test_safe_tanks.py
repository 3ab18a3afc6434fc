"""Ten tanks with nothing wrong, invented, as folders: no STOP, and nothing for today without a reason."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from lentic.advice.hazards import Verdict
from lentic.catalogue.hazards import hazards
from lentic.keeper.check import told_facts, verdict_on
from lentic.keeper.opening import Opened, Where, open_record

SAFE = Path(__file__).parents[1] / "data" / "safe"
TANKS = sorted(path.name for path in SAFE.iterdir() if path.is_dir())
# what a keeper of a sound tank answers on the day; it changes by the day, so it does not stand in tank.toml
TODAY = told_facts(
    [
        "seen.turtle=none", "seen.water=clear", "heater.mark_covered=true", "medicine.kind=none", "turtle.ill=false",
        "turtle.weak=false", "turtle.climate_ok=true", "turtle.not_eating_days=1", "feed.left_after_15min_pct=2",
        "feed.energy_ratio_28d=1.1", "plant.dead_g_per_100L=5", "room.spray_hours_ago=none", "forecast.room_max_C=24",
        "air.minus_water_C=1", "reading.copper=0", "reading.kit_expired=false", "reading.nitrate_shaken=true",
        "tap.stood_overnight=false", "person.bitten=false", "feed.liver_or_drops_per_month=0",
        "tank.loss_coldest_W=20", "fish.n_ratio=0.2",
    ]
)  # fmt: skip
# a filled tank of more than about 600 kg loads a floor as a whole small room may be loaded: that is worth asking
REASONS = {name: {"BUILD-04"} for name in ("grown-slider", "red-bellied-with-guppies", "softshell-alone")}


def opened(name: str) -> Opened:
    found = open_record(Where(folder=SAFE / name, clock=datetime(2026, 5, 1, tzinfo=UTC)))
    assert isinstance(found, Opened)
    assert found.problems == ()
    return found


def verdict(name: str) -> Verdict:
    return verdict_on(opened(name), [], TODAY)


def test_there_are_ten() -> None:
    assert len(TANKS) == 10


@pytest.mark.parametrize("name", TANKS)
def test_a_safe_tank_raises_no_stop_and_nothing_for_today_without_reason(name: str) -> None:
    found = verdict(name)
    assert found.tried == len(hazards())
    assert not found.stopped
    assert {each.rule for each in found.found if each.severity == "ACT"} == REASONS.get(name, set())
    assert [each.rule for each in found.found if each.severity not in ("ACT", "NOTE")] == []


@pytest.mark.parametrize("name", TANKS)
def test_every_rule_that_could_stop_was_really_tried(name: str) -> None:
    assert [each.rule for each in verdict(name).not_checked if each.severity == "STOP"] == []


# one thing made wrong in a safe tank: what is told, and the rule that must say so
WRONG = {
    "heater in the air": (["heater.mark_covered=false"], "HEAT-02"),
    "lamp in reach": (["lamp.reach_cm=8"], "HEAT-09"),
    "nose bubbles": (["seen.turtle=nose_bubbles"], "HEALTH-01"),
    "tingling": (["home.faults=tingling"], "ELEC-04"),
    "soap": (["chem.near_tank=soap"], "CHEM-06"),
    "KH gone": (["reading.kh=0.5"], "WATER-08"),
    "lead": (["metal.in_water=lead"], "CHEM-07"),
    "fed far too much": (["feed.energy_ratio_28d=2.2"], "FEED-01"),
}


@pytest.mark.parametrize("case", WRONG)
def test_one_wrong_thing_is_found_in_every_safe_tank(case: str) -> None:
    told, rule = WRONG[case]
    tried = [name for name in TANKS if rule != "HEAT-02" or opened(name).tank.heater is not None]
    assert len(tried) >= 9
    for name in tried:
        found = verdict_on(opened(name), [], {**TODAY, **told_facts(told)})
        assert rule in [each.rule for each in found.found], name
