"""The tank that the engine's benchmark runs on: one keeper's routine, and many draws of everything unknown."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Ensemble
from lentic.engine.kernel import Kernel
from lentic.engine.run import Timeline
from lentic.engine.table import Table
from lentic.learn.numbers import numbers_of
from lentic.logbook.events import Change, Event, Feed, Power, Rinse, Scrape, Siphon, Thin
from lentic.logbook.tank import Filter, Fish, Fixture, Glass, Heater, Packet, Plant, Room, SourceWater, Tank, Turtle
from lentic.model.describe import Description, describe
from lentic.model.members import drift_tasks, knots, populate, table_for
from lentic.model.schedule import Task, timeline
from lentic.model.story import surroundings, tasks_of

Array = npt.NDArray[np.float64]

MIDNIGHT = datetime(2025, 3, 1)  # noqa: DTZ001 - the tank's own clock has no offset
POINTS = knots(366.0)
ACCOUNTS = ("oxygen_air", "carbon_air")
FAST = ("oxygen", "carbon", "ammonium", "nitrite", "urea", "temperature")

TANK = Tank(
    name="bench",
    timezone="UTC",
    glass=Glass(length_cm=120.0, width_cm=50.0, water_depth_cm=47.0, water_l=280.0, lid_open_fraction=0.5),
    room=Room(temperature_c=21.0, window_sun_h=1.5),
    source_water=SourceWater(kh_dkh=7.0, gh_dgh=11.0, no3_mg_l=5.0, po4_mg_l=0.15),
    filter=Filter(type="canister", media_l=6.0, flow_l_h=700.0),
    heater=Heater(watts=150.0, set_c=25.0),
    turtles=(Turtle(id="turtle", mass_g=400.0, hatched=date(2019, 6, 1)),),
    fish=(Fish(species="minnow", count=8, mass_g=0.6),),
    plants=(Plant(species="stems", wet_g=300.0), Plant(species="second", wet_g=60.0)),
    lamps=(Fixture(use="plants", ppfd=70.0, hours=10.0, on=time(8)),),
    foods=(
        Packet(id="pellet", protein=0.40, fat=0.08, ash=0.10, water=0.08, phosphorus=0.012),
        Packet(id="flake", protein=0.44, fat=0.08, ash=0.10, water=0.06, phosphorus=0.012),
    ),
)


def routine(days: int, food: float = 1.0, pump_stop: float | None = 10.0) -> list[Event]:
    """Return what this keeper does: two meals, a weekly change, scraping, thinning, rinsing and one power cut."""
    start = MIDNIGHT.replace(tzinfo=UTC)
    events: list[Event] = []
    for day in range(days):
        at = start + timedelta(days=day)
        events.append(Feed(time=at + timedelta(hours=9), food="pellet", grams=1.3 * food))
        events.append(Feed(time=at + timedelta(hours=18, minutes=30), food="flake", grams=0.2 * food))
        noon = at + timedelta(hours=11, minutes=20)
        if day % 9 == 4:
            events.append(Scrape(time=noon))
        if day % 14 == 6:
            events.append(Thin(time=noon, species=TANK.plants[0].species, grams=60.0))
        if day % 7 == 6:
            events += [Siphon(time=noon), Change(time=noon, percent=30.0)]
        if day % 42 == 20:
            events.append(Rinse(time=noon, extent="half", water="tank"))
    if pump_stop is not None:
        events.append(Power(time=start + timedelta(days=pump_stop, hours=6), on=False))
        events.append(Power(time=start + timedelta(days=pump_stop, hours=18), on=True))
    return sorted(events, key=lambda e: e.time)


@dataclass(frozen=True, kw_only=True)
class Problem:
    """The described tank, its table and its life."""

    description: Description
    table: Table
    events: tuple[Event, ...]
    days: int

    def members(self, kernel: Kernel, count: int, seed: int = 1, **changed: float) -> Ensemble:
        """Return draws from the priors; `changed` multiplies parameters of all members."""
        numbers = numbers_of(self.description, POINTS)
        values = numbers.values(numbers.draw(count, np.random.default_rng(seed)))
        for name, factor in changed.items():
            values[name] = values.get(name, self.description.parameters[name].default) * factor
        return populate(kernel, self.description, values, count, POINTS)

    def timeline(self, every_h: float | None = 24.0) -> Timeline:
        """Return its steps; records every so many hours, the first at the beginning."""
        tasks, _ = tasks_of(self.events, self.description, MIDNIGHT)
        tasks = [Task(day=t.day, operators=t.operators, sudden=t.sudden) for t in tasks if t.operators]
        if every_h is not None:
            moments = np.arange(0.0, self.days + 1e-9, every_h / 24.0)
            tasks += [Task(day=float(moment), record=k) for k, moment in enumerate(moments)]
        around = surroundings(self.description.tank, self.events, MIDNIGHT)
        return timeline([*tasks, *drift_tasks(0.0, float(self.days))], around, 0.0, float(self.days))


def problem(days: int, food: float = 1.0) -> Problem:
    """Return the benchmark's problem over so many days."""
    events = routine(days, food)
    description = describe(TANK, events, date(2025, 3, 1))
    return Problem(description=description, table=table_for(description), events=tuple(events), days=days)


def watched(line: Timeline) -> Timeline:
    """Return the same life with a record at every boundary of a step: no step changes for it."""
    records = {step: (step,) for step in range(len(line.dts) + 1)}
    return Timeline(dts=line.dts, starts=line.starts, drivers=line.drivers, jumps=line.jumps, records=records)


def refined(line: Timeline, longest_min: float) -> Timeline:
    """Return the same life with every step cut into equal parts no longer than that; drivers stay as they were."""
    parts = np.maximum(1, np.ceil(line.dts * 1440.0 / longest_min - 1e-6)).astype(int)
    begin = np.concatenate([[0], np.cumsum(parts)])
    dts = np.repeat(line.dts / parts, parts)
    return Timeline(
        dts=dts,
        starts=line.starts[0] + np.concatenate([[0.0], np.cumsum(dts)[:-1]]),
        drivers=np.repeat(line.drivers, parts, axis=0),
        jumps={int(begin[k]): v for k, v in line.jumps.items()},
        records={int(begin[k]): v for k, v in line.records.items()},
    )


def merged(line: Timeline, longest_min: float) -> Timeline:
    """Return the same life with neighbouring steps put together, but never across a switch, a jump or a record."""
    keep = {0, len(line.dts), *line.jumps, *line.records}
    switched = np.flatnonzero((np.diff(line.drivers[:, [0, 1, 3]], axis=0) != 0.0).any(axis=1)) + 1
    keep |= {int(k) for k in switched}
    first, edges = 0, [0]
    for step in range(1, len(line.dts) + 1):
        if step in keep or line.dts[first : step + 1].sum() * 1440.0 > longest_min + 1e-6:
            edges.append(step)
            first = step
    number = {edge: k for k, edge in enumerate(edges)}
    starts = np.asarray(edges[:-1])
    return Timeline(
        dts=np.add.reduceat(line.dts, starts),
        starts=line.starts[starts],
        drivers=line.drivers[starts],
        jumps={number[k]: v for k, v in line.jumps.items()},
        records={number[k]: v for k, v in line.records.items()},
    )
