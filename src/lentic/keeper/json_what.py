"""A record of the catalogue, or the question in its place, as JSON."""

from __future__ import annotations

from typing import Any

from lentic.advice.record import Card
from lentic.catalogue import Unknown, Which
from lentic.keeper.as_json import plain


def what_json(found: Card | Which | Unknown) -> dict[str, Any]:
    """Return a record, or the question in its place, for scripts."""
    if isinstance(found, Card):
        shown: dict[str, Any] = plain(found)
        return shown
    if isinstance(found, Which):
        candidates = [{"id": each.id, "kind": each.kind, "name": each.name} for each in found.candidates]
        return {"asked": found.asked, "question": found.question, "candidates": candidates}
    return {"asked": found.asked, "outcome": found.sentence}
