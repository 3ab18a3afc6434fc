"""Cards as JSON, the same for the command line and the pages."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from lentic.advice.cards.explain import Explained
from lentic.keeper.as_json import plain
from lentic.keeper.cards import Emergencies, SitterCard, VetCard


def card_json(view: Emergencies | SitterCard | VetCard | Explained) -> Mapping[str, Any]:
    """Return a card for scripts."""
    found: Mapping[str, Any] = plain(view)
    return found
