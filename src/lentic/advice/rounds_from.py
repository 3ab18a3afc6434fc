"""A tank of a round from its description and its log, or what is missing for it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.habits import READ_EVERY_D, litres_of
from lentic.advice.hazards.facts_animals import shell_length, stage_of
from lentic.advice.hazards.facts_log import latest, shown
from lentic.advice.hazards.facts_today import as_of_now
from lentic.advice.rounds import Kept, Tap
from lentic.catalogue import Animal, resolve
from lentic.logbook import own
from lentic.logbook.events import Change, Event, Feed, Weigh
from lentic.logbook.tank import Tank, Turtle

WEEKS: Final = 4.0
"""What is fed and changed is that of so many last weeks."""
OVERDUE: Final = 1.5
"""A reading stands beside what is expected until so many times `READ_EVERY_D`; common practice, no source. [-]"""


def kept_of(
    tank: Tank, events: Sequence[Event], now: datetime, quarantine: bool = False, sick: bool = False
) -> Kept | str:
    """Return a tank as a round needs it, or the one thing that is missing in a sentence."""
    tank = as_of_now(tank, events)
    masses = [mass_of(turtle, events) for turtle in tank.turtles]
    lately = [e for e in events if timedelta(0) <= now - e.time <= timedelta(weeks=WEEKS)]
    changed = sum(litres_of(tank, e) for e in lately if isinstance(e, Change)) / WEEKS
    fed = _fed(tank, [e for e in lately if isinstance(e, Feed)])
    water = _water_c(tank, events, now)
    known = [mass for mass in masses if mass is not None]
    if not tank.water_litres:
        return f"{tank.name}: how many litres of water are in it?"
    if not known or len(known) < len(masses):
        return f"{tank.name}: what do all its turtles weigh?"
    if fed is None:
        return f"{tank.name}: what was fed in the last four weeks, in grams of foods whose protein is known?"
    if changed <= 0.0:
        return f"{tank.name}: no water was changed in the last four weeks; how much is changed in a week?"
    if water is None:
        return f"{tank.name}: how warm is the water?"
    nitrate, kh = (latest(events, each, now, OVERDUE * READ_EVERY_D[each]) for each in ("nitrate", "kh"))
    return Kept(
        name=tank.name, litres=tank.water_litres, masses_g=tuple(known), water_c=water, food_g_d=fed[0], protein=fed[1],
        change_share=min(changed / tank.water_litres, 1.0), quarantine=quarantine, sick=sick,
        growing=any(_growing(turtle, events) for turtle in tank.turtles), tap=tap_of(tank),
        nitrate_mg_l=None if nitrate is None else shown(nitrate, "mg/lno3"),
        kh_dkh=None if kh is None else shown(kh, "dkh"),
        species=next((turtle.species for turtle in tank.turtles if turtle.species), None),
    )  # fmt: skip


def mass_of(turtle: Turtle, events: Sequence[Event]) -> float | None:
    """Return the mass last weighed, else the described one. [g]"""
    weighed = [e for e in events if isinstance(e, Weigh) and e.animal == turtle.id]
    return max(weighed, key=lambda e: e.time).grams if weighed else turtle.mass_g


def _fed(tank: Tank, feeds: Sequence[Feed]) -> tuple[float, float] | None:
    """Return food a day and its share of protein; None while the protein of one food is not known. [g/d, g/g]"""
    grams = protein = 0.0
    for feed in feeds:
        food = own.food(tank, feed.food)
        share = food.protein if food is not None else None
        if share is None:
            return None
        grams += feed.grams
        protein += feed.grams * share.middle
    return (grams / (WEEKS * 7.0), protein / grams) if grams > 0.0 else None


def _water_c(tank: Tank, events: Sequence[Event], now: datetime) -> float | None:
    read = latest(events, "temperature", now, OVERDUE * READ_EVERY_D["temperature"])
    if read is not None:
        return read.value
    if tank.heater is not None and tank.heater.set_c is not None:
        return tank.heater.set_c
    record = next((resolve("turtle", turtle.species) for turtle in tank.turtles if turtle.species), None)
    fact = record.water_temperature if isinstance(record, Animal) else None
    return None if fact is None else fact.middle


def _growing(turtle: Turtle, events: Sequence[Event]) -> bool:
    """Tell whether a turtle is still young; without length or species it is taken as grown."""
    record = resolve("turtle", turtle.species) if turtle.species else None
    if not isinstance(record, Animal):
        return False
    return stage_of(record, turtle.sex, shell_length(turtle, events)) in ("hatchling", "juvenile", "subadult")


def tap_of(tank: Tank) -> Tap | None:
    """Return the new water of a tank as it is described; None while nitrate or KH is not."""
    water = tank.source_water
    if water.no3_mg_l is None or water.kh_dkh is None:
        return None
    parts = [part for part in (water.chlorine_mg_l, water.chloramine_mg_l) if part is not None]
    return Tap(nitrate_mg_l=water.no3_mg_l, kh_dkh=water.kh_dkh, chlorine_mg_l=sum(parts) if parts else None)
