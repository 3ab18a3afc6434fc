"""Many futures of one fitted tank under a plan, all on the same draws, and what they say of each quantity."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Ensemble
from lentic.engine.run import Outcome, run
from lentic.learn.fit import Fit
from lentic.logbook.events import Change, Event, Feed, Rinse, Siphon, Thin, TopUp
from lentic.model.jumps import scrape_when_due, top_up
from lentic.model.members import drift_tasks, flows, open_books
from lentic.model.observers import observe, recorded_rows, wet_plants
from lentic.model.schedule import Task, timeline
from lentic.model.story import (
    LOOK_HOUR,
    clock_task,
    looks_on_chore_days,
    on_clock,
    spread_feeds,
    surroundings,
    tasks_of,
)
from lentic.science.gas import oxygen_saturation

Array = npt.NDArray[np.float64]

ROUTINE_KINDS = (Feed, Change, Siphon, Rinse, TopUp, Thin)
LEAST_PLAN_D = 20.0
"""A plan that reaches so far is a routine and goes on where it ends. [d]"""
ROUTINE_D = 56.0
"""The routine is what the log shows of so many last days. [d]"""
SCRAPED_SHARE = 0.4
"""Panes that lose so much of their film from one noon to the next were scraped. [-]"""
LEFT_SHARE = 0.25
"""What a scraping leaves where none was seen; common practice, no source. [-]"""
BREATHING_SD = 0.5
"""Without an oxygen reading the oxygen missing at dawn, which is night breathing over gas exchange, is known to within
a factor of two (8 in 10), beside what the members differ by; an estimate of ours. Readings narrow it. [-]"""
BREATHING_STREAM = 17
NOON, DAWN, DUSK = "noon", "dawn", "dusk"
QUANTITIES: Mapping[str, tuple[str, str]] = {
    "nitrate": ("mg/L N", NOON),
    "nitrite": ("mg/L N", NOON),
    "ammonia": ("mg/L N", NOON),
    "ammonia_free": ("mg/L N", NOON),
    "phosphate": ("mg/L P", NOON),
    "kh": ("meq/L", NOON),
    "ph_dawn": ("", DAWN),
    "ph_dusk": ("", DUSK),
    "oxygen_dawn": ("mg/L", DAWN),
    "temperature": ("°C", NOON),
    "plant_wet": ("g", NOON),
    "algae_panes": ("g/m2", NOON),
}
"""Quantity -> internal unit and moment of the day."""


@dataclass(frozen=True, kw_only=True)
class Futures:
    """What every version of the tank does under a plan.

    Parameters
    ----------
    begin : date
        First day. [-]
    days : tuple[date, ...]
        Days of the values. [-]
    values : Mapping[str, Array]
        Quantity -> shape (day, member). [unit as in ``QUANTITIES``]
    scrape : Array
        Day of the first scraping, shape (member,); NaN if none comes within the horizon. [d from begin]
    flows : Mapping[str, Array]
        Booked flows and stores, shape (member,). [g]
    sound : NDArray[bool]
        Versions that stayed possible. [-]
    outcome : Outcome
        How the run ended. [-]
    """

    begin: date
    days: tuple[date, ...]
    values: Mapping[str, Array]
    scrape: Array
    flows: Mapping[str, Array]
    sound: npt.NDArray[np.bool_]
    outcome: Outcome


def copy_of(ensemble: Ensemble) -> Ensemble:
    """Return an independent copy of the members."""
    extra = list(ensemble.rows)[len(ensemble.kernel.layout.rows) :]
    other = Ensemble(ensemble.kernel, ensemble.members, extra)
    other.data[:] = ensemble.data
    return other


def fewer(fit: Fit, most: int) -> Fit:
    """Return a fit with every so many of its versions, for trying much quickly.

    Parameters
    ----------
    fit : Fit
        A fit; it is not touched. [-]
    most : int
        Versions to keep at most. [-]

    Returns
    -------
    Fit
        The same fit with fewer versions; what each version does does not change. [-]
    """
    step = -(-fit.ensemble.members // most)
    if step <= 1:
        return fit
    old = fit.ensemble
    extra = list(old.rows)[len(old.kernel.layout.rows) :]
    chosen = np.arange(0, old.members, step)
    ensemble = Ensemble(old.kernel, len(chosen), extra)
    ensemble.set_all({name: old.gather(old[name])[chosen] for name in old.rows})
    return replace(fit, ensemble=ensemble, z=fit.z[:, chosen], predicted=fit.predicted[:, chosen])


def scraping_interval(film: Array, most: float) -> Array:
    """Return the days from one scraping to the next that a film's growth between scrapings comes to.

    Parameters
    ----------
    film : Array
        Algae on the panes day by day, shape (day, member). [g/m2]
    most : float
        Longest interval that is told apart. [d]

    Returns
    -------
    Array
        Shape (member,). [d]

    Notes
    -----
    What a scraping takes, as a logarithm, over the daily growth of the days without one; a day on which more than
    ``SCRAPED_SHARE`` of the film goes is one with. Counting scrapings would tell the same in coarser steps.
    """
    change = np.diff(np.log(np.maximum(film, 1e-9)), axis=0)
    scraped = change < np.log(1.0 - SCRAPED_SHARE)
    count = scraped.sum(axis=0)
    taken = np.where(count > 0, -np.where(scraped, change, 0.0).sum(axis=0) / np.maximum(count, 1), -np.log(LEFT_SHARE))
    growth = np.where(scraped, 0.0, change).sum(axis=0) / np.maximum(len(change) - count, 1)
    interval = taken / np.maximum(growth, 1e-6) + (count > 0)  # on the day of a scraping the film grew as well
    return np.asarray(np.clip(interval, 1.0, most), dtype=np.float64)


def planned_events(fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int) -> list[Event]:
    """Return what will happen: the plan, and the routine of the last eight weeks for kinds it does not hold.

    Parameters
    ----------
    fit : Fit
        The fitted tank. [-]
    log : Sequence[Event]
        The log. [-]
    plan : Sequence[Event]
        What the keeper means to do; it replaces the routine for every kind that it holds. [-]
    begin : datetime
        First moment of the future, aware. [-]
    days : int
        Horizon. [d]

    Returns
    -------
    list[Event]
        Oldest first. [-]
    """
    end = begin + timedelta(days=days)
    plan = continued(plan, begin, end)
    held = {type(event) for event in plan}
    routine: list[Event] = []
    recent = [e for e in spread_feeds(log) if begin - timedelta(days=ROUTINE_D) <= e.time < begin]
    for repeat in range(int(np.ceil(days / ROUTINE_D))):
        shift = timedelta(days=ROUTINE_D * (repeat + 1))
        for event in recent:
            if isinstance(event, ROUTINE_KINDS) and type(event) not in held:
                moved = _moved(event, shift)
                if moved.time < end:
                    routine.append(moved)
    return sorted([*routine, *(e for e in spread_feeds(plan) if e.time < end)], key=lambda e: e.time)


def continued(plan: Sequence[Event], begin: datetime, end: datetime) -> Sequence[Event]:
    """Return a plan that goes on as it stood where it ends before the horizon, week after week.

    Parameters
    ----------
    plan : Sequence[Event]
        Of some weeks. A shorter one than ``LEAST_PLAN_D`` is a list of single things to do and is left as it is. [-]
    begin, end : datetime
        First and last moment of the future, aware. [-]

    Returns
    -------
    Sequence[Event]
        The plan, its repeated kinds carried on to the end. [-]
    """
    last = max((event.time for event in plan), default=begin)
    weeks = int(np.ceil((last - begin) / timedelta(days=7) - 1e-9))
    if (last - begin) < timedelta(days=LEAST_PLAN_D) or last >= end:
        return plan
    out = list(plan)
    for repeat in range(1, int((end - begin) / timedelta(weeks=weeks)) + 1):
        shift = timedelta(weeks=weeks * repeat)
        out += [_moved(event, shift) for event in plan if isinstance(event, ROUTINE_KINDS) and event.time + shift < end]
    return sorted(out, key=lambda event: event.time)


def _moved(event: Event, shift: timedelta) -> Event:
    return replace(event, time=event.time + shift)


def futures(
    fit: Fit,
    log: Sequence[Event],
    plan: Sequence[Event],
    begin: datetime,
    days: int,
    adjust: Callable[[Ensemble], None] | None = None,
) -> Futures:
    """Return what every version of a fitted tank does under a plan.

    Parameters
    ----------
    fit : Fit
        Versions at the end of the log; they are not touched. [-]
    log, plan : Sequence[Event]
        What was and what is meant to be. [-]
    begin : datetime
        Start, aware; local midnight of the first day counts. [-]
    days : int
        Horizon. [d]
    adjust : callable, optional
        Changes the copied members before they start. [-]

    Returns
    -------
    Futures
        Values per day and version. [as named]
    """
    tank, midnight = fit.description.tank, fit.story.midnight
    ensemble = copy_of(fit.ensemble)
    open_books(ensemble)
    ensemble["days_to_scrape"] = -1.0
    if adjust:
        adjust(ensemble)
    events = planned_events(fit, log, plan, begin, days)
    first = fit.story.last
    start = np.floor(on_clock(tank, midnight, begin) + 1e-6)
    last = start + days
    around = surroundings(tank, [*log, *events], midnight)
    planned, _ = tasks_of(events, fit.description, midnight, planned=True)
    # the records of what is seen carry numbers of their own and would fall on the first days of this run
    tasks = [task for task in planned if task.operators]
    lit = [min(around.lighting.on_h + around.lighting.hours(start + d + 0.5), 24.0) for d in range(days)]
    tasks += [Task(day=start + d + 0.5, record=d) for d in range(days)]
    tasks += [Task(day=start + d + around.lighting.on_h / 24.0, record=days + d) for d in range(days)]
    tasks += [Task(day=start + d + lit[d] / 24.0, record=2 * days + d) for d in range(days)]
    tasks += _looks(log, events, midnight, fit, start, days)
    tasks += drift_tasks(first, last)
    line = timeline(tasks, around, first, last)
    records = run(ensemble, line, recorded_rows(fit.description.plant_slots), fit.effort.threads)
    return Futures(
        begin=(midnight + timedelta(days=float(start))).date(),
        days=tuple((midnight + timedelta(days=float(start) + d)).date() for d in range(days)),
        values=values_of(records.values, records.rows, ensemble, fit, days),
        scrape=_first_scrape(ensemble, start),
        flows=flows(ensemble),
        sound=records.sound,
        outcome=records.outcome,
    )


def _looks(
    log: Sequence[Event], events: Sequence[Event], midnight: datetime, fit: Fit, start: float, days: int
) -> list[Task]:
    """Return this keeper's looks at the panes, each followed by scraping where it is due, and top-ups."""
    tank = fit.description.tank
    if looks_on_chore_days(log):
        moments = [on_clock(tank, midnight, e.time) - 0.01 for e in events if isinstance(e, Change)]
    else:
        moments = [start + d + LOOK_HOUR / 24.0 for d in range(days)]
    tasks = [clock_task(moment, (scrape_when_due(),)) for moment in moments]
    if not any(isinstance(e, TopUp) for e in events):
        tasks += [Task(day=start + d + 0.84, operators=(top_up(False),), sudden=False) for d in range(0, days, 3)]
    return tasks


