"""The shell by months: what was seen and said, and the places of the photos that belong beside it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from lentic.advice.words import grade_words
from lentic.logbook.events import Event, Look, Sign
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
class Month:
    """One month of a shell: notes with their days; photos of that month belong to its views."""

    first: date
    notes: tuple[tuple[date, str], ...]
    views: tuple[str, ...] = VIEWS


def months_of(tank: Tank, events: Sequence[Event], animal: str, today: date) -> tuple[Month, ...]:
    """Return the months in which something was noted of a shell, and this one, the latest first."""
    notes: dict[date, list[tuple[date, str]]] = {today.replace(day=1): []}
    alone = len(tank.turtles) == 1
    for event in events:
        said = _said(event, animal, alone)
        if said:
            day = tank.local_date(event.time)
            notes.setdefault(day.replace(day=1), []).append((day, said))
    return tuple(Month(first=first, notes=tuple(notes[first])) for first in sorted(notes, reverse=True))


def _said(event: Event, animal: str, alone: bool) -> str:
    if isinstance(event, Look) and event.where == "shell" and (alone or animal in event.note.split()):
        return f"{grade_words(event.grade)} of algae" + (f": {event.note}" if event.note else "")
    if isinstance(event, Sign) and event.animal == animal and SHELL.search(event.note.casefold()):
        return event.note
    return ""
