"""Dates of the slow clocks: lamp, meter, breaker, quarantine, winter rest, the next tank."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from lentic.advice.animal import limit_of
from lentic.advice.dates import BREAKER_EVERY_D, DueDate
from lentic.advice.eggs import quarantine_of
from lentic.advice.findings import When, date_words
from lentic.advice.growing import curve_of, weighings
from lentic.advice.lamps import lamps_of
from lentic.advice.winter import WEIGH_EVERY_D, resting_since
from lentic.advice.words import day_words
from lentic.logbook.events import Event
from lentic.logbook.tank import Tank


def slow_dates(tank: Tank, events: Sequence[Event], today: date) -> tuple[DueDate, ...]:
    """Return what lamps, breaker, newcomers and animals make due; what is past is due today."""
    found = [*_lamps(tank, events, today), *_breaker(tank, today), *_quarantine(tank, events, today)]
    return (*found, *_animals(tank, events, today))


def _on(what: str, id: str, day: date, today: date, why: str) -> DueDate:
    day = max(day, today)
    return DueDate(id=id, what=what, day=day, earliest=day, latest=day, why=why)


def _ranged(what: str, id: str, when: When, today: date, why: str) -> list[DueDate]:
    if when.p50 is None:
        return []
    days = [max(each or date.max, today) for each in (when.p10, when.p50, when.p90)]
    return [DueDate(id=id, what=what, day=days[1], earliest=days[0], latest=days[2], why=why)]


def _lamps(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    found: list[DueDate] = []
    for number, each in enumerate(lamps_of(tank, events, today).ultraviolet):
        if each.replace is not None:
            why = "By its readings it gives too little at the shell from then."
            found += _ranged(f"Replace the lamp: {each.lamp}", f"uvb {number}", each.replace, today, why)
        if each.next_reading is not None:
            why = (
                "A lamp that shines may give nothing."
                if not each.readings
                else "Every three months, or before its line."
            )
            found.append(_on("Measure the UV index at the shell", f"read uvi {number}", each.next_reading, today, why))
    return found


def _breaker(tank: Tank, today: date) -> list[DueDate]:
    tested = tank.home.breaker_tested
    if tested is None:
        return []
    day, why = tested + timedelta(days=round(BREAKER_EVERY_D)), f"Last tested on {date_words(tested)}; monthly."
    return [_on("Press the test button of the breaker", "breaker", day, today, why)]


def _quarantine(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    clock = quarantine_of(tank, events, today)
    if clock is None or clock.over:
        return []
    why = f"{clock.newcomer} came on {day_words(clock.since)}; each newcomer begins it anew. Droppings tested first."
    return [_on("End of the time apart", "quarantine", clock.full, today, why)]


def _animals(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    found: list[DueDate] = []
    limit = limit_of(tank)
    for turtle in tank.turtles:
        if resting_since(events, turtle.id) is not None:
            masses = weighings(tank, events, turtle)
            day = masses[-1][0] + timedelta(days=WEIGH_EVERY_D) if masses else today
            why = "In its winter rest: a loss shows on the scale first."
            found.append(_on(f"Weigh {turtle.id} in its winter rest", f"rest {turtle.id}", day, today, why))
        curve = curve_of(tank, events, turtle)
        if curve is not None and limit is not None:
            why = f"Its shell reaches {limit:.1f} cm then, and the tank is long and wide enough up to there."
            when = curve.reaches(limit)
            found += _ranged(f"A larger tank for {turtle.id}", f"tank {turtle.id}", when, today, why)
    return found