def _first_scrape(ensemble: Ensemble, start: float) -> Array:
    day = ensemble.gather(ensemble["days_to_scrape"])
    return np.where(day >= 0.0, day - start, np.nan)


def values_of(values: Array, rows: Sequence[str], ensemble: Ensemble, fit: Fit, days: int) -> dict[str, Array]:
    """Return what was recorded at noon, at dawn and at dusk of each day as quantities.

    Parameters
    ----------
    values : Array
        All noons, then all dawns, then all dusks, shape (record, row, member). [as the rows]
    rows : Sequence[str]
        What each row is. [-]
    ensemble : Ensemble
        The members, for their constant numbers. [-]
    fit : Fit
        The tank they are versions of. [-]
    days : int
        How many days there are. [d]

    Returns
    -------
    dict[str, Array]
        Quantity -> shape (day, member). [unit as in ``QUANTITIES``]
    """
    parts = {NOON: values[:days], DAWN: values[days : 2 * days], DUSK: values[2 * days :]}
    named = {moment: {name: part[:, number] for number, name in enumerate(rows)} for moment, part in parts.items()}
    out: dict[str, Array] = {}
    for quantity, (_, moment) in QUANTITIES.items():
        row = named[moment]
        if quantity == "plant_wet":
            dry = [ensemble.gather(ensemble[f"dry_{j}"]) for j in range(1, len(fit.description.slots) + 1)]
            out[quantity] = wet_plants(row, dry)
        elif quantity == "algae_panes":
            out[quantity] = row["algae_panes"] / ensemble.gather(ensemble["pane_area"])
        elif quantity == "oxygen_dawn":
            out[quantity] = with_breathing_unknown(observe("oxygen", row), row["temperature"], breathing_factor(fit))
        else:
            out[quantity] = observe(quantity.removesuffix("_dawn").removesuffix("_dusk"), row)
    return out


