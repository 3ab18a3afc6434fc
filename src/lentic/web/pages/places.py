"""Places in the navigation that are not filled yet: each says what it will answer, and what to do until then."""

from __future__ import annotations

from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.web.forms import Posted
from lentic.web.render import desk_of, done, page

router = APIRouter()


@dataclass(frozen=True, kw_only=True)
class Place:
    """A page without content: its question, and where the answer is until it has one."""

    path: str
    title: str
    under: str
    sentence: str
    until: tuple[str, ...]


PLACES = (
    Place(
        path="/cards", title="Cards", under="Cards",
        sentence="Cards for a sitter, for an emergency and for the vet will stand here.",
        until=("In an emergency call a reptile vet. Where floor or plugs are wet: main switch off first.",),
    ),
)  # fmt: skip


def _add(place: Place) -> None:
    @router.get(place.path, name=place.title)
    def show(request: Request) -> Response:
        return page(request, "place.html", title=place.title, place=place.under, content=place)


for each in PLACES:
    _add(each)


@router.post("/again")
def again(request: Request, form: Posted) -> Response:
    """Try work once more that was given up."""
    desk_of(request).store.drop(form.text("key"))
    back = form.text("back")
    return done(request, back if back.startswith("/") and not back.startswith("//") else "/")
