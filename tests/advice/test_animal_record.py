"""The record of a turtle: warnings, signs and hours, winter gate, eggs, clocks, shell, page for the vet."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise

import pytest

from lentic.advice.animal import AnimalView, animal_of, limit_of
from lentic.advice.eggs import eggs_of, is_laying_season, quarantine_of
from lentic.advice.findings import When, when_of
from lentic.advice.growing import curve_of, hatchling_cm, prior_of, record_of, usual_rate
from lentic.advice.shell import Picture, months_of
from lentic.advice.signs import signs_of
from lentic.advice.winter import explained_loss, gate_of, guard_of, kind_of_winter, plan_of
from lentic.catalogue import Animal, turtles
from lentic.learn.weights import Weight
from lentic.logbook.events import (
    AnimalIn,
    AnimalOut,
    Dose,
    Event,
    Feed,
    Look,
    Measure,
    Reading,
    Rest,
    Sign,
    Wake,
    Weigh,
)
from lentic.logbook.tank import Glass, Home, Tank, Turtle

TODAY = date(2026, 6, 1)
JUNO = Turtle(
    id="juno", species="Graptemys pseudogeographica", sex="female", mass_g=560.0, scl_cm=16.0, hatched=date(2019, 7, 1)
)


def tank(turtle: Turtle = JUNO, **more: object) -> Tank:
    glass = Glass(length_cm=120.0, width_cm=50.0, water_depth_cm=46.0)
    return Tank(name="Loft", timezone="UTC", as_of=date(2025, 6, 1), glass=glass, turtles=(turtle,), **more)  # type: ignore[arg-type]


def at(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 9, tzinfo=UTC)


def sign(note: str, days_ago: int = 0) -> Sign:
    return Sign(time=at(TODAY - timedelta(days=days_ago)), animal="juno", note=note)


def weigh(grams: float, days_ago: int) -> Weigh:
    return Weigh(time=at(TODAY - timedelta(days=days_ago)), animal="juno", grams=grams)


def record(events: list[Event], where: Tank | None = None) -> AnimalView:
    where = tank() if where is None else where
    return animal_of(where, sorted(events, key=lambda e: e.time), where.turtles[0], TODAY)


def finding(view: AnimalView, what: str) -> str:
    return " ".join(f"{f.state}: {f.sentence} {f.do}" for f in view.findings if f.what == what)


def steady(last: tuple[float, ...] = ()) -> list[Event]:
    """A mass a month for a year, then the last ones two days apart."""
    events: list[Event] = [weigh(560.0 + 2 * month, 330 - 30 * month) for month in range(11)]
    return [*events, *(weigh(grams, 2 * (len(last) - 1 - place)) for place, grams in enumerate(last))]


def test_a_steady_animal_is_left_in_peace() -> None:
    view = record(steady((582.0,)))
    assert view.watched.weight is Weight.USUAL
    assert finding(view, "weight").startswith("fine")
    assert view.signs.urgency is None


def test_one_light_day_asks_and_two_call_the_vet() -> None:
    once = record(steady((520.0,)))
    assert once.watched.weight is Weight.AGAIN
    assert "Weigh again" in finding(once, "weight") and "vet" not in finding(once, "weight")
    twice = record(steady((520.0, 518.0)))
    assert twice.watched.weight is Weight.LOST
    assert "act:" in finding(twice, "weight") and "A reptile vet this week" in finding(twice, "weight")
    assert "within 24 h" in finding(record(steady((470.0, 468.0))), "weight")


def test_too_little_asks_for_the_one_fact() -> None:
    bare = record([], tank(Turtle(id="juno")))
    assert "How heavy is juno" in finding(bare, "weight")
    assert "Which kind is juno" in finding(bare, "kind")
    assert bare.size is None
    unmeasured = record([], tank(Turtle(id="juno", species="Chrysemys picta", mass_g=300.0)))
    assert "Measure the shell" in finding(unmeasured, "length")
    assert unmeasured.size is not None and unmeasured.size.condition is None


def test_the_next_tank_has_a_date_with_a_range_and_comes_up_when_outgrown() -> None:
    assert limit_of(tank()) == pytest.approx(20.0)  # 50 / 2.5 and 120 / 5
    view = record([weigh(600.0, 100), Measure(time=at(TODAY), animal="juno", centimetres=16.6)])
    assert view.size is not None and view.size.next_tank is not None
    when = view.size.next_tank
    assert when.p10 is not None and when.p50 is not None and date(2027, 1, 1) < when.p10 < when.p50
    large = Turtle(id="juno", species="Graptemys pseudogeographica", sex="female", mass_g=1150.0, scl_cm=20.7)
    grown = record([Measure(time=at(TODAY), animal="juno", centimetres=21.0), weigh(1200.0, 0)], tank(large))
    assert "act:" in finding(grown, "next tank") and "Plan the next tank now" in finding(grown, "next tank")


def test_light_and_heavy_for_the_length() -> None:
    light = record([Measure(time=at(TODAY), animal="juno", centimetres=16.0), weigh(330.0, 0), weigh(335.0, 40)],
                   tank(Turtle(id="juno", species="Graptemys pseudogeographica")))  # fmt: skip
    assert "Light for its length" in finding(light, "condition")
    heavy = record([Measure(time=at(TODAY), animal="juno", centimetres=16.0), weigh(860.0, 0), weigh(865.0, 40)],
                   tank(Turtle(id="juno", species="Graptemys pseudogeographica")))  # fmt: skip
    assert "Heavy for its length" in finding(heavy, "condition")


def test_an_unknown_kind_has_no_curve_and_a_missing_species_no_record() -> None:
    assert record_of(Turtle(id="x")) is None
    assert curve_of(tank(Turtle(id="x", mass_g=300.0)), [], Turtle(id="x", mass_g=300.0)) is None
    assert usual_rate() == pytest.approx(0.16, abs=0.02)  # AmP entry Mauremys japonica, females to 18 cm
    assert hatchling_cm() == 3.5


@pytest.mark.parametrize(
    ("notes", "hours"),
    [
        ([("bubbles at the nose", 0)], "24 h"),
        ([("soft spot on the shell", 0)], "48 h"),
        ([("red belly", 0), ("weak", 0)], "24 h"),
        ([("left eye shut", 0)], "this week"),
        ([("left eye shut", 3), ("left eye still shut", 0)], "48 h"),
        ([("strains", 0)], "24 h"),
        ([("strains", 2), ("strains again", 0)], "now"),
        ([("limp in the water", 0), ("soft shell", 1)], "now"),
        ([("not eating", 3), ("not eating", 0)], None),
        ([("not eating", 16), ("not eating", 8), ("not eating", 0)], "this week"),
        ([("bubbles at the nose", 40)], None),
        ([("no bubbles, all fine", 0)], None),
    ],
)
def test_signs_become_hours_and_nothing_else(notes: list[tuple[str, int]], hours: str | None) -> None:
    events = sorted((sign(note, ago) for note, ago in notes), key=lambda e: e.time)
    assert signs_of(tank(), events, "juno", TODAY, young=False).urgency == hours


def test_a_young_animal_that_fasts_is_seen_sooner() -> None:
    events = [sign("not eating", 8), sign("not eating", 0)]
    assert signs_of(tank(), events, "juno", TODAY, young=True).urgency == "this week"


def test_words_outside_the_table_are_kept() -> None:
    found = signs_of(tank(), [sign("stares at the wall")], "juno", TODAY, young=False)
    assert found.unread == ("stares at the wall",) and found.urgency is None


MUST_NOT = {
    "emydura_subglobosa", "pelusios_castaneus", "cuora_amboinensis", "staurotypus_triporcatus", "pelomedusa_subrufa",
    "pseudemys_nelsoni", "kinosternon_baurii", "graptemys_geographica", "apalone_spinifera",
}  # fmt: skip


def test_every_kind_of_the_catalogue_has_its_winter() -> None:
    found = {name: kind_of_winter(kind) for name, kind in turtles().items()}
    assert {name for name, kind in found.items() if kind == "never"} == MUST_NOT
    assert found["emys_orbicularis"] == "specialist"
    assert found["sternotherus_minor"] == found["mauremys_sinensis"] == "short"
    assert found["mauremys_reevesii"] == found["trachemys_scripta"] == "may"
    assert kind_of_winter(None) == "unknown"


def test_the_gate_opens_only_when_nothing_is_open() -> None:
    kind = turtles()["trachemys_scripta"]
    checked = Turtle(id="juno", hatched=date(2019, 7, 1), vet_checked=TODAY - timedelta(days=30))
    opened = gate_of(checked, kind, TODAY, urgent=None, losing=False, light=False)
    assert opened.allowed and len(opened.plan) == 4 and "vet has the last word" in opened.sentence
    for shut in (
        gate_of(checked, turtles()["emydura_subglobosa"], TODAY, urgent=None, losing=False, light=False),
        gate_of(checked, turtles()["emys_orbicularis"], TODAY, urgent=None, losing=False, light=False),
        gate_of(checked, None, TODAY, urgent=None, losing=False, light=False),
        gate_of(checked, kind, TODAY, urgent="48 h", losing=False, light=False),
        gate_of(checked, kind, TODAY, urgent=None, losing=True, light=False),
        gate_of(checked, kind, TODAY, urgent=None, losing=False, light=True),
        gate_of(checked, kind, TODAY, urgent=None, losing=False, light=None),
        gate_of(Turtle(id="juno", hatched=date(2019, 7, 1)), kind, TODAY, urgent=None, losing=False, light=False),
        gate_of(
            Turtle(id="juno", hatched=date(2025, 7, 1), vet_checked=TODAY),
            kind,
            TODAY,
            urgent=None,
            losing=False,
            light=False,
        ),
    ):
        assert not shut.allowed and shut.plan == () and "keep" in shut.sentence.lower()


def test_the_plan_runs_without_gaps_and_cools_slowly() -> None:
    plan = plan_of(date(2026, 10, 1))
    assert all(first.end == second.begin for first, second in pairwise(plan))
    assert (plan[1].end - plan[1].begin).days >= 13  # 18 to 5 °C at 1 °C a day
    assert 6 * 7 <= (plan[2].end - plan[2].begin).days <= 12 * 7


def test_published_losses_of_a_hundred_days() -> None:
    """610 g, 100 days at 4 to 8 °C: 2.6 to 3.7 % of lean tissue, worked out from Gatten's rates by hand."""
    cold, warm = explained_loss(610.0, 100.0, (4.0, 4.0)), explained_loss(610.0, 100.0, (8.0, 8.0))
    assert 100 * cold[1] / 610 == pytest.approx(2.6, abs=0.05)
    assert 100 * warm[1] / 610 == pytest.approx(3.7, abs=0.05)
    assert 100 * cold[0] / 610 == pytest.approx(0.3, abs=0.05)


