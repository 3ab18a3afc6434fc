"""Today: what needs doing, why, and what can wait."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.keeper.opening import NotYet
from lentic.web.render import around, desk_of, done, page

router = APIRouter()


@router.get("/")
def show(request: Request) -> Response:
    """Show the opening page."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    asked = desk_of(request).ask(name, "now")
    if asked.answer is None or isinstance(asked.answer, NotYet):
        return page(request, "waiting.html", title="Today", place="Today", asked=asked, waits="what needs doing today")
    return page(request, "today.html", title="Today", place="Today", asked=asked, view=asked.view)
