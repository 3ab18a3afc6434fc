"""What this week's work has to reckon with: litres, temperatures, devices, animals, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from lentic.advice.forecast import Forecast
from lentic.advice.habits import (
    CLOGGED,
    READ_EVERY_D,
    RECENT,
    RINSE_EVERY_D,
    WATER_TESTS,
    WEIGH_EVERY_D,
    last_read,
    rhythm,
    usual_litres,
)
from lentic.advice.limits import has_fish
from lentic.catalogue.load import conditioners
from lentic.logbook.events import Dose, Event, Flow, Lamp, Look, Reading, Rinse, Scrape, Thin, Weigh
from lentic.logbook.tank import Tank
from lentic.science.constants import MG_PER_G
from lentic.science.heat import hot_share

LARGEST_STEP_K = 2.0
"""How far one change may move the tank's temperature; common practice, no source. [K]"""
KETTLE_C = 95.0
"""Water from a kettle as it is poured; common practice, no source. [°C]"""
SCRAPE_GRADE = 2.0
"""Where nothing else is known, panes are scraped from a visible coat on; common practice, no source. [grade]"""
BIG_CHANGE = 0.4
"""From this share of the water on, the media are left alone in the same session; common practice, no source. [-]"""


@dataclass(frozen=True, kw_only=True)
class Due:
    """One thing that is done this time, or left this time, and why."""

    yes: bool
    why: str


@dataclass(frozen=True, kw_only=True)
class NewWater:
    """The water that goes in: litres, warmth, what makes it fit for the tank; None is not known."""

    litres: float | None
    share: float | None
    tank_c: float | None
    tap_c: float | None
    at_least_c: float | None
    kettle_l: float | None
    disinfectant: str
    conditioner: str | None
    dose_g: tuple[float, float] | None


@dataclass(frozen=True, kw_only=True)
class Situation:
    """Everything that the steps of one session are filled in from."""

    tank: str
    begin: datetime
    pane: str | None
    powered_filter: bool
    closed_canister: bool
    heater: bool
    lamps: bool
    turtles: tuple[str, ...]
    fish: bool
    plants: tuple[str, ...]
    water: NewWater
    scrape: Due
    thin: Due
    thin_g: float | None
    rinse: Due
    readings: tuple[str, ...]
    weigh: tuple[str, ...]


def situation_of(
    tank: Tank, events: Sequence[Event], begin: datetime, forecast: Forecast | None = None, litres: float | None = None
) -> Situation:
    """Return what the work of a day has to reckon with; a given number of litres wins over the keeper's rhythm."""
    water = new_water(tank, events, litres)
    filter_type = tank.filter.type if tank.filter else None
    thin, grams = _thinning(events, begin)
    return Situation(
        tank=tank.name, begin=begin, pane=tank.glass.pane,
        powered_filter=filter_type not in (None, "none"), closed_canister=filter_type == "canister",
        heater=tank.heater is not None, lamps=bool(tank.lamps) or any(isinstance(e, Lamp) for e in events),
        turtles=tuple(t.id for t in tank.turtles), fish=has_fish(tank),
        plants=tuple(p.species for p in tank.plants), water=water,
        scrape=_scraping(events, begin, forecast), thin=thin, thin_g=grams,
        rinse=_rinsing(tank, events, begin, water.share),
        readings=_readings(events, begin), weigh=_weighing(tank, events, begin),
    )  # fmt: skip


def new_water(tank: Tank, events: Sequence[Event], litres: float | None = None) -> NewWater:
    """Return what is known of the water that goes in."""
    real = tank.water_litres
    usual = litres if litres is not None else usual_litres(tank, events)
    share = None if usual is None or not real else min(usual / real, 1.0)
    tank_c = last_read(events, "temperature")
    if tank_c is None and tank.heater is not None:
        tank_c = tank.heater.set_c
    tap_c = last_read(events, "tap_temperature")
    tap_c = tank.source_water.temperature_c if tap_c is None else tap_c
    least = None if tank_c is None or not share else tank_c - LARGEST_STEP_K / share
    kettle = None
    if least is not None and tap_c is not None and usual is not None and least > tap_c:
        kettle = usual * float(hot_share(KETTLE_C, tap_c, least))
    disinfectant = _disinfectant(tank)
    conditioner = _conditioner(events)
    return NewWater(
        litres=usual, share=share, tank_c=tank_c, tap_c=tap_c, at_least_c=least, kettle_l=kettle,
        disinfectant=disinfectant, conditioner=conditioner, dose_g=_dose(tank, conditioner, usual),
    )  # fmt: skip


def _disinfectant(tank: Tank) -> str:
    source = tank.source_water
    if source.chloramine_mg_l:
        return "chloramine"
    if source.chlorine_mg_l:
        return "chlorine"
    return "none" if source.chlorine_mg_l == 0 and source.chloramine_mg_l == 0 else "not known"


def _conditioner(events: Sequence[Event]) -> str | None:
    known = conditioners()
    doses = [e.substance for e in events if isinstance(e, Dose) and e.substance in known]
    return doses[-1] if doses else None


