"""Each suspected cause taken out of the log, and what panes and kits of the fitted tank would then have shown.

Carbon driven out, another lamp of the same hours and something that rots unseen leave nothing in a log that could be
taken out; thinnings are lived through as thinning back to the liked clump, whatever the grams; and no process of the
table makes water cloudy: of these the contrasts of the log speak alone.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from lentic.advice.habits import litres_of
from lentic.advice.marks import WORDS
from lentic.learn.again import Shown, Without, shown_again
from lentic.learn.fit import Fit
from lentic.logbook.events import (
    Change,
    Event,
    Feed,
    Lamp,
    Leftovers,
    LostPlant,
    Planted,
    Power,
    Reading,
    Rinse,
    Siphon,
)
from lentic.logbook.tank import Tank
from lentic.logbook.units import KH

LEAD_D = 21.0
"""What feeds algae happens up to so long before they are scraped oftener; common practice, no source. [d]"""
MORE, LESS = 1.1, 0.9
"""A routine that changed by less than a tenth is the same routine. [-]"""
EXTRA = 1.25
"""A change is extra beyond so many of the usual litres. [-]"""

UNSEEN = 1e-6
"""A log that differs by less was none that the process table can tell apart: nothing is said. [-]"""

EVIDENCE: Mapping[str, tuple[str, float]] = {
    "algae": ("limit", 1.0),
    "nitrate": ("nitrate", 1.0),
    "ammonia": ("ammonia", 1.0),
    "kh": ("kh", -1.0 / KH["dkh"].convert(1.0)),
}
"""Trouble -> evidence that shows it, and how much of it is one step: a factor e, or a degree of KH less."""


NOTHING_ELSE = Without()


@dataclass(frozen=True, kw_only=True)
class Taken:
    """A log without a cause, and what else is taken out with it."""

    events: Sequence[Event]
    without: Without = NOTHING_ELSE


Withdrawal = Callable[[Tank, Sequence[Event], datetime], "Taken | None"]


def _amount(tank: Tank, event: Event, kind: type[Event]) -> float:
    if not isinstance(event, kind):
        return 0.0
    if isinstance(event, Feed):
        return event.grams
    return litres_of(tank, event) if isinstance(event, Change) else 1.0


def _rates(tank: Tank, events: Sequence[Event], kind: type[Event], turn: datetime) -> tuple[float, float]:
    """Return how much a day there was of a routine before a turn and since."""
    spans = ((events[0].time, turn), (turn, events[-1].time))
    return tuple(
        sum(_amount(tank, e, kind) for e in events if a <= e.time < b) / max((b - a) / timedelta(days=1), 1.0)
        for a, b in spans
    )  # type: ignore[return-value]


def _load(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
    before, after = _rates(tank, events, Feed, turn)
    kept = [e for e in events if not (isinstance(e, Leftovers) and e.time >= turn)]
    if before > 0.0 and after >= MORE * before:
        factor = before / after
        kept = [replace(e, grams=e.grams * factor) if isinstance(e, Feed) and e.time >= turn else e for e in kept]
    elif len(kept) == len(events):
        return None
    return Taken(events=kept)


def _changes(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
    before, after = _rates(tank, events, Change, turn)
    if before <= 0.0 or after <= 0.0 or after > LESS * before:
        return None
    factor = before / after
    return Taken(events=[
        replace(e, litres=litres_of(tank, e) * factor, percent=None)
        if isinstance(e, Change) and e.time >= turn else e for e in events
    ])  # fmt: skip


def _dropped(is_cause: Callable[[Event], bool]) -> Withdrawal:
    def withdraw(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
        kept = [e for e in events if e.time < turn or not is_cause(e)]
        return Taken(events=kept) if len(kept) < len(events) else None

    return withdraw


def _dirt(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
    """Go on siphoning and rinsing as before the turn."""
    added: list[Event] = []
    for kind in (Siphon, Rinse):
        early = [e for e in events if isinstance(e, kind) and e.time < turn]
        before, after = _rates(tank, events, kind, turn)
        if len(early) >= 2 and after < 0.5 * before:
            count = int((events[-1].time - turn) / timedelta(days=1) * before)
            added += [replace(early[-1], time=turn + timedelta(days=(k + 0.5) / before)) for k in range(count)]
    return Taken(events=sorted([*events, *added], key=lambda e: e.time)) if added else None


def _in_tap_water(event: Event) -> bool:
    if isinstance(event, Power):
        return True
    if not (isinstance(event, Rinse) and event.extent == "all"):
        return False
    return event.water == "tap" or bool(re.search(WORDS["tapped"], event.note.casefold()))


def _stirred(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
    usual = float(np.median([litres_of(tank, e) for e in events if isinstance(e, Change)] or [np.inf]))

    def is_cause(event: Event) -> bool:
        if isinstance(event, Rinse):
            return event.extent == "all" and not _in_tap_water(event)
        return isinstance(event, Change) and litres_of(tank, event) > EXTRA * usual

    return _dropped(is_cause)(tank, events, turn)


def _held(*drifts: str, readings: tuple[str, ...]) -> Withdrawal:
    """Hold what drifts where it was; only where the log has readings of it, or a guess would be taken for a cause."""

    def withdraw(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
        seen = [e.time >= turn for e in events if isinstance(e, Reading) and e.quantity in readings]
        if not any(seen):
            return None
        return Taken(events=events, without=Without(held=drifts, since=turn))

    return withdraw


def _sun(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
    return Taken(events=events, without=Without(sun=True)) if tank.room.window_sun_h else None


def _chloramine(tank: Tank, events: Sequence[Event], turn: datetime) -> Taken | None:
    if not tank.source_water.chloramine_mg_l:
        return None
    return Taken(events=events, without=Without(chloramine=True))


WITHDRAWALS: Mapping[str, Withdrawal] = {
    "load": _load,
    "changes": _changes,
    "light": _dropped(lambda e: isinstance(e, Lamp) and e.use == "plants"),
    "plants": _dropped(lambda e: isinstance(e, LostPlant)),
    "overplanted": _dropped(lambda e: isinstance(e, Planted)),
    "sun": _sun,
    "dirt": _dirt,
    "filter": _dropped(_in_tap_water),
    "disturbance": _stirred,
    "tap": _held("tap_nitrate_drift", "tap_alkalinity_drift", readings=("tap_nitrate", "tap_phosphate", "tap_kh")),
    "warmth": _held("heater_drift", readings=("temperature",)),
    "chloramine": _chloramine,
}
"""Cause -> the log without it, or None where the log holds nothing of it."""


def effects(fit: Fit, events: Sequence[Event], of: str, since: datetime, end: datetime) -> dict[str, float]:
    """Return how much less trouble there would have been without each cause that the log holds.

    Parameters
    ----------
    fit : Fit
        The fitted tank.
    events : Sequence[Event]
        Its log.
    of : str
        The trouble, a key of ``EVIDENCE``; of another nothing is said.
    since : datetime
        Since when there is more trouble than before.
    end : datetime
        End of the log.

    Returns
    -------
    dict[str, float]
        Cause -> middle over the possible tanks of the logarithm of trouble as it was over trouble without the cause
        (of KH: degrees that would not have been lost), after the trouble began less before.
    """
    if of not in EVIDENCE:
        return {}
    what, step = EVIDENCE[of]
    turn = since - timedelta(days=LEAD_D)
    as_it_was = shown_again(fit, events, end, (what,))
    place = (since - end) / timedelta(days=1) + fit.story.last
    found: dict[str, float] = {}
    for cause, withdraw in WITHDRAWALS.items():
        taken = withdraw(fit.description.tank, events, turn)
        if taken is not None:
            again = shown_again(fit, taken.events, end, (what,), taken.without)
            found[cause] = _less(as_it_was, again, place, step)
    return {cause: less for cause, less in found.items() if np.isfinite(less)}


def _less(as_it_was: Shown, again: Shown, since: float, step: float) -> float:
    """Return how much less there was at the moments both logs show, since the trouble began against before."""
    _, first, second = np.intersect1d(np.round(as_it_was.days, 2), np.round(again.days, 2), return_indices=True)
    gap = (as_it_was.values[first] - again.values[second]) * step
    late = as_it_was.days[first] >= since
    if not late.any() or np.nanmax(np.abs(gap)) < UNSEEN:
        return float("nan")
    with np.errstate(invalid="ignore"):
        after = np.nanmedian(gap[late], axis=0)
        before = np.nanmedian(gap[~late], axis=0) if not late.all() else np.zeros_like(after)
    kept = (after - before)[np.isfinite(after - before)]
    return float(np.median(kept)) if kept.size else float("nan")
