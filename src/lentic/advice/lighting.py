"""Light by the hour and for the plants: dark time, two circuits, PPFD and moles a day, panes, the day outdoors."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

import numpy as np

from lentic.advice.findings import Finding, ask, date_words, known_as
from lentic.advice.words import Spread, number
from lentic.catalogue import Plant, lamps, resolve
from lentic.logbook.events import Event, Reading
from lentic.logbook.events import Lamp as LampEvent
from lentic.logbook.tank import Fixture, Tank
from lentic.model.parameters import Parameter, Share
from lentic.model.parameters_life import ALGAE
from lentic.model.parameters_tank import TANK
from lentic.science.light import daily_light, day_length_forsythe_1995, panel_view_factor, underwater_light

UNIT = "µmol/m²/s"
MINUTES = 24 * 60
LONGEST_H, DARKEST_H, LEAST_DARK_H = 12.0, 12.0, 10.0
"""Light a day at most; dark to aim at and the least; common practice, no source. [h]"""
WALLS = (1.0, 1.6)
"""What reflector and side walls add to a lamp's light; common practice, no source."""
CLEAR_WATER = (0.2, 0.4)
"""Attenuation of plant light in clear water; common practice, from memory. [1/m]"""
ANIMAL_USES = ("basking", "uvb", "basking_uvb")
POLAR_LATITUDE = 60.0
"""Beyond this latitude the day length may be off by more than a tenth of an hour."""


@dataclass(frozen=True, kw_only=True)
class PlantLight:
    """Light of one plant lamp on the water, at the ground, on the panes and over a day."""

    lamp: str
    ppfd: Spread
    origin: str
    hours: float | None
    mol_per_day: Spread
    at_ground: Spread
    on_panes: Spread
    sentence: str


def hours_of(lamp: Fixture, events: Sequence[Event]) -> float | None:
    """Return the daily hours of a lamp as last changed."""
    changed = [e.hours for e in events if isinstance(e, LampEvent) and e.use == lamp.use]
    return changed[-1] if changed else lamp.hours


def lit_minutes(tank: Tank, events: Sequence[Event]) -> np.ndarray[tuple[int], np.dtype[np.bool_]] | None:
    """Return for each minute of the day whether any lamp that shines is on; None while hours are missing."""
    lit = np.zeros(MINUTES, dtype=np.bool_)
    shining = [lamp for lamp in tank.lamps if lamp.lamp_class != "ceramic_heater"]
    if not shining:
        return None
    for lamp in shining:
        hours = hours_of(lamp, events)
        if hours is None:
            return None
        begin = lamp.on.hour * 60 + lamp.on.minute
        lit[np.arange(begin, begin + round(60 * hours)) % MINUTES] = True
    return lit


def dark_hours(lit: np.ndarray[tuple[int], np.dtype[np.bool_]]) -> float:
    """Return the longest unbroken dark time of a day. [h]"""
    if not lit.any():
        return 24.0
    on = np.flatnonzero(lit)
    gaps = [later - earlier - 1 for earlier, later in pairwise([*on, on[0] + MINUTES])]
    return float(max(gaps)) / 60.0


def rhythm_of(tank: Tank, events: Sequence[Event]) -> list[Finding]:
    """Return whether there is enough dark, and whether plants and animal have circuits of their own."""
    lit = lit_minutes(tank, events)
    if lit is None:
        return [ask("dark time", "How many hours a day is each lamp on, and from when? Write hours and on.")]
    dark = dark_hours(lit)
    said = f"{dark:.1f} h of dark in one piece (lamps as described)."
    source = f"{DARKEST_H:g} to 14 h, common practice"
    if dark < LEAST_DARK_H:
        found = Finding(what="dark time", state="act", sentence=said, source=source,
                        do="Timers: the animal has to rest, and algae gain from long light.")  # fmt: skip
    elif dark < DARKEST_H:
        found = Finding(what="dark time", state="watch", sentence=said, source=source, do="Shorten the longest lamp.")
    else:
        found = Finding(what="dark time", state="fine", sentence=said, source=source)
    return [found, *circuits_of(tank, events)]


