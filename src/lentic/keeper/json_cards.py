"""Cards as JSON, the same for the command line and the pages."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any

from lentic.advice.cards.explain import Explained
from lentic.keeper.cards import Emergencies, SitterCard, VetCard


def card_json(view: Emergencies | SitterCard | VetCard | Explained) -> Mapping[str, Any]:
    """Return a card for scripts."""
    found: Mapping[str, Any] = _plain(asdict(view))
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, dict):
        return {key: _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value.isoformat() if hasattr(value, "isoformat") else value
