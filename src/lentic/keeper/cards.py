"""The four cards: for a sitter, for an emergency, for the vet, for a visitor; and the telephone numbers on them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from lentic.advice.away import VISIT_EVERY_D, Away
from lentic.advice.balance import balance_of
from lentic.advice.cards.emergency import EmergencyCard, cards_for
from lentic.advice.cards.explain import Explained, explained_of
from lentic.advice.decide import Bench
from lentic.advice.hazards.cards import stops_of_card
from lentic.advice.hazards.facts import reasons_in
from lentic.advice.vet import VetPage
from lentic.catalogue.emergencies import CONTACTS, emergencies
from lentic.keeper.animal import animal
from lentic.keeper.answers import AHEAD_D, Answer, ahead
from lentic.keeper.away import away
from lentic.keeper.check import situation_in
from lentic.keeper.fitted import BOOKS_D, Say, fitted
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record, open_store, open_tank
from lentic.learn.forecast import fewer
from lentic.logbook.events import Reading
from lentic.logbook.tank import Tank

PEOPLE = ("keeper", "keeper_phone", "sitter", *CONTACTS, "switch", "things")
"""What can be noted for cards: names, telephone numbers, where main switch and things are."""
KEY = "card_"
LEVERS_ON = 96
"""So many of the possible tanks try the levers of the visitor's page. [-]"""


@dataclass(frozen=True, kw_only=True)
class Emergencies:
    """All emergency cards of a tank."""

    tank: str
    cards: tuple[EmergencyCard, ...]


@dataclass(frozen=True, kw_only=True)
class SitterCard:
    """What a sitter gets: the absence, who is who, and the tank."""

    away: Away
    tank: Tank
    people: Mapping[str, str]


@dataclass(frozen=True, kw_only=True)
class VetCard:
    """The history of each animal, a page each."""

    tank: str
    pages: tuple[VetPage, ...]
    people: Mapping[str, str]


def people_of(where: Where, given: Mapping[str, str] | None = None) -> dict[str, str]:
    """Return what is noted for cards; what is given now wins, and is kept where the tank is in the store."""
    strange = [name for name in given or {} if name not in PEOPLE]
    if strange:
        raise AskError(f"{strange[0]} is nothing that a card names. One of: {', '.join(PEOPLE)}.")
    if where.folder is not None:
        return dict(given or {})
    with open_store(where.home) as store:
        if given:
            store.set({KEY + name: text for name, text in given.items()}, where.clock)
        kept = store.settings()
    return {name: kept[KEY + name] for name in PEOPLE if kept.get(KEY + name)}


def emergency(
    where: Where, only: str | None = None, given: Mapping[str, str] | None = None
) -> Answer[Emergencies] | NotYet:
    """Return the emergency cards; they need nothing but a tank."""
    if only is not None and only not in emergencies():
        raise AskError(f"There is no card {only}. There are: {', '.join(emergencies())}.")
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    cards = cards_for(opened.tank, people_of(where, given))
    chosen = tuple(_gated(card, opened) for card in cards if only is None or card.id == only)
    return Answer(view=Emergencies(tank=opened.tank.name, cards=chosen), problems=opened.problems)


def _gated(card: EmergencyCard, opened: Opened) -> EmergencyCard:
    """Return a card with what the hazard rules forbid of its steps in this very tank said on it."""
    reasons = reasons_in(opened.events)
    found = stops_of_card(emergencies()[card.id], situation_in(opened), opened.end, reasons)
    return replace(card, dont=(*card.dont, *(each.message for each in found))) if found else card


def sitter(
    where: Where, days: int, first: date | None = None, every: int = VISIT_EVERY_D,
    given: Mapping[str, str] | None = None, say: Say | None = None,
) -> Answer[SitterCard] | NotYet:  # fmt: skip
    """Return the sitter's card for an absence."""
    people = people_of(where, given)
    found = away(where, days, first, every, say)
    if isinstance(found, NotYet):
        return found
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    view = SitterCard(away=found.view, tank=opened.tank, people=people)
    return Answer(view=view, problems=found.problems, cautions=found.cautions)


def sitter_asked(
    where: Where, days: int, first: str = "", every: int = VISIT_EVERY_D, say: Say | None = None
) -> Answer[SitterCard] | NotYet:
    """Return the sitter's card for an absence whose first day comes as text, as pages ask for it."""
    try:
        day = date.fromisoformat(first) if first else None
    except ValueError:
        raise AskError(f"The first day is a date such as 2026-05-22, not {first!r}.") from None
    return sitter(where, days, day, every, say=say)


def vet(where: Where, given: Mapping[str, str] | None = None) -> Answer[VetCard] | NotYet:
    """Return the history of every animal for the vet."""
    people = people_of(where, given)
    found = animal(where)
    if isinstance(found, NotYet):
        return found
    pages = tuple(each.vet for each in found.view.animals)
    view = VetCard(tank=found.view.tank, pages=pages, people=people)
    return Answer(view=view, problems=found.problems, cautions=found.cautions)


def tank(where: Where, say: Say | None = None) -> Answer[Explained] | NotYet:
    """Return the tank explained to a visitor."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    if say:
        say("Trying three levers on the same possible tanks.")
    bench = Bench(fewer(fit, LEVERS_ON), opened.events, events, opened.begin, AHEAD_D)
    readings = sum(isinstance(event, Reading) for event in opened.events)
    view = explained_of(opened.tank, balance_of(fit, BOOKS_D), bench, readings)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
