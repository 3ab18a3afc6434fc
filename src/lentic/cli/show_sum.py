"""Hand sums as text."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.keeper.sums import Argument, Relation, Sum


def index_lines(relations: Mapping[str, Relation]) -> list[str]:
    """Return the index of relations: name, inputs with units, what it gives."""
    found: list[str] = []
    module = ""
    for each in relations.values():
        home = each.name.partition(".")[0]
        if home != module:
            found += [*([""] if found else []), home]
            module = home
        given = " ".join(f"{a.name}{'' if a.default is None else '?'}[{a.unit}]" for a in each.arguments)
        found += [f"  {each.name} {given}", f"      {_sentence(each)}"]
    return found or ["No relation speaks of that. `lentic sum --list` names all of them."]


def relation_lines(relation: Relation) -> list[str]:
    """Return what a relation needs, where no inputs were given."""
    wanted = " ".join(f"{a.name}=…" for a in relation.arguments if a.default is None)
    found = [_sentence(relation), *(f"  {_argument(a)}" for a in relation.arguments), *_formula(relation)]
    return [*found, f"Write: lentic sum {relation.name} {wanted}"]


def sum_lines(found: Sum) -> list[str]:
    """Return a hand sum: inputs, steps, result, formula, source, range."""
    relation, typed = found.relation, found.converted or {}
    lines = [_sentence(relation)]
    for a in relation.arguments:
        shown = _shown(found.inputs[a.name])
        said = f" = {typed[a.name]}" if a.name in typed and shown != typed[a.name] else ""
        meaning = f"  ({a.meaning})" if a.meaning else ""
        lines.append(f"  {a.name}{said} = {shown} {a.unit}".rstrip(" -") + meaning)
    lines += ["", "Steps:"] if found.steps else []
    for step in found.steps:
        first, *rest = dict.fromkeys((step.formula, step.filled, step.value))
        lines.append(f"  {step.name} = {first}")
        lines += [f"  {' ' * len(step.name)} = {part}" for part in rest]
    lines += [""] if found.steps else []
    for value, (meaning, unit) in zip(found.values, relation.results, strict=False):
        what = relation.name if len(found.values) == 1 else f"{relation.name}, {meaning.split(';')[0].rstrip('.')}"
        lines.append(f"{what} = {value:.5g}" + ("" if unit == "-" else f" {unit}"))
    lines += _formula(relation)
    lines += [f"Source: {each}" for each in found.citations] or ["Source: not given."]
    return [*lines, *(f"Warning: {each}" for each in found.warnings)]


def _sentence(relation: Relation) -> str:
    said = relation.sentence.removeprefix("Return ")
    return f"{said[:1].upper()}{said[1:]}"


def _formula(relation: Relation) -> list[str]:
    return [f"Formula and range: {relation.formula.replace('`', '')}"] if relation.formula else []


def _argument(argument: Argument) -> str:
    unit = "" if argument.unit == "-" else f" [{argument.unit}]"
    default = "" if argument.default is None else f" (else {argument.default})"
    return f"{argument.name}{unit}: {argument.meaning}{default}"


def _shown(value: float | str | bool) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:g}" if isinstance(value, float) else str(value)
