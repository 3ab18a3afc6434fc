"""An answer to a stranger as text and as JSON."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from lentic.keeper.as_json import plain

if TYPE_CHECKING:
    from lentic.advice.stranger import StrangerAnswer


def answer_json(view: StrangerAnswer) -> dict[str, Any]:
    """Return an answer for scripts."""
    found: dict[str, Any] = plain(view)
    return found


def answer_lines(view: StrangerAnswer) -> list[str]:
    """Return an answer in words."""
    from lentic.advice.stranger import lines_of

    return list(lines_of(view))
