"""A record of the catalogue, as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.advice.record import Card, Row
    from lentic.catalogue import Unknown, Which


def open_lines(found: Which | Unknown) -> list[str]:
    """Return the question which is meant, or that nothing is like it."""
    from lentic.catalogue import Which

    return [found.question if isinstance(found, Which) else found.sentence]


def card_lines(card: Card) -> list[str]:
    """Return a record in words."""
    found = [f"{card.name} ({card.scientific})" if card.scientific else card.name, f"  {card.kind}, id {card.id}"]
    if len(card.names) > 1:
        found.append(f"  also: {', '.join(card.names[1:])}")
    found.append("")
    sources = list(dict.fromkeys(row.source for row in card.rows))
    for row in card.rows:
        found += _row_lines(row, sources.index(row.source) + 1)
    found += ["", "Sources:", *(f"  [{place}] {source}" for place, source in enumerate(sources, 1))]
    return [*found, "", *card.remarks]


def _row_lines(row: Row, source: int) -> list[str]:
    value = f"{row.value} {row.unit}".strip()
    first = f"  {row.label}: {value}  [{source}: {row.origin}]"
    return [first, f"      {row.note}"] if row.note else [first]
