"""What the keeper answered when asked: the table [facts] of tank.toml, by the names of the closed list of facts."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from lentic.catalogue.hazards import NOTHING, FactKind, Known, Nothing, fact_kinds
from lentic.logbook.problems import Problem, did_you_mean

SECTION = "facts"
NONE = "none"
"""Written for a fact whose thing is not there: no hot lamp, so no distance to one."""
_OF_ONE = ("turtle", "mate", "plant")
_KEY = re.compile(r"""^\s*((?:"[^"]+"|'[^']+'|[A-Za-z0-9_-]+)(?:\s*\.\s*(?:"[^"]+"|'[^']+'|[A-Za-z0-9_-]+))*)\s*=""")
_HEAD = re.compile(r"^\s*\[\s*([^\[\]]+?)\s*\]")


@dataclass(frozen=True, kw_only=True)
class Told:
    """One answer: the name of the fact, with the turtle, tank mate or plant in its middle where it is of one only."""

    name: str
    value: Known


def kind_of(name: str) -> tuple[FactKind, str] | None:
    """Return which fact a written name means, and of which turtle, tank mate or plant it is told (empty: of all).

    `heater.guarded` is a fact of the tank; `turtle.mila.ill` is `turtle.ill` of the turtle mila, and
    `mate.guppy.length_cm` is `mate[].length_cm` of the guppies.
    """
    kinds = fact_kinds()
    if name in kinds and kinds[name].of_list is None:
        return kinds[name], ""
    first, _, rest = name.partition(".")
    of, _, key = rest.rpartition(".")
    if first in _OF_ONE and of:
        for full in (f"{first}.{key}", f"{first}[].{key}"):
            if full in kinds:
                return kinds[full], of
    return None


def take(kind: FactKind, value: Any) -> Known | None:
    """Return a value as a fact holds it; "none" stands for a thing that is not there; None does not fit."""
    if value == NONE and kind.type != "set" and NONE not in kind.values:
        return NOTHING
    return kind.take([value] if kind.type == "set" and isinstance(value, str) else value)


def needed(kind: FactKind) -> str:
    """Say what a fact takes."""
    match kind.type:
        case "bool":
            return "Write true or false."
        case "number":
            return f'Write a number{f" in {kind.unit}" if kind.unit else ""}, or "none" where there is no such thing.'
        case "text" if not kind.values:
            return "Write it in quotes."
    listed = ", ".join(f'"{value}"' for value in kind.values)
    return f"Write {'a list of' if kind.type == 'set' else 'one of'} {listed}."


def read_told(data: Any, text: str, file: str) -> tuple[tuple[Told, ...], tuple[Problem, ...]]:
    """Read the table [facts]; a name that is not on the list, or that changes by the day, is refused with its line."""
    found: list[Told] = []
    problems: list[Problem] = []
    lines = dict(_lines(text))

    def say(name: str, message: str, remedy: str) -> None:
        line = lines.get(name, lines.get(""))
        problems.append(Problem(line=line, field=f"{SECTION}.{name}", message=message, remedy=remedy, file=file))

    if not isinstance(data, Mapping):
        say("", f"'{SECTION}' is written the wrong way.", f"Write it as [{SECTION}], only once.")
        return (), tuple(problems)
    for name, value in _flat(data):
        meant = kind_of(name)
        if meant is None:
            say(name, f"'{name}' is not a fact that can be told here.", _close(name))
        elif meant[0].passing:
            say(name, f"'{name}' changes by the day.", f"Give it with the question: --fact {name}=…")
        elif (held := take(meant[0], value)) is None:
            say(name, f"'{name}' of [{SECTION}] cannot be {value!r}.", needed(meant[0]))
        else:
            found.append(Told(name=name, value=held))
    return tuple(found), tuple(problems)


def _close(name: str) -> str:
    listed = [each for each, kind in fact_kinds().items() if kind.of_list is None]
    said = did_you_mean(name, listed)
    return said if said.startswith("Did") else "The names stand under [facts] in the catalogue's hazards.toml."


def _flat(data: Mapping[str, Any], before: str = "") -> Iterator[tuple[str, Any]]:
    for key, value in data.items():
        name = f"{before}.{key}" if before else key
        if isinstance(value, Mapping):
            yield from _flat(value, name)
        else:
            yield name, value


def _lines(text: str) -> Iterator[tuple[str, int]]:
    """Find the line of every fact, and under the empty name that of the table."""
    before: str | None = None
    for number, line in enumerate(text.split("\n"), start=1):
        if head := _HEAD.match(line):
            parts = [part.strip(" \"'") for part in head[1].split(".")]
            before = None if parts[0] != SECTION else ".".join(parts[1:])
            if before == "":
                yield "", number
        elif line.lstrip().startswith("[["):
            before = None
        elif before is not None and (key := _KEY.match(line)):
            name = ".".join(part.strip(" \"'") for part in re.findall(r"\"[^\"]+\"|'[^']+'|[^.]+", key[1]))
            yield f"{before}.{name}" if before else name, number


def written(told: tuple[Told, ...]) -> dict[str, Any]:
    """Return the answers as the table is written."""
    return {each.name: NONE if isinstance(each.value, Nothing) else _plain(each.value) for each in told}


def _plain(value: Known) -> Any:
    return sorted(value) if isinstance(value, frozenset) else value
