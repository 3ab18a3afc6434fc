"""Eggs and newcomers: what a female that may be gravid is offered, and the clock that each newcomer sets back."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from lentic.advice.findings import Finding, ask, date_words, known_as
from lentic.advice.growing import adult_fact, record_of
from lentic.advice.words import number
from lentic.logbook.events import AnimalIn, Event, Sign
from lentic.logbook.tank import Tank, Turtle

SEARCHING = re.compile(r"\b(dig\w*|pac(e|es|ing)|restless\w*|nest\w*|climb\w* out|searching|gravid)\b")
LAYING_MONTHS = (3, 4, 5, 6, 7, 8)
"""Months in which eggs are usual north of the equator; six months later south of it; common practice, no source."""
SEARCH_D = 21
"""Days within which a female that searches usually lays; common practice, no source."""
BOX_LENGTHS, SAND_LENGTHS, SAND_C = 2.0, 1.0, (28.0, 30.0)
"""Nest box and depth of damp sand in shell lengths, and its warmth; common practice, no source."""
QUARANTINE_D = (60, 90)
"""Least and full time apart; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Quarantine:
    """The clock of the animals in this tank: it begins anew with each newcomer."""

    newcomer: str
    since: date
    least: date
    full: date
    restarts: int
    over: bool

    @property
    def sentence(self) -> str:
        """How the clock stands."""
        begun = f"{self.newcomer} came on {date_words(self.since)}"
        if self.over:
            return f"{begun}; the {QUARANTINE_D[1]} days apart are over."
        times = "once" if self.restarts == 1 else f"{self.restarts} times"
        again = "" if self.restarts == 0 else f" Set back {times} by later newcomers."
        return (
            f"{begun}: apart until {date_words(self.full)}, not before {date_words(self.least)} and only with clear "
            f"tests of droppings; own net, own bucket, and this tank last.{again}"
        )


def quarantine_of(tank: Tank, events: Sequence[Event], today: date) -> Quarantine | None:
    """Return how the clock stands; None where no animal came in during the log."""
    came = [(tank.local_date(e.time), e.what) for e in events if isinstance(e, AnimalIn)]
    if not came:
        return None
    since, who = came[-1]
    full = since + timedelta(days=QUARANTINE_D[1])
    run = 0
    for (earlier, _), (later, _) in zip(reversed(came[:-1]), reversed(came[1:]), strict=True):
        if (later - earlier).days > QUARANTINE_D[1]:
            break
        run += 1
    least = since + timedelta(days=QUARANTINE_D[0])
    return Quarantine(newcomer=who, since=since, least=least, full=full, restarts=run, over=today >= full)


def is_laying_season(latitude: float, day: date) -> bool:
    """Tell whether eggs are usual at this time of the year."""
    month = day.month if latitude >= 0.0 else (day.month + 5) % 12 + 1
    return month in LAYING_MONTHS


def eggs_of(
    tank: Tank, events: Sequence[Event], turtle: Turtle, length_cm: float | None, today: date
) -> Finding | None:
    """Return what a female that could lay needs; None for males and for animals still too small."""
    record = record_of(turtle)
    if turtle.sex == "male" or record is None:
        return None
    mature = adult_fact(record, "female")
    if mature is None or length_cm is None or length_cm < mature.bounds[0]:
        return None
    sex = "" if turtle.sex == "female" else " If it is a female:"
    size = f"{number(BOX_LENGTHS * length_cm)} cm long, damp sand at least {number(SAND_LENGTHS * length_cm)} cm deep"
    box = f"a nest box {size}, {SAND_C[0]:g} to {SAND_C[1]:g} °C, in peace"
    source = f"length from which females lay: {mature.bounds[0]:g} cm, {known_as(mature)}; box: common practice"
    if _searching(tank, events, turtle, today):
        return Finding(
            what="eggs", state="act", source=source,
            sentence=f"{turtle.id} searches or digs.{sex} she may carry eggs, with or without a male.",
            do=f"Offer {box} today. Not laid in {SEARCH_D} days: a vet. Straining for more than 24 h: a vet now. "
               "Whether eggs of this kind may be hatched, ask your authority.",
        )  # fmt: skip
    if tank.latitude is None:
        return ask("eggs", f"Where does the tank stand? Write latitude: {turtle.id} is long enough to carry eggs.")
    if not is_laying_season(tank.latitude, today):
        return None
    has = tank.home.nest_box is True
    return Finding(
        what="eggs", state="fine" if has else "watch", source=source,
        sentence=f"{turtle.id} is long enough to carry eggs, and it is the season.{sex} look for digging and pacing.",
        do="" if has else f"Have ready: {box}. Eggs held back harm her.",
    )  # fmt: skip


def _searching(tank: Tank, events: Sequence[Event], turtle: Turtle, today: date) -> bool:
    first = today - timedelta(days=SEARCH_D)
    return any(
        isinstance(e, Sign) and e.animal == turtle.id and tank.local_date(e.time) >= first
        and SEARCHING.search(e.note.casefold())
        for e in events
    )  # fmt: skip
