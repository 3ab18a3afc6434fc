"""A trial before it begins: what is changed, what it is judged by, when that shows, and when to end it at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import UNITS, shown
from lentic.advice.limits import limits_for
from lentic.advice.routine import DIALS, Routine
from lentic.advice.trials.effect import Compared, can_be_seen, sd_of_share, times_too_small
from lentic.advice.trials.sight import GOALS, NITRATE, SCRAPING, on_scraping, shows
from lentic.learn.evidence import COLOUR_SD
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures
from lentic.logbook.events import Event, Reading
from lentic.logbook.trials import Expected, Trial

Array = npt.NDArray[np.float64]

MOST_OFTEN_D, LEAST_OFTEN_D = 3.5, 7.0
"""A goal is read once or twice a week during a trial; common practice, no source. [d]"""
FIRST_SCRAPINGS = 2
"""Intervals between scrapings from which a mean is taken. [-]"""
KEPT = ("nitrate", "kh", "algae_panes")
"""What of a forecast is written down with a trial."""
STILL: Mapping[str, str] = {
    "litres": "litres of each change", "interval_d": "days between changes", "ration": "food",
    "plants_g": "plants: nothing put in", "light_h": "hours of the plant lamp",
}  # fmt: skip
ANIMAL = "Any sign of trouble on an animal: end it and, if it lasts, ask a reptile vet."


def trial_of(
    fit: Fit, log: Sequence[Event], begun: datetime, now: Routine, turned: Routine, do: str, control: Futures,
    changed: Futures,
) -> Trial | None:  # fmt: skip
    """Return the trial of one turned dial, or None where more than one dial was turned, or none."""
    factors = [dial for dial in DIALS if getattr(turned, dial) != getattr(now, dial)]
    if len(factors) != 1:
        return None
    goal, place, readings = _goal(fit, log, control, changed)
    days = changed.days
    last = place if place is not None else len(days) - 1
    return Trial(
        begun=begun, factor=factors[0], before=getattr(now, factors[0]), after=getattr(turned, factors[0]), do=do,
        goal=goal, wanted=GOALS[goal][1], seen_from=None if place is None else days[place], readings=readings,
        ends=days[last], still=tuple(STILL[dial] for dial in DIALS if dial != factors[0]), stop=_stops(fit),
        expected=tuple(_expected(quantity, control, changed) for quantity in KEPT),
        would_take=None if place is not None else _would_take(fit, log, control, changed),
    )  # fmt: skip


def reading_every(log: Sequence[Event]) -> float:
    """Return how often nitrate is read during a trial: as often as now, at least weekly, at most twice a week. [d]"""
    times = [e.time for e in log if isinstance(e, Reading) and e.quantity == NITRATE]
    gaps = [(b - a) / timedelta(days=1) for a, b in pairwise(times)]
    return float(np.clip(np.median(gaps[-8:]) if gaps else LEAST_OFTEN_D, MOST_OFTEN_D, LEAST_OFTEN_D))


def _goal(fit: Fit, log: Sequence[Event], control: Futures, changed: Futures) -> tuple[str, int | None, int]:
    """Return the goal that shows the change first, the place of that day, and how many readings it takes."""
    seen = {NITRATE: _nitrate_seen(fit, log, control, changed), SCRAPING: _scraping_seen(control, changed)}
    known = {goal: found for goal, found in seen.items() if found[0] is not None}
    if not known:
        return NITRATE, None, seen[NITRATE][1]
    goal = min(known, key=lambda name: known[name][0] or 0)
    return goal, *known[goal]


def _would_take(fit: Fit, log: Sequence[Event], control: Futures, changed: Futures) -> float | None:
    """Return how many times as large an effect would have to be, by nitrate or by scrapings, whichever is nearer."""
    last = len(control.days) - 1
    count = max(int(last / float(np.exp(np.nanmedian(on_scraping(control, changed, last, (), 1).changed)))), 1)
    places = _days_of_reading(log, len(control.days))
    short = [
        times_too_small(sd_of_share(_unread(fit, control, changed, places))),
        times_too_small(sd_of_share(on_scraping(control, changed, last, (), count))),
    ]
    known = [each for each in short if each is not None]
    return round(min(known), 1) if known else None


def _days_of_reading(log: Sequence[Event], days: int) -> list[int]:
    return [int(day) for day in np.arange(reading_every(log), days, reading_every(log))]


def _unread(fit: Fit, control: Futures, changed: Futures, places: Sequence[int]) -> Compared:
    """Return nitrate readings that are still to come."""
    return Compared(
        day=np.asarray(places, dtype=np.float64), observed=np.zeros(len(places)), sd=np.full(len(places), COLOUR_SD),
        control=shows(fit, control, NITRATE, places), changed=shows(fit, changed, NITRATE, places),
    )  # fmt: skip


def _nitrate_seen(fit: Fit, log: Sequence[Event], control: Futures, changed: Futures) -> tuple[int | None, int]:
    places = _days_of_reading(log, len(control.days))
    for count in range(2, len(places) + 1):
        if can_be_seen(sd_of_share(_unread(fit, control, changed, places[:count]))):
            return places[count - 1], count
    return None, len(places)


def _scraping_seen(control: Futures, changed: Futures) -> tuple[int | None, int]:
    days = len(control.days)
    for last in range(14, days, 7):
        made = on_scraping(control, changed, last, (), 1)
        every = float(np.exp(np.nanmedian(made.changed)))
        count = int(last / every)
        if count >= FIRST_SCRAPINGS and can_be_seen(sd_of_share(on_scraping(control, changed, last, (), count))):
            return last, count
    return None, 0


def _stops(fit: Fit) -> tuple[str, ...]:
    sentences = [f"Stop if it reads {limit.sentence}." for limit in limits_for(fit.description.tank)[:3]]
    return (ANIMAL, *sentences)


def _expected(quantity: str, control: Futures, changed: Futures) -> Expected:
    return Expected(
        quantity=quantity, unit=UNITS[quantity][0], days=changed.days, with_change=_bands(quantity, changed),
        without=_bands(quantity, control),
    )  # fmt: skip


def _bands(quantity: str, found: Futures) -> tuple[tuple[float, float, float], ...]:
    values = shown(quantity, found.values[quantity])[:, found.sound]
    bands = np.quantile(values, (0.1, 0.5, 0.9), axis=1).T
    return tuple((float(a), float(b), float(c)) for a, b, c in bands.round(4))
