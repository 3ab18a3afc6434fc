"""The shell by months: what was seen and said, and the places of the photos that belong beside it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from lentic.advice.words import grade_words
from lentic.logbook.events import Event, Look, Measure, Sign, Weigh
from lentic.logbook.tank import Tank

SHELL = re.compile(r"\b(shell|scute|plastron|carapace|shed|heal|wound|scar|skin|claw|bask)\w*")
VIEWS = ("top", "belly", "front")
FRAMING = (
    "Shell dried, daylight, no flash; camera straight above at arm's length, the animal filling the frame; a ruler "
    "beside it in the picture. Top, belly, front: the same every month, so that two months can lie side by side."
)
NORMAL = (
    "Usual: thin clear whole scutes that come off, wisps of skin. Not usual: stacked layers, soft, smell, pink, pits."
)
LEAVE = "Nothing is oiled, peeled or scrubbed with tools."


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A photo kept beside an event of the log, by the name of its file."""

    event: Event
    digest: str


@dataclass(frozen=True, kw_only=True)
class Month:
    """One month of a shell: notes and photos with their days, so that two months can lie side by side."""

    first: date
    notes: tuple[tuple[date, str], ...]
    photos: tuple[tuple[date, str], ...] = ()
    views: tuple[str, ...] = VIEWS


def months_of(
    tank: Tank, events: Sequence[Event], animal: str, today: date, pictures: Sequence[Picture] = ()
) -> tuple[Month, ...]:
    """Return the months in which something was noted or photographed of a shell, and this one, the latest first."""
    alone = len(tank.turtles) == 1
    notes: dict[date, list[tuple[date, str]]] = {}
    photos: dict[date, list[tuple[date, str]]] = {}
    for event in events:
        if said := _said(event, animal, alone):
            _put(notes, tank.local_date(event.time), said)
    for each in pictures:
        if _shows(each.event, animal, alone):
            _put(photos, tank.local_date(each.event.time), each.digest)
    firsts = sorted({*notes, *photos, today.replace(day=1)}, reverse=True)
    return tuple(
        Month(first=first, notes=tuple(notes.get(first, ())), photos=tuple(photos.get(first, ()))) for first in firsts
    )


def _put(months: dict[date, list[tuple[date, str]]], day: date, what: str) -> None:
    months.setdefault(day.replace(day=1), []).append((day, what))


def _shows(event: Event, animal: str, alone: bool) -> bool:
    """Tell whether a photo beside an event shows this animal."""
    if isinstance(event, Look):
        return event.where == "shell" and (alone or animal in event.note.split())
    return isinstance(event, Sign | Weigh | Measure) and event.animal == animal


def _said(event: Event, animal: str, alone: bool) -> str:
    if isinstance(event, Look) and event.where == "shell" and (alone or animal in event.note.split()):
        return f"{grade_words(event.grade)} of algae" + (f": {event.note}" if event.note else "")
    if isinstance(event, Sign) and event.animal == animal and SHELL.search(event.note.casefold()):
        return event.note
    return ""
