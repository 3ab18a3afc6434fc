"""One published relation as a hand sum: by name, with inputs, unit, source and a warning outside its range."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

import lentic.science
from lentic.keeper.opening import AskError
from lentic.logbook.problems import did_you_mean
from lentic.science.arrays import Number
from lentic.science.ranges import FITTED, outside

SKIPPED = {"arrays", "constants", "ranges"}


@dataclass(frozen=True, kw_only=True)
class Argument:
    """One input of a relation."""

    name: str
    meaning: str
    unit: str
    default: float | None


@dataclass(frozen=True, kw_only=True)
class Relation:
    """A published relation that takes numbers and gives one."""

    name: str
    sentence: str
    arguments: tuple[Argument, ...]
    result: str
    unit: str
    sources: tuple[str, ...]
    compute: Callable[..., Any]


@dataclass(frozen=True, kw_only=True)
class Sum:
    """The result of a relation for given inputs."""

    relation: Relation
    inputs: Mapping[str, float]
    value: float
    warnings: tuple[str, ...]


def relations() -> dict[str, Relation]:
    """Return every relation of plain numbers, by module and function."""
    found: dict[str, Relation] = {}
    for info in pkgutil.iter_modules(lentic.science.__path__):
        if info.name in SKIPPED:
            continue
        module = importlib.import_module(f"lentic.science.{info.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if name.startswith("_") or function.__module__ != module.__name__:
                continue
            relation = _relation(f"{info.name}.{name}", function)
            if relation is not None:
                found[relation.name] = relation
    return found


def _relation(name: str, function: Callable[..., Any]) -> Relation | None:
    parameters = inspect.signature(function).parameters.values()
    if not parameters or any(p.annotation not in (Number, float, "Number", "float") for p in parameters):
        return None
    document = inspect.getdoc(function) or ""
    returns = _section(document, "Returns")
    if len(re.findall(r"^\S", returns, re.MULTILINE)) != 1:
        return None
    unit = re.search(r"\[([^\]]*)\]", returns)
    lines = [line.strip() for line in returns.splitlines() if line.strip()]
    return Relation(
        name=name, sentence=document.split("\n\n")[0].replace("\n", " "),
        arguments=tuple(_argument(p, document) for p in parameters),
        result=re.sub(r"\s*\[[^\]]*\]\s*$", "", lines[-1]) if lines else "", unit=unit.group(1) if unit else "",
        sources=tuple(re.findall(r"\w+", _section(document, "References"))),
        compute=function,
    )  # fmt: skip


def _section(document: str, title: str) -> str:
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[^\n]*\n-{{3,}}\n|\Z)", document, re.MULTILINE | re.DOTALL)
    return found.group(1) if found else ""


def _argument(parameter: inspect.Parameter, document: str) -> Argument:
    names = rf"^(?:\w+, )*{parameter.name}(?:, \w+)*\s*:[^\n]*\n\s+(.*?)\[([^\]]*)\]"
    found = re.search(names, _section(document, "Parameters"), re.MULTILINE | re.DOTALL)
    default = None if parameter.default is inspect.Parameter.empty else parameter.default
    meaning = " ".join(found.group(1).split()) if found else ""
    return Argument(
        name=parameter.name, meaning=meaning, unit=found.group(2) if found else "",
        default=float(default) if isinstance(default, int | float) else None,
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
    raise AskError(f"There is no relation {name}. {_close(name, known)} See `lentic sum --list`.")


def _close(name: str, known: Mapping[str, Relation]) -> str:
    said = did_you_mean(name, [full.split(".")[1] for full in known])
    return said if said.startswith("Did you") else "Its name is not close to any."


def sum_of(name: str, given: Mapping[str, str]) -> Sum:
    """Return one relation for given inputs."""
    relation = find(name)
    names = [a.name for a in relation.arguments]
    for key in given:
        if key not in names:
            raise AskError(f"{relation.name} has no input {key}; it takes {', '.join(names)}.")
    inputs: dict[str, float] = {}
    for argument in relation.arguments:
        if argument.name in given:
            inputs[argument.name] = _number(argument.name, given[argument.name])
        elif argument.default is not None:
            inputs[argument.name] = argument.default
        else:
            raise AskError(f"{relation.name} also needs {argument.name}: {argument.meaning} [{argument.unit}]")
    with np.errstate(all="ignore"):
        value = np.asarray(relation.compute(**inputs))
    if value.size != 1:
        raise AskError(f"{relation.name} gives more than one number and is no hand sum.")
    return Sum(
        relation=relation, inputs=inputs, value=float(value.reshape(())), warnings=_warnings(relation.name, inputs)
    )


def _number(key: str, text: str) -> float:
    try:
        value = float(text)
    except ValueError:
        raise AskError(f"{key}={text}: {text!r} is not a number.") from None
    if not np.isfinite(value):
        raise AskError(f"{key}={text}: a finite number is needed.")
    return value


def _warnings(name: str, inputs: Mapping[str, float]) -> tuple[str, ...]:
    return tuple(
        f"{key} {inputs[key]:g} lies outside {low:g} to {high:g}, the range the relation was fitted over."
        for key, (low, high) in FITTED.get(name, {}).items()
        if key in inputs and bool(outside(name, key, inputs[key]))
    )
