"""The dates of a tank as JSON, the same for the command line and the pages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lentic.keeper.calendar import Dates


def dates_json(view: Dates) -> Mapping[str, Any]:
    """Return the dates for scripts."""
    return {
        "tank": view.tank,
        "from": view.begin.isoformat(),
        "due": [
            {
                "id": due.id, "what": due.what, "day": due.day.isoformat(), "earliest": due.earliest.isoformat(),
                "latest": due.latest.isoformat(), "why": due.why,
            }
            for due in view.due
        ],
    }  # fmt: skip
