"""Levels at which a reading is good, to be watched, to be acted on, or an emergency: each with whom it protects."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Final

from lentic.catalogue.facts import HOW, CatalogueError
from lentic.catalogue.load import common, read, turtles
from lentic.science.ammonia import acute_criterion_salmonids_absent, chronic_criterion, unionised_share
from lentic.science.constants import HYDROGEN, NITROGEN
from lentic.science.disinfectant import copper_acute_criterion, zinc_acute_criterion
from lentic.science.gas import oxygen_saturation

FILE: Final = "targets"
UG_PER_MG: Final = 1000.0
LEVELS: Final = ("good", "watch", "act", "emergency")
PROTECTED: Final = frozenset({"turtle", "fish", "plants", "filter", "keeper", "tank"})
_SWITCHES: Final[Mapping[str, type]] = {"fish": bool, "basking_species": bool, "stage": str, "brumating": bool}
_NAMES: Final[Mapping[str, tuple[str, ...]]] = {
    "high": ("good_to", "watch_to", "act_to"),
    "low": ("good_from", "watch_from", "act_from"),
}
_FORM: Final = {"high": {"high"}, "low": {"low"}, "both": {"high", "low"}}
Inputs = Mapping[str, float | str]
"""What a bound may depend on, by the names in [relations]: ph, water_C, hardness_mg_L, turtle.species, turtle.stage."""


@dataclass(frozen=True, kw_only=True)
class Bound:
    """A limit that is a number, or follows from the water or the species by a relation."""

    value: float | None = None
    relation: str = ""
    times: float = 1.0
    plus: float = 0.0
    inputs: Inputs = field(default_factory=dict)

    def at(self, known: Inputs) -> float | None:
        """Return the limit for what is known; None where the relation needs more."""
        if self.value is not None:
            return self.value
        found = _RELATIONS[self.relation]({**known, **self.inputs})
        return None if found is None else found * self.times + self.plus


@dataclass(frozen=True, kw_only=True)
class Levels:
    """The ends of good, watch and act on one side; one that is absent does not exist."""

    good: Bound | None = None
    watch: Bound | None = None
    act: Bound | None = None


@dataclass(frozen=True, kw_only=True)
class Target:
    """One row: a quantity, whom its levels protect, and who says so."""

    id: str
    quantity: str
    unit: str
    protects: tuple[str, ...]
    when: Mapping[str, bool | str]
    high: Levels | None
    low: Levels | None
    events: Mapping[str, tuple[str, ...]]
    hours: float | None
    how: str
    sources: tuple[str, ...]
    says: str
    others: tuple[str, ...]

    def holds(self, **switches: bool | str) -> bool:
        """Tell whether the row is switched on; what is not given switches nothing off but a row that asks for it."""
        return all(switches.get(key) == value for key, value in self.when.items())

    def level(self, value: float, known: Inputs = MappingProxyType({})) -> str | None:
        """Return good, watch, act or emergency; None where a limit it needs cannot be worked out."""
        sides = [_side(self.high, value, known, 1.0), _side(self.low, value, known, -1.0)]
        if None in sides:
            return None
        return LEVELS[max(place for place in sides if place is not None)]


def _side(levels: Levels | None, value: float, known: Inputs, sign: float) -> int | None:
    """Return the place of a value among the levels of one side."""
    if levels is None:
        return 0
    place = 0
    for name, bound in enumerate((levels.good, levels.watch, levels.act), start=1):
        if bound is None:
            continue
        limit = bound.at(known)
        if limit is None:
            return None
        if sign * value > sign * limit:
            place = name
    return place


def _number(known: Inputs, key: str) -> float | None:
    value = known.get(key)
    return value if isinstance(value, float | int) else None


def _of(function: Callable[..., Any], *keys: str) -> Callable[[Inputs], float | None]:
    """Make a relation of a published sum; it is unknown while one of its inputs is."""

    def relation(known: Inputs) -> float | None:
        values = [_number(known, key) for key in keys]
        return None if None in values else float(function(*values))

    return relation


def _tan_at(ph: float, water: float, free: float) -> float:
    """Return the total ammonia that holds so much free ammonia. [mg/L N]"""
    return free * NITROGEN / (NITROGEN + 3 * HYDROGEN) / float(unionised_share(ph, water))


def _water(side: int) -> Callable[[Inputs], float | None]:
    def relation(known: Inputs) -> float | None:
        record = turtles().get(str(known.get("turtle.species", "")))
        young = known.get("turtle.stage") in ("hatchling", "juvenile")
        fact = record.fact("water_juvenile_C" if young else "water_adult_C") if record else None
        return None if fact is None else fact.bounds[side]

    return relation


def _zone(which: str, side: int) -> Callable[[Inputs], float | None]:
    def relation(known: Inputs) -> float | None:
        record = turtles().get(str(known.get("turtle.species", "")))
        zone = record.fact("uvb_zone") if record else None
        fact = common("turtles").get(f"uvi_{which}_zone_{zone.middle:g}") if zone else None
        return None if fact is None else fact.bounds[side]

    return relation


_RELATIONS: Final[Mapping[str, Callable[[Inputs], float | None]]] = {
    "nh3_fraction": _of(unionised_share, "ph", "water_C"),
    "tan_at_nh3": _of(_tan_at, "ph", "water_C", "nh3_mg_L"),
    "epa2013_ccc": _of(chronic_criterion, "ph", "water_C"),
    "epa2013_cmc": _of(acute_criterion_salmonids_absent, "ph", "water_C"),
    "us_copper_acute": _of(lambda hardness: copper_acute_criterion(hardness) / UG_PER_MG, "hardness_mg_L"),
    "us_zinc_acute": _of(lambda hardness: zinc_acute_criterion(hardness) / UG_PER_MG, "hardness_mg_L"),
    "oxygen_saturation": _of(oxygen_saturation, "water_C"),
    "species_water_lo": _water(0),
    "species_water_hi": _water(1),
    "zone_avg_lo": _zone("mean", 0),
    "zone_avg_hi": _zone("mean", 1),
    "zone_max_hi": _zone("highest", 1),
}


@cache
def _document() -> Mapping[str, Any]:
    return read(FILE, (files("lentic.catalogue") / "data" / f"{FILE}.toml").read_text(encoding="utf-8"))


@cache
def targets() -> Mapping[str, Target]:
    """All rows by id."""
    return MappingProxyType({row.id: row for row in parse_targets(_document())})


def target(id: str) -> Target:
    """Return one row; an unknown id is a mistake in the code."""
    if id not in targets():
        raise CatalogueError(f"{id!r} is no row of {FILE}.toml")
    return targets()[id]


def targets_for(quantity: str, **switches: bool | str) -> tuple[Target, ...]:
    """Return the rows of a quantity that hold under the switches given (fish, basking_species, stage, brumating)."""
    return tuple(row for row in targets().values() if row.quantity == quantity and row.holds(**switches))


def parse_targets(document: Mapping[str, Any]) -> tuple[Target, ...]:
    """Turn the rows of a parsed file into records, refusing levels out of order, unknown relations and sources."""
    if set(document["relations"]) != set(_RELATIONS):
        raise CatalogueError(f"{FILE}.toml: [relations] must name {', '.join(_RELATIONS)}")
    rows: dict[str, Target] = {}
    for raw in document["target"]:
        row = _target(raw, document)
        if row.id in rows:
            raise CatalogueError(f"{FILE}.toml: the id {row.id} occurs twice")
        rows[row.id] = row
    return tuple(rows.values())


def _target(raw: Mapping[str, Any], document: Mapping[str, Any]) -> Target:
    where = f"{FILE}.toml, {raw.get('id', '?')}"
    if not str(raw.get("id")).startswith(f"{raw.get('quantity')}.") or not raw.get("unit"):
        raise CatalogueError(f"{where}: the id begins with the quantity, and every row has a unit")
    if not raw.get("protects") or set(raw["protects"]) - PROTECTED or raw.get("how") not in HOW:
        raise CatalogueError(f"{where}: protects is of {', '.join(sorted(PROTECTED))}, how of {', '.join(HOW)}")
    if wrong := [k for k, v in raw.get("when", {}).items() if not isinstance(v, _SWITCHES.get(k, type(None)))]:
        raise CatalogueError(f"{where}: {wrong[0]} does not switch a row as it is written")
    if {side for side in _NAMES if side in raw} != _FORM.get(raw.get("direction", "")):
        raise CatalogueError(f"{where}: direction does not match the sides that are given")
    keys = tuple(key if ":" in key else f"{FILE}:{key}" for key in raw.get("basis", ()))
    if not keys or [k for k in keys if k.startswith(f"{FILE}:") and k.split(":")[1] not in document["sources"]]:
        raise CatalogueError(f"{where}: basis must name sources of the file, or file:key")
    return Target(
        id=raw["id"], quantity=raw["quantity"], unit=raw["unit"], protects=tuple(raw["protects"]), how=raw["how"],
        when=MappingProxyType(dict(raw.get("when", {}))), sources=keys, says=raw.get("says", ""),
        high=_levels(raw, "high", where), low=_levels(raw, "low", where), hours=raw.get("duration_h"),
        events={name: tuple(seen) for name, seen in raw.get("event", {}).items()},
        others=tuple(other["why"] for other in raw.get("also", ())),
    )  # fmt: skip


def _levels(raw: Mapping[str, Any], side: str, where: str) -> Levels | None:
    if side not in raw:
        return None
    given, names = raw[side], _NAMES[side]
    if not given or set(given) - set(names):
        raise CatalogueError(f"{where}: {side} has levels of {', '.join(names)}")
    numbers = [float(given[name]) for name in names if isinstance(given.get(name), int | float)]
    if numbers != sorted(numbers, reverse=side == "low"):
        raise CatalogueError(f"{where}: the levels of {side} are out of order")
    good, watch, act = (_bound(given[name], where) if name in given else None for name in names)
    return Levels(good=good, watch=watch, act=act)


def _bound(raw: object, where: str) -> Bound:
    if isinstance(raw, int | float) and not isinstance(raw, bool):
        return Bound(value=float(raw))
    if not isinstance(raw, dict) or raw.get("relation") not in _RELATIONS:
        raise CatalogueError(f"{where}: {raw!r} is neither a number nor a known relation")
    inputs = {key: value for key, value in raw.items() if key not in ("relation", "times", "plus")}
    return Bound(
        relation=raw["relation"], times=raw.get("times", 1.0), plus=raw.get("plus", 0.0),
        inputs=MappingProxyType(inputs),
    )  # fmt: skip
