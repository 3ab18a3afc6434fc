"""What the log fed in the last weeks, summed: unknown stays unknown, with the share of the menu it concerns."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.estimate import Estimate
from lentic.advice.ranged import Said, said
from lentic.advice.words import listed
from lentic.catalogue import HOW_WORDS, Animal, Fact, Food, common, resolve
from lentic.learn.ration import NORMAL_90
from lentic.logbook import own
from lentic.logbook.events import Event, Feed, Leftovers
from lentic.logbook.tank import Tank
from lentic.science.constants import WEEK_D

WEIGHED_ERROR: Final = 0.1
"""How far the grams of a log are off in the long run; common practice, no source. [-]"""
MOST_UNKNOWN: Final = 0.1
"""Share of the menu whose energy may be unknown before the energy eaten is."""
FEWEST_FOODS, FEWEST_GREENS = 5, 2
"""A varied menu; common practice, no source."""
MUCH_OF_ONE: Final = 0.5


@dataclass(frozen=True, kw_only=True)
class Fed:
    """One food of the menu and how much of it a week, leftovers taken off."""

    id: str
    name: str
    grams: float
    food: Food | None

    @property
    def kind(self) -> str:
        """Complete, animal, plant, fruit, or empty where unknown."""
        return self.food.words("kind") if self.food else ""


@dataclass(frozen=True, kw_only=True)
class Sum:
    """A sum over the menu, the foods it is not known for and their share of the grams fed; None: known for none."""

    what: str
    known: Estimate | None
    unknown_share: float
    unknown: tuple[str, ...]

    @property
    def line(self) -> str:
        """The sum in a keeper's words."""
        if self.known is None:
            return f"{self.what}: not known for any food of the menu"
        rest = ""
        if self.unknown:
            rest = f"; not known for {100 * self.unknown_share:.0f} % of the grams ({listed(self.unknown)})"
        return f"{self.what}: {self.known.told}{rest}"


@dataclass(frozen=True, kw_only=True)
class Menu:
    """The menu of a week, its sums and what stands out."""

    weeks: float
    fed: tuple[Fed, ...]
    sums: tuple[Sum, ...]
    findings: tuple[Said, ...]

    def sum_of(self, what: str) -> Sum:
        """Return one sum by its name."""
        return next(each for each in self.sums if each.what == what)


@dataclass(frozen=True, kw_only=True)
class Eater:
    """Whose diet a menu is held against; no species where it is not one turtle of a known kind."""

    species: Animal | None
    age: str


@dataclass(frozen=True, kw_only=True)
class Eaten:
    """Energy the turtle ate, with how far it may be off."""

    kcal_per_day: float
    sd: float


def fed_between(tank: Tank, events: Sequence[Event], begin: datetime, end: datetime) -> tuple[Fed, ...]:
    """Return the foods given between two moments in grams a week, what was taken out again not counted."""
    grams: dict[str, float] = {}
    last: dict[str, float] = {}
    for event in sorted(events, key=lambda each: each.time):
        if not begin <= event.time <= end:
            continue
        if isinstance(event, Feed):
            grams[event.food] = grams.get(event.food, 0.0) + event.grams
            last[event.food] = event.grams
        elif isinstance(event, Leftovers) and event.food in last:
            back = event.grams if event.grams is not None else (event.fraction or 0.0) * last[event.food]
            grams[event.food] = max(0.0, grams[event.food] - back)
    weeks = max((end - begin).total_seconds() / 86400.0, 1.0) / WEEK_D
    rows = []
    for name, total in grams.items():
        if total <= 0.0:
            continue
        food = own.food(tank, name)
        rows.append(Fed(id=name, name=food.name if food else name, grams=total / weeks, food=food))
    return tuple(sorted(rows, key=lambda row: -row.grams))


