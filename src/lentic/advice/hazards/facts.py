"""What is known of a tank as the facts the rules are tried on: description, log, catalogue, the keeper's answers."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from lentic.advice.hazards.facts_animals import animal_facts, mates_of, outside_range, plants_of, turtle_facts
from lentic.advice.hazards.facts_log import log_facts, reading_facts, sign_facts
from lentic.advice.hazards.facts_tank import described
from lentic.advice.hazards.facts_today import a_turtle_came, as_of_now
from lentic.advice.hazards.gate import Overruled, Situation
from lentic.catalogue import CatalogueError
from lentic.catalogue.hazards import NOTHING, FactKind, Facts, Item, Known, PartSet, fact_kinds
from lentic.logbook.events import AnimalIn, AnimalOut, Event, Overrule
from lentic.logbook.problems import Problem
from lentic.logbook.tank import Tank
from lentic.logbook.told import kind_of

NO_PLAN: Mapping[str, Known] = {
    "plan.actions": frozenset(),
    "session.ended": False,
    **{name: NOTHING for name in fact_kinds() if name.startswith("plan.") and name != "plan.actions"},
    "advice.load_ratio": NOTHING,
}
"""Facts while nothing is planned and nothing compared."""


def situation_of(
    tank: Tank,
    events: Sequence[Event],
    now: datetime,
    *,
    room_high_c: float | None = None,
    problems: Iterable[Problem] = (),
    told: Mapping[str, Known] | None = None,
) -> Situation:
    """Return what is known of a tank at a moment; `told` are answers given with the question, by name of the fact."""
    newcomer = a_turtle_came(tank, events)
    tank = as_of_now(tank, events)
    known: dict[str, Known] = dict(NO_PLAN)
    known |= described(tank, now)
    known |= animal_facts(tank, events)
    if newcomer:
        known = {name: value for name, value in known.items() if not name.startswith("group.")}
    known |= reading_facts(tank, events, now)
    known |= log_facts(tank, events, now)
    known |= sign_facts(events, now)
    known["reading.unit_missing"] = any(p.field == "unit" and p.severity != "note" for p in problems)
    if room_high_c is not None:
        known["forecast.room_max_C"] = room_high_c
    turtles = {turtle.id: turtle_facts(turtle, tank, events, now) for turtle in tank.turtles}
    known |= _outside(tank, events, now)
    lists = {"mate": mates_of(tank, events, now, known), "plant": plants_of(tank, events, now)}
    facts = Facts(known=known, lists=lists)
    answers = {each.name: each.value for each in tank.facts} | dict(told or {})
    return _with(answers, Situation(tank=tank.name, facts=facts, turtles=turtles, assumed=_assumed(tank, events)))


def reasons_in(events: Iterable[Event]) -> tuple[Overruled, ...]:
    """Return the rules the keeper has set aside in the log, with the reasons written there."""
    return tuple(Overruled(rule=e.rule, when=e.time, why=e.note) for e in events if isinstance(e, Overrule))


def _with(answers: Mapping[str, Known], situation: Situation) -> Situation:
    """Return the situation with the keeper's answers over what was worked out."""
    known = dict(situation.facts.known)
    lists = dict(situation.facts.lists)
    turtles = {id: dict(facts) for id, facts in situation.turtles.items()}
    for name, value in answers.items():
        kind, of = _meant(name)
        if kind.of_list is not None:
            lists[kind.of_list] = _told_of(lists.get(kind.of_list, ()), of, kind.key, value)
        elif kind.name.startswith("turtle.") and kind.name != "turtle.any":
            for id in turtles:
                if of in ("", id):
                    turtles[id][kind.name] = value
            if not turtles:
                known[kind.name] = value
        else:
            known[kind.name] = _joined(known.get(kind.name), value)
    return Situation(
        tank=situation.tank, facts=Facts(known=known, lists=lists), turtles=turtles, assumed=situation.assumed
    )


def _meant(name: str) -> tuple[FactKind, str]:
    """Return which fact a name means and of which one; under the name of the list itself it is told of all items."""
    found = kind_of(name)
    if found is not None:
        return found
    if name not in fact_kinds():
        raise CatalogueError(f"{name!r} is not on the list of facts")
    return fact_kinds()[name], ""


def _joined(before: Known | None, told: Known) -> Known:
    """Return an answer beside what was known; faults or signs that are written elsewhere do not vanish by it."""
    if isinstance(before, PartSet) and isinstance(told, frozenset):
        return told | before.there
    return told


def _told_of(items: tuple[Item, ...], of: str, key: str, value: Known) -> tuple[Item, ...]:
    return tuple({**item, key: value} if of in ("", item.get("id"), item.get("name")) else item for item in items)


def _outside(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known]:
    """Return how far the water lies outside the range of the turtle it suits least, and for how long."""
    runs = [outside_range(turtle, events, now) for turtle in tank.turtles]
    known = [run for run in runs if run is not None]
    if not known or len(known) < len(runs):
        return {}
    worst = max(known)
    return {"water.outside_range_C": worst[0], "water.outside_range_hours": worst[1]}


def _assumed(tank: Tank, events: Sequence[Event]) -> tuple[str, ...]:
    """Return what is taken for granted because it is not written anywhere."""
    said = []
    moved = any(isinstance(e, AnimalIn | AnimalOut) for e in events)
    if not tank.fish and not moved:
        said.append("No fish, snail or shrimp is described, so none is taken to be there.")
    if not tank.plants:
        said.append("No plant is described, so none is taken to be there.")
    return tuple(said)
