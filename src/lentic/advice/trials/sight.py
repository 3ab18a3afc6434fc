"""What a reading can see of a change: the goal of a trial on a scale with even errors, read off possible tanks."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lentic.advice.trials.effect import Compared
from lentic.learn.evidence import COLOUR_SD, FLOORS
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, scraping_interval
from lentic.logbook.events import Event, Reading, Scrape

Array = npt.NDArray[np.float64]

NITRATE, SCRAPING = "nitrate", "scraping"
GOALS: Mapping[str, tuple[str, int]] = {NITRATE: ("mg/L NO3", -1), SCRAPING: ("days between scrapings", 1)}
"""What a trial is judged by -> unit, and whether less (-1) or more (1) of it is wanted."""
SCRAPING_SD = 0.3
"""How evenly a keeper scrapes: error of one interval as a logarithm; common practice, no source. [-]"""
LONGEST_D = 60.0
"""Intervals beyond are not told apart. [d]"""
LEAST_SCRAPES = 2


def nitrate_shown(fit: Fit, found: Futures, places: Sequence[int]) -> Array:
    """Return what this keeper's kit would show, as a logarithm, shape (reading, member)."""
    kit = fit.ensemble.gather(fit.ensemble["kit_nitrate"])
    return np.asarray(np.log(found.values[NITRATE][list(places)] * kit + FLOORS[NITRATE]), dtype=np.float64)


def nitrate_readings(log: Sequence[Event], begun: datetime, found: Futures, local: Mapping[datetime, int]) -> Array:
    """Return (place of the day, logarithm of the reading, its error) of each nitrate reading of the trial."""
    rows = []
    for event in log:
        if not isinstance(event, Reading) or event.quantity != NITRATE or event.above or event.time <= begun:
            continue
        place = local.get(event.time)
        if place is not None and 0 <= place < len(found.days):
            value = 0.7 * event.value if event.below else event.value
            rows.append((float(place), float(np.log(value + FLOORS[NITRATE])), COLOUR_SD))
    return np.asarray(rows, dtype=np.float64).reshape(-1, 3)


def on_nitrate(fit: Fit, control: Futures, changed: Futures, rows: Array) -> Compared:
    """Return nitrate readings beside what the possible tanks would have shown."""
    places = [int(place) for place in rows[:, 0]]
    return Compared(
        day=rows[:, 0], observed=rows[:, 1], sd=rows[:, 2], control=nitrate_shown(fit, control, places),
        changed=nitrate_shown(fit, changed, places),
    )  # fmt: skip


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
