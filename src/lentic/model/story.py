"""From logged events to tasks on the tank's clock: jumps in log order, and records where something was seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import NamedTuple

import numpy as np

from lentic.engine.ensemble import Ensemble
from lentic.logbook.events import (
    Change,
    Dose,
    Event,
    Feed,
    Lamp,
    Leftovers,
    Look,
    LostPlant,
    Planted,
    Power,
    Reading,
    Rinse,
    Scrape,
    Siphon,
    Thin,
    TopUp,
)
from lentic.logbook.tank import Tank
from lentic.model import jumps
from lentic.model.describe import Description
from lentic.model.schedule import Lighting, Surroundings, Task, days_since
from lentic.science.disinfectant import ammonia_from_chloramine

SPIN_UP_D = 56.0
"""The log's first weeks are lived through once before, so that dirt and bacteria fit this routine. [d]"""
LOOK_HOUR = 19.0
"""When keepers look at the panes; common practice, no source. [h]"""
FISH_FOODS = ("flake", "fish")


class Seen(NamedTuple):
    """An event that says something of the state, and the record that holds the state at its moment."""

    event: Event
    record: int
    day: float


@dataclass(frozen=True, kw_only=True)
class Story:
    """A stretch of a tank's life ready for the engine."""

    midnight: datetime
    tasks: tuple[Task, ...]
    seen: tuple[Seen, ...]
    surroundings: Surroundings
    first: float
    last: float


def local_midnight(tank: Tank, moment: datetime) -> datetime:
    """Return the naive local midnight before a moment."""
    return datetime.combine(tank.local_date(moment), time())


def on_clock(tank: Tank, midnight: datetime, moment: datetime) -> float:
    """Return a moment on the tank's clock. [d]"""
    return days_since(midnight, tank.local_time(moment).replace(tzinfo=None))


def operators_of(event: Event, description: Description, planned: bool = False) -> tuple[jumps.Operator, ...]:
    """Return what an event does to the state; readings, looks and weighings do nothing."""
    tap = description.tank.source_water
    match event:
        case Feed(food=food, grams=grams):
            return (jumps.feed(grams, description.meals[food], food.startswith(FISH_FOODS)),)
        case Leftovers(food=food, grams=grams) if grams is not None:
            return (jumps.leftovers(grams, description.meals[food]),)
        case Change(litres=litres, percent=percent):
            nitrogen = float(ammonia_from_chloramine(tap.chloramine_mg_l or 0.0))
            return (jumps.change(litres, None if percent is None else percent / 100.0, nitrogen),)
        case TopUp(water=water):
            return (jumps.top_up(water == "demineralised"),)
        case Siphon(fraction=fraction):
            return (jumps.siphon(fraction),)
        case Scrape(where="panes"):
            return (jumps.scrape_where(),)
        case Thin(species=species, grams=grams):
            thin = jumps.thin if planned else jumps.thin_back
            return (thin(description.slot_of(species), grams),)
        case LostPlant(species=species, grams=grams):
            return (jumps.die_back(description.slot_of(species), grams),)
        case Planted(species=species, grams=grams):
            return (jumps.plant(description.slot_of(species), grams),)
        case Rinse(extent=extent, water=water):
            return (jumps.rinse(extent, water == "tap"),)
        case Dose(substance="sodium_bicarbonate", amount=amount, unit="g"):
            return (jumps.bicarbonate(amount),)
    return ()


@dataclass(frozen=True, kw_only=True)
class Unscraped(Event):
    """A moment at which this keeper looked at the panes and left them alone; worked out, never logged."""


def looks_on_chore_days(events: Sequence[Event]) -> bool:
    """Tell whether this keeper scrapes on days of water changes only."""
    changes = {e.time.date() for e in events if isinstance(e, Change)}
    scrapes = [e.time.date() for e in events if isinstance(e, Scrape)]
    return len(scrapes) >= 3 and sum(day in changes for day in scrapes) >= 0.8 * len(scrapes)


