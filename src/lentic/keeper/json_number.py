"""Where a number comes from, as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lentic.advice.sources import Source


def number_json(view: Source) -> Mapping[str, Any]:
    """Return the source of a number for scripts."""
    return {
        "title": view.title, "value": view.value, "range": view.range, "known": view.how, "word": view.word,
        "rests_on": view.rests_on, "used": [{"when": each.when, "text": each.text} for each in view.used],
        "more_used": view.more_used, "steps": view.steps, "assumptions": view.assumptions, "changes": view.changes,
    }  # fmt: skip
