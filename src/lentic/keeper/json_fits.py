"""Whether something would live here, as JSON."""

from __future__ import annotations

from typing import Any

from lentic.keeper.as_json import check_json, plain
from lentic.keeper.company import Newcomer


def newcomer_json(view: Newcomer) -> dict[str, Any]:
    """Return an answer and the findings beside it for scripts."""
    return {
        "tank": view.tank, "answer": view.answer, "fit": plain(view.fit), "danger": check_json(view.danger),
    }  # fmt: skip
