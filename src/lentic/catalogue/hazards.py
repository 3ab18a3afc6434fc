"""What can harm turtle, fish, filter, house or keeper: rules over a closed list of typed facts."""

from __future__ import annotations

import enum
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, ClassVar, Final

from lentic.catalogue.facts import HOW, CatalogueError
from lentic.catalogue.load import read
from lentic.catalogue.records import Record

FILE: Final = "hazards"
SEVERITIES: Final = ("STOP", "ACT", "WARN", "NOTE")
"""How pressing a hazard is, the most pressing first."""
OPEN: Final = frozenset({"turtle.species", "keeper.country"})
"""Facts of text whose values are not listed."""
_OPERATORS: Final[Mapping[str, frozenset[str]]] = {
    "bool": frozenset({"==", "!="}),
    "number": frozenset({"==", "!=", "<", "<=", ">", ">="}),
    "text": frozenset({"==", "!=", "in", "not_in"}),
    "set": frozenset({"contains", "contains_any"}),
}
_LISTED: Final = frozenset({"in", "not_in", "contains_any"})


class Nothing(enum.Enum):
    """What a fact holds when the thing it speaks of is not there: the guard of a heater in a tank without one."""

    NOTHING = "nothing"


NOTHING: Final = Nothing.NOTHING
Value = bool | float | str | frozenset[str]


@dataclass(frozen=True, kw_only=True)
class PartSet:
    """A set of which only part is known: what is surely in it, and what is surely not; the rest was not looked at."""

    there: frozenset[str] = frozenset()
    absent: frozenset[str] = frozenset()

    def holds_any(self, wanted: frozenset[str]) -> bool | None:
        """Tell whether it holds one of some values; None where that was not looked at."""
        if self.there & wanted:
            return True
        return False if wanted <= self.absent else None


Known = Value | PartSet | Nothing
Item = Mapping[str, Known]


@dataclass(frozen=True, kw_only=True)
class Facts:
    """What is known: single facts by name, and lists of items by the name of the list; what is absent is unknown."""

    known: Mapping[str, Known] = field(default_factory=dict)
    lists: Mapping[str, tuple[Item, ...]] = field(default_factory=dict)

    def plus(self, known: Mapping[str, Known], lists: Mapping[str, tuple[Item, ...]] | None = None) -> Facts:
        """Return these facts with others over them."""
        return Facts(known={**self.known, **known}, lists={**self.lists, **(lists or {})})


@dataclass(frozen=True, kw_only=True)
class FactKind:
    """One name of the closed list: its type, unit, meaning, values, and the question that asks for it."""

    name: str
    type: str
    meaning: str
    unit: str = ""
    values: tuple[str, ...] = ()
    ask: str = ""
    passing: bool = False

    @property
    def of_list(self) -> str | None:
        """Name of the list whose items this fact describes."""
        return self.name.split("[]")[0] if "[]" in self.name else None

    @property
    def key(self) -> str:
        """What an item of the list calls this fact."""
        return self.name.split("[].")[-1]

    def fits(self, value: object) -> bool:
        """Tell whether a value may stand here."""
        match self.type:
            case "bool":
                return isinstance(value, bool)
            case "number":
                return isinstance(value, int | float) and not isinstance(value, bool)
            case "text":
                return isinstance(value, str) and (self.name in OPEN or value in self.values)
        return isinstance(value, list | tuple | frozenset) and all(each in self.values for each in value)

    def take(self, value: object) -> Value | None:
        """Return a plain value as this fact holds it, or None where it does not fit."""
        if not self.fits(value):
            return None
        if isinstance(value, bool | str):
            return value
        return float(value) if isinstance(value, int | float) else frozenset(value)  # type: ignore[call-overload]


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """A fact beside a value, or beside a number of times another fact."""

    fact: str
    op: str
    value: Value | None = None
    other: str | None = None
    times: float = 1.0

    @property
    def names(self) -> tuple[str, ...]:
        """The facts it needs."""
        return (self.fact,) if self.other is None else (self.fact, self.other)


Entry = tuple[Comparison, ...]
"""Comparisons that must all hold."""


