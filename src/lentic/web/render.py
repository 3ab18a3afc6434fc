"""Pages out of templates: what every page gets, the filters, and the sentence that tells what was just done."""

from __future__ import annotations

import base64
import functools
import hashlib
import hmac
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

import jinja2
from fastapi import Request
from fastapi.responses import HTMLResponse, RedirectResponse
from jinja2 import pass_context
from markupsafe import Markup, escape

from lentic.keeper.desk import Asked, Desk
from lentic.keeper.upkeep import Now, open_now
from lentic.logbook.tank import Tank
from lentic.web.door import SAID_COOKIE, cookie, form_token
from lentic.web.draw.marks import severity_mark, shape, squares
from lentic.web.settings import Settings
from lentic.web.units import Preferences, in_units, preferences_of

HERE = Path(__file__).parent
NAVIGATION = (
    ("Today", "/"), ("Log", "/log"), ("Why", "/why"), ("Decide", "/decide"), ("Animals", "/animals"),
    ("Cards", "/cards"),
)  # fmt: skip
BASES = (
    ("mg/L NO3-N", "mg/L as N"), ("mg/L NO3", "mg/L as NO₃"), ("mg/L NO2-N", "mg/L as N"), ("mg/L NO2", "mg/L as NO₂"),
    ("mg/L NH4-N", "mg/L as N"), ("mg/L NH4", "mg/L as NH₄"), ("mg/L NH3", "mg/L as NH₃"), ("mg/L PO4", "mg/L as PO₄"),
    ("mg/L N", "mg/L as N"), ("g/m2", "g/m²"),
)  # fmt: skip
"""How a unit says what it is counted as; the longer spelling stands first."""
SAID_S = 120
"""How long a sentence about what was done waits for its page. [s]"""


@dataclass(frozen=True, kw_only=True)
class Around:
    """What stands around every page: the tank, the units, the form's token."""

    tank: Tank | None
    name: str | None
    tanks: tuple[str, ...]
    preferences: Preferences
    token: str
    here: bool
    now: datetime
    sessions: tuple[Now, ...] = ()
    """Every upkeep that is open, this tank's first; with the power off no page lets it be forgotten."""

    @property
    def session(self) -> Now | None:
        """The upkeep that is open at this tank."""
        return next((session for session in self.sessions if session.tank == self.name), None)

    @property
    def under(self) -> str:
        """The line under the tank's name: litres and animals, as far as they are known."""
        if self.tank is None:
            return "No tank yet"
        litres = f"{self.tank.water_litres:.0f} L" if self.tank.water_litres else "litres not known"
        names = ", ".join(turtle.id.capitalize() for turtle in self.tank.turtles[:3])
        return f"{litres}, {names}" if names else litres


def desk_of(request: Request) -> Desk:
    """Return the desk of the server."""
    desk: Desk = request.app.state.desk
    return desk


def chosen_tank(request: Request) -> str | None:
    """Return the tank this page is about: named in the address, chosen before, or the first; None if there is none."""
    desk = desk_of(request)
    names = desk.store.tanks()
    asked = request.query_params.get("tank")
    if asked in names:
        return asked
    chosen = desk.store.settings().get("tank")
    return chosen if chosen in names else names[0] if names else None


def around(request: Request) -> Around:
    """Return what stands around the page."""
    known = getattr(request.state, "around", None)
    if isinstance(known, Around):
        return known
    desk = desk_of(request)
    name = chosen_tank(request)
    tank = desk.held(name).tank if name else None
    found = Around(
        tank=tank, name=name, tanks=desk.store.tanks(),
        preferences=preferences_of(desk.store.settings()), now=desk.now(),
        token=form_token(request.app.state.secret, request.scope.get("lentic_form", "")),
        here=bool(request.scope.get("lentic_here")),
        sessions=_open_sessions(desk, name),
    )  # fmt: skip
    request.state.around = found
    return found


def _open_sessions(desk: Desk, name: str | None) -> tuple[Now, ...]:
    """Return the sessions that are open at any tank; a log is read only where one is."""
    names = sorted(desk.store.tanks(), key=lambda each: each != name)
    there = [each for each in names if desk.store.sessions(each, only_open=True)]
    found = (open_now(desk.store, desk.held(each).tank, desk.now()) for each in there)
    return tuple(session for session in found if session is not None)


def page(
    request: Request, template: str, *, title: str, place: str = "", status: int = 200, asked: Asked[Any] | None = None,
    **values: Any,
) -> HTMLResponse:  # fmt: skip
    """Return a page; with work under way it renews itself every two seconds, also where there is no script."""
    said = said_to(request)
    text = ENVIRONMENT.get_template(template).render(
        around=around(request), title=title, place=place, navigation=NAVIGATION, said=said, asked=asked,
        path=request.url.path, **values,
    )  # fmt: skip
    response = HTMLResponse(text, status_code=status)
    if said is not None:
        response.headers.append("set-cookie", cookie(SAID_COOKIE, "", 0))
    return response