def unscraped(events: Sequence[Event]) -> list[Unscraped]:
    """Return the last look before each scraping, and the end of the log, at which the panes were left alone."""
    scrapes = [e.time for e in events if isinstance(e, Scrape)]
    changes = [e.time for e in events if isinstance(e, Change)]
    chores = looks_on_chore_days(events)
    found: list[datetime] = []
    for before, scrape in zip([None, *scrapes][: len(scrapes)], scrapes, strict=True):
        looks = (
            [t for t in changes if t < scrape - timedelta(days=1)]
            if chores
            else [scrape - timedelta(days=1.0)]
        )
        looks = [t for t in looks if before is None or t > before + timedelta(hours=12)]
        found += looks[-1:]
    if scrapes and events and not chores and events[-1].time - scrapes[-1] > timedelta(days=1):
        found.append(events[-1].time)
    return [Unscraped(time=moment) for moment in found]


@dataclass(frozen=True, kw_only=True)
class StillThere(Event):
    """A moment with plants that no one thins and no one reported lost: slot and last known wet grams; never logged."""

    clumps: tuple[tuple[int, float], ...]


STILL_THERE_EVERY_D = 28.0
"""How often a keeper would have noticed that most of a clump is gone; common practice, no source. [d]"""


def still_there(
    events: Sequence[Event], description: Description, begin: datetime, end: datetime
) -> list[StillThere]:
    """Return monthly moments at which unthinned plants must have been there in good part."""
    known = {n: slot.wet_g for n, slot in enumerate(description.slots, start=1)}
    thinned = {description.slot_of(e.species) for e in events if isinstance(e, Thin)}
    found: list[StillThere] = []
    moment = begin + timedelta(days=STILL_THERE_EVERY_D)
    waiting = [e for e in events if isinstance(e, Planted | LostPlant)]
    while moment <= end + timedelta(days=1):
        while waiting and waiting[0].time < moment:
            event = waiting.pop(0)
            slot = description.slot_of(event.species)
            # after plants were lost nobody knows what is left until some are put in
            known[slot] = 0.0 if isinstance(event, LostPlant) else known[slot] + event.grams
        clumps = tuple((n, grams) for n, grams in known.items() if grams > 0.0 and n not in thinned)
        if clumps:
            found.append(StillThere(time=min(moment, end), clumps=clumps))
        moment += timedelta(days=STILL_THERE_EVERY_D)
    return found


def _is_seen(event: Event) -> bool:
    if isinstance(event, Unscraped | StillThere):
        return True
    if isinstance(event, Look | Scrape):
        return event.where == "panes"
    return isinstance(event, Reading | Thin)


def spread_feeds(events: Sequence[Event]) -> list[Event]:
    """Return events with every summed feed shared out evenly over the days since the feed of that food before."""
    out: list[Event] = []
    before: dict[str, datetime] = {}
    for event in sorted(events, key=lambda e: e.time):
        if not isinstance(event, Feed):
            out.append(event)
            continue
        since = before.get(event.food, event.time - timedelta(days=7))
        before[event.food] = event.time
        days = max(1, round((event.time - since) / timedelta(days=1)))
        if not event.spread or days == 1:
            out.append(event)
            continue
        out += [
            Feed(
                time=event.time - timedelta(days=k),
                food=event.food,
                grams=event.grams / days,
                note=event.note,
            )
            for k in range(days)
        ]
    return sorted(out, key=lambda e: e.time)


def tasks_of(
    events: Sequence[Event], description: Description, midnight: datetime, planned: bool = False
) -> tuple[list[Task], list[Seen]]:
    """Return the jumps of events, and a record before each one that says something of the state."""
    tasks: list[Task] = []
    seen: list[Seen] = []
    for event in events:
        day = on_clock(description.tank, midnight, event.time)
        if _is_seen(event):
            seen.append(Seen(event, len(seen), day))
            tasks.append(Task(day=day, record=seen[-1].record))
        operators = operators_of(event, description, planned)
        if operators:
            sudden = not isinstance(event, Feed | Siphon | Thin | Rinse | Scrape)
            tasks.append(Task(day=day, operators=operators, sudden=sudden))
    return tasks, seen


