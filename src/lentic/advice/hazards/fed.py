"""What was fed over what is needed, as a fact of the gate; apart from the other facts, for it rests on the ration."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from lentic.advice.food import feeding_of
from lentic.catalogue.hazards import Known
from lentic.logbook.events import Event, Feed
from lentic.logbook.tank import Tank

WEEKS = 4.0


def feeding_facts(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known]:
    """Return energy fed over need in four weeks; nothing while log or needs do not reach so far."""
    begun = min((e.time for e in events if isinstance(e, Feed)), default=now)
    if now - begun < timedelta(weeks=WEEKS):
        return {}
    feeding = feeding_of(tank, events, now, WEEKS)
    if feeding.need is None or feeding.fed_energy is None:
        return {}
    return {"feed.energy_ratio_28d": feeding.fed_energy.value / feeding.need.value}
