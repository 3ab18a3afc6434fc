"""A hot day hour by hour: what keeps the water below its limit, or that this way it is not possible."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi

from lentic.advice.heat import Heat, conductance, humidity_of, open_share_of
from lentic.logbook.tank import Tank
from lentic.science.evaporation import evaporation_moving
from lentic.science.heat import evaporation_power, heat_capacity

WARMEST_H = 16.0
"""Hour at which a room is hottest; common practice, no source. [h]"""
FAN_M_S = 1.5
"""Wind of a room fan over the water; an assumption of ours. [m/s]"""
FAN_SHARE = 0.5
"""Share of what the formula for open pools gives that a fan over a small tank is trusted with; ours to choose. [-]"""
BOTTLE_L, BOTTLE_K_H = 1.5, 2.0
"""A frozen bottle, and the fastest cooling that fish are asked to bear [K/h]; common practice, no source."""
MELT_WH_L = 93.0
"""Melting a litre of ice and warming it to 20 °C or so takes 334 + 84 kJ, less what the air takes. [Wh/L]"""
LAMP_SHARE = 0.3
"""Share of a lamp's watts that ends in the water; an assumption of ours. [-]"""
LEAST_C = 26.0
"""Below this nothing needs cooling; common practice, no source. [°C]"""


@dataclass(frozen=True, kw_only=True)
class Hour:
    """One hour of the plan."""

    clock: int
    room_c: float
    alone_c: float
    """The water without any measure."""
    water_c: float
    """The water with the measures."""
    do: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class HeatDay:
    """A hot day: how warm it gets without and with measures, and whether they are enough."""

    limit_c: float
    hours: tuple[Hour, ...]
    possible: bool
    sentence: str
    measures: tuple[str, ...]
    top_up_l: float


def heat_day(tank: Tank, heat: Heat, night_c: float, day_c: float, limit_c: float) -> HeatDay:
    """Return a day whose room swings between two temperatures; measures are added one by one until they are enough."""
    alone = _lived(tank, heat, night_c, day_c, frozenset(), limit_c)
    tried: list[str] = []
    found = alone
    for measure in ("lamps", "lid", "fan", "bottles"):
        if max(t for t, _ in found) <= limit_c:
            break
        tried.append(measure)
        found = _lived(tank, heat, night_c, day_c, frozenset(tried), limit_c)
    peak, reached = max(t for t, _ in alone), max(t for t, _ in found)
    possible = reached <= limit_c
    hours = tuple(
        Hour(clock=h, room_c=round(_room(night_c, day_c, h), 1), alone_c=round(alone[h][0], 1),
             water_c=round(found[h][0], 1), do=_do(h, tried, found[h][1]))
        for h in range(24)
    )  # fmt: skip
    return HeatDay(
        limit_c=limit_c, hours=hours, possible=possible, measures=tuple(WORDS[m] for m in tried),
        sentence=_sentence(peak, reached, limit_c, tried, possible),
        top_up_l=round(_evaporated(tank, night_c, day_c, tried), 1),
    )  # fmt: skip


WORDS = {
    "lamps": "plant and basking light off from noon on; the animal keeps a dry, shaded place",
    "lid": "lid off, a net over it so that nothing escapes",
    "fan": "a fan across the water, fixed so that it cannot fall in; plug on a residual-current device",
    "bottles": "closed frozen bottles, one after the other, never faster than 2 °C an hour",
}


def _room(night: float, day: float, hour: float) -> float:
    return 0.5 * (night + day) + 0.5 * (day - night) * cos(2.0 * pi * (hour - WARMEST_H) / 24.0)


def _lived(
    tank: Tank, heat: Heat, night: float, day: float, measures: frozenset[str], limit: float
) -> list[tuple[float, bool]]:
    """Return the water at each hour of the second of two such days, and whether a bottle went in."""
    water = max(heat.water.value, 0.5 * (night + day))
    capacity = float(heat_capacity(tank.water_litres or 1.0, water)) / 3600.0
    lit = sum((lamp.watts or 0.0) for lamp in tank.lamps) * LAMP_SHARE
    shown: list[tuple[float, bool]] = []
    for hour in range(48):
        clock = hour % 24
        room = _room(night, day, clock)
        on = 9 <= clock < (12 if "lamps" in measures else 19)
        power = (lit if on else 0.0) - _out(tank, heat, water, room, measures)
        bottle = "bottles" in measures and water + power / capacity > limit - 0.3 and clock >= 8
        if bottle:
            power -= min(BOTTLE_L * MELT_WH_L, BOTTLE_K_H * capacity)
        water += power / capacity
        if hour >= 24:
            shown.append((water, bottle))
    return shown


def _out(tank: Tank, heat: Heat, water: float, room: float, measures: frozenset[str]) -> float:
    """Return the heat that leaves the water, negative where the room warms it. [W]"""
    dry = conductance(tank, 1.0 if measures & {"lid", "fan"} else None) or heat.loss.value
    wet = _wet_kg_h(tank, water, room, measures)
    return dry * (water - room) + float(evaporation_power(wet * 24.0, water))


def _wet_kg_h(tank: Tank, water: float, room: float, measures: frozenset[str]) -> float:
    glass = tank.glass
    if not glass.length_cm or not glass.width_cm:
        return 0.0
    area = glass.length_cm * glass.width_cm / 1e4
    lid = 1.0 if measures & {"lid", "fan"} else open_share_of(tank)
    wind = FAN_M_S if "fan" in measures else 0.0
    share = FAN_SHARE if "fan" in measures else 1.0
    return max(float(evaporation_moving(water, room, humidity_of(tank), wind)) * share, 0.0) * area * lid


def _evaporated(tank: Tank, night: float, day: float, measures: Sequence[str]) -> float:
    mean = 0.5 * (night + day)
    return 24.0 * _wet_kg_h(tank, mean, mean, frozenset(measures))


def _do(hour: int, tried: Sequence[str], bottle: bool) -> tuple[str, ...]:
    said = []
    if hour == 8 and "lid" in tried:
        said.append("lid off, net on")
    if hour == 9 and "fan" in tried:
        said.append("fan on, air stone on, half the food")
    if hour == 12 and "lamps" in tried:
        said.append("lamps off")
    if bottle:
        said.append("a frozen bottle in")
    if hour == 21 and tried:
        said.append("top up with conditioned water, as warm as the tank")
    return tuple(said)


def _sentence(peak: float, reached: float, limit: float, tried: Sequence[str], possible: bool) -> str:
    if not tried:
        return f"Nothing to do: the water reaches {peak:.1f} °C, the limit is {limit:g} °C."
    if possible:
        told = f"Without measures it would reach {peak:.1f} °C; with them {reached:.1f} °C"
        return f"{told}, below the limit of {limit:g} °C."
    return (
        f"Not possible this way: even with all of it the water reaches {reached:.1f} °C (without, {peak:.1f} °C); "
        f"the limit is {limit:g} °C. A cooler room, or the animals elsewhere for these days; a turtle bears a damp dry "
        "tub in the shade."
    )
