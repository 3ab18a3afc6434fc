"""Look something up in the catalogue, by any of its names; a tank's own values win over the table's."""

from __future__ import annotations

from collections.abc import Sequence

from lentic.advice.record import Card, card_of
from lentic.catalogue import Food, Found, Unknown, Which, find
from lentic.catalogue.names import ALL_KINDS
from lentic.keeper.opening import AskError, NotYet, Where, open_record
from lentic.logbook import own


def what(name: str, kinds: Sequence[str] = ALL_KINDS, where: Where | None = None) -> Card | Which | Unknown:
    """Return the record a name means, the question which is meant, or that none is like it."""
    for kind in kinds:
        if kind not in ALL_KINDS:
            raise AskError(f"There is no kind {kind!r}; the kinds are {', '.join(ALL_KINDS)}.")
    found = find(name, kinds)
    if where is not None and "food" in kinds:
        opened = open_record(where)
        food = None if isinstance(opened, NotYet) else own.food(opened.tank, name)
        if food is not None and (not isinstance(found, Found) or isinstance(found.record, Food)):
            return card_of(food)
    return card_of(found.record) if isinstance(found, Found) else found
