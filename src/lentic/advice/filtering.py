"""The filter: what the load asks for, what it can take, when it is due, what a cleaning or an outage does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import exp

import numpy as np

from lentic.advice.estimate import Estimate, between
from lentic.advice.findings import Finding, ask
from lentic.advice.habits import CLOGGED
from lentic.advice.words import day_words, number
from lentic.catalogue import foods, media
from lentic.learn.clogging import Clogging, Cycle, clogging_of
from lentic.learn.removal import TO_WATER, AmmoniaTest, Capacity, Meal, capacity_of
from lentic.logbook.events import Event, Feed, Flow, Reading, Rinse
from lentic.logbook.tank import Tank

FILM_G_M2_D, SURFACE_USED = 0.1, 0.5
"""Ammonia nitrogen a square metre of film takes a day at low levels, and the share of a medium's surface that is
reached: within published ranges, from memory. [g/m2/d, -]"""
SURFACE_M2_M3 = 500.0
"""Surface of coarse foam, for media whose own is not known; common practice, no source. [m2/m3]"""
SPREAD = 3.0
"""Media are worked out to such a factor only. [-]"""
SAFE_SHARE = 3.0
"""Media are chosen so many times what the load needs; common practice, no source. [-]"""
REGROWN_D = 3.0
"""A disturbed film is back after so many days; common practice, no source. [d]"""
DISTURBED = 0.25
"""Share of the film that works less for some days after half the media were rinsed in tank water.

More than the share that is washed out for good (`lentic.model.jumps.RINSED`); common practice, no source. [-]"""
RECENT_D = 21.0
FINISHED_MG, FINISHED_H = 0.25, 24.0
"""A day after a full day's ammonia both ammonia and nitrite must lie below this; common practice. [mg/L N, h]"""


@dataclass(frozen=True, kw_only=True)
class FilterState:
    """What is known of the filter."""

    tank: str
    load: Estimate | None
    """Nitrogen that reaches the water. [mg/d]"""
    wanted_l: Estimate | None
    """Media for that load. [L]"""
    capacity: Capacity | None
    clogging: Clogging | None
    due: tuple[date, date, date] | None
    """Next cleaning: early, middle, late."""
    bump: Estimate | None
    """Ammonia on the day after half the media were rinsed. [mg/L N]"""
    findings: tuple[Finding, ...]


def filter_of(tank: Tank, events: Sequence[Event], now: datetime) -> FilterState | Finding:
    """Return what is known of the filter, or the one fact that is missing."""
    if tank.filter is None or tank.filter.type in (None, "none"):
        return ask("filter", "Which filter is it: canister, internal, sponge, trickle, moving_bed or none?")
    meals = _meals(tank, events, now)
    load = _load(tank, meals, now)
    prior = _media_capacity(tank)
    capacity = capacity_of(meals, _tests(tank, events, now), tank.water_litres, prior) if tank.water_litres else None
    clogging, due = _clogging(tank, events, now)
    bump = _bump(load, capacity, tank.water_litres)
    return FilterState(
        tank=tank.name, load=load, wanted_l=_wanted(load, tank), capacity=capacity, clogging=clogging, due=due,
        bump=bump,
        findings=_findings(tank, load, capacity, clogging, due, bump, tank.local_date(now)),
    )  # fmt: skip


def _days(tank: Tank, moment: datetime) -> float:
    return (tank.local_time(moment).replace(tzinfo=None) - datetime(2000, 1, 1)) / timedelta(days=1)  # noqa: DTZ001


def _meals(tank: Tank, events: Sequence[Event], now: datetime) -> list[Meal]:
    known, own = foods(), {packet.id: packet for packet in tank.foods}
    found = []
    for event in events:
        if not isinstance(event, Feed) or event.time < now - timedelta(days=RECENT_D):
            continue
        packet = own.get(event.food)
        if packet is not None and packet.protein is not None:
            share = 0.16 * packet.protein
        elif event.food in known and known[event.food].nitrogen is not None:
            share = float(known[event.food].nitrogen.middle)  # type: ignore[union-attr]
        else:
            continue
        found.append(Meal(day=_days(tank, event.time), mg_n=1000.0 * share * event.grams))
    return found


def _tests(tank: Tank, events: Sequence[Event], now: datetime) -> list[AmmoniaTest]:
    since = now - timedelta(days=RECENT_D - 5.0)
    return [
        AmmoniaTest(day=_days(tank, e.time), mg_n_l=max(e.value, 0.05 if e.below else 0.0), below=e.below)
        for e in events if isinstance(e, Reading) and e.quantity == "ammonia" and e.time >= since
    ]  # fmt: skip


def _load(tank: Tank, meals: Sequence[Meal], now: datetime) -> Estimate | None:
    if not meals:
        return None
    span = min(max(_days(tank, now) - meals[0].day, 1.0), RECENT_D)
    eaten = sum(meal.mg_n for meal in meals) / span
    return between(0.55 * eaten, TO_WATER * eaten, 0.85 * eaten, "mg N a day", "food of the log, 55 to 85 % of it")


def _surface(tank: Tank) -> float:
    record = media().get((tank.filter.medium if tank.filter else None) or "")
    fact = record.fact("specific_surface_m2_m3") if record is not None else None
    return fact.middle if fact is not None and fact.is_number else SURFACE_M2_M3


def _media_capacity(tank: Tank) -> float:
    """Return what the media may take a day, from their surface: to a factor of three. [mg N/d]"""
    litres = tank.filter.media_l if tank.filter is not None and tank.filter.media_l else 2.0
    return litres * _surface(tank) * SURFACE_USED * FILM_G_M2_D


