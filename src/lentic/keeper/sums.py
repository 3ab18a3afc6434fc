"""A published relation as a hand sum: by name, with its steps, unit, source, and a warning outside its range."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final, get_args, get_origin

import numpy as np

import lentic.science
from lentic.keeper import whole_water
from lentic.keeper.opening import AskError
from lentic.keeper.steps import Step, steps_of
from lentic.keeper.typed_inputs import number_of
from lentic.logbook.problems import did_you_mean
from lentic.science.arrays import Array, Number
from lentic.science.ranges import FITTED, outside

SKIPPED: Final = {"arrays", "constants", "ranges"}
_PLAIN: Final = (Number, float, str, bool)
NOT_BY_HAND: Final[Mapping[str, str]] = {
    "balance.alkalinity_from_hydrogen": "a part of carbonate.ph, needs the constants of a whole water",
    "balance.carbonate_charge": "a part of carbonate.ph, needs the constants of a whole water",
    "balance.other_alkalinity": "a part of carbonate.ph, needs the constants of a whole water",
    "balance.solve_hydrogen": "the solver behind carbonate.ph",
    "conductivity.ions_from_hardness": "an estimate of ions for the sums of a whole water",
    "light.photons_per_kilolumen": "needs a whole spectrum",
    "pairing.association_constants": "several constants at once",
    "pairing.conditional_constants": "several constants at once, the ground of carbonate.ph",
    "water.mixed_water": "mixes two whole waters; `lentic reading --change` does it for yours",
    "water.water_from_tests": "gives a whole water; carbonate.ph and its kin start from it",
    "water.with_bicarbonate": "doses a whole water; hardness.bicarbonate_dose gives the grams",
}
"""Functions of the science room that are no hand sum, and why."""


@dataclass(frozen=True, kw_only=True)
class Argument:
    """One input of a relation."""

    name: str
    meaning: str
    unit: str
    default: float | str | bool | None
    kind: type = float


@dataclass(frozen=True, kw_only=True)
class Relation:
    """A published relation that takes numbers and gives one, or a few."""

    name: str
    sentence: str
    arguments: tuple[Argument, ...]
    result: str
    unit: str
    sources: tuple[str, ...]
    compute: Callable[..., Any]
    results: tuple[tuple[str, str], ...] = ()
    """What comes out, each with its unit."""
    formula: str = ""


@dataclass(frozen=True, kw_only=True)
class Sum:
    """The result of a relation for given inputs."""

    relation: Relation
    inputs: Mapping[str, float | str | bool]
    value: float
    values: tuple[float, ...]
    warnings: tuple[str, ...]
    steps: tuple[Step, ...] = ()
    converted: Mapping[str, str] | None = None
    """Inputs as they were typed, where they came in another unit."""
    citations: tuple[str, ...] = ()


@cache
def relations() -> dict[str, Relation]:
    """Return every relation by module and function: those of plain numbers, and those of a whole water by its tests."""
    found: dict[str, Relation] = {}
    for info in pkgutil.iter_modules(lentic.science.__path__):
        if info.name in SKIPPED:
            continue
        module = importlib.import_module(f"lentic.science.{info.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if name.startswith("_") or function.__module__ != module.__name__:
                continue
            full = f"{info.name}.{name}"
            relation = _relation(full, whole_water.SUMS.get(full, function))
            if relation is not None:
                found[relation.name] = relation
    return found


def _relation(name: str, function: Callable[..., Any]) -> Relation | None:
    signature = inspect.signature(function, eval_str=True)
    parameters = signature.parameters.values()
    gives = signature.return_annotation
    outcomes = get_args(gives) if get_origin(gives) is tuple else (gives,)
    if not parameters or any(p.annotation not in _PLAIN for p in parameters) or any(o != Array for o in outcomes):
        return None
    document = inspect.getdoc(function) or ""
    results = _results(_section(document, "Returns"))
    return Relation(
        name=name, sentence=document.split("\n\n")[0].replace("\n", " "),
        arguments=tuple(_argument(p, document) for p in parameters),
        result=results[0][0] if results else "", unit=results[0][1] if results else "", results=results,
        sources=tuple(re.findall(r"\w+", _section(document, "References"))), compute=function,
        formula=" ".join(_section(document, "Notes").split()),
    )  # fmt: skip


def _section(document: str, title: str) -> str:
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-{{3,}}\n|\Z)", document, re.MULTILINE | re.DOTALL)
    return found.group(1) if found else ""


def _results(text: str) -> tuple[tuple[str, str], ...]:
    """Return what a Returns section promises: meaning and unit of each."""
    found = re.findall(r"^\S[^\n]*\n((?:[ ]{4}[^\n]*\n?)+)", text, re.MULTILINE)
    said = [" ".join(each.split()) for each in found]
    return tuple((re.sub(r"\s*\[[^\]]*\]\.?$", "", each), _unit(each)) for each in said)


def _unit(text: str) -> str:
    units = re.findall(r"\[([^\]]*)\]", text)
    return units[-1] if units else ""


def _argument(parameter: inspect.Parameter, document: str) -> Argument:
    names = rf"^(?:\w+, )*{parameter.name}(?:, \w+)*\s*:[^\n]*\n\s+(.*?)\[([^\]]*)\]"
    found = re.search(names, _section(document, "Parameters"), re.MULTILINE | re.DOTALL)
    default = None if parameter.default is inspect.Parameter.empty else parameter.default
    meaning = " ".join(found.group(1).split()) if found else ""
    kind = parameter.annotation if parameter.annotation in (str, bool) else float
    return Argument(
        name=parameter.name, meaning=meaning, unit=found.group(2) if found else "", kind=kind,
        default=float(default) if isinstance(default, int | float) and kind is float else default,
    )  # fmt: skip


def find(name: str) -> Relation:
    """Return a relation by its full name, or by the function alone where only one has it."""
    known = relations()
    if name in known:
        return known[name]
    short = [full for full in known if full.split(".")[1] == name]
    if len(short) == 1:
        return known[short[0]]
    if short:
        raise AskError(f"{name} is in several places: {', '.join(short)}.")
    if name in NOT_BY_HAND:
        raise AskError(f"{name} is no hand sum: {NOT_BY_HAND[name]}.")
    raise AskError(f"There is no relation {name}. {_close(name, known)} See `lentic sum --list`.")


def _close(name: str, known: Mapping[str, Relation]) -> str:
    said = did_you_mean(name.split(".")[-1], [full.split(".")[1] for full in known])
    return said if said.startswith("Did you") else "Its name is not close to any."


def found_by(words: str) -> dict[str, Relation]:
    """Return the relations whose name or sentence holds all of the words; all of them for no words."""
    wanted = words.casefold().split()
    return {
        name: each
        for name, each in relations().items()
        if all(word in f"{name} {each.sentence}".casefold() for word in wanted)
    }


def sum_of(name: str, given: Mapping[str, str]) -> Sum:
    """Return one relation for inputs as typed; each may carry a unit, such as temperature=77°F."""
    relation = find(name)
    names = [a.name for a in relation.arguments]
    for key in given:
        if key not in names:
            raise AskError(f"{relation.name} has no input {key}; it takes {', '.join(names)}.")
    inputs: dict[str, float | str | bool] = {}
    for argument in relation.arguments:
        inputs[argument.name] = _input(relation, argument, given)
    with np.errstate(all="ignore"):
        values = _values(relation, inputs)
    converted = {
        key: text.strip()
        for key, text in given.items()
        if isinstance(inputs[key], float) and not re.fullmatch(r"[-+\d.,eE]+", text.strip())
    }
    return Sum(
        relation=relation, inputs=inputs, value=values[0], values=values, converted=converted,
        warnings=_warnings(relation.name, inputs), steps=steps_of(relation.compute, inputs),
        citations=tuple(citation(key) for key in relation.sources),
    )  # fmt: skip


def _input(relation: Relation, argument: Argument, given: Mapping[str, str]) -> float | str | bool:
    text = given.get(argument.name)
    if text is None:
        if argument.default is None:
            raise AskError(f"{relation.name} also needs {argument.name}: {argument.meaning} [{argument.unit}]")
        return argument.default
    if argument.kind is bool:
        if text.casefold() not in ("yes", "no"):
            raise AskError(f"{argument.name}={text}: write yes or no.")
        return text.casefold() == "yes"
    return text if argument.kind is str else number_of(argument.name, argument.unit, text)


def _values(relation: Relation, inputs: Mapping[str, float | str | bool]) -> tuple[float, ...]:
    try:
        found = relation.compute(**inputs)
    except KeyError as error:
        raise AskError(f"{relation.name}: {error.args[0]!r} is not known to it. {_known_words(relation)}") from error
    results = found if isinstance(found, tuple) else (found,)
    return tuple(float(np.asarray(each).reshape(())) for each in results)


def _known_words(relation: Relation) -> str:
    from lentic.science.hardness import HARDNESS_UNITS

    wanted = [a.name for a in relation.arguments if a.kind is str]
    if wanted == ["unit"]:
        return f"Known are: {', '.join(HARDNESS_UNITS)}."
    return " ".join(f"{a.name}: {a.meaning}" for a in relation.arguments if a.kind is str)


@cache
def _references() -> Mapping[str, Any]:
    return tomllib.loads((files("lentic.science") / "references.toml").read_text(encoding="utf-8"))


def citation(key: str) -> str:
    """Return a source in words, and how it is known."""
    entry = _references().get(key)
    return key if entry is None else f"{entry['citation']} ({entry['how']}) {entry['note']}"


def how_known(key: str) -> str:
    """Return how a source is known: read, library, memory or common practice."""
    entry = _references().get(key)
    return "" if entry is None else str(entry["how"])


def _warnings(name: str, inputs: Mapping[str, float | str | bool]) -> tuple[str, ...]:
    return tuple(
        f"{key} {value:g} lies outside {low:g} to {high:g}, the range the relation was fitted over."
        for key, (low, high) in FITTED.get(name, {}).items()
        if isinstance(value := inputs.get(key), float) and bool(outside(name, key, value))
    )