@pytest.mark.parametrize(("last", "state"), [(596.0, "fine"), (580.0, "watch"), (560.0, "act"), (535.0, "stop")])
def test_the_guard_has_three_lines(last: float, state: str) -> None:
    begin = TODAY - timedelta(days=60)
    events: list[Event] = [weigh(600.0, 60), Rest(time=at(begin), animal="juno"), weigh(last, 0)]
    guard = guard_of(tank(), events, JUNO)
    assert guard is not None and not hasattr(guard, "what")
    assert getattr(guard, "state", None) == state


def test_a_guard_without_a_second_mass_asks_and_a_waking_ends_it() -> None:
    begin = at(TODAY - timedelta(days=60))
    asked = guard_of(tank(), [weigh(600.0, 60), Rest(time=begin, animal="juno")], JUNO)
    assert "Weigh juno now" in getattr(asked, "sentence", "")
    woken = [Rest(time=begin, animal="juno"), Wake(time=at(TODAY), animal="juno")]
    assert guard_of(tank(), woken, JUNO) is None


def test_a_winter_rest_is_no_loss_of_weight_afterwards() -> None:
    rested: list[Event] = [
        *(weigh(600.0, 400 - 30 * month) for month in range(8)),
        Rest(time=at(TODAY - timedelta(days=160)), animal="juno"),
        weigh(585.0, 100), weigh(578.0, 60), Wake(time=at(TODAY - timedelta(days=50)), animal="juno"), weigh(597.0, 5),
    ]  # fmt: skip
    view = record(rested)
    assert view.guard is None and view.watched.weight is Weight.USUAL


