"""What a keeper usually does, read from the log, and after how long a thing is due where no log says."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from lentic.logbook.events import Change, Event, Reading
from lentic.logbook.tank import Tank

RECENT = 8
"""The rhythm is that of so many last times. [-]"""
READ_EVERY_D = {"nitrate": 14.0, "kh": 30.0, "temperature": 14.0}
"""Days after which a reading is old; common practice, no source. [d]"""
WATER_TESTS = ("nitrate", "kh")
"""Tests that get a date and a step of their own."""
WEIGH_EVERY_D = 30.0
"""An animal is weighed about once a month; common practice, no source. [d]"""
RINSE_EVERY_D = 28.0
"""Media are due after so long where no rhythm is known; common practice, no source. [d]"""
CLOGGED = 0.65
"""Share of the clean flow below which media are due; common practice, no source. [-]"""


def litres_of(tank: Tank, event: Change) -> float:
    """Return the litres of a change, also where the log has a percentage; 0 where the water of the tank is unknown."""
    return event.litres_of(tank.water_litres) or 0.0


def usual_litres(tank: Tank, events: Sequence[Event]) -> float | None:
    """Return the litres this keeper usually changes, from the last changes of the log."""
    last = [e.litres_of(tank.water_litres) for e in events if isinstance(e, Change)][-RECENT:]
    known = [litres for litres in last if litres is not None]
    return float(np.median(known)) if known else None


def rhythm(times: Sequence[datetime]) -> float | None:
    """Return the usual number of days between repeats; None with fewer than three. [d]"""
    gaps = [(b - a) / timedelta(days=1) for a, b in pairwise(times)]
    return float(np.median(gaps[-RECENT:])) if len(gaps) >= 2 else None


def last_read(events: Sequence[Event], quantity: str) -> float | None:
    """Return the last reading of a quantity in its unit inside; one below its scale says too little."""
    found = [e.value for e in events if isinstance(e, Reading) and e.quantity == quantity and not e.below]
    return found[-1] if found else None
