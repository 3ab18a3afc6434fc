"""The log: write a line, press a usual button, look back by day, take back, attach photos."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import FileResponse, Response
from starlette.exceptions import HTTPException

from lentic.advice.entries import quantity_words, thing, usual, usual_foods, usual_readings
from lentic.keeper import book, photos
from lentic.logbook.tank import Tank
from lentic.logbook.units import QUANTITIES
from lentic.web.forms import Form, FormError, Posted
from lentic.web.render import around, desk_of, done, page

router = APIRouter()
OTHERS = (
    ("look", "Algae looked at"), ("rinse", "Rinsed"), ("plant", "Planted"), ("measure", "Measured"),
    ("lamp", "Lamp hours"), ("dose", "Dosed"), ("flow", "Filter flow"), ("sign", "A sign of illness"),
)  # fmt: skip
FIRST_READINGS = ("nitrate", "kh", "ph", "temperature")
"""What a form offers before anything was read off."""


def receipt() -> str:
    """Return what makes a second press of the same button write nothing."""
    return secrets.token_urlsafe(16)


@router.get("/log")
def show(request: Request, q: str = "", kind: str = "", until: str = "") -> Response:
    """Show the log, with what is usually written at the top."""
    return _shown(request, q=q[:200], kind=kind, until=until)


def _shown(
    request: Request, q: str = "", kind: str = "", until: str = "", written: book.Written | None = None, typed: str = ""
) -> Response:
    name = around(request).name
    if name is None:
        return done(request, "/start")
    desk = desk_of(request)
    found = book.book(desk, name, q, kind, _day(until))
    held = desk.held(name)
    events = book.standing_events(held)
    more = urlencode({"q": q, "kind": kind, "until": found.earlier or ""})
    return page(
        request, "log.html", title="Log", place="Log", book=found, q=q, kind=kind, usual=usual(held.tank, events),
        others=OTHERS, receipt=receipt, more=more, written=written, typed=typed, sentence=_sentence(request, found),
        searching=bool(q or kind or until), last=book.last_written(desk, name),
        status=200 if written is None else 422,
    )  # fmt: skip


def _sentence(request: Request, found: book.Book) -> str:
    if found.lines == 0:
        return "Nothing is written down yet."
    last = book.last_written(desk_of(request), around(request).name or "")
    if last is None:
        return "Nothing stands in the log."
    tank: Tank | None = around(request).tank
    moment = tank.local_time(last.entry.event.time) if tank else last.entry.event.time
    return f"Written last: {last.words}, {moment.day} {moment:%B}, {moment:%H:%M}."


def _day(text: str) -> date | None:
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


@router.post("/log")
def write(request: Request, form: Posted) -> Response:
    """Write a line into the log."""
    name = _name(request)
    line = form.text("line")
    if not line:
        raise FormError("The line is empty. Write what happened, such as: fed 1.4 pellet; no3 40.")
    found = book.write(desk_of(request), name, line, form.text("once") or receipt())
    clear = not found.questions and not [each for each in found.problems if each.severity == "refused"]
    if found.twice:
        return done(request, "/log", "This was written before; it stands in the log once.")
    if clear:
        notes = " ".join(each.message for each in found.problems)
        return done(request, _back(form), f"Written: {'; '.join(found.added)}. {notes}".strip())
    return _shown(request, written=found, typed=line)


def _back(form: Form) -> str:
    return "/" if form.text("back") == "/" else "/log"


def _name(request: Request) -> str:
    name = around(request).name
    if name is None:
        raise FormError("Describe the tank first: then there is a log to write into.")
    return name


@router.post("/log/{number}/back")
def take_back(request: Request, number: int, form: Posted) -> Response:
    """Take an entry back."""
    words = book.take_back(desk_of(request), _name(request), number, form.text("once") or receipt())
    return done(request, _back(form), f"Taken back: {words}. It stays in the log, struck out, and counts no more.")


@router.get("/log/write/{kind}")
def form_of(request: Request, kind: str) -> Response:
    """Show the form for one kind of entry, filled with what this keeper usually writes."""
    if kind not in FORMS:
        raise HTTPException(status_code=404)
    desk, name = desk_of(request), around(request).name
    if name is None:
        return done(request, "/start")
    held = desk.held(name)
    events = book.standing_events(held)
    return page(
        request, "write.html", title=FORMS[kind], place="Log", kind=kind, word=FORMS[kind], receipt=receipt(),
        **_choices(kind, held.tank, events), last=next((u for u in usual(held.tank, events) if u.kind == kind), None),
    )  # fmt: skip


FORMS = {
    "feed": "Fed", "change": "Changed water", "top_up": "Topped up", "siphon": "Siphoned", "scrape": "Scraped",
    "thin": "Thinned", "reading": "Reading", "weigh": "Weighed", **dict(OTHERS),
}  # fmt: skip


def _choices(kind: str, tank: Tank, events: Any) -> dict[str, Any]:
    animals = [turtle.id for turtle in tank.turtles]
    plants = list(dict.fromkeys([plant.species for plant in tank.plants] + [
        event.species for event in events if event.kind in ("plant", "thin")
    ]))  # fmt: skip
    readings = usual_readings(events)
    known = {quantity for quantity, _, _ in readings}
    first = tuple((quantity, _unit(quantity), "") for quantity in FIRST_READINGS if quantity not in known)
    return {
        "foods": [(food, thing("food", food), grams) for food, grams in usual_foods(tank, events)],
        "plants": [(each, thing("plant", each)) for each in plants], "animals": animals,
        "readings": [(q, quantity_words(q), u, n) for q, u, n in (*readings, *first)][:10],
        "lamps": list(dict.fromkeys(lamp.use for lamp in tank.lamps)),
        "quantities": [(q, quantity_words(q)) for q in QUANTITIES],
    }  # fmt: skip


def _unit(quantity: str) -> str:
    return {"nitrate": "mg/L NO3", "kh": "dKH", "temperature": "°C"}.get(quantity, "")


@router.post("/log/write/{kind}")
def write_form(request: Request, kind: str, form: Posted) -> Response:
    """Write an entry that was put together in a form: as the line a keeper would type."""
    if kind not in FORMS:
        raise HTTPException(status_code=404)
    line = LINES[kind](form) if kind in LINES else _amount_line(kind, form)
    if not line:
        raise FormError("No amount was filled in. Go back and write one.")
    when, note = form.text("when"), form.text("note").replace("(", "").replace(")", "").replace(";", ",")
    parts = [f"{part} ({note})" if note else part for part in line]
    text = "; ".join([f"{when.replace('T', ' ')} {parts[0]}" if when else parts[0], *parts[1:]])
    found = book.write(desk_of(request), _name(request), text, form.text("once") or receipt())
    if found.questions or [each for each in found.problems if each.severity == "refused"]:
        return _shown(request, written=found, typed=text)
    if found.twice:
        return done(request, "/log", "This was written before; it stands in the log once.")
    notes = " ".join(each.message for each in found.problems)
    return done(request, "/log", f"Written: {'; '.join(found.added)}. {notes}".strip())


def _amount_line(kind: str, form: Form) -> list[str]:
    amount, unit, what = form.text("amount"), form.text("unit"), form.text("what")
    verb = {"top_up": "top up", "lamp": "lamp", "flow": "flow", "weigh": "weigh", "measure": "measure"}.get(kind, kind)
    return [" ".join(part for part in (verb, amount, unit, what) if part)] if amount else []


def _readings_line(form: Form) -> list[str]:
    found = []
    for field in form.names():
        quantity = field.removeprefix("reading_")
        if quantity != field and quantity in QUANTITIES:
            found.append(f"{quantity} {form.text(field)} {form.text('unit_' + quantity)}".strip())
    if form.text("other") in QUANTITIES and form.text("other_amount"):
        found.append(f"{form.text('other')} {form.text('other_amount')}")
    return found


LINES: Mapping[str, Callable[[Form], list[str]]] = {
    "reading": _readings_line,
    "siphon": lambda form: [f"siphon {form.text('amount')} %" if form.text("amount") else "siphon"],
    "scrape": lambda form: [" ".join(p for p in ("scrape", form.text("what"), form.text("amount")) if p)],
    "rinse": lambda form: [f"rinse {form.text('what') or 'half'}"],
    "sign": lambda form: [f"sign {form.text('what')}"] if form.text("note") else [],
}


@router.post("/log/{number}/photo")
def attach(request: Request, number: int, form: Posted) -> Response:
    """Keep photos beside an entry."""
    name = _name(request)
    count = 0
    for file in form.files("photo")[:6]:
        photos.attach(desk_of(request), name, number, file.content)
        count += 1
    if not count:
        raise FormError("No photo was chosen.")
    said = "The photo is kept" if count == 1 else f"{count} photos are kept"
    return done(request, "/log", f"{said} beside the entry, without the place and the camera's notes.")


@router.post("/log/photo/{number}/remove")
def remove(request: Request, number: int, form: Posted) -> Response:
    """Take a photo away."""
    photos.remove(desk_of(request), number)
    return done(request, "/log", "The photo is gone. The entry stays.")


@router.get("/photos/{digest}.jpg")
def photo(request: Request, digest: str, small: bool = False) -> Response:
    """Return a photo."""
    path = photos.file_of(desk_of(request), digest, small)
    if path is None:
        raise HTTPException(status_code=404)
    return FileResponse(path, media_type="image/jpeg")
