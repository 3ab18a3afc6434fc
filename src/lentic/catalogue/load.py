"""Read the catalogue files once, check them against their own rules, and hand out records."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final, TypeVar

from lentic.catalogue.facts import HOW, CatalogueError, Fact, Value
from lentic.catalogue.keys import TEXT, unit_of
from lentic.catalogue.records import (
    Animal,
    Conditioner,
    Food,
    Lamp,
    Medium,
    Plant,
    PlantClass,
    Record,
)

TABLES: Final[Mapping[str, str]] = {
    "foods": "food",
    "plants": "plant",
    "turtles": "turtle",
    "tankmates": "animal",
    "filter_media": "media",
    "lamps": "lamp",
    "conditioners": "conditioner",
}
"""File of each kind and the name of its array of records."""

CLASSES: Final = "plant_classes"
RULES: Final = ("hazards", "targets")
"""Files that hold no records but rules and levels, read by their own modules."""

Held = TypeVar("Held", bound=Record)

_OWN_WORDS: Final = frozenset({"id", "names", "synonyms", "scientific"})
_NOT_PARAMETERS: Final = frozenset({"id", "names", "air_leaves"})


@cache
def _document(file: str) -> Mapping[str, Any]:
    return read(file, (files("lentic.catalogue") / "data" / f"{file}.toml").read_text(encoding="utf-8"))


def read(file: str, text: str) -> Mapping[str, Any]:
    """Parse the text of one catalogue file; the error names the file."""
    try:
        return MappingProxyType(tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        raise CatalogueError(f"{file}.toml cannot be read: {error}") from error


@cache
def references() -> Mapping[str, str]:
    """Every source the catalogue names, by "file:key"."""
    found: dict[str, str] = {}
    for file in (*TABLES, CLASSES, *RULES):
        found |= {f"{file}:{key}": text for key, text in _document(file)["sources"].items()}
    return MappingProxyType(found)


def _value(raw: object, where: str) -> Value:
    match raw:
        case bool() | str():
            return raw
        case int() | float():
            return float(raw)
        case [*parts] if parts and all(isinstance(part, str) for part in parts):
            return tuple(str(part) for part in parts)
    raise CatalogueError(f"{where}: {raw!r} is neither a number, words, yes or no, nor a list of words")


def parse_fact(raw: object, *, unit: str, file: str, where: str) -> Fact:
    """Turn one table of a file into a fact, or say what is wrong with it and where."""
    if not isinstance(raw, dict):
        raise CatalogueError(f"{where}: write a table with v, or lo and hi, and how and src")
    extra = set(raw) - {"v", "lo", "hi", "sd", "scale", "how", "src", "note"}
    single, ranged = "v" in raw, "lo" in raw and "hi" in raw
    if extra or single == ranged or ("lo" in raw) != ("hi" in raw):
        raise CatalogueError(f"{where}: give either v, or lo and hi; keys not known here: {sorted(extra)}")
    if raw.get("how") not in HOW:
        raise CatalogueError(f"{where}: how must be one of {', '.join(HOW)}")
    source = str(raw.get("src", ""))
    common = {
        "unit": "" if unit == TEXT else unit,
        "how": raw["how"],
        "source": source if ":" in source else f"{file}:{source}",
        "note": raw.get("note", ""),
    }
    if single:
        value = _value(raw["v"], where)
        if (unit == TEXT) == (isinstance(value, float) and not isinstance(value, bool)):
            raise CatalogueError(f"{where}: {value!r} does not fit the unit {unit}")
        return Fact(value=value, **common)
    low, high = float(raw["lo"]), float(raw["hi"])
    if low > high:
        raise CatalogueError(f"{where}: lo {low:g} is above hi {high:g}")
    return Fact(low=low, high=high, **common)


def _facts(raw: Mapping[str, object], file: str, where: str) -> Mapping[str, Fact]:
    facts: dict[str, Fact] = {}
    for key, value in raw.items():
        if key in _OWN_WORDS:
            continue
        unit = unit_of(file, key)
        if unit is None:
            raise CatalogueError(f"{where}: {key} is not in lentic/catalogue/keys.py; add it there with its unit")
        facts[key] = parse_fact(value, unit=unit, file=file, where=f"{where}.{key}")
    return MappingProxyType(facts)


def _names(raw: Mapping[str, Any], where: str) -> dict[str, Any]:
    names = tuple(raw.get("names", ()))
    if not isinstance(raw.get("id"), str) or not names:
        raise CatalogueError(f"{where}: every record needs an id and at least one name")
    return {
        "id": raw["id"],
        "names": names,
        "synonyms": tuple(raw.get("synonyms", ())),
        "scientific": raw.get("scientific", ""),
    }


def parse_records(file: str, document: Mapping[str, Any]) -> tuple[Record, ...]:
    """Turn the records of one parsed file into objects, refusing unknown keys and repeated ids."""
    kinds: dict[str, type[Record]] = {
        "foods": Food,
        "turtles": Animal,
        "tankmates": Animal,
        "filter_media": Medium,
        "lamps": Lamp,
        "conditioners": Conditioner,
    }
    records: list[Record] = []
    for number, raw in enumerate(document[TABLES[file]], 1):
        where = f"{file}.toml, record {raw.get('id', number)}"
        words, facts = _names(raw, where), _facts(raw, file, where)
        if file == "plants":
            if "growth_class" not in facts:
                raise CatalogueError(f"{where}: a plant needs its growth_class")
            records.append(Plant(**words, facts=facts, plant_class=plant_class(facts["growth_class"].text)))
        else:
            records.append(kinds[file](**words, facts=facts))
    _refuse_repeats(file, records)
    return tuple(records)


def _refuse_repeats(file: str, records: Iterable[Record]) -> None:
    seen: set[str] = set()
    for record in records:
        if record.id in seen:
            raise CatalogueError(f"{file}.toml: the id {record.id} occurs twice")
        seen.add(record.id)


@cache
def records(file: str) -> tuple[Record, ...]:
    """All records of one file, in the order of the file."""
    return parse_records(file, _document(file))


@cache
def common(file: str) -> Mapping[str, Fact]:
    """Facts of a file that belong to no single record."""
    return _facts(_document(file).get("common", {}), file, f"{file}.toml, [common]")


@cache
def laboratory_space() -> tuple[Record, ...]:
    """Steps of the legal least space for laboratory turtles, by shell length; a floor, not a home."""
    file = "turtles"
    rows = _document(file)["laboratory_space"]
    return tuple(Record(**_names(raw, file), facts=_facts(raw, file, f"{file}.toml, {raw['id']}")) for raw in rows)


@cache
def plant_classes() -> Mapping[str, PlantClass]:
    """All growth classes by id."""
    document = _document(CLASSES)
    shared = document["shared"]
    return MappingProxyType({raw["id"]: _plant_class(raw, shared) for raw in document["plant_class"]})


def _plant_class(raw: Mapping[str, Any], shared: Mapping[str, Any]) -> PlantClass:
    where = f"{CLASSES}.toml, {raw['id']}"
    merged = {**shared, **{key: value for key, value in raw.items() if key not in _NOT_PARAMETERS}}
    facts = {
        key: parse_fact(value, unit=PARAMETERS.get(key, TEXT), file=CLASSES, where=f"{where}.{key}")
        for key, value in merged.items()
    }
    if missing := set(PARAMETERS) ^ set(facts):
        raise CatalogueError(f"{where}: parameters missing or not known: {', '.join(sorted(missing))}")
    return PlantClass(
        id=raw["id"],
        names=tuple(raw["names"]),
        air_leaves=raw["air_leaves"],
        spread=MappingProxyType({key: float(value["sd"]) for key, value in merged.items()}),
        scale=MappingProxyType({key: str(value["scale"]) for key, value in merged.items()}),
        facts=MappingProxyType(facts),
        **{key: fact.middle for key, fact in facts.items()},
    )


PARAMETERS: Final[Mapping[str, str]] = {
    "mu": "1/d",
    "ik": "µmol/m²/s",
    "r20": "1/d",
    "m0": "1/d",
    "ms": "1/d",
    "qn_min": "g/g",
    "qn_max": "g/g",
    "qp_min": "g/g",
    "qp_max": "g/g",
    "k_c": "mg C/L",
    "beta": "1",
    "ph_max": "pH",
    "cap": "g/m²",
    "dry": "g/g",
    "v_n": "g/g/d",
    "k_no3": "mg N/L",
    "k_nh": "mg N/L",
    "v_p": "g/g/d",
    "k_p": "mg P/L",
    "k_i": "mg N/L",
    "t_min": "°C",
    "t_opt": "°C",
    "t_max": "°C",
    "eps": "m²/g",
    "sigma": "m²/g",
    "litter_labile": "1",
}
"""Parameters of a growth class and their units."""


def plant_class(name: str) -> PlantClass:
    """Give one growth class by its id; an unknown id is a mistake in a file or a caller."""
    classes = plant_classes()
    if name not in classes:
        raise CatalogueError(f"{name!r} is not a growth class; there are {', '.join(classes)}")
    return classes[name]


def _mapping(file: str, kind: type[Held]) -> Mapping[str, Held]:
    return MappingProxyType({record.id: record for record in records(file) if isinstance(record, kind)})


@cache
def foods() -> Mapping[str, Food]:
    """All foods by id."""
    return _mapping("foods", Food)


@cache
def plants() -> Mapping[str, Plant]:
    """All plants by id."""
    return _mapping("plants", Plant)


@cache
def turtles() -> Mapping[str, Animal]:
    """All turtles by id."""
    return _mapping("turtles", Animal)


@cache
def tankmates() -> Mapping[str, Animal]:
    """All fish, snails, shrimp, crayfish and mussels by id."""
    return _mapping("tankmates", Animal)


@cache
def media() -> Mapping[str, Medium]:
    """All filter media by id."""
    return _mapping("filter_media", Medium)


@cache
def lamps() -> Mapping[str, Lamp]:
    """All lamp classes by id."""
    return _mapping("lamps", Lamp)


@cache
def conditioners() -> Mapping[str, Conditioner]:
    """All water conditioners by id."""
    return _mapping("conditioners", Conditioner)
