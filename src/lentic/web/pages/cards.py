"""Cards to hand to someone else: emergencies first, a sitter, the vet, a visitor; on screen, on paper, as a file."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from lentic.advice.away import LONGEST_D, VISIT_EVERY_D
from lentic.advice.cards.emergency import WHO
from lentic.catalogue.emergencies import emergencies
from lentic.keeper import cards
from lentic.keeper.desk import Asked
from lentic.keeper.opening import NotYet
from lentic.paper.pdf import fitted, printed
from lentic.paper.render import CUTS, LEFT_OUT, Card, body_of, document_of, style
from lentic.web.forms import Posted
from lentic.web.render import around, desk_of, done, page
from lentic.web.units import in_units

router = APIRouter()
MOST_LETTERS = 120
"""A card has room for a name and a number, not for a letter. [characters]"""
DAYS = 10
"""An absence where nothing else was said. [d]"""
LABELS = {
    "keeper": "Your name", "keeper_phone": "Your telephone", "sitter": "Name of the sitter",
    **{name: f"{who}: name and number" for name, who in WHO.items()},
    "switch": "Where the main switch is", "things": "Where food bags, towels and soap are",
}  # fmt: skip
PRINTING = threading.Lock()
"""One card is printed at a time: a browser is started for each."""


@dataclass(frozen=True, kw_only=True)
class Kind:
    """One kind of card: its name on the page, and how long work on it is spoken of."""

    title: str
    waits: str


KINDS = {
    "emergency": Kind(title="Emergency", waits="the emergency cards"),
    "sitter": Kind(title="For a sitter", waits="the absence, under three sitters,"),
    "vet": Kind(title="For the vet", waits="the history"),
    "tank": Kind(title="My tank explained", waits="where waste comes from and goes"),
}
Days = Annotated[int, Query(ge=2, le=LONGEST_D)]
Every = Annotated[int, Query(ge=1, le=14)]
First = Annotated[str, Query(alias="from", max_length=10)]
Short = Annotated[int, Query(ge=0, le=9)]


@router.get("/cards")
def show(request: Request) -> Response:
    """Show every card there is, emergencies first, and whom they name."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    where = desk_of(request).where(name)
    tank = around(request).tank
    tomorrow = tank.local_date(around(request).now) + timedelta(days=1) if tank else None
    return page(
        request, "cards.html", title="Cards", place="Cards", emergencies=emergencies().values(), labels=LABELS,
        people=cards.people_of(where), most=MOST_LETTERS, days=DAYS, every=VISIT_EVERY_D, longest=LONGEST_D,
        tomorrow=tomorrow,
    )  # fmt: skip


@router.post("/cards/people")
def people(request: Request, form: Posted) -> Response:
    """Keep names and telephone numbers for all cards."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    given = {each: form.text(each)[:MOST_LETTERS] for each in cards.PEOPLE}
    kept = cards.people_of(desk_of(request).where(name), given)
    said = f"Kept for all cards: {len(kept)} of {len(LABELS)}. What is empty is a line to fill in."
    return done(request, "/cards", said)


@router.get("/cards/card.css")
def css(request: Request) -> Response:
    """Return the style of the sheets."""
    return Response(style(), media_type="text/css")


@router.get("/cards/emergency/{name}")
def emergency(request: Request, name: str, short: Short = 0) -> Response:
    """Show what to do now."""
    if name not in emergencies():
        raise HTTPException(status_code=404)
    return _card(request, "emergency", {"only": name}, short)


@router.get("/cards/sitter")
def sitter(
    request: Request, days: Days = DAYS, first: First = "", every: Every = VISIT_EVERY_D, short: Short = 0
) -> Response:
    """Show the sitter's card for an absence."""
    return _card(request, "sitter", {"days": days, "from": first, "every": every}, short)


@router.get("/cards/vet")
def vet(request: Request, short: Short = 0) -> Response:
    """Show the history of every animal."""
    return _card(request, "vet", {}, short)


