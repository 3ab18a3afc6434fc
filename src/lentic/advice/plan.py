"""The one change of routine to make first: five dials turned one by one on the same possible tanks, then two."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time

from lentic.advice.judge import WORTH, Measured, Tried, judge, measured
from lentic.advice.plan_words import sentences
from lentic.advice.routine import (
    DIALS,
    Goals,
    Routine,
    Wishes,
    between,
    events_of,
    goals_of,
    in_words,
    places,
    routine_of,
)
from lentic.learn.fit import Fit
from lentic.learn.forecast import fewer, futures, planned_events
from lentic.logbook.events import Change, Event, Feed

SCREENED = 96
"""So many of the possible tanks try every place of a dial; the best places are tried on all. [-]"""
PAIRED = 3
"""So many of the best dials are tried two together. [-]"""


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """The change that is proposed first, what could follow, and everything tried."""

    tank: str
    begin: datetime
    days: int
    goals: Goals
    proposed: Tried | None
    second: Tried | None
    together: Tried | None
    before: Tried
    tried: tuple[Tried, ...]
    sentences: tuple[str, ...]


class Search:
    """Tries turned routines on possible tanks; every routine meets the same draws."""

    def __init__(
        self, fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int, goals: Goals
    ) -> None:
        self.fit, self.log, self.plan, self.begin, self.days, self.goals = fit, log, plan, begin, days, goals
        events = planned_events(fit, log, plan, begin, days)
        self.now = routine_of(fit, events, days)
        self.eaten_g = sum(e.grams for e in events if isinstance(e, Feed)) / max(days, 1)
        self.base = self._lived(self.now)
        self.before = judge(fit.description.tank, self.base, self.base, self.now, "Go on as before.", goals, None)

    def _lived(self, turned: Routine) -> Measured:
        events = self.plan
        if turned != self.now:
            events = events_of(self.fit, self.log, self.plan, self.begin, self.days, self.now, turned)
        coming = planned_events(self.fit, self.log, events, self.begin, self.days)
        changed = {(e.time - self.begin).days for e in coming if isinstance(e, Change)}
        found = futures(self.fit, self.log, events, self.begin, self.days)
        return measured(self.fit, found, turned.litres, sorted(d for d in changed if 0 <= d < self.days))

    def tried(self, turned: Routine) -> Tried:
        """Return what a turned routine does."""
        do = in_words(self.fit, self.now, turned, self.eaten_g)
        return judge(self.fit.description.tank, self._lived(turned), self.base, turned, do, self.goals, self.before)


def proposal_of(
    fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int, wishes: Wishes | None = None
) -> Proposal:
    """Return the one change worth making first under the limits of this tank, and what could follow it."""
    goals = goals_of(fit.description.tank, log, wishes or Wishes())
    quick = Search(fewer(fit, SCREENED), log, plan, begin, days, goals)
    whole = Search(fit, log, plan, begin, days, goals)
    singles = [whole.tried(turned) for turned in _best_places(quick, places(fit, log, whole.now, goals))]
    allowed = sorted((t for t in singles if not t.against), key=lambda t: (t.loss, t.do))
    best = allowed[0] if allowed and whole.before.loss - allowed[0].loss >= WORTH else None
    together = _together(quick, whole, best, allowed) if best else None
    second = next((t for t in allowed if together and best and _both(whole.now, best.routine, t.routine)
                   == together.routine and t is not best), None)  # fmt: skip
    start = datetime.combine(fit.description.tank.local_date(begin), time())
    ordered = tuple(sorted(singles, key=lambda t: (bool(t.against), t.loss, t.do)))
    return Proposal(
        tank=fit.description.tank.name, begin=start, days=days, goals=goals, proposed=best, second=second,
        together=together, before=whole.before, tried=ordered,
        sentences=sentences(fit.description.tank, goals, whole.before, best, second, together, ordered, start, days),
    )  # fmt: skip


def _best_places(quick: Search, dials: Mapping[str, tuple[float, ...]]) -> list[Routine]:
    """Return every dial at its best place: a few places first, then half way to the neighbours of the best."""
    found: list[Routine] = []
    for dial in DIALS:
        seen = {place: quick.tried(_turned(quick.now, dial, place)) for place in dials[dial]}
        if not seen:
            continue
        for _ in range(2):
            best = _best(seen)
            for place in between(dial, best, [*seen, getattr(quick.now, dial)]):
                seen[place] = quick.tried(_turned(quick.now, dial, place))
        found.append(_turned(quick.now, dial, _best(seen)))
    return found


def _best(seen: dict[float, Tried]) -> float:
    return min(seen, key=lambda place: (bool(seen[place].against), seen[place].loss, place))


def _turned(now: Routine, dial: str, place: float) -> Routine:
    return replace(now, **{dial: place})


def _both(now: Routine, first: Routine, second: Routine) -> Routine:
    """Return a routine with the dials of two others turned."""
    turned = {d: getattr(second, d) for d in DIALS if getattr(second, d) != getattr(now, d)}
    return replace(first, **turned)


def _together(quick: Search, whole: Search, best: Tried, allowed: Sequence[Tried]) -> Tried | None:
    """Return the best pair of single changes, one of them the first, tried on all possible tanks."""
    pairs = [_both(whole.now, best.routine, other.routine) for other in allowed[1 : 1 + PAIRED]]
    judged = [t for t in (quick.tried(pair) for pair in pairs) if not t.against]
    if not judged:
        return None
    chosen = whole.tried(min(judged, key=lambda t: (t.loss, t.do)).routine)
    return None if chosen.against or best.loss - chosen.loss < WORTH else chosen
