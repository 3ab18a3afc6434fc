"""Tanks: which one the pages are about, and a new one; shown from two tanks on."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.web.forms import FormError, Posted
from lentic.web.render import around, desk_of, done, page

router = APIRouter()


@router.get("/tanks")
def show(request: Request) -> Response:
    """List the tanks."""
    desk = desk_of(request)
    found = []
    for name in around(request).tanks:
        held = desk.held(name)
        last = held.entries[-1].event.time if held.entries else None
        found.append((name, held.tank, last))
    return page(request, "tanks.html", title="Tanks", tanks=found)


@router.post("/tanks")
def choose(request: Request, form: Posted) -> Response:
    """Turn all pages to another tank."""
    name = form.text("tank")
    if name not in around(request).tanks:
        raise FormError(f"There is no tank {name!r}.")
    desk = desk_of(request)
    desk.store.set({"tank": name}, desk.now())
    return done(request, "/", f"The pages show {name} now.")
