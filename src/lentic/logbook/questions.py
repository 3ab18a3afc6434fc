"""What has to be asked about a typed part, and when the part happened: on the tank's own clock."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from lentic.logbook.cells import on_the_clock
from lentic.logbook.problems import Problem
from lentic.logbook.tank import Tank
from lentic.logbook.words import WEEKDAYS


@dataclass(frozen=True, kw_only=True)
class Question:
    """What a part leaves open; each choice is the part written so that it can be read."""

    part: str
    text: str
    choices: tuple[str, ...] = ()


class AskKeeper(Exception):
    """A part has to be asked about; ends the reading of this part only."""

    def __init__(self, question: Question) -> None:
        super().__init__(question.text)
        self.question = question


_WHEN = re.compile(
    rf"(?:(?P<day>yesterday|today|{'|'.join(WEEKDAYS)}|\d{{4}}-\d\d-\d\d)\b[ T]*)?"
    r"(?:(?:at\s+)?(?P<clock>\d{1,2}:\d\d)(?!\d)\s*)?",
    re.IGNORECASE,
)


def take_time(
    piece: str, moment: datetime | None, tank: Tank, now: datetime, problems: list[Problem]
) -> tuple[datetime, str]:
    """Take a day and a clock time off the front of a part; without one it is the time of the part before."""
    found = _WHEN.match(piece)
    if found is None or not found[0].strip():
        if moment is None:
            raise AskKeeper(Question(part=piece, text="The time before it is not clear. When was it?"))
        return moment, piece
    today = tank.local_date(now)
    day = _day(found["day"], today)
    clock = time(12, 0)
    if found["clock"]:
        hour, minute = (int(part) for part in found["clock"].split(":"))
        if hour > 23 or minute > 59:
            raise AskKeeper(Question(part=piece, text=f"{found['clock']} is no time of day. When was it?"))
        clock = time(hour, minute)
    elif day != today:
        problems.append(_note("time", f"No time of day is given; 12:00 on {day} is assumed."))
    else:
        return now.astimezone(UTC).replace(second=0, microsecond=0), piece[found.end() :].strip()
    utc, told = on_the_clock(datetime.combine(day, clock), tank.zone)
    if told:
        problems.append(_note("time", told))
    rest = piece[found.end() :].strip()
    if utc > now:
        raise AskKeeper(
            Question(
                part=piece, text=f"{day} {clock:%H:%M} is still to come. Was it the day before?",
                choices=(f"{day - timedelta(days=1)} {clock:%H:%M} {rest}",),
            )
        )  # fmt: skip
    return utc, rest


def _day(word: str | None, today: date) -> date:
    name = (word or "today").casefold()
    if name in WEEKDAYS:
        return today - timedelta(days=(today.weekday() - WEEKDAYS.index(name)) % 7 or 7)
    if name in ("today", "yesterday"):
        return today - timedelta(days=int(name == "yesterday"))
    try:
        return date.fromisoformat(name)
    except ValueError as error:
        raise AskKeeper(Question(part=name, text=f"{name} is no day of the calendar. Which day was it?")) from error


_DATED = re.compile(r"\d{4}-\d\d-\d\d ")
"""A choice that brings its own day."""


def _note(cell: str, message: str) -> Problem:
    return Problem(line=None, field=cell, message=message, remedy="", severity="note")


def dated(question: Question, moment: datetime, tank: Tank, now: datetime) -> Question:
    """Put the time into the choices of a part that was not written for now."""
    if abs(now - moment) < timedelta(minutes=1):
        return question
    prefix = f"{tank.local_time(moment):%Y-%m-%d %H:%M}"
    choices = (each if _DATED.match(each) else f"{prefix} {each}" for each in question.choices)
    return replace(question, choices=tuple(choices))


def likelier_days(moment: datetime, tank: Tank, now: datetime) -> tuple[str, ...]:
    """Return the days of the last week that a wrong year or month, or day and month swapped, would have meant."""
    wrong, today = tank.local_time(moment), tank.local_time(now)
    found = []
    for year, month, day in (
        (today.year, wrong.month, wrong.day), (today.year, today.month, wrong.day),
        (wrong.year, wrong.day, wrong.month), (today.year, wrong.day, wrong.month),
    ):  # fmt: skip
        try:
            meant = wrong.replace(year=year, month=month, day=day)
        except ValueError:
            continue
        if timedelta() <= today - meant <= timedelta(days=7):
            found.append(f"{meant:%Y-%m-%d %H:%M}")
    return tuple(dict.fromkeys(found))