def test_eggs_are_asked_for_by_length_season_and_signs() -> None:
    assert is_laying_season(51.0, date(2026, 5, 1)) and not is_laying_season(51.0, date(2026, 11, 1))
    assert is_laying_season(-35.0, date(2026, 11, 1)) and not is_laying_season(-35.0, date(2026, 5, 1))
    assert eggs_of(tank(), [], JUNO, 16.0, TODAY) is None  # still too small
    asked = eggs_of(tank(), [], JUNO, 22.0, TODAY)
    assert asked is not None and asked.state == "ask"
    north = tank(latitude=51.0)
    watch = eggs_of(north, [], JUNO, 22.0, TODAY)
    assert watch is not None and watch.state == "watch" and "44 cm long" in watch.do and "22 cm deep" in watch.do
    has = eggs_of(tank(latitude=51.0, home=Home(nest_box=True)), [], JUNO, 22.0, TODAY)
    assert has is not None and has.state == "fine"
    digs = eggs_of(north, [sign("digging in the corner, restless")], JUNO, 22.0, TODAY)
    assert digs is not None and digs.state == "act" and "a vet now" in digs.do and "authority" in digs.do
    male = Turtle(id="juno", sex="male")
    assert eggs_of(north, [], male, 22.0, TODAY) is None


