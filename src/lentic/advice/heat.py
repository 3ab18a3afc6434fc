"""How a tank keeps its heat: what it loses, what heater holds it, what happens when one fails, what it costs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from math import log

import numpy as np

from lentic.advice.estimate import Estimate, between, exactly, follows
from lentic.advice.findings import Finding, State, ask
from lentic.advice.words import number
from lentic.learn.cooling import Cooling, cooling_rate
from lentic.logbook.events import Change, Event, Power, Reading, TopUp
from lentic.logbook.tank import Tank
from lentic.science.heat import heat_capacity, heater_power, wall_transmittance

GLASS, ACRYLIC = 1.0, 0.19
"""Conductivity of the pane, ISO 10456 as in `wall_transmittance`. [W/m/K]"""
FLOOR_RESISTANCE = 0.5
"""A floor on a stand loses little; common practice, no source. [m2K/W]"""
RADIATION = 5.0
"""Long-wave exchange of an open surface with the room, as the tangent of the fourth power near 22 °C. [W/m2/K]"""
PRIOR_SD = 0.25
"""Error of a loss worked out from measures, as a logarithm: still-surface models differ by 30 % (Shah 2014). [-]"""
HUMIDITY, GLASS_MM, LID = 0.5, 8.0, 0.5
"""Taken where the tank's description does not say; assumptions of ours. [-, mm, -]"""
SWING_K = 4.0
"""Where the coldest night is not given it is so much below the room of the description; an assumption of ours. [K]"""
FITS, STUCK_K = 1.15, 9.0
"""A heater should give so much more than the loss of the coldest night, and if it sticks on raise the water by no more
than this; common practice, no source. [-, K]"""
HOT_C, COLD_C = 33.0, 15.0
"""Water beyond which a vet is called; common practice, no source. [°C]"""
STEEP_K = 1.0
"""A room this near the water tells nothing about its loss. [K]"""
TIGHT = 0.05
"""Share of evaporation that a close lid leaves; common practice, no source. [-]"""
GLASS_KG_M3 = 2500.0
HOURS_A_YEAR = 8766.0
STANDARD_W = (25.0, 50.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0)
"""Heaters as they are sold; common practice. [W]"""


@dataclass(frozen=True, kw_only=True)
class Heat:
    """What is known of a tank's warmth."""

    tank: str
    loss: Estimate
    """Heat lost for each degree above the room. [W/K]"""
    constant: Estimate
    """Hours in which 63 % of the excess is gone. [h]"""
    learned: bool
    water: Estimate
    room: Estimate
    coldest_c: float
    needed: Estimate
    """Power on the coldest night. [W]"""
    findings: tuple[Finding, ...]
    clock: tuple[tuple[float, Estimate], ...]
    """Hours without power and the temperature then."""
    year: Estimate | None
    cost: Estimate | None
    lid_saves: Estimate | None


def heat_of(
    tank: Tank, events: Sequence[Event], coldest_c: float | None = None, price: float | None = None
) -> Heat | Finding:
    """Return how a tank keeps its heat, or the one fact that is missing."""
    if not tank.water_litres:
        return ask("heat", "How many litres of real water are in it? Count the buckets once.")
    water, room = _water(tank, events), _room(tank, events)
    if water is None:
        return ask("heat", "How warm is the water? One temperature reading, or set_c of the heater, is enough.")
    if room is None:
        return ask("heat", "How warm is the room? temperature_c under [room], or one reading of room_temperature.")
    prior = _prior(tank, water.value, room.value)
    if prior is None:
        return ask("heat", "Inner length and width of the tank and the depth of its water, in cm.")
    capacity = _capacity(tank, water.value)
    curves = cooling_curves(tank, events, room.value)
    rate = cooling_rate(curves, prior / capacity * 3600.0, PRIOR_SD)
    unit = capacity / 3600.0
    origin = (
        f"learned from {len(curves)} times without heating" if rate.learned else "from the measures, 25 % either way"
    )
    loss = between(rate.p10 * unit, rate.p50 * unit, rate.p90 * unit, "W/K", origin)
    loss = _with_duty(tank, events, loss, water, room)
    coldest = coldest_c if coldest_c is not None else room.value - SWING_K
    needed = follows(lambda k, t: k * max(t - coldest, 0.0), loss, water, unit="W")
    return Heat(
        tank=tank.name, loss=loss, constant=follows(lambda k: capacity / k / 3600.0, loss, unit="h"),
        learned=rate.learned, water=water, room=room, coldest_c=coldest, needed=needed,
        findings=_findings(tank, loss, water, room, needed, coldest, coldest_c is not None),
        clock=_clock(loss, water, room, capacity), year=_year(loss, water, room),
        cost=_cost(_year(loss, water, room), price), lid_saves=_lid(tank, water, room, loss),
    )  # fmt: skip


