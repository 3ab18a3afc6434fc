"""From the signs in the log to how soon a vet should see the animal; never what it is, never a medicine."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from lentic.advice.findings import HOW_WORDS, date_words
from lentic.catalogue.signs import URGENCIES, SignKind, signs, signs_in
from lentic.logbook.events import Event, Sign
from lentic.logbook.tank import Tank

OPEN_D = 14
"""A sign last written down longer ago than this is history, not news; common practice, no source."""
ADULT_FASTS_D = 14.0
"""Days without food after which an adult should be seen; common practice, no source."""
TOGETHER = {frozenset({"red_shell", "weak"}): "24 h", frozenset({"straining", "weak"}): "now"}
"""Signs that are more urgent together than each alone; common practice, no source."""
NOT_A_DIAGNOSIS = (
    "These are hours, not a diagnosis: what it is and what helps, only a vet who knows reptiles can say. "
    "No medicine from a shop or a forum."
)


@dataclass(frozen=True, kw_only=True)
class Seen:
    """One sign in the log: since when, last seen, how soon a vet should see the animal, and what to do until then."""

    id: str
    name: str
    since: date
    last: date
    times: int
    urgency: str
    meanwhile: str
    words: tuple[str, ...]
    source: str

    @property
    def sentence(self) -> str:
        """The sign with its dates."""
        span = f"since {date_words(self.since)}" if self.times > 1 else f"on {date_words(self.since)}"
        return f"{self.name}, {span}"


@dataclass(frozen=True, kw_only=True)
class Signs:
    """The open signs of one animal, the most urgent first, and how soon it should be seen for all of them together."""

    seen: tuple[Seen, ...]
    urgency: str | None
    unread: tuple[str, ...] = ()
    """What was written down and fits no sign of the table."""

    @property
    def sentence(self) -> str:
        """How soon, in words."""
        if self.urgency is None:
            return "No sign in the log of the last two weeks asks for a vet."
        when = {"now": "Now: call a reptile vet and go.", "this week": "See a reptile vet this week."}
        return when.get(self.urgency, f"See a reptile vet within {self.urgency}.")


def signs_of(tank: Tank, events: Sequence[Event], animal: str, today: date, young: bool) -> Signs:
    """Return the open signs of one animal as they stand on a day."""
    noted = [
        (tank.local_date(e.time), e.note) for e in events
        if isinstance(e, Sign) and e.animal == animal and tank.local_date(e.time) <= today
    ]  # fmt: skip
    open_since = today - timedelta(days=OPEN_D)
    told = (_seen(kind, noted, young) for kind in signs().values())
    found = [seen for seen in told if seen is not None and seen.last >= open_since]
    urgencies = [each.urgency for each in found if each.urgency]
    ids = {each.id for each in found}
    urgencies += [urgency for together, urgency in TOGETHER.items() if together <= ids]
    found.sort(key=lambda each: URGENCIES.index(each.urgency) if each.urgency else len(URGENCIES))
    unread = tuple(note for day, note in noted if day >= open_since and not signs_in(note))
    return Signs(seen=tuple(found), urgency=min(urgencies, key=URGENCIES.index, default=None), unread=unread)


def _seen(kind: SignKind, noted: Sequence[tuple[date, str]], young: bool) -> Seen | None:
    """Return one sign over the run of notes that speak of it, with no longer break than a sign stays open."""
    told = [(day, note) for day, note in noted if kind.found_in(note)]
    if not told:
        return None
    run = [told[-1]]
    for day, note in reversed(told[:-1]):
        if (run[-1][0] - day).days > OPEN_D:
            break
        run.append((day, note))
    since, last = run[-1][0], run[0][0]
    return Seen(
        id=kind.id, name=kind.name, since=since, last=last, times=len(run),
        urgency=_urgency(kind, (last - since).days, young), meanwhile=kind.meanwhile,
        words=tuple(note for _, note in reversed(run)), source=f"{HOW_WORDS[kind.how]}: {kind.source}",
    )  # fmt: skip


def _urgency(kind: SignKind, days: int, young: bool) -> str:
    """Return how soon after so many days; a fast of some days asks for nothing yet."""
    if kind.id == "not_eating":
        after = kind.after_d if young and kind.after_d is not None else ADULT_FASTS_D
        return kind.urgency if days > after else ""
    if kind.after_d is not None and kind.later_urgency is not None and days >= kind.after_d:
        return kind.later_urgency
    return kind.urgency
