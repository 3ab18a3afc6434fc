"""Events stand on their own: bodies go to JSON and back, a void takes back what it names and nothing else."""

import json
from datetime import UTC, datetime, timedelta

from lentic.logbook.events import (
    Change,
    Event,
    Feed,
    Reading,
    Void,
    body_of,
    event_from,
    first_step,
    what_of,
    without_voided,
)

NOON = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)


def feed(food: str, minutes: int = 0, grams: float = 1.0) -> Feed:
    """A feed so many minutes after noon."""
    return Feed(time=NOON + timedelta(minutes=minutes), food=food, grams=grams)


def void(of: Event, *, what: str | None = None, hours: int = 1) -> Void:
    """A line that takes another back, written hours later."""
    return Void(time=NOON + timedelta(hours=hours), of_time=of.time, of_kind=of.kind, of_what=what)


def test_a_void_takes_back_the_one_line_it_names() -> None:
    """A void takes back the one line it names."""
    wrong, right = feed("pellet", grams=14), feed("pellet", 5, grams=1.4)
    assert without_voided([wrong, right, void(wrong)]) == (right,)


def test_a_void_that_fits_two_foods_takes_nothing_back_until_it_says_which() -> None:
    """A void that fits two foods takes nothing back until it says which."""
    pellet, worm = feed("pellet"), feed("worm")
    assert without_voided([pellet, worm, void(pellet)]) == (pellet, worm)
    assert without_voided([pellet, worm, void(pellet, what="worm")]) == (pellet,)


def test_two_voids_take_back_two_equal_lines() -> None:
    """Two voids take back two equal lines."""
    once, twice = feed("pellet", grams=1), feed("pellet", grams=2)
    assert without_voided([once, twice, void(once)]) == (once,)
    assert without_voided([once, twice, void(once), void(once, hours=2)]) == ()


def test_a_void_of_a_void_restores_the_line() -> None:
    """A void of a void restores the line."""
    line = feed("pellet")
    first = void(line)
    assert without_voided([line, first, void(first, hours=2)]) == (line,)


def test_a_void_names_a_minute_also_where_the_line_has_seconds() -> None:
    """A void names a minute also where the line has seconds."""
    line = Change(time=NOON + timedelta(seconds=42), litres=30.0)
    taken = Void(time=NOON + timedelta(hours=1), of_time=NOON, of_kind="change")
    assert without_voided([line, taken]) == ()


def test_bodies_survive_json() -> None:
    """Bodies survive json."""
    line = feed("pellet")
    for event in (line, void(line), Reading(time=NOON, quantity="ph", value=7.9, unit="", written="7.9")):
        body = json.loads(json.dumps(body_of(event)))
        assert event_from(event.kind, event.time, event.note, body) == event


def test_the_line_number_is_no_part_of_what_happened() -> None:
    """The line number is no part of what happened."""
    assert Feed(time=NOON, food="a", grams=1.0, line=3) == Feed(time=NOON, food="a", grams=1.0, line=9)


def test_what_of_and_first_step() -> None:
    """What of and first step."""
    assert what_of(feed("pellet")) == "pellet"
    assert what_of(Change(time=NOON, percent=25.0)) == ""
    low = Reading(time=NOON, quantity="nitrite", value=0.05, unit="mg/L N", below=True)
    high = Reading(time=NOON, quantity="nitrite", value=0.3, unit="mg/L N")
    zero = Reading(time=NOON, quantity="nitrite", value=0.0, unit="mg/L N", below=True)
    assert first_step([high, low, zero], "nitrite") == 0.05
    assert first_step([zero], "nitrite") is None