def _dose(tank: Tank, conditioner: str | None, litres: float | None) -> tuple[float, float] | None:
    """Return the grams of a named chemical for the chlorine of the new water, least and most, or None."""
    source = tank.source_water
    residual = (source.chlorine_mg_l or 0.0) + (source.chloramine_mg_l or 0.0)
    if conditioner is None or not litres or not residual:
        return None
    record = conditioners()[conditioner]
    if source.chloramine_mg_l and not record.words("chloramine").startswith(("yes", "splits")):
        return None
    facts = [record.fact(key) for key in ("dose_mg_per_mg_Cl2", "dose_printed_mg_per_mg_Cl2")]
    rates = [bound for fact in facts if fact is not None and fact.is_number for bound in fact.bounds]
    return (min(rates) * residual * litres / MG_PER_G, max(rates) * residual * litres / MG_PER_G) if rates else None


def _since(events: Sequence[Event], kind: type[Event], begin: datetime) -> tuple[float | None, float | None]:
    """Return days since the last such event, and the usual days between two. [d]"""
    times = [e.time for e in events if isinstance(e, kind)]
    return ((begin - times[-1]) / timedelta(days=1) if times else None), rhythm(times)


def _scraping(events: Sequence[Event], begin: datetime, forecast: Forecast | None) -> Due:
    since, _ = _since(events, Scrape, begin)
    looks = [e for e in events if isinstance(e, Look) and e.where == "panes"]
    if looks and (not since or (begin - looks[-1].time) / timedelta(days=1) < since):
        grade = looks[-1].grade
        if grade >= SCRAPE_GRADE:
            return Due(yes=True, why=f"The panes were at grade {grade:g} when you last looked.")
    due = forecast.due[0] if forecast is not None and forecast.due else None
    if due is not None and due.p50 is not None:
        if due.p50 <= forecast_day(begin) + timedelta(days=3):
            return Due(yes=True, why="By the forecast they reach within three days where you usually scrape.")
        return Due(yes=False, why=f"By the forecast they are due about {due.p50:%a} {due.p50.day} {due.p50:%B}.")
    if due is not None:
        return Due(yes=False, why="By the forecast they stay clean enough in this time.")
    return Due(yes=True, why="Only if they are more than thinly coated: it is not known how they are.")


def forecast_day(begin: datetime) -> datetime:
    """Return a moment as the forecast writes its days, without a zone."""
    return begin.replace(tzinfo=None)


def _thinning(events: Sequence[Event], begin: datetime) -> tuple[Due, float | None]:
    since, usual = _since(events, Thin, begin)
    if since is None:
        return Due(yes=False, why="You have not thinned plants so far."), None
    grams = float(np.median([e.grams for e in events if isinstance(e, Thin)][-RECENT:]))
    if usual is None:
        return Due(yes=False, why=f"Thinned {since:.0f} days ago; there is no rhythm yet."), None
    yes = since >= usual - 1.0
    return Due(yes=yes, why=f"Last thinned {since:.0f} days ago; you thin about every {usual:.0f} days."), grams


def _rinsing(tank: Tank, events: Sequence[Event], begin: datetime, share: float | None) -> Due:
    """Return whether half the media are due: by flow first, else by rhythm; never together with a big change."""
    if tank.filter is None or tank.filter.type in (None, "none"):
        return Due(yes=False, why="There is no filter.")
    since, usual = _since(events, Rinse, begin)
    why = _clogged(tank, events)
    if why is None:
        if since is None:
            return Due(
                yes=False, why="It is not known when the media were last rinsed; measure the flow with a bucket."
            )
        every = usual or RINSE_EVERY_D
        if since < every - 1.0:
            return Due(yes=False, why=f"Rinsed {since:.0f} days ago; due after about {every:.0f}.")
        why = f"Last rinsed {since:.0f} days ago; due after about {every:.0f}."
    if share is not None and share >= BIG_CHANGE:
        return Due(
            yes=False, why=f"{why} But not together with a change of {100 * share:.0f} % of the water: next week."
        )
    return Due(yes=True, why=why)


def _clogged(tank: Tank, events: Sequence[Event]) -> str | None:
    flows = [e for e in events if isinstance(e, Flow)]
    clean = max([e.litres_per_hour for e in flows] + [tank.filter.flow_l_h or 0.0 if tank.filter else 0.0])
    rinses = [e.time for e in events if isinstance(e, Rinse)]
    if not flows or not clean or (rinses and flows[-1].time < rinses[-1]):
        return None
    left = flows[-1].litres_per_hour / clean
    return f"The flow has fallen to {100 * left:.0f} % of the clean filter's." if left < CLOGGED else None


def _readings(events: Sequence[Event], begin: datetime) -> tuple[str, ...]:
    due = []
    for quantity in WATER_TESTS:
        times = [e.time for e in events if isinstance(e, Reading) and e.quantity == quantity]
        if not times or begin - times[-1] > timedelta(days=READ_EVERY_D[quantity]):
            due.append(quantity)
    return tuple(due)


def _weighing(tank: Tank, events: Sequence[Event], begin: datetime) -> tuple[str, ...]:
    due = []
    for turtle in tank.turtles:
        times = [e.time for e in events if isinstance(e, Weigh) and e.animal == turtle.id]
        if not times or begin - times[-1] > timedelta(days=WEIGH_EVERY_D):
            due.append(turtle.id)
    return tuple(due)