def eaten_between(tank: Tank, events: Sequence[Event], begin: datetime, end: datetime, celsius: float) -> Eaten | str:
    """Return the energy the turtle ate a day, or why it is not known; fish are given what they need of it first."""
    if len(tank.turtles) > 1:
        return "several turtles eat from one log"
    fed = [row for row in fed_between(tank, events, begin, end) if not is_fish_food(row)]
    if not fed:
        return "no food is logged between the weighings"
    unknown = [row for row in fed if row.food is None or row.food.energy is None]
    if sum(row.grams for row in unknown) > MOST_UNKNOWN * sum(row.grams for row in fed):
        return f"the energy of {listed([row.name for row in unknown])} is not known"
    total, variance = 0.0, 0.0
    for row in fed:
        energy = usable_energy(row.food) if row.food else None
        if energy is not None:
            total += row.grams * energy.value / WEEK_D
            variance += (row.grams * (energy.high - energy.low) / (2.0 * NORMAL_90) / WEEK_D) ** 2
    taken, taken_sd = _fish_eat(tank, events, begin, end)
    variance += (WEIGHED_ERROR * total) ** 2 + taken_sd**2
    return Eaten(kcal_per_day=max(total - taken, 0.0), sd=variance**0.5)


def _fish_eat(tank: Tank, events: Sequence[Event], begin: datetime, end: datetime) -> tuple[float, float]:
    """Return the energy fish take from the turtle's food a day, with its deviation; none where they have their own."""
    mass = [(fish.count or 1, fish.mass_g or 1.0) for fish in tank.fish]
    if not mass or any(is_fish_food(row) for row in fed_between(tank, events, begin, end)):
        return 0.0, 0.0
    facts = common("tankmates")
    low, high = facts["food_pct_of_mass_1_g"].bounds
    exponent = facts["food_mass_exponent"].middle
    flake = resolve("food", "pellet_adult")
    kcal = flake.energy.middle if isinstance(flake, Food) and flake.energy else 0.0
    each = kcal * sum(count * grams**exponent for count, grams in mass) / 100.0
    return each * (low + high) / 2.0, each * (high - low) / (2.0 * NORMAL_90)


def is_fish_food(row: Fed) -> bool:
    """Tell whether a food is meant for the fish."""
    return bool(row.food and "for fish" in row.food.words("use")) or row.id.startswith(("flake", "fish"))


def usable_energy(food: Food) -> Estimate | None:
    """Return the energy a turtle can use of a food [kcal/g]; of leaves it can use less than the table says."""
    fact = food.energy
    if fact is None:
        return None
    low, high = fact.bounds
    middle = fact.middle
    if food.words("kind") in ("plant", "fruit"):
        share = common("foods")["plant_energy_share"]
        low, middle, high = low * share.bounds[0], middle * share.middle, high * share.bounds[1]
    return Estimate(low=low, value=middle, high=high, unit="kcal/g", origin=fact.origin, source=fact.source)


Pick = Callable[[Food], Fact | None]
_SUMS: Final[Mapping[str, tuple[Pick, float, str]]] = {
    "protein": (lambda food: food.protein, 1.0, "g a week"),
    "nitrogen": (lambda food: food.nitrogen, 1000.0, "mg a week"),
    "phosphorus": (lambda food: food.phosphorus, 1000.0, "mg a week"),
    "calcium": (lambda food: food.calcium, 1000.0, "mg a week"),
    "vitamin A": (lambda food: food.fact("vitA_RAE_ug_100g"), 0.01, "µg a week, as retinol"),
}


def menu_of(tank: Tank, events: Sequence[Event], now: datetime, weeks: float, eater: Eater) -> Menu:
    """Return the menu of the last weeks of a log."""
    logged = [event.time for event in events if isinstance(event, Feed) and event.time <= now]
    begin = max(now - timedelta(weeks=weeks), min(logged, default=now))
    every = fed_between(tank, events, begin, now)
    fed = tuple(row for row in every if not is_fish_food(row))
    sums = [_sum("energy", fed, usable_energy, "kcal a week")]
    for what, (pick, factor, unit) in _SUMS.items():
        sums.append(_sum(what, fed, _picked(pick, factor), unit))
    ratio = _ratio(fed)
    return Menu(
        weeks=(now - begin).total_seconds() / 86400.0 / WEEK_D, fed=every, sums=(*sums, ratio),
        findings=(*_left_over(events, begin, now), *_findings(fed, ratio, eater)),
    )  # fmt: skip


