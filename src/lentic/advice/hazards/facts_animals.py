"""Facts of the animals and plants: what is written of them, and what the catalogue knows of their kind."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.hazards.facts_tank import known_only
from lentic.advice.hazards.law import listed, protected
from lentic.catalogue import Animal, Plant, resolve
from lentic.catalogue.hazards import NOTHING, Item, Known, turtle_groups
from lentic.logbook.events import AnimalIn, Event, Feed, LostPlant, Measure, Planted, Reading, Rest, Thin, Wake, Weigh
from lentic.logbook.tank import Tank, Turtle

NEW_ANIMAL_D, NEW_PLANT_D = 60.0, 30.0
"""So long something counts as newly arrived; common practice, no source. [d]"""
EATS_D = 7.0
"""Food logged within these days means the animals eat, where there is one turtle; common practice, no source. [d]"""
FRESH_WATER_D = 2.0
"""A water temperature says nothing of today after so long; common practice, no source. [d]"""
JUVENILE_TO, SUBADULT_TO = 0.6, 1.0
"""Shares of the least adult shell length that end an age class; common practice, no source. [-]"""
HATCHLING_CM = 4.5
"""Up to this shell length where the hatching length of the species is not known; common practice, no source. [cm]"""
HATCHLING_TO = 1.3
"""A turtle up to so many times the hatching length is a hatchling; common practice, no source. [-]"""
LOW_G_L, HIGH_G_L = 2.0, 6.0
"""Wet submerged plant per litre that ends "low" and begins "high"; common practice, no source. [g/L]"""
_SWIMS: Final[Mapping[str, str]] = {
    "weak": "weak", "weak to moderate": "weak", "weak for its size": "weak", "moderate": "moderate",
    "good": "moderate", "strong": "strong",
}  # fmt: skip
_WINTERS: Final = ("natural", "capable", "short cool rest", "cool rest")
_NO_CLAWS: Final = frozenset({"fish", "snail", "mussel"})


def animal_facts(tank: Tank, events: Sequence[Event]) -> dict[str, Known]:
    """Return which animals and plants live in the tank."""
    kinds = {item.get("kind") for item in (mate_item(each.species) for each in tank.fish)}
    fish = "fish" in kinds or (None in kinds and bool(tank.fish))
    species = [_record(turtle) for turtle in tank.turtles]
    count = len(tank.turtles)
    known: dict[str, Known | None] = {
        "turtle.any": True if tank.turtles else None,
        "mate.any": bool(tank.fish),
        "fish.any": fish if None not in kinds or "fish" in kinds else None,
        "invertebrates.any": bool(kinds & {"snail", "shrimp", "crayfish"}),
        "fish.n_ratio": None if tank.fish else NOTHING,
        "plant.any": bool(tank.plants),
        "plant.mass_class": plant_class(tank, events),
        "plant.floating_cover_pct": _floating(tank),
        "group.turtle_count": float(count) if count else None,
        "group.male_count": _males(tank),
        "group.species_count": float(len({s.id for s in species if s})) if species and None not in species else None,
        "group.scl_ratio": _ratio(tank, events),
    }
    if not tank.plants:
        known["plant.dead_g_per_100L"] = 0.0
    return known_only(known)


def _record(turtle: Turtle) -> Animal | None:
    found = resolve("turtle", turtle.species) if turtle.species else None
    return found if isinstance(found, Animal) else None


def _males(tank: Tank) -> float | None:
    """Return how many turtles are male; a male too young to count is counted, which errs towards care."""
    sexes = [turtle.sex for turtle in tank.turtles]
    if len(sexes) == 1:
        return 1.0 if sexes[0] == "male" else 0.0
    return None if not sexes or {None, "unknown"} & set(sexes) else float(sexes.count("male"))


def _ratio(tank: Tank, events: Sequence[Event]) -> float | None:
    lengths = [shell_length(turtle, events) for turtle in tank.turtles]
    known = [each for each in lengths if each is not None]
    if len(lengths) == 1:
        return 1.0
    return max(known) / min(known) if known and len(known) == len(lengths) else None


def shell_length(turtle: Turtle, events: Sequence[Event]) -> float | None:
    """Return the shell length last measured, else the described one. [cm]"""
    measured = [e for e in events if isinstance(e, Measure) and e.animal == turtle.id]
    return max(measured, key=lambda e: e.time).centimetres if measured else turtle.scl_cm


def turtle_facts(turtle: Turtle, tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known]:
    """Return what is known of one turtle."""
    length = shell_length(turtle, events)
    day = tank.local_date(now)
    brumating = _brumating(turtle, tank, events, now)
    known: dict[str, Known | None] = {
        "turtle.sex": turtle.sex,
        "turtle.scl_cm": length,
        "turtle.shell_width_cm": turtle.shell_width_cm,
        "turtle.shell_height_cm": turtle.shell_height_cm,
        "turtle.vet_checked": True if turtle.vet_checked and (day - turtle.vet_checked).days <= 60 else None,
        "turtle.brumating": brumating,
        "turtle.brumation_loss_pct": NOTHING if brumating is False else _loss_in_rest(turtle, events),
        "turtle.mass_change_30d_pct": mass_change(turtle, events, now),
        "turtle.not_eating_days": _days_since_food(tank, events, now),
        "turtle.body_C": _water(events, now),
    }
    record = _record(turtle)
    if record is not None:
        known |= of_species(record, turtle.sex, length, tank.country)
    return known_only(known)


def of_species(record: Animal, sex: str | None, length: float | None, country: str | None) -> dict[str, Known | None]:
    """Return what the catalogue knows of a turtle of this species, sex and length."""
    zone, water = record.fact("uvb_zone"), record.fact("water_adult_C")
    rest = record.words("brumation")
    return {
        "turtle.species": record.id,
        "turtle.group": turtle_groups().get(record.scientific.split()[0]),
        "turtle.mature_scl_cm": _mature(record, sex),
        "turtle.stage": stage_of(record, sex, length),
        "turtle.swimmer": _SWIMS.get(record.words("swimmer")),
        "turtle.basking_species": None if zone is None else zone.middle >= 3.0,
        "turtle.tropical": not rest.startswith(_WINTERS) if rest else None,
        "turtle.warm_water": None if water is None else water.bounds[0] >= 20.0,
        "turtle.listed_where_kept": listed(record, country),
        "turtle.cites_or_protected": protected(record),
    }


def _mature(record: Animal, sex: str | None) -> float | None:
    sexes = (sex,) if sex in ("female", "male") else ("female", "male")
    facts = [record.fact(f"scl_adult_{each}_cm") for each in sexes]
    return min((fact.bounds[0] for fact in facts if fact is not None), default=None)


def stage_of(record: Animal, sex: str | None, length: float | None) -> str | None:
    """Return the age class by share of the least adult length of its sex; None where the sexes would differ."""
    sexes = (sex,) if sex in ("female", "male") else ("female", "male")
    facts = [record.fact(f"scl_adult_{each}_cm") for each in sexes]
    if length is None or None in facts:
        return None
    hatched = record.fact("hatchling_scl_cm")
    if length <= (HATCHLING_CM if hatched is None else HATCHLING_TO * hatched.bounds[1]):
        return "hatchling"
    shares = [length / fact.bounds[0] for fact in facts if fact is not None]
    stages = {"juvenile" if s < JUVENILE_TO else "subadult" if s < SUBADULT_TO else "adult" for s in shares}
    return stages.pop() if len(stages) == 1 else None


def _brumating(turtle: Turtle, tank: Tank, events: Sequence[Event], now: datetime) -> bool | None:
    """Return whether it is in its winter rest: by the log, else not while food is given."""
    last = max(
        (e for e in events if isinstance(e, Rest | Wake) and e.animal == turtle.id), key=lambda e: e.time, default=None
    )
    if last is not None:
        return isinstance(last, Rest)
    fed = any(isinstance(e, Feed) and now - e.time <= timedelta(days=EATS_D) for e in events)
    return False if fed else None


def _loss_in_rest(turtle: Turtle, events: Sequence[Event]) -> float | None:
    begun = max((e.time for e in events if isinstance(e, Rest) and e.animal == turtle.id), default=None)
    weighed = sorted((e for e in events if isinstance(e, Weigh) and e.animal == turtle.id), key=lambda e: e.time)
    if begun is None or len(weighed) < 2:
        return None
    before = [e.grams for e in weighed if e.time <= begun + timedelta(days=1)]
    after = [e.grams for e in weighed if e.time > begun + timedelta(days=1)]
    return 100.0 * (1.0 - after[-1] / before[-1]) if before and after else None


def mass_change(turtle: Turtle, events: Sequence[Event], now: datetime) -> float | None:
    """Return the change of mass over 30 days, from two weighings three to six weeks apart, the last not old. [%]"""
    weighed = sorted((e for e in events if isinstance(e, Weigh) and e.animal == turtle.id), key=lambda e: e.time)
    if not weighed or now - weighed[-1].time > timedelta(days=30):
        return None
    last = weighed[-1]
    earlier = [e for e in weighed if timedelta(days=21) <= last.time - e.time <= timedelta(days=42)]
    if not earlier:
        return None
    first = min(earlier, key=lambda e: abs((last.time - e.time) - timedelta(days=30)))
    days = (last.time - first.time) / timedelta(days=1)
    return 100.0 * (last.grams / first.grams - 1.0) * 30.0 / days


def _days_since_food(tank: Tank, events: Sequence[Event], now: datetime) -> float | None:
    """Return the days since food was given to the only turtle; after a week without a line it has to be asked."""
    fed = [e.time for e in events if isinstance(e, Feed)]
    if len(tank.turtles) != 1 or not fed:
        return None
    days = (now - max(fed)) / timedelta(days=1)
    return days if days <= EATS_D else None


def _water(events: Sequence[Event], now: datetime) -> float | None:
    read = [e for e in events if isinstance(e, Reading) and e.quantity == "temperature"]
    last = max(read, key=lambda e: e.time, default=None)
    return last.value if last is not None and now - last.time <= timedelta(days=FRESH_WATER_D) else None


def outside_range(turtle: Turtle, events: Sequence[Event], now: datetime) -> tuple[float, float] | None:
    """Return how far the last water reading lies outside its range, and how long readings have shown so. [K, h]"""
    record = _record(turtle)
    if record is None:
        return None
    young = stage_of(record, turtle.sex, shell_length(turtle, events)) in ("hatchling", "juvenile")
    fact = record.fact("water_juvenile_C" if young else "water_adult_C")
    read = sorted((e for e in events if isinstance(e, Reading) and e.quantity == "temperature"), key=lambda e: e.time)
    if fact is None or not read or now - read[-1].time > timedelta(days=FRESH_WATER_D):
        return None
    low, high = fact.bounds
    away = [max(low - e.value, e.value - high, 0.0) for e in read]
    begun = next((k + 1 for k in range(len(read) - 1, -1, -1) if away[k] == 0.0), 0)
    hours = (read[-1].time - read[begun].time) / timedelta(hours=1) if begun < len(read) else 0.0
    return away[-1], hours


def plant_class(tank: Tank, events: Sequence[Event]) -> str | None:
    """Return how much submerged plant there is for the water; None while a mass is not known."""
    if not tank.plants:
        return "none"
    masses = [plant.wet_g for plant in tank.plants]
    if None in masses or not tank.water_litres or any(isinstance(e, Thin | Planted | LostPlant) for e in events):
        return None
    share = sum(mass for mass in masses if mass is not None) / tank.water_litres
    return "low" if share < LOW_G_L else "medium" if share < HIGH_G_L else "high"


def _floating(tank: Tank) -> float | None:
    found = [resolve("plant", plant.species) for plant in tank.plants]
    classes = {each.growth_class if isinstance(each, Plant) else None for each in found}
    return None if classes & {None, "floater"} else 0.0


def mates_of(tank: Tank, events: Sequence[Event], now: datetime, known: Mapping[str, Known]) -> tuple[Item, ...]:
    """Return the tank mates, one item a kind."""
    arrived = {e.what for e in events if isinstance(e, AnimalIn) and now - e.time <= timedelta(days=NEW_ANIMAL_D)}
    items = []
    for each in tank.fish:
        item = dict(mate_item(each.species, tank))
        if each.species not in arrived:
            item["quarantine_days"] = NOTHING
            item["bought_for"] = NOTHING
        gh = known.get("reading.gh")
        if isinstance(gh, float) and (days := hardness_out(each.species, gh)) is not None:
            item["hardness_out_days"] = days
        items.append(item)
    return tuple(items)


def hardness_out(species: str, gh: float) -> float | None:
    """Return 0 while the hardness last read suits a tank mate; how long it has not is asked."""
    record = resolve("tankmate", species)
    fact = record.fact("gh_dGH") if isinstance(record, Animal) else None
    if fact is None:
        return None
    low, high = fact.bounds
    return 0.0 if low <= gh <= high else None


def mate_item(species: str, tank: Tank | None = None) -> Item:
    """Return what the catalogue knows of a tank mate, by the names of the list mate[].

    A habit "known of it" that no record names counts as not known of it; a body without fins has no fin spines and no
    sucker mouth. What else is not written stays unknown.
    """
    record = resolve("tankmate", species)
    if not isinstance(record, Animal):
        return {"name": species, "id": species}
    sort = record.sort

    def trait(key: str, otherwise: bool | None) -> bool | None:
        fact = record.fact(key)
        return fact.value if fact is not None and isinstance(fact.value, bool) else otherwise

    bodied = None if sort == "fish" else False
    facts: dict[str, Known | None] = {
        "kind": sort,
        "spines": trait("spines", bodied),
        "sucker": trait("sucker", bodied),
        "attaches": trait("attaches", False),
        "claws": trait("claws", False if sort in _NO_CLAWS or trait("copper_sensitive", None) else None),
        "nips": trait("nips", False if sort in ("snail", "mussel") else None),
        "sharp_shell": trait("armour", None) if sort == "snail" else False,
        "temp_overlap_C": None if tank is None else _overlap(record, tank),
    }
    return {"name": record.name, "id": record.id, **known_only(facts)}


def _overlap(record: Animal, tank: Tank) -> float | None:
    """Return by how much its temperatures and those of all turtles overlap. [K]"""
    ranges = [record.water_temperature, *(each.water_temperature for t in tank.turtles if (each := _record(t)))]
    if len(ranges) < 2 or None in ranges:
        return None
    bounds = [each.bounds for each in ranges if each is not None]
    return max(0.0, min(high for _, high in bounds) - max(low for low, _ in bounds))


def plants_of(tank: Tank, events: Sequence[Event], now: datetime) -> tuple[Item, ...]:
    """Return the plants, one item a kind; one planted lately that was not there before is still to be asked about."""
    items = []
    young = {e.species for e in events if isinstance(e, Planted) and now - e.time <= timedelta(days=NEW_PLANT_D)}
    for name in dict.fromkeys((*(plant.species for plant in tank.plants), *sorted(young))):
        item = dict(plant_item(name, tank.country))
        item["new"] = False
        if name not in young or any(plant.species == name for plant in tank.plants):
            item["quarantine_days"] = NOTHING
        items.append(item)
    return tuple(items)


def plant_item(species: str, country: str | None) -> Item:
    """Return what the catalogue knows of a plant, by the names of the list plant[]."""
    record = resolve("plant", species)
    if not isinstance(record, Plant):
        return {"name": species, "id": species}
    safety = record.words("safety")
    facts: dict[str, Known | None] = {
        "raphides": "raphides" in safety if safety else None,
        "listed_where_kept": listed(record, country),
    }
    return {"name": record.name, "id": record.id, **known_only(facts)}