def lighting(tank: Tank, events: Sequence[Event], midnight: datetime) -> Lighting:
    """Return the hours of the plant lamp as described and as changed since."""
    lamps = [lamp for lamp in tank.lamps if lamp.use == "plants"]
    hours = max((lamp.hours if lamp.hours is not None else 9.0 for lamp in lamps), default=0.0)
    on = min((lamp.on for lamp in lamps), default=time(9))
    changes = [(-1e9, hours)]
    for event in events:
        if isinstance(event, Lamp) and event.use == "plants":
            changes.append((on_clock(tank, midnight, event.time), event.hours))
    return Lighting(on_h=on.hour + on.minute / 60.0, changes=tuple(changes))


def outages(tank: Tank, events: Sequence[Event], midnight: datetime) -> tuple[tuple[float, float], ...]:
    """Return the spans without power; an off that is never switched on again lasts an hour, and is asked about."""
    found: list[tuple[float, float]] = []
    off: float | None = None
    for event in events:
        if isinstance(event, Power):
            day = on_clock(tank, midnight, event.time)
            if not event.on and off is None:
                off = day
            elif event.on and off is not None:
                found.append((off, day))
                off = None
    if off is not None:
        found.append((off, off + 1.0 / 24.0))
    return tuple(found)


def surroundings(tank: Tank, events: Sequence[Event], midnight: datetime) -> Surroundings:
    """Return room, window, lamp and power over the whole story."""
    room = [e.value for e in events if isinstance(e, Reading) and e.quantity == "room_temperature"]
    given = tank.room.temperature_c
    room_c = given if given is not None else float(np.median(room)) if room else 21.0
    return Surroundings(
        midnight=midnight,
        room_c=room_c,
        southern=(tank.timezone or "").startswith(("Australia/", "Antarctica/", "Pacific/Auckland")),
        sun_h=tank.room.window_sun_h or 0.0,
        lighting=lighting(tank, events, midnight),
        outages=outages(tank, events, midnight),
    )


def history(description: Description, events: Sequence[Event], begin: datetime, end: datetime) -> Story:
    """Return the logged life of a tank, with a run-up that repeats its first weeks.

    Parameters
    ----------
    description : Description
        The tank. [-]
    events : Sequence[Event]
        Its log, voided lines left out. [-]
    begin, end : datetime
        First and last moment, aware. [-]

    Returns
    -------
    Story
        From 56 days before the log to its end, with a record at everything seen. [-]
    """
    tank = description.tank
    midnight = local_midnight(tank, begin)
    lived = spread_feeds([e for e in events if begin <= e.time <= end])
    noted = [*lived, *unscraped(lived), *still_there(lived, description, begin, end - timedelta(hours=1))]
    noticed = sorted(noted, key=lambda e: e.time)
    tasks, seen = tasks_of(noticed, description, midnight)
    last = on_clock(tank, midnight, end)
    span = min(SPIN_UP_D, max(7.0, np.floor(last)))
    early, _ = tasks_of([e for e in lived if on_clock(tank, midnight, e.time) < span], description, midnight)
    for repeat in range(int(np.ceil(SPIN_UP_D / span))):
        shift = span * (repeat + 1)
        tasks += [
            Task(day=t.day - shift, operators=t.operators, sudden=t.sudden)
            for t in early
            if t.operators and t.day - shift >= -SPIN_UP_D
        ]
    return Story(
        midnight=midnight,
        tasks=tuple(tasks),
        seen=tuple(seen),
        surroundings=surroundings(tank, [e for e in events if e.time <= end], midnight),
        first=-SPIN_UP_D,
        last=float(np.ceil(last * 144.0) / 144.0),
    )


def clock_task(day: float, operators: tuple[jumps.Operator, ...]) -> Task:
    """Return a task that tells the members what day it is, then does something that depends on it."""

    def tell(rows: Ensemble) -> None:
        rows["clock"] = day

    return Task(day=day, operators=(tell, *operators), sudden=False)