def breathing_factor(fit: Fit) -> Array:
    """Return by which factor each version may be wrong about the oxygen that is missing at dawn.

    Parameters
    ----------
    fit : Fit
        The fitted tank; its seed makes the draws, so two plans meet the same. [-]

    Returns
    -------
    Array
        Shape (member,); nearer to one with every oxygen reading in the log. [-]
    """
    read = sum(e.what == "oxygen" for e in fit.evidence)
    rng = np.random.default_rng([fit.effort.seed, BREATHING_STREAM])
    return np.asarray(np.exp(BREATHING_SD / np.sqrt(1.0 + read) * rng.standard_normal(fit.ensemble.members)))


def with_breathing_unknown(oxygen: Array, temperature: Array, factor: Array) -> Array:
    """Return dawn oxygen whose distance from saturation is as uncertain as what was never measured.

    Parameters
    ----------
    oxygen : Array
        As the process table has it, shape (day, member). [mg/L]
    temperature : Array
        Same shape. [°C]
    factor : Array
        On what is missing to saturation, shape (member,). [-]

    Returns
    -------
    Array
        Same shape, never below nought. [mg/L]

    References
    ----------
    benson_krause_1984
    """
    full = oxygen_saturation(temperature)
    return np.asarray(np.maximum(full - (full - oxygen) * factor, 0.0))
