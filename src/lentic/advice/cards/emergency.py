"""Emergency cards with the litres, devices, animals and telephone numbers of one tank."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lentic.advice.limits import has_fish
from lentic.advice.words import listed, number
from lentic.catalogue.emergencies import CONTACTS, Emergency, emergencies
from lentic.logbook.tank import Tank

MOST_WORDS = 12
"""A step is read by someone frightened. [words]"""
WHO: Mapping[str, str] = {
    "vet": "Reptile vet",
    "doctor": "Doctor",
    "electrician": "Electrician",
    "neighbour": "Neighbour or landlord",
    "power": "Electricity supplier",
    "emergency": "Emergency number",
}


@dataclass(frozen=True, kw_only=True)
class Telephone:
    """Whom to call, when, and the number; None leaves a line to fill in by hand."""

    when: str
    who: str
    number: str | None


@dataclass(frozen=True, kw_only=True)
class EmergencyCard:
    """One card, ready to be printed."""

    id: str
    tank: str
    title: str
    line: str
    steps: tuple[str, ...]
    dont: tuple[str, ...]
    calls: tuple[Telephone, ...]
    log: str
    facts: tuple[str, ...]
    how: str
    source: str


def cards_for(tank: Tank, contacts: Mapping[str, str]) -> tuple[EmergencyCard, ...]:
    """Return every emergency card for a tank; it works with nothing but a name."""
    return tuple(card_for(card, tank, contacts) for card in emergencies().values())


def card_for(card: Emergency, tank: Tank, contacts: Mapping[str, str]) -> EmergencyCard:
    """Return one card filled in; what is not known is said in words, never guessed."""
    words, there = _words(tank), _there(tank)
    steps = [step.do.format_map(words) for step in card.steps if step.only is None or step.only in there]
    calls = [Telephone(when=c.when, who=WHO[c.who], number=contacts.get(c.who) or None) for c in card.calls]
    return EmergencyCard(
        id=card.id, tank=tank.name, title=card.title, line=card.line.format_map(words), steps=tuple(steps),
        dont=card.dont, calls=tuple(calls), log=card.log, facts=_facts(tank), how=card.how, source=card.source,
    )  # fmt: skip


def unknown_contacts(contacts: Mapping[str, str]) -> tuple[str, ...]:
    """Return names of contacts that no card uses."""
    return tuple(name for name in contacts if name not in CONTACTS)


def _words(tank: Tank) -> dict[str, str]:
    litres = tank.water_litres
    shares = {"litres": 1.0, "tenth": 0.1, "third": 0.3, "half": 0.5}
    spoken = {"litres": "all the water", "tenth": "a tenth", "third": "a third", "half": "half"}
    words = {name: f"{number(share * litres)} L" if litres else spoken[name] for name, share in shares.items()}
    names = [turtle.id.replace("_", " ").replace("-", " ") for turtle in tank.turtles]
    words["turtle"] = _name(names) if len(names) == 1 else "each turtle" if names else "the turtle"
    return words


def _name(names: Sequence[str]) -> str:
    """Return the animal's name, short enough for a step."""
    return names[0].capitalize() if len(names[0].split()) <= 2 else "the turtle"


def _there(tank: Tank) -> set[str]:
    kind = tank.filter.type if tank.filter else None
    found = {
        "fish": has_fish(tank),
        # a card for the unknown tank shows the turtle's steps: the animal is why it exists
        "turtle": True,
        "filter": kind != "none",
        "canister": kind in ("canister", None),
        "heater": tank.heater is not None,
        "plant_light": any(lamp.use == "plants" for lamp in tank.lamps),
    }
    return {name for name, there in found.items() if there}


def _facts(tank: Tank) -> tuple[str, ...]:
    """Return the facts of the tank that help whoever stands before it."""
    facts = []
    if tank.water_litres:
        facts.append(f"{number(tank.water_litres)} L of water")
    if tank.turtles:
        facts.append("turtle: " + listed([t.id + (f" ({t.species})" if t.species else "") for t in tank.turtles]))
    if has_fish(tank):
        facts.append("fish: " + listed([f.species for f in tank.fish]))
    if tank.filter and tank.filter.type not in (None, "none"):
        facts.append(f"filter: {str(tank.filter.type).replace('_', ' ')}")
    if tank.heater:
        watts = f"{number(tank.heater.watts)} W" if tank.heater.watts else "watts not recorded"
        set_to = f", set to {tank.heater.set_c:g} °C" if tank.heater.set_c is not None else ""
        facts.append(f"heater: {watts}{set_to}")
    if tank.glass.pane:
        facts.append(f"panes: {tank.glass.pane}")
    return tuple(facts)