def cooling_curves(tank: Tank, events: Sequence[Event], room: float) -> list[Cooling]:
    """Return times without power in which the temperature was read at least twice and no new water came in."""
    curves: list[Cooling] = []
    off: Event | None = None
    seen: list[tuple[float, float]] = []
    for event in events:
        if isinstance(event, Power) and not event.on:
            off, seen = event, []
        elif off is not None and isinstance(event, Reading) and event.quantity == "temperature":
            seen.append(((event.time - off.time) / timedelta(hours=1), event.value))
        elif isinstance(event, Reading) and event.quantity == "room_temperature":
            room = event.value
        elif isinstance(event, Change | TopUp) or (isinstance(event, Power) and event.on):
            curves += _curve(seen, room)
            off, seen = None, []
    curves += _curve(seen, room) if off is not None else []
    return curves


def _curve(seen: Sequence[tuple[float, float]], room: float) -> list[Cooling]:
    if len(seen) < 2 or seen[0][1] - room < STEEP_K:
        return []
    hours, water = np.array(seen).T
    return [Cooling(hours=hours, water=water, room=room)]


def _last(events: Sequence[Event], quantity: str) -> list[float]:
    return [e.value for e in events if isinstance(e, Reading) and e.quantity == quantity][-8:]


def _water(tank: Tank, events: Sequence[Event]) -> Estimate | None:
    if tank.heater is not None and tank.heater.set_c is not None:
        return exactly(tank.heater.set_c, "°C", "set on the heater")
    read = _last(events, "temperature")
    return between(min(read), float(np.median(read)), max(read), "°C", "own readings") if read else None


def _room(tank: Tank, events: Sequence[Event]) -> Estimate | None:
    read = _last(events, "room_temperature")
    if read:
        return between(min(read), float(np.median(read)), max(read), "°C", "own readings")
    given = tank.room.temperature_c
    return None if given is None else between(given - 1.0, given, given + 1.0, "°C", "the tank's description")


def open_share_of(tank: Tank) -> float:
    """Return the share of the surface that no lid covers; half where it is not described."""
    return tank.glass.lid_open_fraction if tank.glass.lid_open_fraction is not None else LID


def humidity_of(tank: Tank) -> float:
    """Return the relative humidity of the room, taken as one half where it is not described."""
    return tank.room.relative_humidity if tank.room.relative_humidity is not None else HUMIDITY


def conductance(tank: Tank, lid: float | None = None) -> float | None:
    """Return the heat that panes, floor and the surface's radiation let through. [W/K]"""
    glass = tank.glass
    if not glass.length_cm or not glass.width_cm or not glass.water_depth_cm:
        return None
    length, width, depth = glass.length_cm / 100.0, glass.width_cm / 100.0, glass.water_depth_cm / 100.0
    pane = ACRYLIC if glass.pane == "acrylic" else GLASS
    wall = float(wall_transmittance((glass.pane_mm or GLASS_MM) / 1000.0, pane))
    open_share = lid if lid is not None else open_share_of(tank)
    return 2.0 * (length + width) * depth * wall + length * width * (1.0 / FLOOR_RESISTANCE + RADIATION * open_share)


def heat_lost(tank: Tank, water: float, room: float, lid: float | None = None) -> float | None:
    """Return the heat a tank loses in a room, worked out from its measures. [W]"""
    walls, glass = conductance(tank, lid), tank.glass
    if walls is None or not glass.length_cm or not glass.width_cm:
        return None
    area = glass.length_cm * glass.width_cm / 1e4
    open_share = lid if lid is not None else open_share_of(tank)
    return float(heater_power(walls, water, room, humidity_of(tank), area, open_share))


def _prior(tank: Tank, water: float, room: float) -> float | None:
    above = max(water - room, STEEP_K)
    power = heat_lost(tank, room + above, room)
    return None if power is None else power / above


def _capacity(tank: Tank, water: float) -> float:
    glass = tank.glass
    area = 0.0
    if glass.length_cm and glass.width_cm and glass.height_cm:
        area = (2.0 * (glass.length_cm + glass.width_cm) * glass.height_cm + glass.length_cm * glass.width_cm) / 1e4
    mass = area * (glass.pane_mm or GLASS_MM) / 1000.0 * GLASS_KG_M3
    return float(heat_capacity(tank.water_litres or 0.0, water, mass))