def circuits_of(tank: Tank, events: Sequence[Event]) -> list[Finding]:
    """Return whether the plants' light can be cut without cutting the animal's."""
    animal = [lamp for lamp in tank.lamps if lamp.use in ANIMAL_USES]
    plants = [lamp for lamp in tank.lamps if lamp.use == "plants"]
    if not animal or not plants:
        return []
    known = all(lamp.circuit is not None for lamp in (*animal, *plants))
    if known:
        shared = {lamp.circuit for lamp in animal} & {lamp.circuit for lamp in plants}
        if not shared:
            return [Finding(what="circuits", state="fine", sentence="Animal and plants have circuits of their own.")]
        return [Finding(
            what="circuits", state="watch", do="A second timer: then algae can be starved of light, the animal not.",
            sentence=f"Animal and plants hang on one circuit ({', '.join(sorted(str(each) for each in shared))}).",
        )]  # fmt: skip
    times = {(lamp.on, hours_of(lamp, events)) for lamp in plants} & {
        (lamp.on, hours_of(lamp, events)) for lamp in animal
    }
    if not times:
        return [Finding(what="circuits", state="fine", sentence="By their hours, animal and plants have own timers.")]
    return [
        ask("circuits", "Do the plants' lamp and the animal's hang on one timer? Write circuit under each [[lamp]].")
    ]


def plant_light_of(tank: Tank, events: Sequence[Event], lamp: Fixture) -> PlantLight | Finding:
    """Return the light of a plant lamp, from a meter, lux and class, or geometry; else ask for the one fact."""
    record = lamps().get(lamp.lamp_class or "")
    name = record.name if record is not None else lamp.lamp_class or "plant lamp"
    ppfd, origin = _ppfd(tank, events, lamp)
    if ppfd is None:
        return ask("plant light", "Hold a lux meter (a telephone will do) at the water under the lamp: reading,lux. "
                                  "And name the class of the lamp.")  # fmt: skip
    hours = hours_of(lamp, events)
    depth = (tank.glass.water_depth_cm or 0.0) / 100.0
    ground = _between(ppfd, *(float(underwater_light(1.0, each, depth)) for each in CLEAR_WATER))
    panes = _on_panes(ppfd, depth)
    day = (
        _between(ppfd, *(float(daily_light(1.0, hours)),) * 2)
        if hours is not None
        else Spread(p10=None, p50=None, p90=None)
    )
    said = f"{name}: {_span(ppfd, UNIT)} at the water ({origin})"
    said += f", {_span(day, 'mol/m²')} a day in {hours:g} h" if hours is not None else ""
    if depth:
        said += f"; {_span(ground, UNIT)} at the ground of clear water"
    said += f"; {_span(panes, UNIT)} on the panes, where algae have enough from about {number(_algae_ik())}."
    return PlantLight(
        lamp=name,
        ppfd=ppfd,
        origin=origin,
        hours=hours,
        mol_per_day=day,
        at_ground=ground,
        on_panes=panes,
        sentence=said,
    )


def _ppfd(tank: Tank, events: Sequence[Event], lamp: Fixture) -> tuple[Spread | None, str]:
    """Return the light at the water and where the number comes from, the best source first."""
    record = lamps().get(lamp.lamp_class or "")
    last = {e.quantity: e for e in events if isinstance(e, Reading) and e.quantity in ("ppfd", "lux")}
    if "ppfd" in last:
        return _exact(last["ppfd"].value), f"own meter, {date_words(tank.local_date(last['ppfd'].time))}"
    if lamp.ppfd is not None:
        return _exact(lamp.ppfd), "own meter, as described"
    per = record.fact("lux_per_ppfd") if record is not None else None
    if "lux" in last and per is not None:
        low, high = per.bounds
        lux = last["lux"].value
        spread = Spread(p10=lux / high, p50=lux / per.middle, p90=lux / low)
        return spread, f"own lux reading and the class of the lamp: {known_as(per)}"
    photons = record.photons_per_joule if record is not None else None
    if photons is None or lamp.watts is None or not (lamp.height_cm and lamp.length_cm and lamp.width_cm):
        return None, ""
    long, wide, high_m = (each / 100.0 for each in (lamp.length_cm, lamp.width_cm, lamp.height_cm))
    shape = float(panel_view_factor(long, wide, high_m)) / (long * wide) * lamp.watts
    low, high = (shape * bound * wall for bound, wall in zip(photons.bounds, WALLS, strict=True))
    middle = shape * photons.middle * float(np.sqrt(WALLS[0] * WALLS[1]))
    return Spread(p10=low, p50=middle, p90=high), "geometry of the lamp and its class, from memory: measure lux once"


