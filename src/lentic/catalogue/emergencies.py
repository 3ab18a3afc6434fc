"""The emergency cards as they are written down, before a tank's own numbers are filled in."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any

from lentic.catalogue.facts import HOW, CatalogueError

FILE = "emergencies.toml"
CONTACTS = ("vet", "doctor", "electrician", "neighbour", "power", "emergency")
"""Whom a card can tell to call."""
ONLY = ("fish", "turtle", "canister", "filter", "heater", "plant_light")
"""What a step can depend on."""


@dataclass(frozen=True, kw_only=True)
class CardStep:
    """One instruction; `only` names what must be in the tank for it to be shown, the rest what it does there."""

    do: str
    only: str | None = None
    power: bool | None = None
    """Whether the plugs are in after it; None leaves them as they are."""
    hands: bool = False
    change: float | None = None
    """Share of the water that is changed. [-]"""


@dataclass(frozen=True, kw_only=True)
class Call:
    """When to call, and whom."""

    when: str
    who: str


@dataclass(frozen=True, kw_only=True)
class Emergency:
    """One card: what it is, what to do first, what not, whom to call, what to write down."""

    id: str
    title: str
    line: str
    steps: tuple[CardStep, ...]
    dont: tuple[str, ...]
    calls: tuple[Call, ...]
    log: str
    how: str
    source: str


@cache
def emergencies() -> Mapping[str, Emergency]:
    """Return every card by its id, in the order of the file."""
    text = files("lentic.catalogue").joinpath("data", FILE).read_text(encoding="utf-8")
    return parse(text)


def parse(text: str) -> Mapping[str, Emergency]:
    """Read cards; a card that breaks the rules of the file is refused by name."""
    document = tomllib.loads(text)
    cards = [_card(raw, document["sources"]) for raw in document["card"]]
    found = {card.id: card for card in cards}
    if len(found) != len(cards):
        raise CatalogueError(f"{FILE}: two cards share an id.")
    return found


def _card(raw: Mapping[str, Any], sources: Mapping[str, str]) -> Emergency:
    name = raw["id"]
    if raw["how"] not in HOW or raw["src"] not in sources:
        raise CatalogueError(f"{FILE}: card {name} needs `how` of {', '.join(HOW)} and a source of the file.")
    steps = tuple(CardStep(**step) for step in raw["steps"])
    calls = tuple(Call(when=call["when"], who=call["who"]) for call in raw["call"])
    strange = [step.only for step in steps if step.only not in (None, *ONLY)]
    strange += [call.who for call in calls if call.who not in CONTACTS]
    if strange:
        raise CatalogueError(f"{FILE}: card {name} names {strange[0]}, which is not known.")
    return Emergency(
        id=name, title=raw["title"], line=raw["line"], steps=steps, dont=tuple(raw["not"]), calls=calls,
        log=raw["log"], how=raw["how"], source=sources[raw["src"]],
    )  # fmt: skip
