"""A running session of upkeep as JSON, the same for the command line and the pages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lentic.keeper.as_json import step_json
from lentic.keeper.upkeep import Now


def session_json(view: Now) -> Mapping[str, Any]:
    """Return a running session for scripts."""
    return {
        "tank": view.tank, "session": view.key, "begun": view.begun.isoformat(), "marks": view.marks,
        "next": view.next.step.id if view.next else None,
        "waits_until": view.waits_until.isoformat() if view.waits_until else None,
        "off_since": view.off_since.isoformat() if view.off_since else None,
        "refused": view.refused,
        "reminders": [
            {"sentence": r.sentence, "by": r.by.isoformat() if r.by else None, "urgent": r.urgent}
            for r in view.reminders
        ],
        "steps": [
            {**step_json(s.step), "state": s.state, "at": s.at.isoformat() if s.at else None} for s in view.steps
        ],
        "can_end": view.can_end,
    }  # fmt: skip