def _exact(value: float) -> Spread:
    return Spread(p10=value, p50=value, p90=value)


def _between(base: Spread, first: float, second: float) -> Spread:
    low, high = sorted((first, second))
    if base.p10 is None or base.p50 is None or base.p90 is None:
        return base
    return Spread(p10=base.p10 * low, p50=base.p50 * (low + high) / 2.0, p90=base.p90 * high)


def _default(rows: Sequence[Parameter], name: str) -> Parameter:
    return next(each for each in rows if each.name == name)


def _algae_ik() -> float:
    return _default(ALGAE, "algae_ik").default


def _on_panes(ppfd: Spread, depth: float) -> Spread:
    """Return the light that meets the panes: the mean in the water, the share that meets them, and the room."""
    dimming, room = _default(TANK, "water_dimming").default, _default(TANK, "room_umol").default
    share = _default(TANK, "pane_share")
    mean = (1.0 - np.exp(-dimming * depth)) / (dimming * depth) if depth else 1.0
    bounds = (share.prior.low, share.prior.high) if isinstance(share.prior, Share) else (share.default,) * 2
    lit = _between(ppfd, *(float(mean) * each for each in bounds))
    values = [None if each is None else each + room for each in (lit.p10, lit.p50, lit.p90)]
    return Spread(p10=values[0], p50=values[1], p90=values[2])


def _span(spread: Spread, unit: str) -> str:
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "not known"
    if spread.p90 - spread.p10 < 0.02 * spread.p50:
        return f"{number(spread.p50)} {unit}"
    return f"{number(spread.p50)} {unit} ({number(spread.p10)} to {number(spread.p90)})"


def wants_of(tank: Tank, light: PlantLight) -> list[Finding]:
    """Return plants that get less than they need, at the ground or, if they float, at the water."""
    found: list[Finding] = []
    for plant in tank.plants:
        record = resolve("plant", plant.species)
        least = record.fact("ppfd_min_umol") if isinstance(record, Plant) else None
        if least is None or not isinstance(record, Plant):
            continue
        floats = record.plant_class.air_leaves
        gets = light.ppfd if floats else light.at_ground
        where = "at the water" if floats else "at the ground"
        if gets.p50 is None:
            continue
        said = f"{plant.species} needs about {least.text}; {where} it gets {_span(gets, UNIT)}."
        short = gets.p50 < least.bounds[0]
        found.append(Finding(
            what="plant light", state="watch" if short else "fine", sentence=said, source=known_as(least),
            do="Lower the lamp, or a plant that floats; hours do not make up for it." if short else "",
        ))  # fmt: skip
    return found


def day_outdoors(tank: Tank, today: date) -> Finding:
    """Return the length of the day at the tank's latitude, today and at its longest and shortest."""
    if tank.latitude is None:
        return ask("day outdoors", "At which latitude does the tank stand? Write latitude, south with a minus.")
    days = day_length_forsythe_1995(tank.latitude, np.arange(1.0, 366.0))
    hours = float(days[min(today.timetuple().tm_yday, 365) - 1])
    rough = " Near the pole the formula is rough." if abs(tank.latitude) > POLAR_LATITUDE else ""
    said = f"{hours:.1f} h today at {tank.latitude:g}°; over the year {days.min():.1f} to {days.max():.1f} h.{rough}"
    return Finding(what="day outdoors", state="fine", sentence=said, source="Forsythe 1995, within 0.1 h below 60°")
