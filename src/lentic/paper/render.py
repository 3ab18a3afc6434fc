"""Cards as HTML: the body of a page for the browser, or a file that needs nothing else."""

from __future__ import annotations

import functools
from collections.abc import Mapping, Sequence
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from lentic.advice.away import course_words
from lentic.advice.cards.explain import Explained
from lentic.advice.words import day_words, number
from lentic.keeper.cards import Emergencies, SitterCard, VetCard

Card = Emergencies | SitterCard | VetCard | Explained

CUTS: Mapping[type, tuple[str, ...]] = {
    Emergencies: ("source", "facts"),
    SitterCard: ("source", "where", "dense"),
    VetCard: ("long", "dense", "longer"),
    Explained: ("source", "try"),
}
"""What gives way, in this order, where a card does not fit its page."""
LEFT_OUT: Mapping[str, str] = {
    "source": "how the numbers were worked out", "facts": "the tank's facts", "where": "where things are",
    "long": "older lines of long lists", "longer": "more of them", "dense": "its larger letters",
    "try": "the trial to make at home",
}  # fmt: skip
HOW: Mapping[str, str] = {
    "verified": "Read in its source.",
    "derived": "Worked out.",
    "memory": "From memory of its source.",
    "common-practice": "",
}
NAMES: Mapping[type, tuple[str, str]] = {
    Emergencies: ("emergency.html", "Emergency cards"),
    SitterCard: ("sitter.html", "Sitter card"),
    VetCard: ("vet.html", "History for the vet"),
    Explained: ("tank.html", "How this tank works"),
}


@functools.cache
def _environment() -> Environment:
    made = Environment(
        loader=PackageLoader("lentic.paper"), autoescape=True, undefined=StrictUndefined, trim_blocks=True,
        lstrip_blocks=True,
    )  # fmt: skip
    made.globals.update(day=day_words, number=number, words=course_words, how=HOW)
    return made


def title_of(card: Card) -> str:
    """Return the title of a card's document."""
    return f"{NAMES[type(card)][1]}: {card.away.tank if isinstance(card, SitterCard) else card.tank}"


def body_of(card: Card, cut: Sequence[str] = ()) -> Markup:
    """Return the sheets of a card without a document around them."""
    template = _environment().get_template(NAMES[type(card)][0])
    return Markup(template.render(**_content(card), cut=tuple(cut)))


def document_of(card: Card, cut: Sequence[str] = ()) -> str:
    """Return a card as one file that needs nothing else: no script, no font, no other file."""
    page = _environment().get_template("document.html")
    return page.render(title=title_of(card), css=Markup(style()), body=body_of(card, cut))


def style() -> str:
    """Return the style of all cards."""
    return files("lentic.paper").joinpath("templates", "card.css").read_text(encoding="utf-8")


def _content(card: Card) -> dict[str, Any]:
    if isinstance(card, Emergencies):
        return {"cards": card.cards, "tank": card.tank}
    if isinstance(card, SitterCard):
        turtles = card.tank.turtles
        animal = turtles[0].id if len(turtles) == 1 else "each turtle" if turtles else "the animal"
        return {"card": card, "people": _People(card.people), "animal": animal}
    if isinstance(card, VetCard):
        return {"card": card, "people": _People(card.people)}
    return {"card": card}


class _People(dict[str, str]):
    """What is noted for cards; what is not noted is an empty text, for a line to fill in by hand."""

    def __missing__(self, key: str) -> str:
        return ""
