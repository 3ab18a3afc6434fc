"""What to feed and what it does to the water: ration of each animal, the menu, and the load of each choice."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

from lentic.advice.estimate import Estimate, exactly
from lentic.advice.limits import nitrate_aim
from lentic.advice.menu import Eater, Fed, Menu, eaten_between, is_fish_food, menu_of, usable_energy
from lentic.advice.ranged import Said, combined, of_fact, said
from lentic.advice.ration import Ration, age_class, ration_of, span_of, temperature_of
from lentic.advice.words import amount, listed, number
from lentic.catalogue import Animal, Food, common, foods, resolve
from lentic.logbook import own
from lentic.logbook.events import Event, Reading
from lentic.logbook.tank import Tank
from lentic.logbook.units import NITRATE
from lentic.science.constants import MG_PER_G, WEEK_D
from lentic.science.food import change_to_hold_nitrate

Mix = Sequence[tuple[Food, float]]
"""Foods with their shares of the energy."""
STAPLE_WORDS: Final = ("staple", "base food", "part of adult diet")
CLINIC_FORMULA: Final = Said(
    text=(
        "The formula often printed for reptile patients, 32 x kg^0.75 kcal a day, is not used: it is 13 to 15 times"
        " the measured resting energy of water turtles at 30 °C, and by it an animal would get four to five times"
        " its need."
    ),
    origin="worked out from measured resting rates",
    source="turtles:gatten",
)
ONE_FOOD: Final = Said(
    text="No turtle lives on one food; the foods stand side by side only to be compared.", origin="common practice"
)
FISH_EAT: Final = Said(
    text="Fish take part of what is thrown in for the turtle, and their own food loads the water too.",
    origin="common practice",
)
NO_DOSES: Final = Said(
    text="No supplement and no medicine is dosed here: that is for a vet who knows reptiles.",
    origin="rule of this program",
)


@dataclass(frozen=True, kw_only=True)
class Asked:
    """What a keeper adds to the question: further foods, mixes of foods, and nitrate to hold [mg/L NO3]."""

    foods: tuple[Food, ...] = ()
    mixes: tuple[Mix, ...] = ()
    aim: float | None = None


@dataclass(frozen=True, kw_only=True)
class Held:
    """Nitrate to hold [mg/L NO3], and that of the source water, None where unknown."""

    limit: float
    tap: Estimate | None


@dataclass(frozen=True, kw_only=True)
class Choice:
    """One food given for the whole need: how much of it, and what it does to the water; None is unknown."""

    food: str
    name: str
    in_use: bool
    energy: Estimate | None
    grams_per_day: Estimate | None
    grams_per_feeding_day: Estimate | None
    nitrogen: Estimate | None
    phosphorus: Estimate | None
    litres: Estimate | None
    scoops: Estimate | None
    remarks: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Feeding:
    """Rations, menu and choices of one tank."""

    tank: str
    now: datetime
    rations: tuple[Ration, ...]
    missing: tuple[str, ...]
    menu: Menu
    need: Estimate | None
    fed_energy: Estimate | None
    fed_litres: Estimate | None
    verdict: str
    choices: tuple[Choice, ...]
    mixes: tuple[Choice, ...]
    limit: float
    source_nitrate: Estimate | None
    notes: tuple[Said, ...]


def feeding_of(tank: Tank, events: Sequence[Event], now: datetime, weeks: float, asked: Asked | None = None) -> Feeding:
    """Return what to feed in a tank and what it was fed in the last weeks."""
    asked = asked or Asked()
    past = [event for event in events if event.time <= now]
    found = [_ration(tank, place, past, now) for place in range(len(tank.turtles))]
    rations = tuple(each for each in found if isinstance(each, Ration))
    missing = tuple(each for each in found if isinstance(each, str)) or (() if found else ("No turtle is described.",))
    menu = menu_of(tank, past, now, weeks, _who(tank, past, now))
    limit = nitrate_aim(tank) if asked.aim is None else asked.aim
    held = Held(limit=limit, tap=source_nitrate(tank, past))
    turtle_fed = [row for row in menu.fed if not is_fish_food(row)]
    energy = menu.sum_of("energy")
    fed_energy = energy.known.times(1.0 / WEEK_D, "kcal a day") if energy.known and not energy.unknown else None
    need = _total([ration.need for ration in rations], "kcal a day") if rations and not missing else None
    return Feeding(
        tank=tank.name, now=now, rations=rations, missing=missing, menu=menu, need=need, fed_energy=fed_energy,
        fed_litres=_fed_litres(menu, held), verdict=_verdict(rations, need, fed_energy),
        choices=_choices(tank, need, _days(rations), held, _compared(tank, turtle_fed, asked.foods)),
        mixes=tuple(_mixed(tank, mix, need, _days(rations), held) for mix in asked.mixes if need),
        limit=limit, source_nitrate=held.tap,
        notes=(ONE_FOOD, *((FISH_EAT,) if tank.fish else ()), CLINIC_FORMULA, NO_DOSES, _share_note(), _tub_note()),
    )  # fmt: skip


def _ration(tank: Tank, place: int, events: Sequence[Event], now: datetime) -> Ration | str:
    turtle = tank.turtles[place]
    span = span_of(turtle, events, now)
    record = resolve("turtle", turtle.species or "")
    species = record if isinstance(record, Animal) else None
    warm = temperature_of(tank, species, events, now)
    if span is None or warm is None:
        return ration_of(turtle, tank, events, now, "no weight trend yet")
    return ration_of(turtle, tank, events, now, eaten_between(tank, events, *span, warm.value))


def _who(tank: Tank, events: Sequence[Event], now: datetime) -> Eater:
    """Return whose diet the menu is held against: that of the only turtle, else nobody's."""
    if len(tank.turtles) != 1:
        return Eater(species=None, age="adult")
    record = resolve("turtle", tank.turtles[0].species or "")
    species = record if isinstance(record, Animal) else None
    return Eater(species=species, age=age_class(tank.turtles[0], species, events, now)[0])


