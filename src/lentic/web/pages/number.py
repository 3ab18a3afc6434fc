"""One number: where it comes from."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.keeper.decide import shaped
from lentic.keeper.number import number_from, question_of
from lentic.keeper.opening import NotYet
from lentic.web.pages.decide import dials_of
from lentic.web.pages.why import waiting
from lentic.web.render import around, desk_of, done, page

router = APIRouter()


@router.get("/number/{name}")
def show(request: Request, name: str) -> Response:
    """Show how a number is known: value, lines of the log, plain steps, assumptions, what would change it."""
    tank = around(request).name
    if tank is None:
        return done(request, "/start")
    question = question_of(name)
    desk = desk_of(request)
    asked = desk.ask(tank, question.ask, **question.arguments)
    opened = desk.opened(tank)
    if asked.view is None or isinstance(opened, NotYet):
        place = "Decide" if question.ask == "decide" else "Why"
        return waiting(request, "One number", asked, "this number", place, under=question.title)
    view = asked.view
    if question.ask == "decide" and asked.fresh and (dials := dials_of(request)):
        view = shaped(opened, desk.held(tank).stamp, dials, view) or view
    source = number_from(opened, name, view)
    return page(
        request, "number.html", title="One number", place="Decide" if question.ask == "decide" else "Why", asked=asked,
        source=source, question=question,
    )  # fmt: skip
