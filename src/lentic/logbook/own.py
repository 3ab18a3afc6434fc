"""What a keeper knows better than the catalogue: the packet in hand, the meter over the water, the dried plant.

A keeper's own value wins over the catalogue's and keeps its own origin; what the keeper leaves open is taken from the
catalogue and keeps that origin.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Final

from lentic.catalogue import OWN, Fact, Food, Lamp, Plant, Record, lamps, normalise, resolve
from lentic.logbook.events import Event, Reading, Weigh
from lentic.logbook.tank import Fixture, Packet, Tank
from lentic.logbook.tank import Plant as OwnPlant

_PACKET: Final[Mapping[str, tuple[str, float, str]]] = {
    "protein": ("protein_pct", 100.0, "%"),
    "fat": ("fat_pct", 100.0, "%"),
    "ash": ("ash_pct", 100.0, "%"),
    "water": ("moisture_pct", 100.0, "%"),
    "phosphorus": ("phosphorus_mg_100g", 1e5, "mg/100 g"),
    "calcium": ("calcium_mg_100g", 1e5, "mg/100 g"),
    "kcal_100g": ("kcal_100g", 1.0, "kcal/100 g"),
}
"""Keys of a packet, the fact each stands for, and what turns the number into the unit of that fact."""

_FOLLOWS: Final[Mapping[str, tuple[str, ...]]] = {
    "N_mg_per_g": ("protein",),
    "P_mg_per_g": ("phosphorus",),
    "N_mg_per_kcal": ("protein", "kcal_100g"),
    "Ca_to_P": ("calcium", "phosphorus"),
    "energy_check": ("protein", "fat", "ash", "water", "kcal_100g"),
    "kcal_100g": ("protein", "fat"),
}
"""Facts the catalogue works out from others; an own value under one of them takes the old result out."""


def food(tank: Tank, name: str) -> Food | None:
    """Return a food as this keeper knows it: the packet's own values, the rest from the catalogue."""
    packet = packet_of(tank, name)
    found = resolve("food", name if packet is None else packet.id)
    record = found if isinstance(found, Food) else None
    return record if packet is None else _from_packet(packet, record)


def packet_of(tank: Tank, name: str) -> Packet | None:
    """Return the keeper's own packet of a food, found by its id or by any catalogue name of the same food."""
    wanted = normalise(name)
    for packet in tank.foods:
        if normalise(packet.id) == wanted:
            return packet
    record = resolve("food", name)
    if not isinstance(record, Record):
        return None
    same = (packet for packet in tank.foods if _is(packet.id, record))
    return next(same, None)


def _is(name: str, record: Record) -> bool:
    found = resolve("food", name)
    return isinstance(found, Record) and found.id == record.id


def _from_packet(packet: Packet, record: Food | None) -> Food:
    source = f"[[food]] {packet.id} in tank.toml"
    own = {
        key: Fact(value=float(given) * factor, unit=unit, how=OWN, source=source)
        for name, (key, factor, unit) in _PACKET.items()
        if (given := getattr(packet, name)) is not None
    }
    if record is None:
        return Food(id=packet.id, names=(packet.id,), facts=own)
    stale = {key for key, roots in _FOLLOWS.items() if any(getattr(packet, root) is not None for root in roots)}
    kept = {key: fact for key, fact in record.facts.items() if key not in stale}
    return replace(record, id=packet.id, facts={**kept, **own})


def dry_fraction(tank: Tank, species: str) -> Fact | None:
    """Return the dry share of a plant's wet mass: the keeper's own, else the catalogue's, else unknown."""
    found = resolve("plant", species)
    for plant in tank.plants:
        if plant.dry_fraction is not None and _same_plant(plant, species, found):
            source = f"[[plant]] {plant.species} in tank.toml"
            return Fact(value=plant.dry_fraction, unit="g/g", how=OWN, source=source)
    return found.dry_fraction if isinstance(found, Plant) else None


def _same_plant(plant: OwnPlant, species: str, found: object) -> bool:
    if normalise(plant.species) == normalise(species):
        return True
    return isinstance(found, Plant) and resolve("plant", plant.species) is found


def with_readings(tank: Tank, events: Iterable[Event]) -> Tank:
    """Return the tank with what the log measured: the plant light last read, and masses the description leaves out."""
    logged = tuple(events)
    return _with_light(_with_masses(tank, logged), logged)


def _with_light(tank: Tank, events: Sequence[Event]) -> Tank:
    light = measured_light(tank, events)
    places = [place for place, lamp in enumerate(tank.lamps) if lamp.use == "plants"]
    if light is None or not places:
        return tank
    changed = {place: replace(tank.lamps[place], ppfd=None, watts=None) for place in places}
    changed[places[0]] = replace(changed[places[0]], ppfd=light.middle)
    return replace(tank, lamps=tuple(changed.get(place, lamp) for place, lamp in enumerate(tank.lamps)))


def _with_masses(tank: Tank, events: Sequence[Event]) -> Tank:
    first: dict[str, float] = {}
    for event in sorted(events, key=lambda each: each.time):
        if isinstance(event, Weigh):
            first.setdefault(event.animal, event.grams)
    if not any(turtle.mass_g is None and turtle.id in first for turtle in tank.turtles):
        return tank
    turtles = (replace(t, mass_g=first.get(t.id)) if t.mass_g is None else t for t in tank.turtles)
    return replace(tank, turtles=tuple(turtles))


def measured_light(tank: Tank, events: Iterable[Event]) -> Fact | None:
    """Return the plant light last read at the water [µmol/m²/s]; a reading in lux needs the class of the lamp."""
    read = [e for e in events if isinstance(e, Reading) and e.quantity in ("ppfd", "lux") and not e.above]
    if not read:
        return None
    last = max(read, key=lambda event: event.time)
    source = f"reading of {tank.local_date(last.time):%Y-%m-%d}"
    if last.quantity == "ppfd":
        return Fact(value=last.value, unit="µmol/m²/s", how=OWN, source=source)
    factor = next((lux for lamp in tank.lamps if lamp.use == "plants" and (lux := _lux_per_ppfd(lamp))), None)
    if factor is None:
        return None
    note = f"from lux by the factor of the lamp's class ({factor.origin})"
    return Fact(value=last.value / factor.middle, unit="µmol/m²/s", how=OWN, source=source, note=note)


def _lux_per_ppfd(fixture: Fixture) -> Fact | None:
    known = lamps().get(fixture.lamp_class or "") or resolve("lamp", fixture.lamp_class or "")
    return known.fact("lux_per_ppfd") if isinstance(known, Lamp) else None