def done(request: Request, path: str, said: str = "") -> RedirectResponse:
    """Return to a page after something was done, and say what."""
    response = RedirectResponse(path, status_code=303)
    if said:
        text = base64.urlsafe_b64encode(said.encode()[:1500]).decode()
        response.headers.append("set-cookie", cookie(SAID_COOKIE, f"{text}.{_mark(request, text)}", SAID_S))
    return response


def said_to(request: Request) -> str | None:
    """Return the sentence that waits for this browser, if it is one of ours."""
    text, _, mark = request.cookies.get(SAID_COOKIE, "").partition(".")
    if not text or not hmac.compare_digest(mark, _mark(request, text)):
        return None
    return base64.urlsafe_b64decode(text).decode(errors="replace")


def _mark(request: Request, text: str) -> str:
    secret = str(request.app.state.secret)
    return hmac.new(secret.encode(), b"said:" + text.encode(), hashlib.sha256).hexdigest()[:32]


@pass_context
def units(context: jinja2.runtime.Context, text: object) -> str | Markup:
    """Return a text in the keeper's units; figures and units do not part at the end of a line."""
    wanted: Preferences = context["around"].preferences
    shown = in_units(str(text), wanted)
    for written, named in BASES:
        shown = shown.replace(written, named)
    return Markup(shown) if isinstance(text, Markup) else shown


def day(moment: datetime | date) -> str:
    """Return a day in words, such as 16 May."""
    return f"{moment.day} {moment:%B}"


def full_day(moment: datetime | date) -> str:
    """Return a day in words with its weekday, such as Saturday 16 May."""
    return f"{moment:%A} {moment.day} {moment:%B}"


@pass_context
def clock(context: jinja2.runtime.Context, moment: datetime) -> str:
    """Return the time of day at the tank."""
    tank: Tank | None = context["around"].tank
    return f"{(tank.local_time(moment) if tank else moment):%H:%M}"


@pass_context
def local(context: jinja2.runtime.Context, moment: datetime) -> datetime:
    """Return a moment on the tank's own clock."""
    tank: Tank | None = context["around"].tank
    return tank.local_time(moment) if tank else moment


@functools.cache
def version_of(name: str) -> str:
    """Return a short fingerprint of a file that browsers may keep."""
    return hashlib.sha256((HERE / "static" / name).read_bytes()).hexdigest()[:8]


def static(name: str) -> str:
    """Return the address of a file that browsers may keep."""
    return f"/static/{name}?{version_of(name)}"


def capitalised(text: object) -> str:
    """Return a text with its first letter large and the others as they are."""
    words = str(text)
    return words if words[1:2].isupper() else words[:1].upper() + words[1:]


def how_far(asked: Asked[Any]) -> str:
    """Return how far long work is and how long it may still take, in whole seconds and as a range."""
    if asked.work is None:
        return ""
    if asked.work.state == "waiting":
        return "Waiting for its turn."
    said = asked.work.said or "Begun."
    said = said if said.endswith((".", "%")) else f"{said}."
    said = said if said.endswith(".") else f"{said}."
    if asked.usual_s is None:
        return f"{said} The first time this takes up to two minutes."
    left = asked.usual_s * (1.0 - (asked.share or 0.0))
    return f"{said} About {left:.0f} seconds left ({0.6 * left:.0f}–{1.6 * left + 2.0:.0f})."


def as_pair(name: str) -> tuple[str, str]:
    """Return a name as the value and the word of a choice."""
    return name, capitalised(name.replace("_", " "))


def tied(text: object) -> Markup:
    """Return a text whose figures and units do not part at the end of a line."""
    words = str(escape(text))
    for unit in ("L", "g", "kg", "mg/L", "°C", "°F", "dKH", "cm", "h", "min", "minutes", "W", "%", "US gal"):
        words = words.replace(f" {unit} ", f"\u00a0{unit} ").replace(f" {unit}.", f"\u00a0{unit}.")
    return Markup(words.replace(" in 10", "\u00a0in\u00a010"))


def _environment() -> jinja2.Environment:
    made = jinja2.Environment(
        loader=jinja2.FileSystemLoader(HERE / "templates"), autoescape=True, undefined=jinja2.StrictUndefined,
        trim_blocks=True, lstrip_blocks=True,
    )  # fmt: skip
    made.filters |= {
        "units": units, "day": day, "full_day": full_day, "clock": clock, "local": local, "tied": tied,
        "capitalised": capitalised, "as_pair": as_pair, "how_far": how_far,
    }  # fmt: skip
    made.tests["match_number"] = lambda word: str(word).replace(".", "", 1).isdigit()
    made.globals |= {"severity": severity_mark, "shape": shape, "squares": squares, "static": static}
    return made


ENVIRONMENT = _environment()


def add_globals(values: Mapping[str, Any]) -> None:
    """Give every template more names; a page module does this once, when it is loaded."""
    ENVIRONMENT.globals |= dict(values)


def settings_of(request: Request) -> Settings:
    """Return how the pages are served."""
    settings: Settings = request.app.state.settings
    return settings