def source_nitrate(tank: Tank, events: Sequence[Event]) -> Estimate | None:
    """Return nitrate of the source water as N: last read, else described, else unknown."""
    read = [e for e in events if isinstance(e, Reading) and e.quantity == "tap_nitrate" and not e.above]
    if read:
        last = max(read, key=lambda event: event.time)
        return exactly(last.value, "mg/L N", f"your own tap reading of {last.time:%Y-%m-%d}")
    given = tank.source_water.nitrate_mgn_l
    return None if given is None else exactly(given, "mg/L N", "your own value in tank.toml")


def litres_for(nitrogen: Estimate, held: Held) -> Estimate | None:
    """Return new water a week that holds nitrate for nitrogen fed (mg/week), without plants."""
    share = common("foods")["n_to_water_share"]
    limit, tap = NITRATE["mg/lno3"].convert(held.limit), held.tap
    if tap is None or tap.value >= limit:
        return None
    reach = of_fact(share)
    return combined(
        lambda fed, part: float(change_to_hold_nitrate(fed * part, limit, tap.value)), nitrogen, reach,
        unit="L a week", origin=f"estimate, {share.origin} for the share that reaches the water", source=share.source,
    )  # fmt: skip


def _share_note() -> Said:
    share = common("foods")["n_to_water_share"]
    return said(
        f"{100 * share.middle:.0f} % ({100 * share.bounds[0]:.0f} to {100 * share.bounds[1]:.0f}) of the nitrogen fed"
        " is taken to reach the water. The fitted balance of this tank knows better: `lentic balance`.",
        share,
    )


def _tub_note() -> Said:
    tub = common("foods")["tub_keeps_out_pct"]
    return said(f"Feeding elsewhere keeps {tub.text} % of the load out; {tub.note.split('; ')[1]}.", tub)


def _fed_litres(menu: Menu, held: Held) -> Estimate | None:
    """Return the water that what was fed asks for, fish food counted too."""
    every = [(row.grams, row.food.nitrogen if row.food else None) for row in menu.fed]
    if not every or any(fact is None for _, fact in every):
        return None
    parts = [(grams, fact) for grams, fact in every if fact is not None]
    low, middle, high = (
        sum(grams * pick for grams, pick in row) * MG_PER_G
        for row in (
            [(grams, fact.bounds[0]) for grams, fact in parts],
            [(grams, fact.middle) for grams, fact in parts],
            [(grams, fact.bounds[1]) for grams, fact in parts],
        )
    )
    nitrogen = Estimate(low=low, value=middle, high=high, unit="mg a week", origin="sum over the log")
    return litres_for(nitrogen, held)


def _total(parts: Sequence[Estimate], unit: str) -> Estimate:
    return Estimate(
        low=sum(p.low for p in parts), value=sum(p.value for p in parts), high=sum(p.high for p in parts), unit=unit,
        origin=parts[0].origin,
    )  # fmt: skip


def _verdict(rations: Sequence[Ration], need: Estimate | None, fed: Estimate | None) -> str:
    """Say how what was fed stands to what is needed; the scale has the last word."""
    if need is None:
        return "What is needed cannot be said yet."
    needed = f"{amount(need.value, 'kcal a day')} ({number(need.low)} to {number(need.high)})"
    if fed is None:
        return (
            f"Needed: {needed}. What is fed cannot be summed: the energy of some food is not known, or none is logged."
        )
    given = amount(fed.value, "kcal a day")
    if fed.low > need.high:
        place = "above all of the range"
    elif fed.value > need.high:
        place = "above the range"
    elif fed.high < need.low:
        place = "below all of the range"
    elif fed.value < need.low:
        place = "below the range"
    else:
        place = "within the range"
    young = any(ration.age == "juvenile" for ration in rations)
    last = "Growth on its curve decides." if young else "A weight that holds within 3 % a month decides."
    return f"Fed: {given}, {place} of the need of {needed}. {last}"