def _left_over(events: Sequence[Event], begin: datetime, end: datetime) -> list[Said]:
    """Return how much of what was given came out again, where the keeper wrote it down."""
    within = sorted((e for e in events if begin <= e.time <= end), key=lambda each: each.time)
    given, back, last = 0.0, 0.0, 0.0
    for event in within:
        if isinstance(event, Feed):
            given, last = given + event.grams, event.grams
        elif isinstance(event, Leftovers):
            back += event.grams if event.grams is not None else (event.fraction or 0.0) * last
    if not back or not given:
        return []
    share, most = 100.0 * back / given, common("foods")["leftovers_most_pct"]
    text = f"Taken out again: {share:.0f} % of what was given; up to {most.text} % is the habit"
    return [said(f"{text}{', so smaller meals' if share > most.middle else ''}.", most)]


def _picked(pick: Pick, factor: float) -> Callable[[Food], Estimate | None]:
    def value(food: Food) -> Estimate | None:
        fact = pick(food)
        if fact is None:
            return None
        low, high = fact.bounds
        return Estimate(
            low=low * factor, value=fact.middle * factor, high=high * factor, unit="", origin=fact.origin,
            source=fact.source,
        )  # fmt: skip

    return value


def _sum(what: str, fed: Sequence[Fed], value: Callable[[Food], Estimate | None], unit: str) -> Sum:
    held = [(row, value(row.food) if row.food else None) for row in fed]
    known = [(row.grams, each) for row, each in held if each is not None]
    unknown = tuple(row.name for row, each in held if each is None)
    total = sum(row.grams for row in fed)
    missing = sum(row.grams for row, each in held if each is None)
    summed = Estimate(
        low=sum(grams * each.low for grams, each in known), value=sum(grams * each.value for grams, each in known),
        high=sum(grams * each.high for grams, each in known), unit=unit, origin=_origins([each for _, each in known]),
    )  # fmt: skip
    share = missing / total if total else 0.0
    return Sum(what=what, known=summed if known else None, unknown_share=share, unknown=unknown)


def _origins(parts: Sequence[Estimate]) -> str:
    """Say how a sum is known: by every way one of its parts is."""
    return "; ".join(dict.fromkeys(part.origin for part in parts))


def _ratio(fed: Sequence[Fed]) -> Sum:
    """Return calcium over phosphorus of the foods for which both are known."""
    both = [row for row in fed if row.food and row.food.calcium and row.food.phosphorus]
    unknown = tuple(row.name for row in fed if row not in both)
    total = sum(row.grams for row in fed)
    share = sum(row.grams for row in fed if row not in both) / total if total else 0.0
    sums = [_sum("", both, _picked(pick, 1.0), "") for pick in (_SUMS["calcium"][0], _SUMS["phosphorus"][0])]
    calcium, phosphorus = (each.known for each in sums)
    if calcium is None or phosphorus is None or not phosphorus.low:
        return Sum(what="calcium to phosphorus", known=None, unknown_share=share, unknown=unknown)
    known = Estimate(
        low=calcium.low / phosphorus.high, value=calcium.value / phosphorus.value,
        high=calcium.high / phosphorus.low, unit="to 1", origin=calcium.origin,
    )  # fmt: skip
    return Sum(what="calcium to phosphorus", known=known, unknown_share=share, unknown=unknown)


def _findings(fed: Sequence[Fed], ratio: Sum, eater: Eater) -> list[Said]:
    facts = common("foods")
    goal = facts["ca_to_p_target_min"]
    found: list[Said] = []
    if ratio.known is not None and ratio.known.value < goal.middle:
        found.append(said(f"Calcium to phosphorus is {ratio.known.text}; the goal is at least {goal.text} to 1.", goal))
    found.append(said(str(facts["calcium_block_note"].value), facts["calcium_block_note"]))
    found += [*_thiaminase(fed), *_oxalate(fed), *_warned(fed), *_variety(fed, eater)]
    sources = [row for row in fed if row.food and (fact := row.food.fact("vitA_RAE_ug_100g")) and fact.middle >= 100]
    names = listed([row.name for row in sources]) or "none among the foods whose content is known"
    found.append(Said(text=f"Vitamin A sources on the menu: {names}.", origin="catalogue, 100 µg/100 g or more"))
    return found


