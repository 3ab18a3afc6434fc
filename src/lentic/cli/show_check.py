"""A verdict of the hazard gate as text."""

from __future__ import annotations

from lentic.advice.hazards import Verdict
from lentic.advice.hazards.words import verdict_lines


def check_lines(view: Verdict) -> list[str]:
    """Return what is dangerous, what is asked and what was not checked as lines."""
    return verdict_lines(view)
