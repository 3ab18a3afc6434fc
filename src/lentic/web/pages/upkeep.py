"""Upkeep: this week's session as a plan, then one step at a time beside the tank, until the power is on again."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import Any
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response

from lentic.advice.routine import BUCKET_L
from lentic.advice.upkeep.graph import EFFECTS
from lentic.advice.upkeep.steps import CANISTER_H, buckets_of
from lentic.advice.words import GRADES
from lentic.keeper import upkeep
from lentic.keeper.calendar import AHEAD_D
from lentic.keeper.desk import Asked
from lentic.keeper.json_upkeep import session_json
from lentic.keeper.opening import AskError, NotYet, Where
from lentic.keeper.upkeep import Now, StepState
from lentic.web.forms import Form, FormError, Posted
from lentic.web.render import around, desk_of, done, page
from lentic.web.units import typed_in

router = APIRouter()
PATH = "/do/upkeep"
LONGEST_S = 14 * 24 * 3600
"""A press that was kept for longer is written as if it were made now. [s]"""
FIELDS = {
    "look": ("Temperature", "°C"), "after": ("Temperature", "°C"), "thin": ("Taken out", "g"), "weigh": ("Weight", "g"),
    "refill": ("Poured in", "L"), "scrape": ("Grade before scraping", ""),
}  # fmt: skip
"""Step -> what its number is called, and the unit it is written in."""
REASONS = ("Not needed this time", "No time", "Tool or water is missing", "The animal did not allow it")
CLOSED = "That session is closed. Nothing was written."


@dataclass(frozen=True, kw_only=True)
class Field:
    """The number that a step takes, in the keeper's unit; `value` is filled in, `hint` only stands behind."""

    label: str
    unit: str
    value: str = ""
    hint: str = ""


@dataclass(frozen=True, kw_only=True)
class Panel:
    """One open step as the page shows it: place, first sentence large, the rest, its number, what follows."""

    place: int
    state: StepState
    first: str
    rest: str
    field: Field | None
    then: str
    lowers: bool
    buckets: int
    bucket: str
    """What one bucket holds, in the keeper's unit."""