@dataclass(frozen=True, kw_only=True)
class Hazard:
    """One rule: when it fires, how pressing it is, what the keeper reads, who says so."""

    id: str
    group: str
    when: str
    when_all: tuple[Entry, ...]
    when_any: tuple[Entry, ...]
    severity: str
    message: str
    instead: str
    how: str
    sources: tuple[str, ...]
    note: str = ""
    firing_example: Facts = field(repr=False)
    silent_example: Facts = field(repr=False)

    @property
    def comparisons(self) -> Iterator[Comparison]:
        """Every comparison of the rule."""
        for entry in (*self.when_all, *self.when_any):
            yield from entry

    @property
    def names(self) -> tuple[str, ...]:
        """The facts the rule uses, in its own order."""
        return tuple(dict.fromkeys(name for each in self.comparisons for name in each.names))

    @property
    def rank(self) -> int:
        """Place of its severity, the most pressing first."""
        return SEVERITIES.index(self.severity)


@dataclass(frozen=True, kw_only=True)
class Thing(Record):
    """Something a keeper is about to use or do that no other catalogue file holds: facts it sets, facts it bears on."""

    kind: ClassVar[str] = "thing"
    sets: Mapping[str, Value]
    touches: tuple[str, ...] = ()


@cache
def _document() -> Mapping[str, Any]:
    return read(FILE, (files("lentic.catalogue") / "data" / f"{FILE}.toml").read_text(encoding="utf-8"))


@cache
def fact_kinds() -> Mapping[str, FactKind]:
    """The closed list of facts by name."""
    return parse_fact_kinds(_document())


@cache
def hazards() -> Mapping[str, Hazard]:
    """All rules by id, in the order of the file."""
    return MappingProxyType({rule.id: rule for rule in parse_hazards(_document())})


@cache
def turtle_groups() -> Mapping[str, str]:
    """Kind of turtle by genus."""
    return MappingProxyType(dict(_document()["genera"]))


@cache
def things() -> tuple[Thing, ...]:
    """Things a keeper names that are no record of another catalogue file."""
    return tuple(_thing(raw) for raw in _document()["thing"])


def parse_fact_kinds(document: Mapping[str, Any]) -> Mapping[str, FactKind]:
    """Turn the list of facts of a parsed file into records, refusing what breaks its form."""
    found = {}
    for name, raw in document["facts"].items():
        where = f"{FILE}.toml, [facts] {name}"
        if not re.fullmatch(r"[a-z]+(\[\])?(\.[A-Za-z0-9_]+)+", name):
            raise CatalogueError(f"{where}: a name is group.name or list[].name")
        if raw.get("type") not in _OPERATORS or not raw.get("meaning"):
            raise CatalogueError(f"{where}: needs a meaning and a type of {', '.join(_OPERATORS)}")
        if raw["type"] in ("text", "set") and name not in OPEN and not raw.get("values"):
            raise CatalogueError(f"{where}: text and set need their closed list of values")
        found[name] = FactKind(name=name, **{**raw, "values": tuple(raw.get("values", ()))})
    return MappingProxyType(found)


def parse_hazards(document: Mapping[str, Any]) -> tuple[Hazard, ...]:
    """Turn the rules of a parsed file into records, refusing unknown facts, operators, sources and repeated ids."""
    kinds, sources = parse_fact_kinds(document), document["sources"]
    rules: dict[str, Hazard] = {}
    for raw in document["hazard"]:
        rule = _hazard(raw, kinds, sources)
        if rule.id in rules:
            raise CatalogueError(f"{FILE}.toml: the id {rule.id} occurs twice")
        rules[rule.id] = rule
    return tuple(rules.values())


_WORDS = ("group", "when", "message", "instead", "how", "severity")
_KEYS = {*_WORDS, "id", "when_all", "when_any", "src", "note", "firing_example", "silent_example"}


def _hazard(raw: Mapping[str, Any], kinds: Mapping[str, FactKind], sources: Mapping[str, str]) -> Hazard:
    where = f"{FILE}.toml, rule {raw.get('id', '?')}"
    if set(raw) - _KEYS or not re.fullmatch(r"[A-Z]+-\d\d", str(raw.get("id"))):
        raise CatalogueError(f"{where}: unknown keys {sorted(set(raw) - _KEYS)}, or an id that is not like MATE-01")
    if missing := [key for key in (*_WORDS, "src", "firing_example", "silent_example") if not raw.get(key)]:
        raise CatalogueError(f"{where}: {', '.join(missing)} is missing")
    if raw["severity"] not in SEVERITIES or raw["how"] not in HOW:
        raise CatalogueError(f"{where}: severity is one of {', '.join(SEVERITIES)}, how one of {', '.join(HOW)}")
    keys = tuple(key if ":" in key else f"{FILE}:{key}" for key in raw["src"])
    if lost := [key for key in keys if key.startswith(f"{FILE}:") and key.split(":")[1] not in sources]:
        raise CatalogueError(f"{where}: no such source: {', '.join(lost)}")
    when_all, when_any = (
        tuple(_entry(each, kinds, where) for each in raw.get(side, ())) for side in ("when_all", "when_any")
    )
    if not when_all and not when_any:
        raise CatalogueError(f"{where}: it compares nothing")
    return Hazard(
        id=raw["id"], sources=keys, note=raw.get("note", ""), **{key: raw[key] for key in _WORDS},
        when_all=when_all, when_any=when_any,
        firing_example=facts_from(raw["firing_example"], kinds, where),
        silent_example=facts_from(raw["silent_example"], kinds, where),
    )  # fmt: skip


