"""A verdict of the hazard gate as text and as JSON."""

from __future__ import annotations

from typing import Any

from lentic.advice.hazards import Verdict
from lentic.advice.hazards.words import verdict_lines
from lentic.keeper.as_json import check_json as as_json


def check_lines(view: Verdict) -> list[str]:
    """Return what is dangerous, what is asked and what was not checked as lines."""
    return verdict_lines(view)


def check_json(view: Verdict) -> dict[str, Any]:
    """Return what was found and what is asked as JSON."""
    return as_json(view)