def _thiaminase(fed: Sequence[Fed]) -> list[Said]:
    found: list[Said] = []
    for row in fed:
        fact = row.food.fact("thiaminase") if row.food else None
        if fact is not None and fact.value is True:
            found.append(said(f"{row.name} holds thiaminase, which destroys vitamin B1: not as a regular food.", fact))
    unknown = [row.name for row in fed if row.food and row.kind == "animal" and row.food.fact("thiaminase") is None]
    if unknown:
        found.append(Said(text=f"Thiaminase is not known for {listed(unknown)}.", origin="unknown"))
    return found


def _oxalate(fed: Sequence[Fed]) -> list[Said]:
    greens = [row for row in fed if row.kind == "plant"]
    total = sum(row.grams for row in greens)
    high = [(row, fact) for row in greens if row.food and (fact := row.food.fact("oxalate")) and fact.value == "high"]
    found: list[Said] = []
    if high:
        share = 100.0 * sum(row.grams for row, _ in high) / total
        names = listed([row.name for row, _ in high])
        found.append(
            said(f"{names}, {share:.0f} % of the greens, holds much oxalate, which binds calcium.", high[0][1])
        )
    unknown = [row.name for row in greens if row.food and row.food.fact("oxalate") is None]
    if unknown:
        found.append(Said(text=f"Oxalate is not known for {listed(unknown)}.", origin="unknown"))
    return found


def _warned(fed: Sequence[Fed]) -> list[Said]:
    found: list[Said] = []
    total = sum(row.grams for row in fed)
    for row in fed:
        if row.food is None:
            found.append(
                Said(
                    text=f"{row.name} is in no table: describe it under [[food]] in tank.toml from its packet.",
                    origin="unknown",
                )
            )
            continue
        hazard, use = row.food.fact("hazard"), row.food.fact("use")
        if hazard is not None:
            found.append(said(f"{row.name}: {hazard.text}.", hazard))
        sparing = use is not None and use.text.startswith(("no", "rare", "treat"))
        if use is not None and sparing and (use.text.startswith("no") or row.grams > MUCH_OF_ONE * total):
            share = 100.0 * row.grams / total
            found.append(said(f"{row.name}, {share:.0f} % of the grams: {use.text}.", use))
    return found


def _variety(fed: Sequence[Fed], eater: Eater) -> list[Said]:
    practice = HOW_WORDS["common-practice"]
    found: list[Said] = []
    if 0 < len(fed) < FEWEST_FOODS:
        found.append(Said(text=f"{len(fed)} foods in this time; {FEWEST_FOODS} or more is the habit.", origin=practice))
    key = "diet_animal_pct_hatchling" if eater.age == "juvenile" else "diet_animal_pct_adult"
    band = eater.species.fact(key) if eater.species else None
    split = [row for row in fed if row.kind in ("animal", "plant", "fruit")]
    total = sum(row.grams for row in split)
    if band is not None and total:
        share = 100.0 * sum(row.grams for row in split if row.kind == "animal") / total
        text = (
            f"Beside complete food, {share:.0f} % of the grams are animal; for this species and age {band.text} %"
            " of the diet."
        )
        found.append(said(text, band))
    greens = {row.id for row in fed if row.food and row.kind == "plant" and "staple" in row.food.words("use")}
    if band is not None and band.middle < 80 and len(greens) < FEWEST_GREENS:
        found.append(
            Said(
                text=f"Greens rich in calcium on the menu: {len(greens)}. Two or more for one that eats plants, such as"
                " dandelion, collard and turnip greens.",
                origin=practice,
            )
        )
    return found