@router.get("/cards/tank")
def tank(request: Request, short: Short = 0) -> Response:
    """Show the tank explained to a visitor."""
    return _card(request, "tank", {}, short)


@router.get("/cards/{kind}.{form}")
def file(
    request: Request, kind: str, form: str, days: Days = DAYS, first: First = "", every: Every = VISIT_EVERY_D,
    only: Annotated[str, Query(max_length=40)] = "",
) -> Response:  # fmt: skip
    """Return a card as one file: a page that needs nothing else, or a PDF that keeps to its page."""
    if kind not in KINDS or form not in ("html", "pdf") or (only and only not in emergencies()):
        raise HTTPException(status_code=404)
    given: dict[str, Any] = {"only": only, "days": days, "from": first, "every": every}
    found = _found(request, kind, given)
    if found.view is None:
        return _waiting(request, kind, found)
    wanted = around(request).preferences
    headers = {"content-disposition": f'attachment; filename="{_file_name(kind, given)}.{form}"'}
    if form == "html":
        return Response(in_units(document_of(found.view), wanted), media_type="text/html", headers=headers)
    with PRINTING:
        content, left_out = fitted(found.view, lambda html: printed(in_units(html, wanted)))
    response = Response(content, media_type="application/pdf", headers=headers)
    if left_out:
        said = done(request, "/", f"To keep to its page the card leaves out: {', '.join(left_out)}.")
        response.headers.append("set-cookie", said.headers["set-cookie"])
    return response


def _file_name(kind: str, given: dict[str, Any]) -> str:
    return "-".join(["card", kind, *([str(given["only"])] if kind == "emergency" and given["only"] else [])])


def _found(request: Request, kind: str, given: dict[str, Any]) -> Asked[Any]:
    """Return a card, worked out elsewhere where that takes long; names and numbers are those of now."""
    desk = desk_of(request)
    name = around(request).name
    if name is None:
        raise HTTPException(status_code=404)
    where = desk.where(name)
    if kind == "sitter":
        more = {"days": given["days"], "every": given["every"], **({"first": given["from"]} if given["from"] else {})}
        asked = desk.ask(name, "sitter", **more)
        if asked.view is None or asked.answer is None or isinstance(asked.answer, NotYet):
            return asked
        view = replace(asked.view, people=cards.people_of(where))
        return replace(asked, answer=replace(asked.answer, view=view))
    if kind == "tank":
        return desk.ask(name, "explained")
    quick: Callable[[], Any] = {
        "emergency": lambda: cards.emergency(where, given.get("only") or None), "vet": lambda: cards.vet(where),
    }[kind]  # fmt: skip
    return Asked(name=kind, answer=quick(), at=desk.now(), fresh=True)


def _waiting(request: Request, kind: str, asked: Asked[Any]) -> Response:
    return page(request, "waiting.html", title=KINDS[kind].title, place="Cards", asked=asked, waits=KINDS[kind].waits)


def _card(request: Request, kind: str, given: dict[str, Any], short: int) -> Response:
    if around(request).name is None:
        return done(request, "/start")
    asked = _found(request, kind, given)
    if asked.view is None:
        return _waiting(request, kind, asked)
    view: Card = asked.view
    order = CUTS[type(view)]
    cut = order[:short]
    again = urlencode({name: value for name, value in given.items() if value})
    return page(
        request, "card.html", title=KINDS[kind].title, place="Cards", asked=asked, kind=kind,
        sheet=body_of(view, cut), query=f"?{again}" if again else "", left_out=[LEFT_OUT[each] for each in cut],
        shorter=_shorter(given, short + 1) if short < len(order) else "",
        stop="" if not isinstance(view, cards.SitterCard) or view.away.go else view.away.sentence,
        cautions=getattr(asked.answer, "cautions", ()), pages=len(getattr(view, "pages", (1,))),
    )  # fmt: skip


def _shorter(given: dict[str, Any], short: int) -> str:
    return urlencode({**{name: value for name, value in given.items() if value and name != "only"}, "short": short})
