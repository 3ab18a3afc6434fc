"""Whether a rule fires, is silent, or cannot say and for want of which facts: logic with three values."""

from __future__ import annotations

import itertools
import operator
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from lentic.catalogue.hazards import NOTHING, Comparison, Entry, Facts, Hazard, Item, Known, PartSet, fact_kinds

_NUMBERS: Final[Mapping[str, Callable[[Any, Any], bool]]] = {
    "==": operator.eq, "!=": operator.ne, "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge,
    "in": lambda left, right: left in right,
    "not_in": lambda left, right: left not in right,
    "contains": lambda left, right: right in left,
    "contains_any": lambda left, right: bool(left & right),
}  # fmt: skip
_NONE: Final[Item] = {}
"""Stands for the item of a list that has none."""


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """What a rule says: True fires, False is silent, None cannot say; then `missing` would decide.

    `items` are the choices of items that it fired for; a rule that speaks of no list has one, empty choice.
    """

    fires: bool | None
    items: tuple[Mapping[str, Item], ...] = ()
    missing: tuple[tuple[str, str], ...] = ()
    """Pairs of a fact and the name of the item it is missing for; the name is empty for all other facts."""


def both(answers: Iterable[bool | None]) -> bool | None:
    """Return whether all hold: one that does not settles it, else one that is unknown."""
    found = tuple(answers)
    return False if False in found else None if None in found else True


def either(answers: Iterable[bool | None]) -> bool | None:
    """Return whether one holds: one that does settles it, else one that is unknown."""
    found = tuple(answers)
    return True if True in found else None if None in found else False


def _value(name: str, facts: Facts, items: Mapping[str, Item]) -> Known | None:
    """Return what a fact holds; None is unknown, and an empty list holds nothing."""
    if "[]" not in name:
        return facts.known.get(name)
    group, key = name.split("[].", 1)
    if group not in items:
        return None
    return NOTHING if items[group] is _NONE else items[group].get(key)


def compare(comparison: Comparison, facts: Facts, items: Mapping[str, Item]) -> bool | None:
    """Return whether a comparison holds; None where a fact in it is not known."""
    left: Any = _value(comparison.fact, facts, items)
    right: Any = comparison.value
    if comparison.other is not None:
        right = _value(comparison.other, facts, items)
        right = right * comparison.times if isinstance(right, float) else right
    if left is NOTHING or right is NOTHING:
        return False
    if left is None or right is None:
        return None
    if isinstance(left, PartSet):
        return left.holds_any(right if isinstance(right, frozenset) else frozenset({right}))
    return _NUMBERS[comparison.op](left, right)


def try_rule(rule: Hazard, facts: Facts) -> Outcome:
    """Return what a rule says of some facts, trying every item of each list it speaks of."""
    groups = sorted({name.split("[]")[0] for name in rule.names if "[]" in name})
    held = [group for group in groups if group in facts.lists]
    outcomes = [
        _try(rule, facts, dict(zip(held, picked, strict=True)))
        for picked in itertools.product(*(facts.lists[group] or (_NONE,) for group in held))
    ]
    fires = either(each.fires for each in outcomes)
    if fires is not None:
        return Outcome(fires=fires, items=tuple(i for each in outcomes if each.fires for i in each.items))
    missing = dict.fromkeys(pair for each in outcomes for pair in each.missing)
    return Outcome(fires=None, missing=tuple(missing))


def _try(rule: Hazard, facts: Facts, items: Mapping[str, Item]) -> Outcome:
    """Return what a rule says of one choice of items."""

    def of(entry: Entry) -> bool | None:
        return both(compare(each, facts, items) for each in entry)

    parts = [(entry, of(entry)) for entry in rule.when_all]
    chosen = [(entry, of(entry)) for entry in rule.when_any]
    answers = [answer for _, answer in parts]
    if chosen:
        answers.append(either(answer for _, answer in chosen))
    fires = both(answers)
    if fires is not None:
        return Outcome(fires=fires, items=(items,))
    open_entries = [entry for entry, answer in parts if answer is None]
    if chosen and answers[-1] is None:
        open_entries += [entry for entry, answer in chosen if answer is None]
    return Outcome(fires=None, missing=_missing(open_entries, facts, items))


def _missing(entries: Sequence[Entry], facts: Facts, items: Mapping[str, Item]) -> tuple[tuple[str, str], ...]:
    """Return the unknown facts of the comparisons that are still open, in the order of the rule."""
    found: dict[tuple[str, str], None] = {}
    for comparison in (each for entry in entries for each in entry):
        for name in comparison.names:
            held = _value(name, facts, items)
            if held is None or (isinstance(held, PartSet) and compare(comparison, facts, items) is None):
                kind = fact_kinds().get(name)
                group = kind.of_list if kind else None
                label = items.get(group, {}).get("name", "") if group else ""
                found[name, str(label)] = None
    return tuple(found)


def used(rule: Hazard, facts: Facts, items: Mapping[str, Item]) -> dict[str, Known]:
    """Return what the facts of a rule held when it was tried."""
    return {name: value for name in rule.names if (value := _value(name, facts, items)) is not None}
