"""The one gate that every plan, trial, purchase, dose, step of upkeep and card passes through."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from lentic.advice.hazards.logic import Outcome, try_rule, used
from lentic.catalogue import references
from lentic.catalogue.hazards import NOTHING, Facts, Hazard, Item, Known, Nothing, PartSet, fact_kinds, hazards

OVERRULED_D = 60
"""So long a written reason overrules a STOP; then it has to be written again. Common practice, no source. [d]"""


@dataclass(frozen=True, kw_only=True)
class Situation:
    """What is known of a tank: facts of the tank and its home, and those of each turtle by its id."""

    tank: str
    facts: Facts
    turtles: Mapping[str, Mapping[str, Known]] = field(default_factory=dict)
    assumed: tuple[str, ...] = ()

    def told(self, known: Mapping[str, Known]) -> Situation:
        """Return the situation with further facts over it; facts of a turtle hold for every turtle."""
        own = {name: value for name, value in known.items() if name.startswith("turtle.")}
        turtles = {id: {**facts, **own} for id, facts in self.turtles.items()}
        return replace(self, facts=self.facts.plus(known), turtles=turtles)


@dataclass(frozen=True, kw_only=True)
class Question:
    """Something about to be bought, dosed, fed, planted or done: the facts it sets and the facts it bears on."""

    words: tuple[str, ...] = ()
    sets: Mapping[str, Known] = field(default_factory=dict)
    mates: tuple[Item, ...] = ()
    plants: tuple[Item, ...] = ()
    turtle: Mapping[str, Known] | None = None
    touches: frozenset[str] = frozenset()
    forgets: frozenset[str] = frozenset()
    """Facts that hold of the tank as it stands but not of what is asked."""

    def bears_on(self, rule: Hazard) -> bool:
        """Tell whether a rule has to do with what is asked."""
        lists = {name for name, items in (("mate", self.mates), ("plant", self.plants)) if items}
        names = {*self.sets, *self.touches}
        if self.turtle is not None:
            names |= {"turtle.group", "turtle.listed_where_kept", "turtle.cites_or_protected", "group.turtle_count"}
        return any(name in names or name.split("[]")[0] in lists for name in rule.names)


@dataclass(frozen=True, kw_only=True)
class Overruled:
    """A rule the keeper has set aside, when, and why."""

    rule: str
    when: datetime
    why: str

    def holds(self, now: datetime) -> bool:
        """Tell whether the reason is still young enough."""
        return now - self.when <= timedelta(days=OVERRULED_D)


@dataclass(frozen=True, kw_only=True)
class Found:
    """A rule that fires: whom it is about, what to do instead, who says so, on which facts."""

    rule: str
    group: str
    severity: str
    when: str
    message: str
    instead: str
    source: str
    how: str
    note: str
    facts: Mapping[str, Known]
    about: tuple[str, ...] = ()
    overruled: Overruled | None = None

    @property
    def stops(self) -> bool:
        """Whether it forbids going on."""
        return self.severity == "STOP" and self.overruled is None


@dataclass(frozen=True, kw_only=True)
class Ask:
    """One short question that would decide `rules`; `severity` is that of the most pressing of them."""

    fact: str
    question: str
    severity: str
    rules: tuple[str, ...]
    about: str = ""


@dataclass(frozen=True, kw_only=True)
class NotChecked:
    """A rule that cannot say yet, and the facts it lacks."""

    rule: str
    group: str
    severity: str
    missing: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What the gate says: what was found, what it has to ask, and what it could not check."""

    tank: str
    words: tuple[str, ...]
    found: tuple[Found, ...]
    asks: tuple[Ask, ...]
    not_checked: tuple[NotChecked, ...]
    tried: int
    assumed: tuple[str, ...] = ()

    @property
    def stopped(self) -> bool:
        """Whether a STOP stands that nobody has overruled in writing."""
        return any(each.stops for each in self.found)

    @property
    def stops(self) -> tuple[Found, ...]:
        """The findings that forbid going on."""
        return tuple(each for each in self.found if each.stops)


