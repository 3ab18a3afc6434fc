"""The session: a safe order for every tank, runs with interruptions, and a judge that knows no list of steps."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from lentic.advice.upkeep.graph import NEEDS, Step, in_order, total_minutes
from lentic.advice.upkeep.guard import Deed, Plugs, violations
from lentic.advice.upkeep.run import (
    Refusal,
    Run,
    mark_done,
    off_since,
    reminders,
    skip,
    skipped,
    stop_here,
    take_back,
    waits_until,
)
from lentic.advice.upkeep.situation import situation_of
from lentic.advice.upkeep.steps import COOL_MIN, steps_for
from lentic.logbook.events import Change, Dose, Event, Look, Rinse, Scrape, Thin, Weigh
from lentic.logbook.tank import Filter, Fish, Fixture, Glass, Heater, Plant, SourceWater, Tank, Turtle

BEGIN = datetime(2026, 5, 16, 9, 0, tzinfo=UTC)
TANK = Tank(
    name="Shelf tank",
    glass=Glass(pane="acrylic", water_l=150.0),
    source_water=SourceWater(kh_dkh=5.0, chlorine_mg_l=0.5, chloramine_mg_l=0.0, temperature_c=11.0),
    filter=Filter(type="canister", flow_l_h=500.0),
    heater=Heater(watts=100.0, set_c=25.0),
    turtles=(Turtle(id="moss"),),
    fish=(Fish(species="Tanichthys albonubes", count=6),),
    plants=(Plant(species="Ceratophyllum demersum", wet_g=200.0),),
    lamps=(Fixture(use="plants", hours=8.0),),
)


def _weekly(kind: type[Event], days: int = 7, count: int = 5, **fields: object) -> list[Event]:
    return [kind(time=BEGIN - timedelta(days=days * n), **fields) for n in range(count, 0, -1)]  # type: ignore[arg-type]


LOG = sorted(
    [
        *_weekly(Change, litres=36.0),
        *_weekly(Scrape, grade=2.0),
        *_weekly(Thin, species="Ceratophyllum demersum", grams=60.0),
        *_weekly(Rinse, days=28, count=3, extent="half", water="tank"),
        *_weekly(Weigh, days=31, count=2, animal="moss", grams=500.0),
        *_weekly(Dose, substance="thiosulfate", amount=0.1, unit="g"),
        Look(time=BEGIN - timedelta(days=1), where="panes", grade=2.5),
    ],
    key=lambda event: event.time,
)


def _steps(tank: Tank = TANK, events: list[Event] | None = None) -> tuple[Step, ...]:
    return steps_for(situation_of(tank, LOG if events is None else events, BEGIN))


def _run(steps: tuple[Step, ...]) -> Run:
    return Run(id="one", tank="Shelf tank", started=BEGIN, steps=steps, closed_canister=True)


def _by(steps: tuple[Step, ...], name: str) -> Step:
    return next(step for step in steps if step.id == name)


def _plugs(run: Run) -> Plugs:
    plugged = run.step("power_off") is not None
    return Plugs(any=plugged, heater=plugged, cool_min=COOL_MIN)


def _deeds(run: Run) -> list[Deed]:
    return [Deed(step=name, at=mark.at) for name, mark in run.standing.items() if mark.what == "done"]


def test_everything_that_is_due_is_there_once_and_in_a_safe_order() -> None:
    steps = _steps()
    assert [step.id for step in steps] == [name for name in _ORDER if name in NEEDS]
    at = BEGIN
    deeds = []
    for step in steps:
        at += timedelta(minutes=20)
        deeds.append(Deed(step=step.id, at=at))
    assert violations(deeds, Plugs(any=True, heater=True, cool_min=COOL_MIN), ended=True) == ()


_ORDER = (
    "look", "read", "prepare", "power_off", "animal", "scale", "scrape", "leaves", "thin", "weigh", "siphon", "rinse",
    "refill", "back", "power_on", "running", "wash", "after",
)  # fmt: skip


@pytest.mark.parametrize(
    ("order", "wrong"),
    [
        (("siphon",), "hands in water while the power is on"),
        (("power_off", "siphon"), "before the heater has cooled"),
        (("prepare", "power_off", "~", "siphon", "scrape"), "loosened after the siphon"),
        (("prepare", "power_off", "~", "siphon", "scrape"), "panes are worked on after"),
        (("power_off", "~", "siphon", "refill"), "not prepared"),
        (("power_off", "rinse"), "no old tank water"),
        (("power_off", "~", "siphon", "power_on"), "before the tank is full"),
        (("power_off", "scrape"), "algae stayed"),
        (("power_off",), "the power is still off"),
        (("prepare", "power_off", "~", "siphon", "refill", "power_on"), "not washed"),
    ],
)
def test_the_judge_sees_each_way_to_go_wrong(order: tuple[str, ...], wrong: str) -> None:
    at, deeds = BEGIN, []
    for name in order:
        at += timedelta(minutes=30 if name == "~" else 1)
        if name != "~":
            deeds.append(Deed(step=name, at=at))
    found = violations(deeds, Plugs(any=True, heater=True, cool_min=COOL_MIN), ended=True)
    assert any(wrong in text for text in found), found


def test_amounts_are_those_of_this_tank() -> None:
    steps = _steps()
    # 36 of 150 L = 0.24; 2 K / 0.24 = 8.3 K below 25 °C (mixing, common practice of 2 K)
    assert "New water at 17 °C or more" in _by(steps, "prepare").text
    # (16.67 - 11) / (95 - 11) x 36 L = 2.4 L of boiling water
    assert "2.4 L from the kettle" in _by(steps, "prepare").text
    # 0.5 mg/L x 36 L = 18 mg Cl2; 1.9 to 7 mg thiosulfate a mg: 34 to 126 mg (job sheet of dechlorination)
    assert "0.034 to 0.13 g of thiosulfate" in _by(steps, "prepare").text
    assert _by(steps, "refill").amount == 36.0
    # 3.6 buckets of 10 L at 2.5 min each, as the plan counts them (common practice, no source)
    assert _by(steps, "refill").minutes == pytest.approx(2.0 + 3.6 * 2.5)
    assert "plastic card" in _by(steps, "scrape").text
    assert "metal blade" in _by(steps, "scrape").text
    assert _by(steps, "thin").amount == 60.0


def test_steps_that_are_not_due_are_not_there() -> None:
    bare = Tank(name="Tub", glass=Glass(water_l=60.0), turtles=(Turtle(id="moss"),))
    names = {step.id for step in _steps(bare, [])}
    assert names == {
        "look",
        "read",
        "prepare",
        "animal",
        "scale",
        "scrape",
        "weigh",
        "siphon",
        "refill",
        "back",
        "wash",
    }
    assert "your mark" in _by(_steps(bare, []), "siphon").text


def test_media_are_left_alone_together_with_a_big_change() -> None:
    much = [replace(e, litres=75.0) if isinstance(e, Change) else e for e in LOG]
    assert "rinse" not in {step.id for step in _steps(events=much)}


def test_chloramine_without_a_chemical_that_splits_it_goes_by_the_label() -> None:
    tank = replace(TANK, source_water=SourceWater(chloramine_mg_l=2.0))
    vitamin = [replace(e, substance="ascorbic_acid") if isinstance(e, Dose) else e for e in LOG]
    text = _by(_steps(tank, vitamin), "prepare").text
    assert "as its label says" in text
    assert "ammonia test right after will show some" in text


def test_minutes_count_waiting_only_where_no_work_fills_it() -> None:
    off = Step(id="power_off", title="", text="", minutes=1, wait_min=15)
    work = Step(id="scale", title="", text="", minutes=5, needs=("power_off",))
    down = Step(id="siphon", title="", text="", minutes=10, needs=("power_off", "scale"))
    assert total_minutes([off, work, down]) == 1 + 15 + 10
    assert total_minutes([off, replace(work, minutes=20), down]) == 1 + 20 + 10


def test_a_circle_of_needs_is_a_bug_and_says_so() -> None:
    first = Step(id="a", title="", text="", minutes=1, needs=("b",))
    with pytest.raises(ValueError, match="circle"):
        in_order([first, replace(first, id="b", needs=("a",))])


def test_the_heater_is_waited_for_and_a_second_press_changes_nothing() -> None:
    run = _run(_steps())
    for name in _ORDER[:10]:
        made = mark_done(run, name, BEGIN + timedelta(minutes=1))
        assert isinstance(made, Run), name
        run = made
    early = mark_done(run, "siphon", BEGIN + timedelta(minutes=10))
    assert isinstance(early, Refusal)
    assert early.until == BEGIN + timedelta(minutes=1 + COOL_MIN)
    siphon = run.step("siphon")
    assert siphon is not None and waits_until(run, siphon) == early.until
    twice = mark_done(run, "thin", BEGIN + timedelta(minutes=2))
    assert isinstance(twice, Refusal) and "already" in twice.sentence


def test_power_left_off_is_said_until_it_is_on() -> None:
    run = _run(_steps())
    for name in ("look", "read", "prepare", "power_off"):
        made = mark_done(run, name, BEGIN)
        assert isinstance(made, Run)
        run = made
    assert off_since(run) == BEGIN
    assert [r.urgent for r in reminders(run, BEGIN + timedelta(hours=1))] == [False, False]
    late = reminders(run, BEGIN + timedelta(hours=3))
    assert late[0].urgent and "pour its water away" in late[0].sentence
    run = stop_here(run, BEGIN + timedelta(minutes=5))
    assert [step.id for step in run.left] == ["power_on", "running"]


def test_100_seeded_sessions_with_interruptions_keep_the_order_and_forget_nothing() -> None:
    """Random tanks, random presses in any order, breaks, skips, steps taken back, sessions cut short."""
    for seed in range(100):
        rng = np.random.default_rng(seed)
        run = _random_session(_run(_random_steps(rng)), rng)
        assert run.done
        asked = {step.id for step, _ in skipped(run)}
        done = {deed.step for deed in _deeds(run)}
        assert asked | done == {step.id for step in run.steps} and not asked & done
        assert off_since(run) is None
        assert violations(_deeds(run), _plugs(run), ended=True) == (), seed


def _random_steps(rng: np.random.Generator) -> tuple[Step, ...]:
    tank = TANK
    if rng.random() < 0.3:
        tank = replace(tank, filter=Filter(type="none"), heater=None, lamps=())
    if rng.random() < 0.3:
        tank = replace(tank, plants=(), fish=())
    if rng.random() < 0.3:
        tank = replace(tank, turtles=())
    kept = [event for event in LOG if rng.random() < 0.8]
    return steps_for(situation_of(tank, kept, BEGIN))


def _random_session(run: Run, rng: np.random.Generator) -> Run:
    """Press buttons as a distracted keeper does, until nothing is left; after a while the work is done in earnest."""
    at = BEGIN
    for press in range(400):
        at += timedelta(minutes=float(rng.exponential(3.0)) + (rng.random() < 0.05) * 120.0)
        if run.done:
            break
        earnest = press > 60
        name = run.left[0].id if earnest or rng.random() < 0.5 else str(rng.choice([s.id for s in run.steps]))
        dice = rng.random()
        made: Run | Refusal
        if not earnest and dice < 0.08:
            made = skip(run, name, at, "no time")
        elif not earnest and dice < 0.16:
            made = take_back(run, name, at)
        elif not earnest and dice < 0.18:
            made = stop_here(run, at)
        else:
            made = mark_done(run, name, at)
        run = made if isinstance(made, Run) else run
    return run
