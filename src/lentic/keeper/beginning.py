"""A newcomer's first five minutes: the tank in a few facts, last week from memory, the first answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import time, timedelta

from lentic.advice.first import First, first_of
from lentic.catalogue import Record, foods, plants, resolve, turtles
from lentic.keeper.book import standing_events
from lentic.keeper.desk import Desk
from lentic.keeper.opening import AskError, wanted_readings
from lentic.logbook.events import Change, Event, Feed, Scrape
from lentic.logbook.quick import parse_quick
from lentic.logbook.tank import Fixture, Glass, Plant, Tank, Turtle
from lentic.logbook.tank_file import read_tank, tank_text

WEEK_D = 7
FROM_MEMORY = "from memory"


@dataclass(frozen=True, kw_only=True)
class Begun:
    """What a newcomer says of the tank; everything but the name may be unknown."""

    name: str
    timezone: str
    buckets: float | None = None
    bucket_l: float | None = None
    water_l: float | None = None
    length_cm: float | None = None
    width_cm: float | None = None
    depth_cm: float | None = None
    animal: str = ""
    species: str = ""
    mass_g: float | None = None
    plant: str = ""
    plant_g: float | None = None
    lamp_h: float | None = None


@dataclass(frozen=True, kw_only=True)
class Week:
    """What a newcomer remembers of the last seven days."""

    feeds: tuple[tuple[str, float, int], ...] = ()
    """Food, grams each time, times."""
    changed_l: float | None = None
    changed_ago_d: int = 3
    scraped: int = 0
    readings: str = ""
    """As a line of the log: nitrate 40 mg/L NO3; kh 6 dKH."""


@dataclass(frozen=True, kw_only=True)
class Opening:
    """The first answer with the two readings that would help most."""

    first: First
    readings: tuple[str, ...]


def names_of(kind: str) -> tuple[str, ...]:
    """Return the names one can choose from, as the catalogue has them."""
    tables = {"turtle": turtles, "food": foods, "plant": plants}
    return tuple(sorted({record.name for record in tables[kind]().values()}))


def begin(desk: Desk, told: Begun) -> str:
    """Describe a new tank; return its name."""
    name = told.name.strip()
    if not name:
        raise AskError("The tank needs a name, such as Loft tank.")
    if name in desk.store.tanks():
        raise AskError(f"There is a tank called {name} already. Choose another name.")
    water = told.water_l
    if water is None and told.buckets and told.bucket_l:
        water = told.buckets * told.bucket_l
    glass = Glass(water_l=water, length_cm=told.length_cm, width_cm=told.width_cm, water_depth_cm=told.depth_cm)
    tank = Tank(
        name=name, timezone=told.timezone or None, glass=glass, turtles=_turtles(told), plants=_plants(told),
        lamps=() if told.lamp_h is None else (Fixture(use="plants", hours=told.lamp_h),),
    )  # fmt: skip
    checked, problems = read_tank(tank_text(tank))
    refused = [problem for problem in problems if problem.severity == "refused"]
    if checked is None or refused:
        raise AskError(" ".join(f"{problem.message} {problem.remedy}" for problem in refused))
    desk.store.save_tank(checked, desk.now())
    return name


def _turtles(told: Begun) -> tuple[Turtle, ...]:
    if not (told.animal or told.species or told.mass_g):
        return ()
    found = resolve("turtle", told.species) if told.species else None
    species = found.scientific or found.id if isinstance(found, Record) else told.species or None
    name = (told.animal or "turtle").strip().casefold().replace(" ", "_")
    return (Turtle(id=name, species=species, mass_g=told.mass_g),)


def _plants(told: Begun) -> tuple[Plant, ...]:
    if not told.plant:
        return ()
    found = resolve("plant", told.plant)
    species = found.scientific or found.id if isinstance(found, Record) else told.plant
    return (Plant(species=species, wet_g=told.plant_g),)


def remember(desk: Desk, name: str, week: Week, receipt: str) -> int:
    """Write down what is remembered of last week; return how many entries."""
    held = desk.held(name)
    events = [*_fed(desk, held.tank, week), *_done(desk, held.tank, week)]
    if week.readings:
        quick = parse_quick(week.readings, held.tank, (), desk.now())
        slips = [*(q.text for q in quick.questions), *(p.message for p in quick.problems if p.severity == "refused")]
        if slips:
            raise AskError(" ".join(slips))
        events += quick.events
    if events:
        desk.store.append_once(name, sorted(events, key=lambda each: each.time), receipt, desk.now())
    return len(events)


def _fed(desk: Desk, tank: Tank, week: Week) -> list[Event]:
    today = tank.local_date(desk.now())
    found: list[Event] = []
    for food, grams, times in week.feeds:
        known = resolve("food", food)
        if not isinstance(known, Record):
            raise AskError(f"'{food}' is not one food known here. Choose one of the list, or the nearest to it.")
        for turn in range(times):
            day = today - timedelta(days=1 + (turn * WEEK_D) // max(times, 1) % WEEK_D)
            clock = time(8, min(59, 5 * (turn // WEEK_D)))
            found.append(Feed(time=tank.utc(day, clock), food=known.id, grams=grams, note=FROM_MEMORY))
    return found


def _done(desk: Desk, tank: Tank, week: Week) -> list[Event]:
    today = tank.local_date(desk.now())
    found: list[Event] = []
    if week.changed_l:
        day = today - timedelta(days=max(1, min(week.changed_ago_d, WEEK_D)))
        found.append(Change(time=tank.utc(day, time(18)), litres=week.changed_l, note=FROM_MEMORY))
    for turn in range(min(week.scraped, WEEK_D)):
        day = today - timedelta(days=1 + turn * WEEK_D // max(week.scraped, 1))
        found.append(Scrape(time=tank.utc(day, time(18, 10)), note=FROM_MEMORY))
    return found


def opening(desk: Desk, name: str) -> Opening:
    """Return the first answer about a tank."""
    held = desk.held(name)
    events: Sequence[Event] = standing_events(held)
    return Opening(first=first_of(held.tank, events, desk.now()), readings=wanted_readings(held.tank, events))
