"""The water level and what stays behind: evaporation, the heater's mark, concentration, lime and how it comes off."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import isfinite

import numpy as np

from lentic.advice.estimate import Estimate, between, exactly, follows
from lentic.advice.findings import Finding, ask
from lentic.advice.habits import last_read, litres_of
from lentic.advice.heat import humidity_of, open_share_of
from lentic.advice.words import number
from lentic.learn.topping import Loss, loss_of
from lentic.logbook.events import Change, Event, TopUp
from lentic.logbook.tank import Tank
from lentic.science.evaporation import evaporation_still
from lentic.science.scale import saturation_index
from lentic.science.water import water_from_tests

PRIOR_SHARE = 0.5
"""Error of an evaporation worked out from surface and room. [-]"""
RECENT_D = 60.0
"""Top-ups and changes of so many last days count. [d]"""
CITRIC_PER_LIME, VINEGAR_ML_PER_G = 1.28, 24.0
"""Anhydrous citric acid [g] and household vinegar of 5 % [mL] that dissolve a gram of lime; stoichiometry: 3 CaCO3 take
2 of citric acid (192.1 g/mol), 1 CaCO3 takes 2 of acetic acid (60.05 g/mol)."""
CACO3_MG_PER_MEQ = 50.04
HEATER_SKIN_K = 20.0
"""How much warmer a heater's skin is than the water while it heats; from memory of handbooks, 15 to 25 K. [K]"""
WATCH_INDEX = 0.8
"""Lime index from which scale is work; common practice, no source. [-]"""
CREEP = 1.3
"""Concentration against the tap from which more change is due; common practice, no source. [-]"""


@dataclass(frozen=True, kw_only=True)
class Level:
    """What a tank loses to the air and what that leaves."""

    tank: str
    evaporation: Estimate
    mm_a_day: Estimate | None
    mark: tuple[date, date, date] | None
    """Day on which the heater's mark is reached: early, middle, late."""
    concentration: Estimate | None
    index: Estimate | None
    index_heater: Estimate | None
    scale_g: Estimate | None
    """Lime a week, at most. [g]"""
    findings: tuple[Finding, ...]


def level_of(tank: Tank, events: Sequence[Event], now: datetime, mark_cm: float | None = None) -> Level | Finding:
    """Return evaporation, level and lime of a tank, or the one fact that is missing."""
    glass = tank.glass
    if not glass.length_cm or not glass.width_cm:
        return ask("level", "Inner length and width of the tank, in cm.")
    area = glass.length_cm * glass.width_cm / 1e4
    loss = _loss(tank, events, now, area)
    rate = between(
        max(loss.litres_a_day - 1.28 * loss.sd, 0.0), loss.litres_a_day, loss.litres_a_day + 1.28 * loss.sd, "L a day",
        f"learned from {loss.top_ups} top-ups" if loss.top_ups else "from surface and room, half either way",
    )  # fmt: skip
    concentration = _concentration(tank, events, now, rate)
    index, hot = _indices(tank, events)
    scale = _scale(tank, events, rate)
    return Level(
        tank=tank.name, evaporation=rate, mm_a_day=rate.times(1.0 / area, "mm a day"),
        mark=_mark(loss, area, mark_cm, tank.local_date(now), events), concentration=concentration, index=index,
        index_heater=hot, scale_g=scale, findings=_findings(tank, mark_cm, concentration, index, scale),
    )  # fmt: skip


def _loss(tank: Tank, events: Sequence[Event], now: datetime, area: float) -> Loss:
    """Return the evaporation learned from top-ups; a change fills up as well and begins a new span."""
    recent = [e for e in events if isinstance(e, TopUp | Change) and e.time >= now - timedelta(days=RECENT_D)]
    days, litres = [], []
    for event in recent:
        days.append((event.time - recent[0].time) / timedelta(days=1))
        litres.append(event.litres if isinstance(event, TopUp) else 0.0)
    expected = _expected(tank, area)
    if not recent:
        return Loss(litres_a_day=expected, sd=PRIOR_SHARE * expected, top_ups=0)
    return loss_of(np.array(days), np.array(litres), area, expected, PRIOR_SHARE * expected)


def _expected(tank: Tank, area: float) -> float:
    room = tank.room.temperature_c if tank.room.temperature_c is not None else 20.0
    water = tank.heater.set_c if tank.heater is not None and tank.heater.set_c is not None else room + 3.0
    wet = float(evaporation_still(water, room, humidity_of(tank)))
    return max(wet * 24.0 * area * open_share_of(tank), 0.05)


def _mark(
    loss: Loss, area: float, mark_cm: float | None, today: date, events: Sequence[Event]
) -> tuple[date, date, date] | None:
    if mark_cm is None:
        return None
    filled = [e.time for e in events if isinstance(e, TopUp | Change)]
    start = filled[-1].date() if filled else today
    days = loss.days_until(mark_cm * 10.0 * area)
    early, middle, late = (start + timedelta(days=int(d)) for d in days)
    return early, middle, late


