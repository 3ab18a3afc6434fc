"""An answer to a stranger as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.advice.stranger import StrangerAnswer


def answer_lines(view: StrangerAnswer) -> list[str]:
    """Return an answer in words."""
    from lentic.advice.stranger import lines_of

    return list(lines_of(view))
