"""What is about to be bought, dosed, fed, planted or done, as facts: from a name, from steps, from planned events."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from typing import Any, Final

from lentic.advice.hazards.facts_animals import hardness_out, mate_item, of_species, plant_item
from lentic.advice.hazards.facts_tank import known_only
from lentic.advice.hazards.gate import Question
from lentic.catalogue import Animal, Conditioner, Food, Lamp, Medium, Plant, Record, find_among, resolve, turtles
from lentic.catalogue.hazards import NOTHING, Known, Thing, fact_kinds, facts_from, things
from lentic.catalogue.names import ALL_KINDS, Found, Unknown, Which, find
from lentic.logbook.events import AnimalIn, Change, Dose, Event, Feed, Planted, Rinse, Scrape
from lentic.logbook.events import Lamp as LampHours
from lentic.logbook.tank import Tank
from lentic.science.constants import MONTH_D

_WARM_LAMPS: Final = ("high",)
_HANDED: Final = frozenset({"water_change", "hands_in_water"})


def named(text: str) -> Found | Which | Unknown:
    """Find what a keeper means: a thing or deed of the hazards, or a record of the catalogue; two are asked about."""
    of_things = find_among(things(), text)
    if isinstance(of_things, Found):
        return of_things
    found = find(text, ALL_KINDS)
    return of_things if isinstance(found, Unknown) and of_things is not None else found


def doing(
    words: str, *, actions: Iterable[str] = (), known: Mapping[str, Any] | None = None, touches: Iterable[str] = ()
) -> Question:
    """Return the question whether something may be done: its actions and the facts that will hold then.

    An action or a fact that is not on the closed list is a mistake of the caller and raises CatalogueError.
    """
    given = {name: value for name, value in (known or {}).items() if value is not NOTHING}
    raw = {**given, "plan.actions": sorted(set(actions))} if actions else given
    sets: dict[str, Known] = dict(facts_from(raw, fact_kinds(), words).known)
    sets |= {name: NOTHING for name, value in (known or {}).items() if value is NOTHING}
    return _with_touches(Question(words=(words,), sets=sets), touches)


def together(questions: Sequence[Question]) -> Question:
    """Return several things asked about at once as one question."""
    sets: dict[str, Known] = {}
    for each in questions:
        for name, value in each.sets.items():
            before = sets.get(name)
            both = isinstance(before, frozenset) and isinstance(value, frozenset)
            sets[name] = before | value if both else value  # type: ignore[operator]
    return Question(
        words=tuple(word for each in questions for word in each.words),
        sets=sets,
        mates=tuple(item for each in questions for item in each.mates),
        plants=tuple(item for each in questions for item in each.plants),
        turtle=next((each.turtle for each in questions if each.turtle is not None), None),
        touches=frozenset().union(*(each.touches for each in questions)),
        forgets=frozenset().union(*(each.forgets for each in questions)),
    )


def told(question: Question, known: Mapping[str, Known]) -> Question:
    """Return a question with facts the keeper gave with it, which win over all others; they do not widen it."""
    items = {name: value for name, value in known.items() if "[]" in name}
    single = {name: value for name, value in known.items() if "[]" not in name}
    own = {name: value for name, value in single.items() if name.startswith("turtle.")}

    def of(group: str, listed: tuple[Mapping[str, Known], ...]) -> tuple[Mapping[str, Known], ...]:
        facts = {name.split("[].")[1]: value for name, value in items.items() if name.startswith(f"{group}[]")}
        return tuple({**item, **facts} for item in listed)

    return replace(
        question, sets={name: single.get(name, value) for name, value in question.sets.items()},
        mates=of("mate", question.mates), plants=of("plant", question.plants), forgets=question.forgets - set(single),
        turtle=None if question.turtle is None else {**question.turtle, **own},
    )  # fmt: skip


def question_of(record: Record, tank: Tank) -> Question:
    """Return the question whether something of the catalogue may be bought, put in, dosed or fed."""
    match record:
        case Thing():
            return _with_touches(Question(words=(record.name,), sets=dict(record.sets)), record.touches)
        case Animal() if record.id in turtles():
            return _turtle(record, tank)
        case Animal():
            return _mate(record, tank)
        case Plant():
            item = {**plant_item(record.id, tank.country), "new": True}
            return Question(words=(record.name,), sets={"plant.any": True}, plants=(item,))
        case Food():
            return _food(record)
        case Conditioner():
            touches = ("conditioner.dose_vs_label", "conditioner.dose_basis")
            return _with_touches(Question(words=(record.name,), sets={"conditioner.kind": record.id}), touches)
        case Lamp():
            return _lamp(record)
        case Medium():
            sets: dict[str, Known] = {"filter.kind": "fluidised_sand"} if record.id == "fluidised_sand" else {}
            return Question(words=(record.name,), sets=sets)
    return Question(words=(record.name,))


def _with_touches(question: Question, touches: Iterable[str]) -> Question:
    """Return a question that bears on further facts; one of a plan is then no longer taken as not planned."""
    names = frozenset(touches)
    forgets = frozenset(name for name in names if name.startswith("plan.") and name not in question.sets)
    return replace(question, touches=question.touches | names, forgets=question.forgets | forgets)


def _mate(record: Animal, tank: Tank) -> Question:
    item = dict(mate_item(record.id, tank))
    hardness = tank.source_water.gh_dgh
    if hardness is not None and (days := hardness_out(record.id, hardness)) is not None:
        item["hardness_out_days"] = days
    sets: dict[str, Known] = {"mate.any": True}
    if record.sort == "fish":
        sets["fish.any"] = True
    if record.sort in ("snail", "shrimp", "crayfish"):
        sets["invertebrates.any"] = True
    return Question(words=(record.name,), sets=sets, mates=(item,))


def _turtle(record: Animal, tank: Tank) -> Question:
    facts = known_only({"turtle.any": True, **of_species(record, None, None, tank.country)})
    there = [resolve("turtle", turtle.species) if turtle.species else None for turtle in tank.turtles]
    ids = {each.id if isinstance(each, Record) else "" for each in there}
    sets: dict[str, Known] = {
        "turtle.any": True,
        "plan.actions": frozenset({"buy_turtle"}),
        "group.turtle_count": float(len(there) + 1),
    }
    if "" not in ids:
        sets["group.species_count"] = float(len(ids | {record.id}))
    forgets = frozenset({"group.scl_ratio", "group.male_count"}) if there else frozenset()
    return Question(words=(record.name,), sets=sets, turtle=facts, forgets=forgets)


def _food(record: Food) -> Question:
    touched = []
    thiaminase = record.fact("thiaminase")
    if thiaminase is not None and thiaminase.value is not False:
        touched.append("feed.thiaminase_meals_per_month")
    if "liver" in record.id:
        touched.append("feed.liver_or_drops_per_month")
    if record.id in ("gammarus_dried", "iceberg", "romaine", "red_leaf"):
        touched.append("feed.only")
    if record.words("kind") == "animal" or record.id in ("dandelion", "duckweed"):
        touched.append("feed.wild_source")
    names = frozenset(touched)
    return Question(words=(record.name,), sets={"feed.fed": True}, touches=names, forgets=names)


def _lamp(record: Lamp) -> Question:
    touches: set[str] = set()
    sets: dict[str, Known] = {}
    life = record.fact("uvb_life_months")
    if life is not None:
        sets |= {"lamp.uvb.any": True, "lamp.uvb.class_life_days": life.bounds[1] * MONTH_D}
        touches |= {"lamp.uvb.path", "lamp.uvb.uvi"}
    if record.words("heat").startswith(_WARM_LAMPS) or "200 °C" in record.words("hazard"):
        touches |= {"lamp.reach_cm", "lamp.fixings", "lamp.over_water", "bask.surface_C"}
    return Question(
        words=(record.name,), sets=sets, touches=frozenset(touches),
        forgets=frozenset(touches | ({"lamp.uvb.age_days", "lamp.uvb.measured"} if life else set())),
    )  # fmt: skip


def question_of_events(events: Iterable[Event], tank: Tank) -> Question:
    """Return the question whether a plan may be followed: what its events do to the tank."""
    found = [question for event in events if (question := _of_event(event, tank)) is not None]
    return together(list({repr(each): each for each in found}.values())) if found else Question(words=("the plan",))


def _of_event(event: Event, tank: Tank) -> Question | None:
    match event:
        case Change():
            return _change(event, tank)
        case Scrape():
            return doing("scraping", actions=("scrape",))
        case Rinse(water="tap"):
            return doing("rinsing under the tap", actions=("rinse_media_in_tap_water",))
        case Planted():
            record = resolve("plant", event.species)
            return question_of(record, tank) if isinstance(record, Plant) and not _grows(record, tank) else None
        case AnimalIn() | Feed() | Dose():
            name = (
                event.what
                if isinstance(event, AnimalIn)
                else event.food
                if isinstance(event, Feed)
                else event.substance
            )
            found = named(name)
            return question_of(found.record, tank) if isinstance(found, Found) else None
        case LampHours():
            return doing(f"{event.hours:g} h of light", known={"light.hours": event.hours})
    return None


def _grows(record: Plant, tank: Tank) -> bool:
    there = (resolve("plant", plant.species) for plant in tank.plants)
    return any(isinstance(each, Plant) and each.id == record.id for each in there)


def _change(event: Change, tank: Tank) -> Question:
    """Return the question of one change of prepared source water."""
    share = event.share_of(tank.water_litres)
    known: dict[str, Any] = {"plan.low_mineral_share": 0.0}
    if share is not None:
        known["plan.change_fraction"] = min(share, 1.0)
    if tank.source_water.ph is not None:
        known["plan.refill_ph"] = tank.source_water.ph
    return doing("a water change", actions=("water_change",), known=known)
