"""What to feed, as JSON."""

from __future__ import annotations

from typing import Any

from lentic.advice.food import Feeding
from lentic.keeper.as_json import plain


def feed_json(view: Feeding) -> dict[str, Any]:
    """Return rations, menu and choices for scripts."""
    menu = {
        "weeks": view.menu.weeks,
        "fed": [{"food": row.id, "grams_per_week": row.grams, "known": row.food is not None} for row in view.menu.fed],
        "sums": view.menu.sums,
        "findings": view.menu.findings,
    }
    shown = {
        "tank": view.tank, "now": view.now, "rations": view.rations, "missing": view.missing, "verdict": view.verdict,
        "need": view.need,
        "fed_energy": view.fed_energy, "fed_litres": view.fed_litres, "menu": menu,
        "choices": view.choices, "mixes": view.mixes,
        "nitrate_limit": view.limit, "source_nitrate": view.source_nitrate, "notes": view.notes,
    }  # fmt: skip
    found: dict[str, Any] = plain(shown)
    return found