def gate(
    situation: Situation,
    question: Question | None = None,
    *,
    now: datetime | None = None,
    overruled: Iterable[Overruled] = (),
    rules: Iterable[Hazard] | None = None,
) -> Verdict:
    """Return what is dangerous in a tank, or in what is about to be done to it.

    Without a question every rule is tried. With one, only those that bear on it, on the facts as they would then be.
    """
    chosen = tuple(hazards().values() if rules is None else rules)
    if question is not None:
        chosen = tuple(rule for rule in chosen if question.bears_on(rule))
    worlds = _worlds(situation, question)
    set_aside = {each.rule: each for each in overruled if now is None or each.holds(now)}
    found: list[Found] = []
    open_rules: list[tuple[Hazard, list[tuple[str, Outcome]]]] = []
    for rule in chosen:
        outcomes = [(name, facts, try_rule(rule, facts)) for name, facts in worlds]
        fired = [(name, facts, outcome) for name, facts, outcome in outcomes if outcome.fires]
        if fired:
            found.append(_found(rule, fired, set_aside.get(rule.id)))
        elif any(outcome.fires is None for _, _, outcome in outcomes):
            open_rules.append((rule, [(name, outcome) for name, _, outcome in outcomes if outcome.fires is None]))
    return Verdict(
        tank=situation.tank, words=question.words if question else (), tried=len(chosen), assumed=situation.assumed,
        found=tuple(sorted(found, key=lambda each: (not each.stops, hazards_rank(each.severity)))),
        asks=_asks(open_rules), not_checked=tuple(_not_checked(rule, lacking) for rule, lacking in open_rules),
    )  # fmt: skip


def hazards_rank(severity: str) -> int:
    """Return the place of a severity, the most pressing first."""
    return ("STOP", "ACT", "WARN", "NOTE").index(severity)


def _worlds(situation: Situation, question: Question | None) -> list[tuple[str, Facts]]:
    """Return the facts the rules are tried on: one set for each turtle, or the new turtle alone."""
    facts, turtles = situation.facts, dict(situation.turtles)
    if question is not None:
        lists = {name: items for name, items in (("mate", question.mates), ("plant", question.plants)) if items}
        kept = {name: value for name, value in facts.known.items() if name not in question.forgets}
        facts = Facts(known={**kept, **question.sets}, lists={**facts.lists, **lists})
        own = {name: value for name, value in question.sets.items() if name.startswith("turtle.")}
        turtles = {id: {**known, **own} for id, known in turtles.items()}
        if question.turtle is not None:
            turtles = {question.words[0] if question.words else "": question.turtle}
    if not turtles:
        return [("", facts)]
    return [(id, facts.plus(known)) for id, known in turtles.items()]


def _found(rule: Hazard, fired: Sequence[tuple[str, Facts, Outcome]], overruled: Overruled | None) -> Found:
    items = [item for _, _, outcome in fired for item in outcome.items]
    named = dict.fromkeys(str(one["name"]) for item in items for one in item.values() if one.get("name"))
    of_turtle = any(name.startswith("turtle.") and name != "turtle.any" for name in rule.names)
    about = [*(name for name, _, _ in fired if of_turtle and name), *named]
    said = references()
    return Found(
        rule=rule.id, group=rule.group, severity=rule.severity, when=rule.when, message=rule.message,
        instead=rule.instead, source=" ".join(said[key] for key in rule.sources), how=rule.how, note=rule.note,
        facts=used(rule, fired[0][1], fired[0][2].items[0]), about=tuple(about), overruled=overruled,
    )  # fmt: skip


def _asks(open_rules: Sequence[tuple[Hazard, Sequence[tuple[str, Outcome]]]]) -> tuple[Ask, ...]:
    """Return one question a fact, the most pressing first; each rule asks for the first fact that can be asked."""
    rules: dict[tuple[str, str], list[Hazard]] = {}
    for rule, lacking in open_rules:
        for name, outcome in lacking:
            pair = next(((fact, item) for fact, item in outcome.missing if fact_kinds()[fact].ask), None)
            if pair is not None:
                fact, item = pair
                about = item or (name if fact.startswith("turtle.") and fact != "turtle.any" else "")
                rules.setdefault((fact, about), []).append(rule)
    asks = [
        Ask(
            fact=fact, about=about, question=fact_kinds()[fact].ask, rules=tuple(dict.fromkeys(r.id for r in found)),
            severity=min(found, key=lambda rule: rule.rank).severity,
        )
        for (fact, about), found in rules.items()
    ]  # fmt: skip
    return tuple(sorted(asks, key=lambda ask: (hazards_rank(ask.severity), -len(ask.rules))))


def _not_checked(rule: Hazard, lacking: Sequence[tuple[str, Outcome]]) -> NotChecked:
    missing = dict.fromkeys(fact for _, outcome in lacking for fact, _ in outcome.missing)
    return NotChecked(rule=rule.id, group=rule.group, severity=rule.severity, missing=tuple(missing))


def plain(value: Known) -> bool | float | str | list[str] | None:
    """Return what a fact holds as plain data; nothing is null."""
    if isinstance(value, Nothing):
        return None
    if isinstance(value, PartSet):
        return sorted(value.there)
    return sorted(value) if isinstance(value, frozenset) else value


__all__ = ["NOTHING", "Ask", "Found", "NotChecked", "Overruled", "Question", "Situation", "Verdict", "gate", "plain"]