def _rate_of_changes(tank: Tank, events: Sequence[Event], now: datetime) -> float | None:
    since = now - timedelta(days=RECENT_D)
    litres = [litres_of(tank, e) for e in events if isinstance(e, Change) and e.time >= since]
    first = min((e.time for e in events), default=now)
    span = min((now - first) / timedelta(days=1), RECENT_D)
    return sum(litres) / span if litres and span >= 7.0 else None


def _concentration(tank: Tank, events: Sequence[Event], now: datetime, rate: Estimate) -> Estimate | None:
    """Return how much more concentrated the tank settles than the tap: (changed + evaporated) / changed."""
    changed = _rate_of_changes(tank, events, now)
    if not changed:
        return None
    demineralised = any(isinstance(e, TopUp) and e.water == "demineralised" for e in events[-60:])
    if demineralised:
        return exactly(1.0, "times the tap", "topped up with demineralised water")
    return follows(lambda e: (changed + e) / changed, rate, unit="times the tap")


def lime_index(ph: float, temperature: float, kh_meq: float, gh_meq: float) -> float:
    """Return the calcite saturation index of a water that is warmed to a temperature without losing carbon dioxide."""
    water = water_from_tests(temperature, ph, kh_meq, gh_meq)
    return float(saturation_index(water.constants, 10.0**-ph, water.dic))


def _indices(tank: Tank, events: Sequence[Event]) -> tuple[Estimate | None, Estimate | None]:
    ph, kh = last_read(events, "ph"), last_read(events, "kh")
    gh = last_read(events, "gh")
    gh = gh if gh is not None else tank.source_water.hardness_meq_l
    water = last_read(events, "temperature")
    if ph is None or not kh or not gh or water is None:
        return None, None

    def at(temperature: float) -> Estimate:
        middle = lime_index(ph, temperature, kh, gh)
        return between(middle - 0.3, middle, middle + 0.3, "", "from the last readings, pH of a kit to 0.2; calcite")

    return at(water), at(water + HEATER_SKIN_K)


def _scale(tank: Tank, events: Sequence[Event], rate: Estimate) -> Estimate | None:
    """Return the lime that evaporation can leave at most: what the top-ups brought."""
    kh = tank.source_water.alkalinity_meq_l
    if kh is None:
        kh = last_read(events, "tap_kh")
    if kh is None:
        return None
    return follows(lambda e: 7.0 * e * kh * CACO3_MG_PER_MEQ / 1000.0, rate, unit="g of lime a week at most")


def _findings(
    tank: Tank, mark_cm: float | None, concentration: Estimate | None, index: Estimate | None, scale: Estimate | None
) -> tuple[Finding, ...]:
    found: list[Finding] = []
    if mark_cm is None and tank.heater is not None:
        found.append(ask("heater mark", "How many cm may the water fall before the heater shows? Measure it once."))
    if concentration is not None and concentration.value > CREEP:
        told = f"What stays behind settles at {concentration.text}."
        do = "Change more, or top up half with demineralised water; never all of it, plants and shells need minerals."
        found.append(Finding(what="creep", state="watch", sentence=told, do=do, source="common practice, no source"))
    if scale is not None and isfinite(scale.value):
        found.append(_lime(tank, scale))
    if index is not None and index.value > WATCH_INDEX:
        told = f"The lime index is {index.value:+.1f}: scale is work here. It grows on the heater first."
        found.append(Finding(what="lime", state="watch", sentence=told, source="bands: common practice, no source"))
    return tuple(found)


def _lime(tank: Tank, scale: Estimate) -> Finding:
    """Return what takes the lime of a week off, and with which tool."""
    citric, vinegar = CITRIC_PER_LIME * scale.value, VINEGAR_ML_PER_G * scale.value
    tool = {
        "acrylic": "soft cloth or a plastic card; no blade, no scouring side",
        "glass": "cloth, plastic card, or a blade flat on dry glass away from the seams",
    }.get(tank.glass.pane or "", "soft cloth or a plastic card: glass or acrylic is not known")
    told = (
        f"{scale.text[0].upper()}{scale.text[1:]}. {number(citric)} g of citric acid or {number(vinegar)} mL of vinegar"
    )
    do = (
        f"Wipe rim and hood weekly with water and a {tool}. Parts with a crust come off, cold and unplugged, soak in "
        "citric acid of 5 % (50 g in a litre; acid into water, never water onto acid; eye protection), and are rinsed "
        "well. Never together with bleach, never over the tank."
    )
    return Finding(what="scale", state="watch", sentence=f"{told} would dissolve it.", do=do, source="stoichiometry")