def test_each_newcomer_sets_the_clock_back() -> None:
    assert quarantine_of(tank(), [], TODAY) is None
    came = [AnimalIn(time=at(TODAY - timedelta(days=days)), what="map turtle", count=1) for days in (70, 30)]
    clock = quarantine_of(tank(), came, TODAY)
    assert clock is not None and clock.restarts == 1 and not clock.over
    assert clock.full == TODAY + timedelta(days=60) and clock.least == TODAY + timedelta(days=30)
    assert "own net" in clock.sentence and "Set back 1 times" not in clock.sentence
    later = quarantine_of(tank(), came, TODAY + timedelta(days=61))
    assert later is not None and later.over


def test_the_shell_is_kept_by_months() -> None:
    events: list[Event] = [
        Look(time=at(date(2026, 4, 3)), where="shell", grade=1.0), sign("wound on the tail heals", 45),
        sign("left eye shut", 2),
    ]  # fmt: skip
    months = months_of(tank(), events, "juno", TODAY)
    assert [month.first for month in months] == [date(2026, 6, 1), date(2026, 4, 1)]
    assert len(months[1].notes) == 2 and months[0].notes == ()
    pictures = [
        Picture(event=weigh(600.0, 70), digest="a"), Picture(event=sign("left eye shut", 2), digest="b"),
        Picture(event=Feed(time=at(TODAY), food="pellet_adult", grams=1.0), digest="c"),
    ]  # fmt: skip
    photographed = months_of(tank(), events, "juno", TODAY, pictures)
    assert [(month.first.month, [digest for _, digest in month.photos]) for month in photographed] == [
        (6, []), (5, ["b"]), (4, []), (3, ["a"]),
    ]  # fmt: skip


def test_what_the_catalogue_does_not_know_is_sent_to_a_vet_or_left_out() -> None:
    little = Animal(id="x", names=("rare turtle",), scientific="Rara testudo", facts={})
    assert prior_of(little, "female") is None
    gate = gate_of(JUNO, little, TODAY, urgent=None, losing=False, light=False)
    assert not gate.allowed and "Ask a vet" in " ".join(each.sentence for each in gate.findings)
    late = gate_of(
        replace(JUNO, vet_checked=date(2025, 1, 1)),
        turtles()["trachemys_scripta"],
        TODAY,
        urgent=None,
        losing=False,
        light=False,
    )
    assert not late.allowed and "days ago" in late.sentence


def test_the_page_for_the_vet_tells_all_that_happened() -> None:
    events: list[Event] = [
        Rest(time=at(TODAY - timedelta(days=90)), animal="juno"),
        Wake(time=at(TODAY - timedelta(days=20)), animal="juno"),
        AnimalIn(time=at(TODAY - timedelta(days=200)), what="danio", count=6), sign("left eye shut", 1),
        AnimalOut(time=at(TODAY - timedelta(days=5)), what="danio", count=1),
        Dose(time=at(TODAY - timedelta(days=4)), substance="salt", amount=30.0, unit="g"),
        Reading(time=at(TODAY - timedelta(days=3)), quantity="uvi", value=1.4, unit=""),
        Feed(time=at(TODAY - timedelta(days=2)), food="pellet_adult", grams=8.0),
    ]  # fmt: skip
    lines = " ".join(line for part in record(events).vet.parts for line in part.lines)
    for words in (
        "winter rest ended", "1 danio left or died", "30 g salt into the water", "6 danio came in",
        "UV index: last 1.4", "left eye shut", "pellet_adult: 1 g a week", "basking surface: not measured",
    ):  # fmt: skip
        assert words in lines, words


def test_sentences_of_clocks_and_signs() -> None:
    over = quarantine_of(tank(), [AnimalIn(time=at(date(2025, 1, 1)), what="x", count=1)], TODAY)
    assert over is not None and "are over" in over.sentence
    calm = signs_of(tank(), [], "juno", TODAY, young=False)
    assert calm.sentence.startswith("No sign")
    assert (
        signs_of(tank(), [sign("prolapse")], "juno", TODAY, young=False).sentence == "Now: call a reptile vet and go."
    )


def test_days_in_words() -> None:
    assert when_of(TODAY, (1.0, 2.0, float("inf"))).sentence == "about May 2028 (8 in 10: June 2027 to perhaps never)"
    assert When(p10=None, p50=None, p90=None).sentence == "probably never"
    assert When(p10=TODAY, p50=None, p90=None).sentence == "perhaps, not before June 2026"
