"""The tank at a glance and the first answer: what is said, in which order, and what is left unsaid."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from lentic.advice.entries import in_words, quantity_words, usual, usual_readings
from lentic.advice.first import first_of
from lentic.advice.glance import headline, in_order
from lentic.advice.today import Item, Today
from lentic.logbook.events import Change, Event, Feed, Reading, Siphon, TopUp
from lentic.logbook.tank import Glass, SourceWater, Tank

NOW = datetime(2026, 3, 30, 8, tzinfo=UTC)
DAY = datetime(2026, 4, 6)  # noqa: DTZ001 - views carry local days


def item(do: str, severity: str = "due", days: int | None = None) -> Item:
    when = None if days is None else DAY + timedelta(days=days)
    return Item(do=do, why="It is time.", severity=severity, when=when)


@pytest.mark.parametrize(
    ("today", "later", "said", "more"),
    [
        ((), (), "Nothing needs doing today.", ""),
        ((), (item("Scrape the panes.", days=2),), "Nothing needs doing today.", "Next: scrape the panes. It is time."),
        ((item("Scrape the panes."),), (), "Scrape the panes.", "Nothing is urgent."),
        ((item("Read KH."), item("Change 50 L.")), (), "Read KH, and one more thing.", "Nothing is urgent."),
        (
            (item("Repeat the KH reading.", "warn"), item("Change 50 L.")), (),
            "Change 50 L, and one more thing.", "Nothing urgent. This week: repeat the KH reading.",
        ),
    ],
)  # fmt: skip
def test_the_headline(today: tuple[Item, ...], later: tuple[Item, ...], said: str, more: str) -> None:
    assert headline(Today(tank="Loft", day=DAY, today=today, can_wait=later)) == (said, more)


def test_what_can_wait_stands_by_its_day() -> None:
    listed = in_order((item("some day"), item("later", days=9), item("soon", days=1)))
    assert [each.do for each in listed] == ["soon", "later", "some day"]


def week(tank: Tank, changed: bool = True) -> list[Event]:
    fed = [Feed(time=NOW - timedelta(days=d), food="pellet_adult", grams=1.4) for d in range(7, 0, -1)]
    return [*fed, *([Change(time=NOW - timedelta(days=2), litres=40.0)] if changed else [])]


def test_the_first_answer_follows_from_litres_food_and_changes() -> None:
    tank = Tank(name="Shelf", glass=Glass(water_l=120.0), source_water=SourceWater(no3_mg_l=5.0))
    found = first_of(tank, week(tank), NOW)
    assert found.sentence.startswith("With these changes nitrate settles near ")
    assert [each.name for each in found.said][:2] == ["Water", "Nitrate from the food"]
    assert found.missing == ()
    assert all(each.range for each in found.said if each.how == "asm"), "every guess carries its range"


def test_without_a_change_only_the_rise_is_said() -> None:
    tank = Tank(name="Shelf", glass=Glass(water_l=120.0))
    found = first_of(tank, week(tank, changed=False), NOW)
    assert found.sentence.startswith("Your food adds about ")
    assert found.missing == ("how much water is changed, and how often",)


def test_what_is_missing_is_asked_for_and_nothing_is_made_up() -> None:
    found = first_of(Tank(name="Shelf"), [], NOW)
    assert found.said == ()
    assert "count buckets" in found.missing[0]
    assert found.sentence == "One fact is still missing for a first answer."


def test_buttons_carry_the_last_amounts() -> None:
    events: list[Event] = [
        Feed(time=NOW, food="pellet_adult", grams=1.2),
        Feed(time=NOW, food="romaine", grams=7.0),
        Change(time=NOW, percent=25.0),
        TopUp(time=NOW, litres=6.0, water="demineralised"),
        Siphon(time=NOW, fraction=0.4),
    ]
    lines = {each.kind: each.line for each in usual(Tank(name="Loft"), events)}
    assert lines["feed"] == "feed 7 g romaine"
    assert lines["change"] == "change 25 %"
    assert lines["top_up"] == "top up 6 L demineralised"
    assert lines["siphon"] == "siphon"
    assert lines["thin"] is None, "nothing is known of an amount that was never written"
    assert len(lines) == 8


def test_readings_keep_the_unit_of_the_keepers_own_kit() -> None:
    kit = Reading(time=NOW, quantity="nitrate", value=9.0, unit="mg/L N", written="40 mg/L NO3")
    below = Reading(time=NOW, quantity="ammonia", value=0.0, unit="mg/L N", below=True, written="0 mg/L NH4")
    assert usual_readings([kit, below, kit])[0] == ("nitrate", "mg/L NO3", "40")
    assert in_words(kit) == "Nitrate: 40 mg/L NO3"
    assert in_words(below) == "Ammonia: nothing to see on the kit (0 mg/L NH4)"
    assert quantity_words("tap_kh") == "KH of the tap"