def _wanted(load: Estimate | None, tank: Tank) -> Estimate | None:
    if load is None:
        return None
    a_litre = _surface(tank) * SURFACE_USED * FILM_G_M2_D
    middle = SAFE_SHARE * load.value / a_litre
    return between(
        middle / SPREAD, middle, middle * SPREAD, "L of media", "surface and load, good to a factor of three"
    )


def cycles_of(tank: Tank, events: Sequence[Event]) -> tuple[list[Cycle], datetime | None]:
    """Return flow readings between cleanings, and when the filter was cleaned last."""
    cycles: list[Cycle] = []
    cleaned: datetime | None = None
    seen: list[tuple[float, float]] = []
    for event in events:
        if isinstance(event, Rinse) and event.extent != "floss":
            cycles += _cycle(seen)
            cleaned, seen = event.time, []
        elif isinstance(event, Flow) and cleaned is not None:
            seen.append(((event.time - cleaned) / timedelta(days=1), event.litres_per_hour))
    return [*cycles, *_cycle(seen)], cleaned


def _cycle(seen: Sequence[tuple[float, float]]) -> list[Cycle]:
    if not seen:
        return []
    days, flow = np.array(seen).T
    return [Cycle(days=days, flow=np.maximum(flow, 1.0))]


def _clogging(
    tank: Tank, events: Sequence[Event], now: datetime
) -> tuple[Clogging | None, tuple[date, date, date] | None]:
    cycles, cleaned = cycles_of(tank, events)
    found = clogging_of(cycles, CLOGGED)
    if found is None or cleaned is None:
        return found, None
    days = [
        max(tank.local_date(cleaned + timedelta(days=d)), tank.local_date(now))
        for d in (found.p10, found.p50, found.p90)
    ]
    return found, (days[0], days[1], days[2])


def _bump(load: Estimate | None, capacity: Capacity | None, litres: float | None) -> Estimate | None:
    """Return the ammonia that half the media rinsed would leave on the first day: load that the rest cannot take."""
    if load is None or capacity is None or not litres:
        return None
    shares = [
        max(load.value - (1.0 - DISTURBED) * c, 0.0) / litres for c in (capacity.p90, capacity.p50, capacity.p10)
    ]
    return between(shares[0], shares[1], shares[2], "mg/L N", "load less what the undisturbed film takes")


def _findings(
    tank: Tank, load: Estimate | None, capacity: Capacity | None, clogging: Clogging | None,
    due: tuple[date, date, date] | None, bump: Estimate | None, today: date,
) -> tuple[Finding, ...]:  # fmt: skip
    found: list[Finding] = []
    if capacity is None:
        found.append(
            ask("capacity", "Ammonia tests some hours after meals, up to ten over two weeks, tell what it can take.")
        )
    else:
        found.append(_capacity_said(capacity, load))
    if clogging is None:
        found.append(ask("flow", "Hold a jug under the outlet once a week: flow 480 L/h, or seconds a litre."))
    elif clogging.sudden:
        told = "The last flow fell at once: a leaf in the intake or the rotor, not dirt."
        found.append(Finding(what="flow", state="act", sentence=told, do="Unplug it, look at intake and rotor."))
    elif due is not None:
        said = f"Due about {day_words(due[1])} (8 in 10: {day_words(due[0])} to {day_words(due[2])})"
        said += f", from {clogging.readings} flow readings."
        found.append(Finding(what="clean", state="act" if due[1] <= today else "fine", sentence=said))
    if bump is not None:
        quiet = bump.high < FINISHED_MG
        told = f"Half the media rinsed in tank water: ammonia of {bump.text} at most on the next day, gone in"
        told += f" {REGROWN_D:g} days."
        do = "" if quiet else "Half the food for three days, and test on both."
        found.append(Finding(what="bump", state="fine" if quiet else "watch", sentence=told, do=do))
    found.append(Finding(
        what="treatment", state="fine", source="common practice, no source",
        sentence="Many substances against illness stop the film for days. Ask the vet before any goes into this water.",
        do="Treat in a separate tub with daily warm, conditioned water; leave this filter untouched.",
    ))  # fmt: skip
    return tuple(found)


def _capacity_said(capacity: Capacity, load: Estimate | None) -> Finding:
    span = f"{number(capacity.p50)} mg N a day (8 in 10: {number(capacity.p10)} to {number(capacity.p90)})"
    if capacity.at_least_only:
        told = f"Ammonia never rose in {capacity.tests} tests: the filter takes the load. How much more is not known."
        return Finding(what="capacity", state="fine", sentence=told)
    told = f"It removes {span}, from {capacity.tests} tests"
    told += "" if load is None else f"; the load is {number(load.value)}"
    tight = load is not None and load.value > 0.8 * capacity.p50
    do = "Less food or more media; nothing else new until ammonia stays low." if tight else ""
    return Finding(what="capacity", state="act" if tight else "fine", sentence=told + ".", do=do)


def closed_off(hours: float, canister: bool) -> Finding:
    """Return what to do with a filter that stood still for so many hours."""
    if canister and hours > 2.0:
        return Finding(
            what="restart", state="act", sentence=f"A closed canister stood for {hours:.0f} hours: its water is bad.",
            do="Pour it away, rinse the media in tank water, start it, half the food for three days, test daily.",
            source="oxygen balance; common practice",
        )  # fmt: skip
    left = exp(-hours / 48.0)
    if left < 0.5:
        told = (
            f"After {hours:.0f} hours about {100 * left:.0f} % of a film kept wet in air may live; a dried one is dead."
        )
        return Finding(what="restart", state="watch", sentence=told, do="Treat it like a young filter: test daily.")
    return Finding(what="restart", state="fine", sentence="Start it again; test ammonia tomorrow.")