def _entry(raw: Mapping[str, Any], kinds: Mapping[str, FactKind], where: str) -> Entry:
    return tuple(_comparison(each, kinds, where) for each in raw.get("all", [raw]))


def _comparison(raw: Mapping[str, Any], kinds: Mapping[str, FactKind], where: str) -> Comparison:
    kind = kinds.get(raw.get("fact", ""))
    if kind is None or set(raw) - {"fact", "op", "value", "other", "times"}:
        raise CatalogueError(f"{where}: {dict(raw)} is no comparison of a listed fact")
    if raw.get("op") not in _OPERATORS[kind.type] or ("value" in raw) == ("other" in raw):
        raise CatalogueError(f"{where}: {dict(raw)} needs an operator for a {kind.type}, and either value or other")
    if "other" in raw:
        other = kinds.get(raw["other"])
        if other is None or {kind.type, other.type} != {"number"} or (kind.unit != other.unit and "times" not in raw):
            raise CatalogueError(f"{where}: {dict(raw)} compares what cannot be compared")
        return Comparison(fact=kind.name, op=raw["op"], other=other.name, times=float(raw.get("times", 1.0)))
    return Comparison(fact=kind.name, op=raw["op"], value=_right(raw, kind, where))


def _right(raw: Mapping[str, Any], kind: FactKind, where: str) -> Value:
    """Return the right side of a comparison, checked against the values its fact may take."""
    value = raw["value"]
    listed = value if raw["op"] in _LISTED else [value]
    if not isinstance(listed, list) or not all(kind.fits([v] if kind.type == "set" else v) for v in listed):
        raise CatalogueError(f"{where}: {value!r} is no value of {kind.name}")
    if raw["op"] in _LISTED:
        return frozenset(listed)
    return value if isinstance(value, bool | str) else float(value)


def facts_from(raw: Mapping[str, Any], kinds: Mapping[str, FactKind], where: str) -> Facts:
    """Turn a plain table of facts into typed ones, refusing what is not listed or does not fit."""
    known: dict[str, Known] = {}
    lists: dict[str, tuple[Item, ...]] = {}
    collections = {kind.of_list for kind in kinds.values()} - {None}
    for name, value in raw.items():
        if isinstance(value, list) and name in collections:
            lists[name] = tuple(
                {key: _held(kinds, f"{name}[].{key}", v, where) for key, v in item.items()} for item in value
            )
        else:
            known[name] = _held(kinds, name, value, where)
    return Facts(known=known, lists=lists)


def _held(kinds: Mapping[str, FactKind], name: str, value: object, where: str) -> Value:
    held = kinds[name].take(value) if name in kinds else None
    if held is None:
        raise CatalogueError(f"{where}: {name} = {value!r} is not on the list of facts or does not fit it")
    return held


def _thing(raw: Mapping[str, Any]) -> Thing:
    where = f"{FILE}.toml, thing {raw.get('id', '?')}"
    if set(raw) - {"id", "names", "synonyms", "sets", "touches"} or not raw.get("names"):
        raise CatalogueError(f"{where}: it has an id, names, and what it sets or touches")
    if strange := set(raw.get("touches", ())) - set(fact_kinds()):
        raise CatalogueError(f"{where}: not on the list of facts: {', '.join(sorted(strange))}")
    sets = facts_from(raw.get("sets", {}), fact_kinds(), where).known
    return Thing(
        id=raw["id"], names=tuple(raw["names"]), synonyms=tuple(raw.get("synonyms", ())), facts={},
        touches=tuple(raw.get("touches", ())),
        sets={k: v for k, v in sets.items() if not isinstance(v, Nothing | PartSet)},
    )  # fmt: skip
