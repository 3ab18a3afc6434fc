"""What is dangerous in a tank, or in something about to be bought, dosed, fed, planted or done."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lentic.advice.hazards import Situation, Verdict, gate, question_of, situation_of
from lentic.advice.hazards.facts import reasons_in
from lentic.advice.hazards.fed import feeding_facts
from lentic.advice.hazards.question import named, together, told
from lentic.catalogue import Record
from lentic.catalogue.hazards import FactKind, Known, fact_kinds
from lentic.catalogue.names import Unknown, Which
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record, open_store
from lentic.logbook.problems import did_you_mean
from lentic.logbook.tank import Tank
from lentic.logbook.told import Told, kind_of, needed, take


def check(where: Where, things: Sequence[str] = (), facts: Sequence[str] = ()) -> Answer[Verdict] | NotYet:
    """Return what is dangerous; with things named, what is dangerous about them in this tank."""
    known = told_facts(facts)
    where, things = _which(where, things)
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    meant: list[Record] = []
    for text in things:
        found = named(text)
        if isinstance(found, Which):
            return NotYet(tank=opened.tank.name, sentence=found.question, wanted=("one of these names",))
        if isinstance(found, Unknown):
            raise AskError(found.sentence)
        meant.append(found.record)
    view = verdict_on(opened, meant, known)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _which(where: Where, things: Sequence[str]) -> tuple[Where, tuple[str, ...]]:
    """Return the tank and the things meant: with a folder, or with one tank in the store, its name may be left out."""
    if where.name is None:
        return where, tuple(things)
    if where.folder is None:
        with open_store(where.home) as store:
            names = store.tanks()
        if where.name in names or len(names) != 1:
            return where, tuple(things)
    return replace(where, name=None), (where.name, *things)


def verdict_on(opened: Opened, things: Sequence[Record], known: dict[str, Known]) -> Verdict:
    """Return the verdict on an open tank, or on some things in it."""
    question = told(together([question_of(each, opened.tank) for each in things]), known) if things else None
    situation = situation_in(opened, known)
    return gate(situation, question, now=opened.end, overruled=reasons_in(opened.events))


def situation_in(opened: Opened, known: dict[str, Known] | None = None) -> Situation:
    """Return what is known of an open tank."""
    fed = feeding_facts(opened.tank, opened.events, opened.end)
    return situation_of(opened.tank, opened.events, opened.end, problems=opened.problems, told={**fed, **(known or {})})


def stops(opened: Opened) -> tuple[str, ...]:
    """Return what forbids leaving the tank as it stands, as sentences; for a card that is handed to someone."""
    verdict = gate(situation_in(opened), now=opened.end, overruled=reasons_in(opened.events))
    return tuple(f"STOP {each.rule}: {each.message} Instead: {each.instead}" for each in verdict.stops)


def told_facts(texts: Sequence[str]) -> dict[str, Known]:
    """Return the facts given with a question, as name=value; a name or value that does not fit is wrong use."""
    known: dict[str, Known] = {}
    for text in texts:
        name, sign, value = text.partition("=")
        if not sign or not value.strip():
            raise AskError(f"Write a fact as name=value, such as heater.guarded=true; not {text!r}.")
        kind = _kind(name.strip())
        held = take(kind, _plain(kind, value.strip()))
        if held is None:
            raise AskError(f"{name.strip()} cannot be {value.strip()!r}. {needed(kind)}")
        known[name.strip()] = held
    return known


def _kind(name: str) -> FactKind:
    found = fact_kinds().get(name)
    if found is not None:
        return found
    meant = kind_of(name)
    if meant is None:
        raise AskError(f"{name!r} is not on the list of facts. {did_you_mean(name, fact_kinds())}")
    return meant[0]


def _plain(kind: FactKind, value: str) -> bool | float | str | list[str]:
    match kind.type:
        case "bool" if value.casefold() in ("true", "yes", "false", "no"):
            return value.casefold() in ("true", "yes")
        case "number":
            try:
                return float(value.replace(",", "."))
            except ValueError:
                return value
        case "set":
            return [_word(part) for part in value.split(",") if part.strip()]
    return _word(value) if kind.values else value


def _word(text: str) -> str:
    """Return a value as the list writes it: "nose bubbles" is nose_bubbles."""
    return "_".join(text.strip().split())


def keep(where: Where, facts: Sequence[str]) -> tuple[Tank, tuple[str, ...]]:
    """Keep answers in the description of a tank of the store; what changes by the day is not kept, and named."""
    known = told_facts(facts)
    if where.name is None:
        raise AskError("Answers are kept for a tank of the store. For a folder write them under [facts] in tank.toml.")
    lasting = {name: value for name, value in known.items() if "[]" not in name and not _kind(name).passing}
    with open_store(where.home) as store:
        tank, _ = store.read(where.name)
        others = tuple(each for each in tank.facts if each.name not in lasting)
        told_now = tuple(Told(name=name, value=value) for name, value in lasting.items())
        changed = replace(tank, facts=(*others, *told_now))
        if lasting:
            store.save_tank(changed, where.clock)
    return changed, tuple(name for name in known if name not in lasting)
