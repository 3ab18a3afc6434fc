"""What a reading can see of a change: the goal of a trial on a scale with even errors, read off possible tanks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lentic.advice.judge import LONGEST_D
from lentic.advice.trials.effect import Compared
from lentic.learn.evidence import COLOUR_SD, FIRST_STEP, FLOORS, MEQ_PER_DKH
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, scraping_interval
from lentic.logbook.events import Event, Reading, Scrape

Array = npt.NDArray[np.float64]

NITRATE, SCRAPING, KH = "nitrate", "scraping", "kh"
BESIDE = (NITRATE, "phosphate", KH)
"""Readings that food, water and plants move together."""
KH_SD = 0.14
"""Error of a drop test: half a drop either way, and the eye; common practice, no source. [meq/L]"""
GOALS: Mapping[str, tuple[str, int]] = {NITRATE: ("mg/L NO3", -1), SCRAPING: ("days between scrapings", 1)}
"""What a trial is judged by -> unit, and whether less (-1) or more (1) of it is wanted."""
SCRAPING_SD = 0.3
"""How evenly a keeper scrapes: error of one interval as a logarithm; common practice, no source. [-]"""
LEAST_SCRAPES = 2


@dataclass(frozen=True, kw_only=True)
class Row:
    """One reading of the trial: what, on which day of it, on a scale with even errors."""

    quantity: str
    place: int
    value: float
    sd: float


def shows(fit: Fit, found: Futures, quantity: str, places: Sequence[int]) -> Array:
    """Return what this keeper's kit would show on some days, shape (reading, member)."""
    values = found.values[quantity][list(places)]
    if quantity == KH:
        return np.asarray(values, dtype=np.float64)
    kit = fit.ensemble.gather(fit.ensemble[f"kit_{quantity}"])
    return np.asarray(np.log(values * kit + FLOORS[quantity]), dtype=np.float64)


def readings_of(log: Sequence[Event], begun: datetime, found: Futures, local: Mapping[datetime, int]) -> list[Row]:
    """Return the readings of a trial that tell of its goal: nitrate, and what moves with it."""
    rows = []
    for event in log:
        if not isinstance(event, Reading) or event.quantity not in BESIDE or event.above or event.time <= begun:
            continue
        place = local.get(event.time, -1)
        if not 0 <= place < len(found.days):
            continue
        if event.quantity == KH:
            rows.append(Row(quantity=KH, place=place, value=event.value - 0.5 * MEQ_PER_DKH, sd=KH_SD))
        else:
            value = FIRST_STEP * event.value if event.below else event.value
            logarithm = float(np.log(value + FLOORS[event.quantity]))
            rows.append(Row(quantity=event.quantity, place=place, value=logarithm, sd=COLOUR_SD))
    return rows


def on_readings(fit: Fit, control: Futures, changed: Futures, rows: Sequence[Row]) -> Compared:
    """Return readings beside what the possible tanks would have shown; one kit tells of the drift another sees."""
    return Compared(
        day=np.array([float(row.place) for row in rows]),
        observed=np.array([row.value for row in rows]),
        sd=np.array([row.sd for row in rows]),
        control=_stacked(fit, control, rows),
        changed=_stacked(fit, changed, rows),
    )  # fmt: skip


def _stacked(fit: Fit, found: Futures, rows: Sequence[Row]) -> Array:
    return np.concatenate([shows(fit, found, row.quantity, [row.place]) for row in rows], axis=0)


def on_scraping(control: Futures, changed: Futures, last: int, gaps: Sequence[float], count: int) -> Compared:
    """Return the days between scrapings so far beside those of the possible tanks; one observation for all gaps."""
    observed = np.log(np.mean(gaps)) if gaps else 0.0
    return Compared(
        day=np.array([float(last)]), observed=np.array([observed]), sd=np.array([SCRAPING_SD / np.sqrt(max(count, 1))]),
        control=_interval(control, last), changed=_interval(changed, last),
    )  # fmt: skip


def _interval(found: Futures, last: int) -> Array:
    film = found.values["algae_panes"][: max(last, 3)]
    return np.log(scraping_interval(film, LONGEST_D))[None, :]


def scraping_gaps(log: Sequence[Event], begun: datetime) -> list[float]:
    """Return the days between scrapings since a trial began, counted from the last one before it. [d]"""
    times = [e.time for e in log if isinstance(e, Scrape) and e.where == "panes"]
    inside = [t for t in times if t > begun]
    before = [t for t in times if t <= begun]
    chain = [*before[-1:], *inside]
    return [(b - a) / timedelta(days=1) for a, b in pairwise(chain)]