@router.get(PATH)
def show(request: Request, amount: str = "") -> Response:
    """Show the session that is open, or this week's plan."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    now = around(request).session
    return _before(request, name, amount[:40]) if now is None else _session(request, now)


def _before(request: Request, name: str, amount: str, status: int = 200) -> Response:
    desk = desk_of(request)
    coming = desk.ask(name, "forecast", days=AHEAD_D)
    unit, _, shown = typed_in("L", around(request).preferences)
    trouble = ""
    try:
        litres = _litres(request, amount)
        planned = upkeep.plan(desk.where(name), litres, coming.view, may_fit=False)
    except (FormError, AskError) as error:
        trouble, status = str(error), 422
        planned = upkeep.plan(desk.where(name), None, coming.view, may_fit=False)
    if isinstance(planned, NotYet):
        none: Asked[Any] = Asked(name="upkeep", answer=planned, at=None, fresh=True)
        return page(request, "waiting.html", title="Upkeep", place="Today", asked=none, waits="the upkeep")
    usual = next((step.amount for step in planned.view.steps if step.id == "prepare"), None)
    return page(
        request, "upkeep.html", title="Upkeep", place="Today", asked=coming, view=planned.view, unit=unit,
        amount=amount if trouble or amount else "" if usual is None else _plain(shown(usual)), trouble=trouble,
        given=bool(amount) and not trouble, cautions=planned.cautions, action=_path(name), status=status,
    )  # fmt: skip


def _plain(value: float) -> str:
    """Return a number as a keeper would type it."""
    return f"{value:.1f}".rstrip("0").rstrip(".")


def _litres(request: Request, amount: str) -> float | None:
    found = Form([("amount", amount)], ()).number("amount", "Water to change", 0.1, 20_000.0)
    return None if found is None else typed_in("L", around(request).preferences)[1](found)


def _session(
    request: Request, now: Now, refused: str = "", typed: dict[str, str] | None = None, status: int = 200
) -> Response:
    tank, moment = around(request).tank, around(request).now
    said = [state for state in now.steps if state.at is not None]
    last = max(enumerate(said), key=lambda each: (each[1].at, each[0]), default=(0, None))[1]
    off = next((state for state in now.steps if state.step.id == "power_off"), None)
    return page(
        request, "session.html", title="Upkeep", place="Today", view=now, panels=_panels(request, now), last=last,
        refused=refused, typed=typed or {}, grades=[grade.removeprefix("a ") for grade in GRADES], reasons=REASONS,
        moment=tank and tank.local_time(moment), zone=tank.zone.key if tank else "UTC", canister_h=CANISTER_H,
        spent=_spent(now, moment - now.begun), things=off.step.title.partition(": ")[2] if off else "",
        by=next((r for r in now.reminders if r.by), None), action=_path(now.tank), status=status,
    )  # fmt: skip


def _spent(now: Now, since: timedelta) -> str:
    """Return how long the session has run beside how long it was reckoned; after hours only the reckoning."""
    minutes = int(since.total_seconds() // 60)
    reckoned = f"about {now.minutes:.0f} min"
    return f"{minutes} of {reckoned}" if minutes < 4 * 60 else reckoned


def _panels(request: Request, now: Now) -> list[Panel]:
    left = [(place, state) for place, state in enumerate(now.steps, start=1) if state.state == "open"]
    found = []
    unit, _, shown = typed_in("L", around(request).preferences)
    each = f"{_plain(shown(BUCKET_L))} {unit}"
    for index, (place, state) in enumerate(left):
        first, _, rest = re.sub(r"(?<=[.?])\s", "\n", state.step.text, count=1).partition("\n")
        then = left[index + 1][1].step.title if index + 1 < len(left) else "close the session"
        found.append(Panel(
            place=place, state=state, first=first, rest=rest, field=_field(request, state), then=then,
            lowers=EFFECTS[state.step.id].lowers, buckets=buckets_of(state.step), bucket=each,
        ))  # fmt: skip
    return found


def _field(request: Request, state: StepState) -> Field | None:
    if not state.takes:
        return None
    label, written = FIELDS[state.step.id]
    unit, _, shown = typed_in(written, around(request).preferences)
    amount = "" if state.step.amount is None else _plain(shown(state.step.amount))
    # what is poured in is what was set out, unless counted otherwise; what grew is weighed, not guessed
    return Field(label=label, unit=unit, value=amount if state.step.id == "refill" else "", hint=amount)


@router.post(PATH)
def press(request: Request, form: Posted) -> Response:
    """Begin, write down what was pressed, cut short or close; a press that came before adds nothing."""
    desk, what = desk_of(request), form.text("what")
    name = form.text("tank")
    if name not in desk.store.tanks():
        raise FormError("There is no such tank. Load the page again.")
    where = desk.where(name)
    if what == "begin":
        return _begin(request, where, form)
    now = upkeep.open_now(desk.store, desk.held(name).tank, desk.now())
    if now is None or now.key != form.text("session"):
        return _told(request, None, form, CLOSED)
    try:
        found = _pressed(request, where, what, form)
    except FormError as error:
        return _told(request, now, form, str(error))
    if what == "end" and not found.refused:
        return done(request, "/", f"Upkeep is closed: {_count(found)} written down.")
    return _told(request, found, form, found.refused)


def _begin(request: Request, where: Where, form: Form) -> Response:
    try:
        litres = _litres(request, form.text("amount"))
    except FormError:
        return _before(request, str(where.name), form.text("amount"))
    coming = desk_of(request).ask(str(where.name), "forecast", days=AHEAD_D)
    upkeep.begin(where, litres, coming.view, may_fit=False)
    return RedirectResponse(_path(form.text("tank")), status_code=303)


def _pressed(request: Request, where: Where, what: str, form: Form) -> Now:
    step, number = form.text("step"), form.number("number", "Marks", 0, 10_000)
    seen = None if number is None else int(number)
    ago = form.number("ago", "Age of the press", 0.0, 1e12) or 0.0
    ago = ago if ago <= LONGEST_S else 0.0
    if what == "done":
        return upkeep.done(where, step, _value(request, step, form), seen, ago)
    if what == "skip":
        return upkeep.leave_out(where, step, form.text("why"), seen, ago)
    if what == "back":
        return upkeep.undo(where, step, seen, ago)
    if what in ("stop", "end"):
        return upkeep.stop(where) if what == "stop" else upkeep.end(where)
    raise FormError("That button is not known. Load the page again.")


def _value(request: Request, step: str, form: Form) -> float | None:
    label, written = FIELDS.get(step, ("Number", ""))
    typed = form.number("value", label, -50.0, 1e6)
    return None if typed is None else typed_in(written, around(request).preferences)[1](typed)


def _count(now: Now) -> str:
    number = sum(state.state == "done" for state in now.steps)
    return "1 step is" if number == 1 else f"{number} steps are"


def _told(request: Request, now: Now | None, form: Form, refused: str) -> Response:
    """Return how the session stands: as data to the page's script, as the page to everyone else."""
    if "application/json" in request.headers.get("accept", ""):
        shown = session_json(now) if now else {"marks": 0, "steps": []}
        return JSONResponse({**shown, "open": now is not None, "refused": refused})
    if now is None:
        return done(request, _path(form.text("tank")), refused)
    if refused:
        return _session(request, now, refused, form.values(), status=422)
    return RedirectResponse(_path(form.text("tank")), status_code=303)


def _path(name: str) -> str:
    """Return the address of a tank's upkeep, also where another tank is shown on the other pages."""
    return f"{PATH}?{urlencode({'tank': name})}"
