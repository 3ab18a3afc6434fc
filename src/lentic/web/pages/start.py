"""The newcomer's path: the tank in a few facts, last week from memory, and the first answer."""

from __future__ import annotations

import os
from pathlib import Path

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic import LenticError
from lentic.keeper import beginning
from lentic.keeper.beginning import Begun, Week
from lentic.web.forms import Form, FormError, Posted
from lentic.web.pages.log import receipt
from lentic.web.render import around, desk_of, done, page

router = APIRouter()
FOODS = 3
"""Foods a newcomer can remember in one form."""


def zone_here() -> str:
    """Return the time zone of this machine by its IANA name, empty where it does not tell."""
    named = os.environ.get("TZ", "")
    if "/" in named and not named.startswith("Etc/"):
        return named.lstrip(":")
    try:
        parts = Path("/etc/localtime").resolve().parts
    except OSError:
        return ""
    zone = "/".join(parts[parts.index("zoneinfo") + 1 :]) if "zoneinfo" in parts else ""
    return zone if "/" in zone and not zone.startswith("Etc/") else ""


@router.get("/start")
def show(request: Request) -> Response:
    """Ask for the tank in a few facts."""
    return _asked(request, {}, "")


def _asked(request: Request, typed: dict[str, str], wrong: str) -> Response:
    return page(
        request, "start.html", title="Start", typed=typed, wrong=wrong, zone=zone_here(),
        species=beginning.names_of("turtle"), plants=beginning.names_of("plant"), status=422 if wrong else 200,
    )  # fmt: skip


@router.post("/start")
def describe(request: Request, form: Posted) -> Response:
    """Describe a new tank."""
    try:
        told = _begun(form)
        name = beginning.begin(desk_of(request), told)
    except LenticError as error:
        return _asked(request, form.values(), str(error))
    desk_of(request).store.set({"tank": name}, desk_of(request).now())
    return done(request, "/start/week")


NUMBERS = {
    "buckets": ("Buckets", 0.0, 10000.0), "bucket_l": ("Litres in one bucket", 0.1, 1000.0),
    "water_l": ("Litres", 0.5, 100000.0), "length_cm": ("Length", 1.0, 2000.0), "width_cm": ("Width", 1.0, 2000.0),
    "depth_cm": ("Depth of water", 1.0, 2000.0), "mass_g": ("Mass", 1.0, 200000.0),
    "plant_g": ("Grams of plants", 0.0, 100000.0), "lamp_h": ("Hours of the plant lamp", 0.0, 24.0),
}  # fmt: skip
"""The numbers of the form with their bounds: common practice, no source; they catch slips of the pen."""


def _begun(form: Form) -> Begun:
    numbers = {name: form.number(name, *bounds) for name, bounds in NUMBERS.items()}
    return Begun(
        name=form.text("name"), timezone=form.text("timezone"), animal=form.text("animal"),
        species=form.text("species"), plant=form.text("plant"), **numbers,
    )  # fmt: skip


@router.get("/start/week")
def week(request: Request) -> Response:
    """Ask for last week from memory."""
    if around(request).name is None:
        return done(request, "/start")
    return _week(request, {}, "")


def _week(request: Request, typed: dict[str, str], wrong: str) -> Response:
    return page(
        request, "week.html", title="Last week", typed=typed, wrong=wrong, foods=beginning.names_of("food"),
        rows=range(1, FOODS + 1), receipt=receipt(), status=422 if wrong else 200,
    )  # fmt: skip


@router.post("/start/week")
def remember(request: Request, form: Posted) -> Response:
    """Write down what is remembered."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    try:
        beginning.remember(desk_of(request), name, _remembered(form), form.text("once") or receipt())
    except LenticError as error:
        return _week(request, form.values(), str(error))
    return done(request, "/start/first")


def _remembered(form: Form) -> Week:
    feeds = []
    for place in range(1, FOODS + 1):
        food, grams = form.text(f"food_{place}"), form.number(f"grams_{place}", "Grams", 0.0, 5000.0)
        times = form.number(f"times_{place}", "Times", 0.0, 50.0)
        if food and grams and times:
            feeds.append((food, grams, round(times)))
        elif food and not grams:
            raise FormError(f"How many grams of {food} each time? A rough guess is fine; a kitchen scale is better.")
    changed = form.number("changed_l", "Water changed", 0.0, 50000.0)
    ago = form.number("changed_ago", "Days ago", 0.0, 7.0)
    kit = form.text("nitrate_unit") or "mg/L NO3"
    readings = [
        f"{quantity} {form.text(quantity)} {unit}"
        for quantity, unit in (("nitrate", kit), ("kh", "dKH"), ("temperature", "°C"))
        if form.text(quantity)
    ]
    return Week(
        feeds=tuple(feeds), changed_l=changed, changed_ago_d=3 if ago is None else round(ago),
        scraped=round(form.number("scraped", "Times scraped", 0.0, 7.0) or 0), readings="; ".join(readings),
    )  # fmt: skip


@router.get("/start/first")
def first(request: Request) -> Response:
    """Show the first answer."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    return page(
        request, "first.html", title="First answer", place="", opening=beginning.opening(desk_of(request), name)
    )
