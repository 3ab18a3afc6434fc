"""Read a folder into the log and write it out again; what is wrong stands beside its line."""

from __future__ import annotations

import re
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.keeper import bringing
from lentic.web.forms import FormError, Posted
from lentic.web.render import around, desk_of, done, page

router = APIRouter()
_FIELD = re.compile(r"line (\S+) (\d+)")


@router.get("/log/import")
def choose(request: Request) -> Response:
    """Ask for the files."""
    return page(request, "import.html", title="Read a folder", place="Log", look=None)


@router.post("/log/import")
def bring(request: Request, form: Posted) -> Response:
    """Lay the files aside and show what they hold; nothing is taken in yet."""
    files = {file.name: file.content for file in form.files("files")}
    if not files:
        raise FormError("No file was chosen. Choose tank.toml and log.csv, or a zip of the folder.")
    ticket = bringing.lay_aside(desk_of(request), files, around(request).name)
    return done(request, f"/log/import/{ticket}")


@router.get("/log/import/{ticket}")
def look(request: Request, ticket: str) -> Response:
    """Show brought files with every slip beside its line."""
    found = bringing.look(desk_of(request), ticket)
    return page(request, "import.html", title="Read a folder", place="Log", look=found)


@router.post("/log/import/{ticket}")
def decide(request: Request, ticket: str, form: Posted) -> Response:
    """Write mended lines, and take the files in where that was the button."""
    desk = desk_of(request)
    lines = {}
    for field, text in form.values().items():
        if found := _FIELD.fullmatch(field):
            lines[found[1], int(found[2])] = text
    bringing.mend(desk, ticket, lines)
    if form.text("do") != "take in":
        return done(request, f"/log/import/{ticket}", "Read again with your corrections.")
    brought = bringing.take_in(desk, ticket)
    desk.store.set({"tank": brought.tank}, desk.now())
    result = brought.result
    said = f"{brought.tank}: {result.added} lines taken in"
    said += f", {result.already} were there already" if result.already else ""
    said += f", {result.refused} kept as written because they could not be read" if result.refused else ""
    return done(request, "/log", said + ".")


@router.get("/log/export.zip")
def export(request: Request) -> Response:
    """Give the tank as the zip of its folder."""
    name = around(request).name
    if name is None:
        raise FormError("There is no tank to write out yet.")
    file = quote(re.sub(r"\W+", "-", name.casefold()).strip("-") or "tank")
    return Response(
        bringing.as_zip(desk_of(request), name), media_type="application/zip",
        headers={"content-disposition": f"attachment; filename*=UTF-8''{file}.zip"},
    )  # fmt: skip