def _compared(tank: Tank, fed: Sequence[Fed], wanted: Sequence[Food]) -> list[tuple[Food, bool]]:
    """Return foods to compare and whether each is in use: usual staples, packets, the log's, those asked for."""
    used = {row.food.id: row.food for row in fed if row.food}
    packets = {food.id: food for packet in tank.foods if (food := own.food(tank, packet.id))}
    asked = {food.id: own.food(tank, food.id) or food for food in wanted}
    staples = {id_: food for id_, food in foods().items() if food.words("use").startswith(STAPLE_WORDS)}
    every = {**staples, **packets, **used, **asked}
    return [(food, id_ in used) for id_, food in every.items()]


def _choices(
    tank: Tank, need: Estimate | None, days: float, held: Held, compared: Sequence[tuple[Food, bool]]
) -> tuple[Choice, ...]:
    """Return what each food would do, the least load first."""
    if need is None:
        return ()
    rows = [replace(_choice(tank, food, need, days, held), in_use=in_use) for food, in_use in compared]
    return tuple(sorted(rows, key=lambda row: (row.nitrogen is None, row.nitrogen.value if row.nitrogen else 0.0)))


def _days(rations: Sequence[Ration]) -> float:
    return max((ration.feeding_days.value for ration in rations), default=WEEK_D)


def _mixed(tank: Tank, mix: Mix, need: Estimate, days: float, held: Held) -> Choice:
    """Return what several foods do that share the energy; unknown for one is unknown for all."""
    whole = sum(share for _, share in mix)
    parts = [(food, share / whole) for food, share in mix]
    rows = [_choice(tank, food, need.times(share, need.unit), days, held) for food, share in parts]
    grams = [row.grams_per_day for row in rows if row.grams_per_day]
    meals = [row.grams_per_feeding_day for row in rows if row.grams_per_feeding_day]
    nitrogen = [row.nitrogen for row in rows if row.nitrogen]
    phosphorus = [row.phosphorus for row in rows if row.phosphorus]
    every = len(parts)
    load = _total(nitrogen, "mg N a day") if len(nitrogen) == every else None
    shown = [f"{100 * share:.0f} % {food.name}" for food, share in parts]
    each = [f"{row.name} {row.grams_per_feeding_day.text}" for row in rows if row.grams_per_feeding_day]
    return Choice(
        food="+".join(food.id for food, _ in parts), name=f"{listed(shown)} of the energy", in_use=False, energy=None,
        grams_per_day=_total(grams, "g a day") if len(grams) == every else None,
        grams_per_feeding_day=_total(meals, "g a feeding day") if len(meals) == every else None,
        nitrogen=load, phosphorus=_total(phosphorus, "mg P a day") if len(phosphorus) == every else None,
        litres=litres_for(load.times(WEEK_D, "mg a week"), held) if load else None, scoops=None,
        remarks=tuple(each) if len(each) == every else ("the energy of one of them is not known",),
    )  # fmt: skip


def _choice(tank: Tank, food: Food, need: Estimate, days: float, held: Held) -> Choice:
    remarks = [food.words(key) for key in ("use", "hazard") if food.words(key)]
    energy, nitrogen, phosphorus = usable_energy(food), food.nitrogen, food.phosphorus
    if energy is None or energy.low <= 0.0:
        return Choice(
            food=food.id, name=food.name, in_use=False, energy=energy, grams_per_day=None, grams_per_feeding_day=None,
            nitrogen=None, phosphorus=None, litres=None, scoops=None, remarks=(*remarks, "energy not known"),
        )  # fmt: skip
    origin = f"need {need.origin}; food: {energy.origin}"
    grams = combined(lambda kcal, per: kcal / per, need, energy, unit="g a day", origin=origin, source=energy.source)
    mean = exactly(grams.value, "g", "")
    eaten_n = None if nitrogen is None else combined(
        lambda g, share: g * share * MG_PER_G, mean, of_fact(nitrogen), unit="mg N a day", origin=nitrogen.origin
    )  # fmt: skip
    eaten_p = None if phosphorus is None else combined(
        lambda g, share: g * share * MG_PER_G, mean, of_fact(phosphorus), unit="mg P a day", origin=phosphorus.origin
    )  # fmt: skip
    packet = own.packet_of(tank, food.id)
    scoop = packet.scoop_g if packet else None
    meal = grams.times(WEEK_D / days, "g a feeding day")
    return Choice(
        food=food.id, name=food.name, in_use=False, energy=energy, grams_per_day=grams, grams_per_feeding_day=meal,
        nitrogen=eaten_n, phosphorus=eaten_p,
        litres=litres_for(eaten_n.times(WEEK_D, "mg a week"), held) if eaten_n else None,
        scoops=meal.times(1.0 / scoop, "scoops a feeding day") if scoop else None, remarks=tuple(remarks),
    )  # fmt: skip
