"""Dates of lamp, meter, breaker, quarantine, winter rest and the next tank."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

from lentic.advice.dates import DueDate
from lentic.advice.slow_dates import slow_dates
from lentic.logbook.events import AnimalIn, Event, Reading, Rest, Weigh
from lentic.logbook.tank import Fixture, Glass, Home, Tank, Turtle

TODAY = date(2026, 6, 1)


def at(days_ago: int) -> datetime:
    return datetime(2026, 6, 1, 9, tzinfo=UTC) - timedelta(days=days_ago)


def tank(**more: object) -> Tank:
    turtle = Turtle(id="juno", species="Graptemys pseudogeographica", sex="female", mass_g=1050.0, scl_cm=19.8)
    return Tank(
        name="Loft", timezone="UTC", as_of=date(2026, 5, 1), turtles=(turtle,),
        glass=Glass(length_cm=120.0, width_cm=50.0), **more,  # type: ignore[arg-type]
    )  # fmt: skip


def by_id(events: list[Event], where: Tank) -> dict[str, DueDate]:
    return {each.id: each for each in slow_dates(where, sorted(events, key=lambda e: e.time), TODAY)}


def test_a_lamp_has_its_reading_and_its_last_day() -> None:
    lamp = Fixture(use="uvb", lamp_class="t5_uvb_6", fitted=date(2025, 9, 1), through="nothing")
    readings: list[Event] = [
        Reading(time=at(270), quantity="uvi", value=2.4, unit=""),
        Reading(time=at(100), quantity="uvi", value=1.5, unit=""),
    ]  # fmt: skip
    found = by_id(readings, tank(lamps=(lamp,)))
    assert found["read uvi 0"].day == TODAY  # three months are over
    assert found["uvb 0"].earliest <= found["uvb 0"].day <= found["uvb 0"].latest and found["uvb 0"].day >= TODAY
    bare = by_id([], tank(lamps=(lamp,)))
    assert bare["read uvi 0"].day == TODAY and "uvb 0" not in bare


def test_breaker_quarantine_and_winter_rest() -> None:
    events: list[Event] = [
        AnimalIn(time=at(30), what="map turtle", count=1), Weigh(time=at(4), animal="juno", grams=1040.0),
        Rest(time=at(10), animal="juno"),
    ]  # fmt: skip
    found = by_id(events, tank(home=Home(breaker_tested=date(2026, 5, 20))))
    assert found["breaker"].day == date(2026, 6, 19)
    assert found["quarantine"].day == TODAY + timedelta(days=60)
    assert found["rest juno"].day == TODAY + timedelta(days=6)
    late = by_id([AnimalIn(time=at(300), what="x", count=1)], tank(home=Home(breaker_tested=date(2025, 1, 1))))
    assert late["breaker"].day == TODAY and "quarantine" not in late


def test_the_next_tank_has_a_day_with_a_range() -> None:
    found = by_id([], tank())["tank juno"]
    assert "20.0 cm" in found.why and found.earliest < found.latest