def _with_duty(tank: Tank, events: Sequence[Event], loss: Estimate, water: Estimate, room: Estimate) -> Estimate:
    """Return the loss narrowed by how much of the time the heater was on, where that was read."""
    read = _last(events, "heater_duty")
    watts = tank.heater.watts if tank.heater is not None else None
    above = water.value - room.value
    if not read or not watts or above < STEEP_K:
        return loss
    seen = watts * float(np.median(read)) / 100.0 / above
    width = log(loss.high / loss.low) / 2.56
    error = np.hypot(0.1, (room.high - room.low) / 2.56 / above)
    share = width**2 / (width**2 + error**2)
    middle = float(np.exp((1.0 - share) * log(loss.value) + share * log(max(seen, 1e-6))))
    spread = float(np.exp(1.28 * np.sqrt(share) * error))
    return between(
        middle / spread, middle, middle * spread, "W/K", f"{loss.origin}; {len(read)} readings of the heater's duty"
    )


def _clock(loss: Estimate, water: Estimate, room: Estimate, capacity: float) -> tuple[tuple[float, Estimate], ...]:
    def after(hours: float) -> Estimate:
        return follows(
            lambda k, t, r: r + (t - r) * float(np.exp(-k * hours * 3600.0 / capacity)), loss, water, room, unit="°C"
        )

    return tuple((hours, after(hours)) for hours in (2.0, 6.0, 12.0, 24.0))


def _findings(
    tank: Tank, loss: Estimate, water: Estimate, room: Estimate, needed: Estimate, coldest: float, given: bool
) -> tuple[Finding, ...]:  # fmt: skip
    whence = "as given" if given else f"an assumption: {SWING_K:g} K below the room as described"
    found = []
    watts = tank.heater.watts if tank.heater is not None else None
    if watts is None:
        found.append(ask("heater", "How many watts does the heater have? It stands on it."))
    else:
        found += [_holds(watts, needed, coldest, whence), _sticks(watts, loss, room, water)]
    found.append(_choice(loss, needed, watts))
    if "learned" not in loss.origin:
        found.append(
            Finding(
                what="learning", state="ask",
                sentence="This is worked out from the measures. Once, with fish safe: heater off for two hours, no new "
                "water, temperature read every quarter hour (log: power off; temp 24.8; ... power on).",
            )
        )  # fmt: skip
    return tuple(found)


def _holds(watts: float, needed: Estimate, coldest: float, whence: str) -> Finding:
    told = (
        f"On the coldest night ({coldest:.0f} °C, {whence}) the tank needs {needed.told}; the heater has {watts:.0f} W."
    )
    if watts < needed.value:
        return Finding(
            what="too weak", state="act", sentence=told, do="A lid and foam at the back first, then more watts."
        )
    if watts < needed.high:
        return Finding(what="just enough", state="watch", sentence=told, do="Read the temperature on cold mornings.")
    return Finding(what="holds", state="fine", sentence=told)


def _sticks(watts: float, loss: Estimate, room: Estimate, water: Estimate) -> Finding:
    top = follows(lambda k, r: r + watts / k, loss, room, unit="°C")
    told = f"If it sticks on, the water ends at {top.text}."
    if top.value > HOT_C:
        do = "Two heaters of half the watts, or a second thermostat that cuts off; electric work is the electrician's."
        return Finding(what="stuck on", state="watch", sentence=told, do=do, source="common practice, no source")
    return Finding(what="stuck on", state="fine", sentence=told)


def _choice(loss: Estimate, needed: Estimate, watts: float | None) -> Finding:
    least, most = FITS * needed.value, STUCK_K * loss.value
    fits = [w for w in STANDARD_W if w >= least]
    if not fits:
        told = f"No single heater of those sold gives {number(least)} W: a lid and foam first, or several."
        return Finding(what="size", state="watch", sentence=told)
    one = fits[0]
    told = f"A heater of {one:.0f} W would hold it ({number(least)} W with some to spare)."
    if one > most:
        told += f" Stuck on it would heat by more than {STUCK_K:g} K: rather two of {one / 2:.0f} W."
    state: State = "fine" if watts is not None and least <= watts <= max(most, one) else "watch"
    return Finding(what="size", state=state, sentence=told, source="common practice, no source")


def _year(loss: Estimate, water: Estimate, room: Estimate) -> Estimate | None:
    if water.value <= room.value:
        return None
    return follows(lambda k, t, r: k * max(t - r, 0.0) * HOURS_A_YEAR / 1000.0, loss, water, room, unit="kWh a year")


def _cost(year: Estimate | None, price: float | None) -> Estimate | None:
    return None if year is None or price is None else year.times(price, "a year, in the money of the price")


def _lid(tank: Tank, water: Estimate, room: Estimate, loss: Estimate) -> Estimate | None:
    """Return what a close lid would save, as watts."""
    open_share = open_share_of(tank)
    now, then = heat_lost(tank, water.value, room.value), heat_lost(tank, water.value, room.value, TIGHT)
    if now is None or then is None or open_share <= TIGHT or now <= 0.0:
        return None
    share = (now - then) / now
    return follows(lambda k: k * max(water.value - room.value, 0.0) * share, loss, unit="W")
