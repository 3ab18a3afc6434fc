"""The log as a book: read it by day, search it, write a line into it, take an entry back."""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from lentic.advice.entries import KIND_WORDS, in_words
from lentic.keeper.desk import Desk, Held
from lentic.keeper.opening import AskError
from lentic.logbook.events import Event, Refused, Void, void_target, what_of, without_voided
from lentic.logbook.household import Entry, Photo
from lentic.logbook.problems import Problem
from lentic.logbook.questions import Question
from lentic.logbook.quick import parse_quick

PAGE_D = 14
"""Days shown at once. [d]"""
MOST_FOUND = 300
"""Lines shown at once when searching."""


@dataclass(frozen=True, kw_only=True)
class Line:
    """One entry as a page shows it."""

    entry: Entry
    words: str
    standing: bool
    """Whether it counts: no void takes it back."""
    photos: tuple[Photo, ...] = ()

    @property
    def refused(self) -> bool:
        """Whether it could not be read."""
        return isinstance(self.entry.event, Refused)


@dataclass(frozen=True, kw_only=True)
class Book:
    """The lines that were asked for, by day with the newest first, and what there is beside them."""

    days: tuple[tuple[date, tuple[Line, ...]], ...]
    lines: int
    standing: int
    refused: tuple[Line, ...]
    kinds: tuple[tuple[str, str], ...]
    earlier: date | None
    """The last day of the pages before these, where there are any."""
    found: int


@dataclass(frozen=True, kw_only=True)
class Written:
    """What a typed line did: what stands in the log now, what is still asked, what was not understood."""

    added: tuple[str, ...]
    questions: tuple[Question, ...]
    problems: tuple[Problem, ...]
    twice: bool = False
    """Whether the same press had been written before."""


def book(desk: Desk, name: str, search: str = "", kind: str = "", until: date | None = None) -> Book:
    """Return the lines of a log: the newest two weeks, those before a day, or all that hold the words."""
    held = desk.held(name)
    lines = _lines(desk, name, held)
    refused = tuple(line for line in lines if line.refused)
    wanted = [line for line in reversed(lines) if not line.refused and not isinstance(line.entry.event, Void)]
    kinds = tuple((k, KIND_WORDS[k]) for k in sorted({line.entry.event.kind for line in wanted}, key=_order))
    if kind:
        wanted = [line for line in wanted if line.entry.event.kind == kind]
    if search:
        words = search.casefold().split()
        wanted = [line for line in wanted if all(word in _searched(line) for word in words)]
    found = len(wanted)
    day_of = [held.tank.local_date(line.entry.event.time) for line in wanted]
    wanted, earlier = _some(wanted, day_of, until, bool(search or kind))
    return Book(
        days=_by_day(held, wanted), lines=len(lines), standing=sum(line.standing for line in lines), refused=refused,
        kinds=kinds, earlier=earlier, found=found,
    )  # fmt: skip


def _order(kind: str) -> int:
    return list(KIND_WORDS).index(kind)


def _some(
    wanted: list[Line], day_of: list[date], until: date | None, searching: bool
) -> tuple[list[Line], date | None]:
    """Return what fits on a page and the day from which the page before goes on."""
    if not wanted:
        return [], None
    last = min(until, day_of[0]) if until else day_of[0]
    begun = next((place for place, day in enumerate(day_of) if day <= last), len(wanted))
    if searching:
        end = min(begun + MOST_FOUND, len(wanted))
        while end < len(wanted) and day_of[end] == day_of[end - 1]:
            end += 1
    else:
        end = next((p for p, day in enumerate(day_of) if day <= last - timedelta(days=PAGE_D)), len(wanted))
    return wanted[begun:end], day_of[end] if end < len(wanted) else None


def _by_day(held: Held, lines: Iterable[Line]) -> tuple[tuple[date, tuple[Line, ...]], ...]:
    days: dict[date, list[Line]] = {}
    for line in lines:
        days.setdefault(held.tank.local_date(line.entry.event.time), []).append(line)
    return tuple((day, tuple(found)) for day, found in days.items())


def _searched(line: Line) -> str:
    event = line.entry.event
    return f"{line.words} {event.note} {event.kind} {what_of(event)}".casefold()


def _lines(desk: Desk, name: str, held: Held) -> tuple[Line, ...]:
    plain = _plain_lines(held)
    photos: dict[int, list[Photo]] = {}
    for photo in desk.store.photos(name):
        photos.setdefault(photo.event_id, []).append(photo)
    if not photos:
        return plain
    return tuple(
        Line(
            entry=line.entry, words=line.words, standing=line.standing,
            photos=tuple(photos.get(line.entry.id, ())),
        )
        for line in plain
    )  # fmt: skip


@functools.lru_cache(maxsize=8)
def _plain_lines(held: Held) -> tuple[Line, ...]:
    standing = {id(event) for event in standing_events(held)}
    return tuple(
        Line(entry=entry, words=in_words(entry.event), standing=id(entry.event) in standing) for entry in held.entries
    )


@functools.lru_cache(maxsize=8)
def standing_events(held: Held) -> tuple[Event, ...]:
    """Return the events that count, oldest first."""
    return without_voided(held.events)


def write(desk: Desk, name: str, text: str, receipt: str) -> Written:
    """Write what a typed line says into the log, once for each receipt; parts with an open question are not written."""
    held = desk.held(name)
    now = desk.now()
    quick = parse_quick(text, held.tank, standing_events(held), now)
    twice = False
    if quick.events:
        twice = not desk.store.append_once(name, quick.events, receipt, now)
    return Written(
        added=tuple(_told(event) for event in quick.events), questions=quick.questions, problems=quick.problems,
        twice=twice,
    )  # fmt: skip


def _told(event: Event) -> str:
    return in_words(event) + (f" ({event.note})" if event.note else "")


def add(desk: Desk, name: str, events: Sequence[Event], receipt: str) -> bool:
    """Write events that were put together on a page; False where the same press was written before."""
    return desk.store.append_once(name, events, receipt, desk.now())


def last_written(desk: Desk, name: str) -> Line | None:
    """Return the entry that was written last and still stands."""
    held = desk.held(name)
    found = [line for line in _plain_lines(held) if line.standing and not line.refused]
    return max(found, key=lambda line: line.entry.id, default=None)


def take_back(desk: Desk, name: str, number: int, receipt: str) -> str:
    """Take an entry back by a void, and return what was taken back; nothing is ever deleted."""
    held = desk.held(name)
    line = next((line for line in _plain_lines(held) if line.entry.id == number), None)
    if line is None or line.refused or isinstance(line.entry.event, Void):
        raise AskError("There is no such entry in the log. Load the page again.")
    if not line.standing:
        return line.words
    event = line.entry.event
    void = Void(time=desk.now(), of_time=event.time, of_kind=event.kind, of_what=what_of(event))
    standing = standing_events(held)
    fits = void_target(void, standing)
    desk.store.append_once(name, [void], receipt, desk.now())
    return in_words(standing[fits[-1]]) if fits else line.words
