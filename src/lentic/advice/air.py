"""Oxygen and air: the hours before dawn, a pump that stops, and signs read rightly."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lentic.advice.estimate import Estimate, between, follows
from lentic.advice.findings import Finding
from lentic.advice.forecast import Forecast
from lentic.advice.limits import has_fish
from lentic.advice.words import Spread, number
from lentic.logbook.events import Event, Reading
from lentic.logbook.tank import Tank
from lentic.science.aeration import time_to_alarm
from lentic.science.gas import oxygen_saturation

ALARM_MG_L = 4.0
"""Oxygen below which fish are in trouble; common practice, no source. [mg/L]"""
FISH_MG_G_H = (0.2, 0.4, 0.8)
"""Oxygen that a gram of small fish uses; within published rates at 20 to 28 °C, from memory. [mg/h]"""
WATER_MG_L_H = (0.05, 0.12, 0.3)
"""Oxygen that dirt, film, plants and algae of a tank use in the dark; common practice, no source. [mg/L/h]"""
STILL_1_H = 0.02
"""Exchange of a surface that nothing moves, per hour in half a metre of water; the low end of calm-water rates, from
memory. [1/h]"""
HALF_M = 0.5
CANISTER_MG_H = (20.0, 30.0, 45.0)
"""Oxygen that the film of a closed canister of some litres uses; worked out in `emergencies.toml`. [mg/h]"""
DEFAULT_CANISTER_L = 6.0


@dataclass(frozen=True, kw_only=True)
class SeenSign:
    """One sign at the surface or in the water, and how it is read."""

    seen: str
    means: str
    do: str


@dataclass(frozen=True, kw_only=True)
class Air:
    """What is known of the oxygen of a tank."""

    tank: str
    temperature_c: float
    saturation: float
    """Oxygen of water in balance with the air. [mg/L]"""
    dawn: Spread | None
    dawn_day: str
    demand: Estimate
    """Oxygen used in the dark. [mg/h]"""
    pump_off: Estimate | None
    """Hours from a stopped pump to the alarm level, from saturation. [h]"""
    canister: Estimate | None
    """Hours until a closed canister that stopped is without oxygen. [h]"""
    findings: tuple[Finding, ...]
    signs: tuple[SeenSign, ...]


SIGNS = (
    SeenSign(seen="fish at the surface at dawn, mouths open", means="oxygen is low after the night",
             do="Air stone on, outlet up to the surface, now; read temperature and ammonia."),
    SeenSign(seen="fish at the surface by day, after a change", means="chlorine, a jump, or too little oxygen",
             do="Conditioner for the whole tank if the new water had none; air stone on."),
    SeenSign(seen="fine bubbles on everything after a cold refill", means="gas that cold pressed water sets free",
             do="Stir the surface. Next time let the water stand or pour it in a thin stream."),
    SeenSign(seen="strings of bubbles from plants in the afternoon", means="oxygen from plants: a good sign",
             do="Nothing."),
    SeenSign(seen="foam that stays for more than ten seconds", means="dissolved protein: much food or little change",
             do="Less food or more change; look for something dead."),
    SeenSign(seen="a turtle that gapes or breathes with its mouth open, out of the water",
             means="not the tank's oxygen: it breathes air",
             do="A reptile vet within a day; at once if it lies limp or swims tilted."),
)  # fmt: skip
"""Common practice, no source."""


def air_of(tank: Tank, events: Sequence[Event], forecast: Forecast | None) -> Air:
    """Return the oxygen of a tank: at dawn where it can be forecast, and after a pump has stopped."""
    water = _water(tank, events)
    saturation = float(oxygen_saturation(water))
    litres = tank.water_litres
    demand = _demand(tank, litres)
    off = _pump_off(saturation, demand, litres) if litres else None
    dawn = _dawn(forecast)
    return Air(
        tank=tank.name, temperature_c=water, saturation=round(saturation, 1), dawn=dawn,
        dawn_day="over the next weeks, the lowest", demand=demand, pump_off=off, canister=_canister(tank, saturation),
        findings=_findings(tank, dawn, off, demand), signs=SIGNS,
    )  # fmt: skip


def _water(tank: Tank, events: Sequence[Event]) -> float:
    read = [e.value for e in events if isinstance(e, Reading) and e.quantity == "temperature"]
    if read:
        return read[-1]
    return tank.heater.set_c if tank.heater is not None and tank.heater.set_c is not None else 24.0


def _demand(tank: Tank, litres: float | None) -> Estimate:
    grams = sum((fish.count or 0) * (fish.mass_g or 1.0) for fish in tank.fish)
    low, middle, high = (
        rate * grams + base * (litres or 0.0) for rate, base in zip(FISH_MG_G_H, WATER_MG_L_H, strict=True)
    )
    return between(low, middle, high, "mg an hour", "from fish and litres, common practice")


def _pump_off(saturation: float, demand: Estimate, litres: float) -> Estimate:
    """Return the hours until the alarm level with nothing but a still surface."""

    def hours(uptake: float) -> float:
        steady = saturation - uptake / litres / STILL_1_H
        if steady >= ALARM_MG_L:
            return 200.0
        return float(time_to_alarm(saturation, ALARM_MG_L, steady, STILL_1_H))

    return follows(hours, demand, unit="h")


def _canister(tank: Tank, saturation: float) -> Estimate | None:
    if tank.filter is None or tank.filter.type != "canister":
        return None
    litres = 1.5 * tank.filter.media_l if tank.filter.media_l else DEFAULT_CANISTER_L
    held = saturation * litres
    low, middle, high = (held / rate for rate in reversed(CANISTER_MG_H))
    return between(low, middle, high, "h", "oxygen it holds over what its film uses, worked out")


def _dawn(forecast: Forecast | None) -> Spread | None:
    if forecast is None:
        return None
    series = next((s for s in forecast.series if s.quantity == "oxygen_dawn"), None)
    known = [s for s in series.spreads if s.p50 is not None] if series is not None else []
    return min(known, key=lambda s: s.p50 or np.inf) if known else None


def _findings(tank: Tank, dawn: Spread | None, off: Estimate | None, demand: Estimate) -> tuple[Finding, ...]:
    found: list[Finding] = []
    if dawn is not None and dawn.p10 is not None and has_fish(tank) and dawn.p10 < ALARM_MG_L + 1.0:
        span = f"8 in 10: {number(dawn.p10)} to {number(dawn.p90 or 0.0)}"
        told = f"The lowest dawn ahead has {number(dawn.p50 or 0.0)} mg/L ({span})."
        do = "Outlet up to the surface at night, or an air stone; look for fish at the surface at dawn."
        found.append(Finding(what="dawn", state="watch", sentence=told, do=do))
    if off is not None and has_fish(tank):
        hours = (
            "longer than a day"
            if off.value > 24.0
            else f"about {number(off.value)} hours ({number(off.low)} to {_most(off.high)})"
        )
        told = f"With the pump off fish are in trouble after {hours}, from {demand.told}."
        found.append(Finding(what="pump off", state="watch" if off.low < 6.0 else "fine", sentence=told))
    if not has_fish(tank):
        told = "No fish are described: the turtle breathes air. Keep a third to half of the surface open."
        found.append(Finding(what="surface", state="fine", sentence=told, source="common practice, no source"))
    return tuple(found)


def _most(hours: float) -> str:
    return "more than a day" if hours > 24.0 else number(hours)
