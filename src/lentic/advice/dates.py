"""What is due when, and why: dates that come from this tank's forecast and rhythm, so that they move with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from lentic.advice.forecast import SCRAPE, Due, Forecast
from lentic.advice.habits import READ_EVERY_D, RINSE_EVERY_D, WATER_TESTS, WEIGH_EVERY_D, rhythm, usual_litres
from lentic.advice.words import buckets, day_words
from lentic.logbook.events import Change, Event, Feed, Reading, Rinse, Thin, Weigh
from lentic.logbook.tank import Tank
from lentic.logbook.trials import Trial

TAP_CARD_D = 182.0
"""What is known of the tap is old after half a year; common practice, no source. [d]"""
BREAKER_EVERY_D = 30.0
"""The residual-current device is tested monthly, as its maker says on it; common practice. [d]"""
HORIZON_D = 70
"""Dates further ahead than the forecast reaches are not made up. [d]"""
OLD_LOG_D = 45.0
"""A routine that was not written down for so long is no routine any more. [d]"""


@dataclass(frozen=True, kw_only=True)
class DueDate:
    """One thing with its day, the range in which it may fall, and why."""

    id: str
    what: str
    day: date
    earliest: date
    latest: date
    why: str
    from_forecast: bool = False

    @property
    def range_words(self) -> str:
        """The range, empty where it is one day."""
        if self.earliest == self.latest:
            return ""
        return f"{day_words(self.earliest)} to {day_words(self.latest)}"


def dates_of(
    tank: Tank,
    events: Sequence[Event],
    begin: datetime,
    forecast: Forecast | None = None,
    trials: Sequence[Trial] = (),
    further: Sequence[DueDate] = (),
) -> tuple[DueDate, ...]:
    """Return everything that is due, soonest first; what is overdue is due today."""
    today = tank.local_date(begin)
    found = [
        *_of_forecast(forecast, today), *_changes(tank, events, today), *_media(tank, events, today),
        *_thinning(tank, events, today), *_readings(tank, events, today), *_weighing(tank, events, today),
        *_tap(tank, events, today), *_trials(trials, today), *further,
    ]  # fmt: skip
    last = today + timedelta(days=HORIZON_D)
    return tuple(sorted((d for d in found if d.day <= last), key=lambda d: (d.day, d.id)))


def _on(what: str, id: str, today: date, last: date | None, every: float, why: str) -> DueDate:
    """Return what is due so long after its last day; without a last day it is due today."""
    day = today if last is None else max(last + timedelta(days=round(every)), today)
    return DueDate(id=id, what=what, day=day, earliest=day, latest=day, why=why)


def _of_forecast(forecast: Forecast | None, today: date) -> list[DueDate]:
    if forecast is None:
        return []
    found = []
    for due in forecast.due:
        if due.what == SCRAPE and due.p50 is not None:
            found.append(_ranged(due, "scrape", "Scrape the panes", "They reach then where you usually scrape.", today))
    for due in forecast.limits:
        if due.p50 is not None:
            why = "In half of the possible tanks it has got there by then."
            found.append(_ranged(due, f"limit {due.what}", f"Look at {due.what}", why, today))
    return found


def _ranged(due: Due, id: str, what: str, why: str, today: date) -> DueDate:
    horizon = today + timedelta(days=HORIZON_D)
    days = [max(d.date(), today) if d is not None else horizon for d in (due.p10, due.p50, due.p90)]
    return DueDate(id=id, what=what, day=days[1], earliest=days[0], latest=days[2], why=why, from_forecast=True)


def _days(tank: Tank, events: Sequence[Event], kind: type[Event]) -> tuple[date | None, float | None]:
    """Return the last local day of a kind and its rhythm, if the log still has one. [d]"""
    times = [e.time for e in events if isinstance(e, kind)]
    if not times:
        return None, None
    fresh = (events[-1].time - times[-1]) / timedelta(days=1) <= OLD_LOG_D
    return tank.local_date(times[-1]), rhythm(times) if fresh else None


def _changes(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    last, every = _days(tank, events, Change)
    if last is None or every is None:
        return []
    litres = usual_litres(tank, events)
    what = f"Change {buckets(litres)}" if litres else "Change water"
    why = f"Last on {day_words(last)}; you change about every {every:.0f} days."
    return [_on(what, "change", today, last, every, why)]


def _media(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    if tank.filter is None or tank.filter.type in (None, "none"):
        return []
    last, every = _days(tank, events, Rinse)
    if last is None:
        return []
    gap = every or RINSE_EVERY_D
    why = f"Last on {day_words(last)}; about every {gap:.0f} days. A flow reading makes this sharper."
    return [_on("Rinse half the media", "media", today, last, gap, why)]


def _thinning(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    last, every = _days(tank, events, Thin)
    if last is None or every is None:
        return []
    why = f"Last on {day_words(last)}; you thin about every {every:.0f} days."
    return [_on("Thin the plants", "thin", today, last, every, why)]


def _readings(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    found = []
    for quantity in WATER_TESTS:
        times = [e.time for e in events if isinstance(e, Reading) and e.quantity == quantity]
        name = {"kh": "KH"}.get(quantity, quantity)
        last = tank.local_date(times[-1]) if times else None
        why = "There is none in the log." if last is None else f"The last is of {day_words(last)}."
        found.append(_on(f"Read {name}", f"read {quantity}", today, last, READ_EVERY_D[quantity], why))
    return found


def _weighing(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    found = []
    for turtle in tank.turtles:
        times = [e.time for e in events if isinstance(e, Weigh) and e.animal == turtle.id]
        last = tank.local_date(times[-1]) if times else None
        why = "It has no weight in the log yet." if last is None else f"Last weighed on {day_words(last)}."
        found.append(_on(f"Weigh {turtle.id}", f"weigh {turtle.id}", today, last, WEIGH_EVERY_D, why))
    return found


def _tap(tank: Tank, events: Sequence[Event], today: date) -> list[DueDate]:
    times = [e.time for e in events if isinstance(e, Reading) and e.quantity.startswith("tap_")]
    times += [e.time for e in events if isinstance(e, Feed)][:1]
    if not times:
        return []
    last = tank.local_date(max(times))
    why = f"What is known of it is of {day_words(last)}; taps change with the season."
    return [_on("Read the tap again", "tap", today, last, TAP_CARD_D, why)]


def _trials(trials: Sequence[Trial], today: date) -> list[DueDate]:
    return [
        _on(
            f"See how the trial stands: {trial.do}",
            "trial",
            today,
            trial.ends,
            0.0,
            "The day that was set when it began.",
        )
        for trial in trials
    ]
