"""The description as the log has changed it since: hours of lamps, tank mates and turtles that came or went."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lentic.catalogue import Animal, Record, resolve
from lentic.catalogue.load import turtles
from lentic.logbook.events import AnimalIn, AnimalOut, Event, Lamp
from lentic.logbook.tank import Fish, Tank


def as_of_now(tank: Tank, events: Sequence[Event]) -> Tank:
    """Return the tank with what the log tells after the day the description stands for."""
    for event in sorted(events, key=lambda each: each.time):
        if tank.as_of is not None and tank.local_date(event.time) <= tank.as_of:
            continue
        match event:
            case Lamp():
                lamps = (replace(it, hours=event.hours) if it.use == event.use else it for it in tank.lamps)
                tank = replace(tank, lamps=tuple(lamps))
            case AnimalIn():
                tank = _came(tank, event)
            case AnimalOut():
                tank = _went(tank, event)
    return tank


def a_turtle_came(tank: Tank, events: Sequence[Event]) -> bool:
    """Tell whether the log tells of a turtle that no one described; how many there are then has to be asked."""
    ids = {turtle.id for turtle in tank.turtles}
    came = (e.what for e in events if isinstance(e, AnimalIn) and e.what not in ids)
    return any(isinstance(r := resolve("animal", what), Record) and r.id in turtles() for what in came)


def _same(species: str, record: Record) -> bool:
    found = resolve("tankmate", species)
    return isinstance(found, Record) and found.id == record.id


def _came(tank: Tank, event: AnimalIn) -> Tank:
    record = resolve("tankmate", event.what)
    if not isinstance(record, Animal) or any(_same(fish.species, record) for fish in tank.fish):
        return tank
    return replace(tank, fish=(*tank.fish, Fish(species=event.what, count=event.count, mass_g=event.mass_g)))


def _went(tank: Tank, event: AnimalOut) -> Tank:
    left = tuple(turtle for turtle in tank.turtles if turtle.id != event.what)
    record = resolve("tankmate", event.what)
    if not isinstance(record, Animal):
        return replace(tank, turtles=left)
    fish: list[Fish] = []
    for each in tank.fish:
        count = each.count
        if count is not None and _same(each.species, record):
            count -= event.count
        if count is None or count > 0:
            fish.append(replace(each, count=count))
    return replace(tank, turtles=left, fish=tuple(fish))
