"""Cards as text."""

from __future__ import annotations

from typing import Any

from lentic.advice.away import course_words
from lentic.advice.cards.emergency import EmergencyCard
from lentic.advice.cards.explain import Explained
from lentic.advice.words import day_words, number, ranged
from lentic.keeper.cards import Emergencies, SitterCard, VetCard
from lentic.paper.render import Card, document_of

__all__ = ["card_lines", "html_of", "may_go"]

TO_FILL_IN = "____________"


def html_of(view: Card) -> str:
    """Return a card as one file."""
    return document_of(view)


def may_go(view: Card) -> bool:
    """Tell whether a card comes without a `do not go`."""
    return not isinstance(view, SitterCard) or view.away.go


def card_lines(view: Card) -> list[str]:
    """Return a card as text."""
    if isinstance(view, Emergencies):
        return [line for card in view.cards for line in [*_emergency_lines(card), ""]][:-1]
    if isinstance(view, SitterCard):
        return _sitter_lines(view)
    if isinstance(view, VetCard):
        return [line for page in view.pages for line in [page.title, *_parts(page.parts), page.caution]]
    return _tank_lines(view)


def _emergency_lines(card: EmergencyCard) -> list[str]:
    found = [f"{card.title} ({card.id})", card.line]
    found += [f"  {place}. {step}" for place, step in enumerate(card.steps, start=1)]
    found += [f"  Call {c.who}, {c.number or TO_FILL_IN}: {c.when}" for c in card.calls]
    found += [f"  Do not: {each}" for each in card.dont]
    return [*found, f"  Write down: {card.log}."]


def _sitter_lines(view: SitterCard) -> list[str]:
    away = view.away
    found = [away.sentence]
    if away.change_before_l is not None:
        found.append(
            f"Before you go: change {number(away.change_before_l)} L and fill up to the mark. No other work that day."
        )
    found += [f"  {day_words(p.day):16} bag {p.bag}: {number(p.grams)} g {p.food}" for p in away.portions]
    found += ["At the end (8 in 10 of the possible tanks):"]
    found += [f"  {course_words(course)}" for course in away.courses]
    found += [f"  the level sinks by {ranged(away.evaporated_mm, 'mm')}"]
    found += [
        f"The water alone would allow {away.longest_d} days at most."
        if away.longest_d < 28
        else "The water would allow 28 days and more."
    ]
    return [*found, *away.warnings]


def _parts(parts: Any) -> list[str]:
    return [line for part in parts for line in [part.title, *(f"  {each}" for each in part.lines or ("not recorded",))]]


def _tank_lines(view: Explained) -> list[str]:
    found = [view.sentence, "Nitrogen that comes in, mg a week (8 in 10):"]
    found += [f"  {part.name}: {ranged(part.mg_per_week, '')}" for part in view.comes]
    found += ["Where it goes:", *(f"  {part.name}: {ranged(part.mg_per_week, '')}" for part in view.goes)]
    found += ["What can be turned, one at a time:", *(f"  {lever.what}: {lever.effect}." for lever in view.levers)]
    return [*found, "Not known: " + "; ".join(view.unknown) + ".", view.origin]
