"""Nitrogen that turtles and their tank mates eat, and so nearly what they put into the water."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.estimate import Estimate, exactly
from lentic.advice.menu import fed_between, is_fish_food
from lentic.advice.ranged import combined, multiplied, of_fact
from lentic.advice.ration import mass_of, resting_energy, temperature_of
from lentic.catalogue import Animal, common, foods, resolve
from lentic.logbook.events import Event
from lentic.logbook.tank import Tank, Turtle
from lentic.science.constants import MG_PER_G, WEEK_D
from lentic.science.food import food_nitrogen

FED_BACK: Final = timedelta(days=28)


def turtle_nitrogen(tank: Tank, events: Sequence[Event], now: datetime) -> Estimate | None:
    """Return nitrogen the turtles eat a day: as logged in the last weeks, else as they would need on pellets."""
    fed = [row for row in fed_between(tank, events, now - FED_BACK, now) if not is_fish_food(row)]
    known = [(row.grams / WEEK_D, row.food.nitrogen) for row in fed if row.food and row.food.nitrogen]
    if known and len(known) == len(fed):
        low = sum(grams * fact.bounds[0] for grams, fact in known) * MG_PER_G
        high = sum(grams * fact.bounds[1] for grams, fact in known) * MG_PER_G
        middle = sum(grams * fact.middle for grams, fact in known) * MG_PER_G
        return Estimate(low=low, value=middle, high=high, unit="mg N a day", origin="sum over your log of 4 weeks")
    needs = [need for turtle in tank.turtles if (need := _needed_nitrogen(turtle, tank, events, now))]
    return _sum_of(needs) if needs and len(needs) == len(tank.turtles) else None


def _needed_nitrogen(turtle: Turtle, tank: Tank, events: Sequence[Event], now: datetime) -> Estimate | None:
    record = resolve("turtle", turtle.species or "")
    warm = temperature_of(tank, record if isinstance(record, Animal) else None, events, now)
    mass = mass_of(turtle, events, now)
    return None if warm is None or mass is None else nitrogen_of_turtle(mass.value, warm)


def nitrogen_of_turtle(mass: float, warm: Estimate) -> Estimate | None:
    """Return nitrogen a turtle of a mass [g] eats a day when it lives on adult pellets."""
    pellet = foods()["pellet_adult"]
    if pellet.energy is None or pellet.nitrogen is None:
        return None
    facts = common("turtles")
    band, usual = facts["active_multiplier"], facts["active_multiplier_usual"]
    spends = Estimate(low=band.bounds[0], value=usual.middle, high=band.bounds[1], unit="", origin=usual.origin)
    return combined(
        lambda rest, m, kcal, share: rest * m / kcal * share * MG_PER_G,
        exactly(resting_energy(mass, warm).value, "", ""), spends, of_fact(pellet.energy), of_fact(pellet.nitrogen),
        unit="mg N a day", origin="estimate, fed on pellets",
    )  # fmt: skip


def _sum_of(parts: Sequence[Estimate]) -> Estimate:
    return Estimate(
        low=sum(p.low for p in parts), value=sum(p.value for p in parts), high=sum(p.high for p in parts),
        unit=parts[0].unit, origin=parts[0].origin,
    )  # fmt: skip


def mate_nitrogen(length: float, count: int) -> Estimate:
    """Return nitrogen that fish, snails or shrimp of a length [cm] eat a day, all together; a wide range."""
    facts = common("tankmates")
    shape, food, protein = (
        of_fact(facts[key]) for key in ("g_per_cm3_of_length", "food_pct_of_mass_1_g", "food_protein_pct")
    )
    exponent = facts["food_mass_exponent"].middle
    mass = combined(lambda k: float(k * length**3) ** exponent, shape, unit="", origin="")
    factor = MG_PER_G * count / 100.0 * float(food_nitrogen(0.01))
    origin = f"estimate from its length, {shape.origin}"
    return multiplied(mass, food, protein, factor=factor, unit="mg N a day", origin=origin, source=shape.source)
