"""Each suspected cause taken out of the log, and what the fitted tank would then have shown on its panes."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from lentic.learn.again import panes_again
from lentic.learn.fit import Fit
from lentic.logbook.events import Change, Event, Feed, Lamp, LostPlant, Planted

LEAD_D = 21.0
"""What feeds algae happens up to so long before they are scraped oftener; common practice, no source. [d]"""
MORE, LESS = 1.1, 0.9
"""A routine that changed by less than a tenth is the same routine. [-]"""

Withdrawal = Callable[[Sequence[Event], datetime], "list[Event] | None"]


def _rate(events: Sequence[Event], kind: type[Feed] | type[Change], first: datetime, last: datetime) -> float:
    days = max((last - first) / timedelta(days=1), 1.0)
    total = 0.0
    for event in events:
        if isinstance(event, kind) and first <= event.time < last:
            total += event.grams if isinstance(event, Feed) else (getattr(event, "litres", None) or 0.0)
    return total / days


def _scaled(
    events: Sequence[Event], since: datetime, kind: type[Feed] | type[Change], field: str, more: bool
) -> list[Event] | None:
    """Return the log with a routine as it was before, or None where it did not change in the suspected way."""
    turn = since - timedelta(days=LEAD_D)
    before = _rate(events, kind, events[0].time, turn)
    after = _rate(events, kind, turn, events[-1].time)
    if before <= 0.0 or after <= 0.0:
        return None
    if (more and after < MORE * before) or (not more and after > LESS * before):
        return None
    factor = before / after
    return [
        replace(e, **{field: getattr(e, field) * factor})
        if isinstance(e, kind) and e.time >= turn and getattr(e, field) is not None
        else e
        for e in events
    ]


def _dropped(
    events: Sequence[Event], since: datetime, is_cause: Callable[[Event], bool]
) -> list[Event] | None:
    turn = since - timedelta(days=LEAD_D)
    kept = [e for e in events if e.time < turn or not is_cause(e)]
    return kept if len(kept) < len(events) else None


WITHDRAWALS: Mapping[str, Withdrawal] = {
    "load": lambda events, since: _scaled(events, since, Feed, "grams", more=True),
    "changes": lambda events, since: _scaled(events, since, Change, "litres", more=False),
    "light": lambda events, since: _dropped(events, since, lambda e: isinstance(e, Lamp) and e.use == "plants"),
    "plants": lambda events, since: _dropped(events, since, lambda e: isinstance(e, LostPlant)),
    "overplanted": lambda events, since: _dropped(events, since, lambda e: isinstance(e, Planted)),
}
"""Cause -> the log without it, or None where the log holds nothing of it."""


def effects(fit: Fit, events: Sequence[Event], since: datetime, end: datetime) -> dict[str, float]:
    """Return how much less algae the panes would have shown without each cause that the log holds.

    Parameters
    ----------
    fit : Fit
        The fitted tank.
    events : Sequence[Event]
        Its log.
    since : datetime
        Since when there is more trouble than before.
    end : datetime
        End of the log.

    Returns
    -------
    dict[str, float]
        Cause -> middle of ln(algae as it was / algae without it) over looks and possible tanks.
    """
    as_it_was = panes_again(fit, events, since, end)
    found: dict[str, float] = {}
    if not as_it_was.size:
        return found
    for cause, withdraw in WITHDRAWALS.items():
        without = withdraw(events, since)
        if without is not None:
            found[cause] = float(np.nanmedian(as_it_was - panes_again(fit, without, since, end)))
    return found
