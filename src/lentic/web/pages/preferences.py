"""Units: in what a keeper wants to read temperatures, volumes and hardness."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.web.forms import Posted
from lentic.web.render import desk_of, done, page
from lentic.web.units import CHOICES

router = APIRouter()
NAMES = {"temperature": "Temperature", "volume": "Volume", "hardness": "Carbonate hardness"}


@router.get("/preferences")
def show(request: Request) -> Response:
    """Show what can be chosen."""
    return page(request, "preferences.html", title="Units", choices=CHOICES, names=NAMES)


@router.post("/preferences")
def choose(request: Request, form: Posted) -> Response:
    """Keep what was chosen."""
    desk = desk_of(request)
    chosen = {f"units.{name}": form.text(name) for name, known in CHOICES.items() if form.text(name) in known}
    desk.store.set(chosen, desk.now())
    return done(request, "/preferences", "Kept. Every page shows these units now.")
