"""Dates: what is due when and why, at what hour a reminder may come, and the feed that ordinary calendars read."""

from __future__ import annotations

import secrets
from datetime import time
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from lentic.keeper.calendar import AHEAD_D, QUIET_FROM, QUIET_UNTIL, Dates, dates, feed
from lentic.keeper.desk import Asked, Desk
from lentic.keeper.opening import NotYet
from lentic.web.door import CALENDAR_KEY
from lentic.web.forms import FormError, Posted
from lentic.web.render import around, desk_of, done, full_day, page, settings_of

router = APIRouter()
HOURS = tuple(f"{hour:02}:00" for hour in range(QUIET_UNTIL.hour, QUIET_FROM.hour + 1))


def key_of(desk: Desk) -> str:
    """Return the secret in the feed's address, made once."""
    return desk.store.settings().get(CALENDAR_KEY) or renewed(desk)


def renewed(desk: Desk) -> str:
    """Return a new secret: calendars that read under the old one read nothing any more."""
    made = secrets.token_urlsafe(24)
    desk.store.set({CALENDAR_KEY: made}, desk.now())
    return made


@router.get("/calendar")
def show(request: Request) -> Response:
    """List what is due, soonest first."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    desk = desk_of(request)
    coming = desk.ask(name, "forecast", days=AHEAD_D)
    found = dates(desk.where(name), coming.view, may_fit=False)
    if isinstance(found, NotYet):
        none: Asked[Any] = Asked(name="calendar", answer=found, at=None, fresh=True)
        return page(request, "waiting.html", title="Dates", place="Today", asked=none, waits="the dates")
    view = found.view
    address = f"http://{request.headers['host']}/calendar/{quote(name)}.ics?key={key_of(desk)}"
    first = view.due[0] if view.due else None
    return page(
        request, "calendar.html", title="Dates", place="Today", asked=coming, view=view, address=address, hours=HOURS,
        hour=f"{view.at:%H:%M}", lan=settings_of(request).lan, today=around(request).now.date(),
        sentence=f"Next: {first.what}, {full_day(first.day)}." if first else "Nothing is due in ten weeks.",
    )  # fmt: skip


@router.post("/calendar/hour")
def hour(request: Request, form: Posted) -> Response:
    """Keep the hour at which a reminder may come."""
    told = form.text("at")
    try:
        wanted = time.fromisoformat(told)
    except ValueError:
        raise FormError("The hour of reminders is written like 08:00.") from None
    desk = desk_of(request)
    desk.store.set({"reminders_at": f"{wanted:%H:%M}"}, desk.now())
    return done(request, "/calendar", f"Reminders come at {wanted:%H:%M}, and never at night.")


@router.post("/calendar/renew")
def renew(request: Request, form: Posted) -> Response:
    """Change the address of the feed."""
    renewed(desk_of(request))
    return done(request, "/calendar", "The address is new. Calendars that used the old one read nothing any more.")


@router.get("/calendar/{name:path}.ics")
def ics(request: Request, name: str) -> Response:
    """Return the dates of a tank for a calendar that subscribes (RFC 5545)."""
    desk = desk_of(request)
    if name not in desk.store.tanks():
        raise HTTPException(status_code=404)
    found = dates(desk.where(name), desk.ask(name, "forecast", days=AHEAD_D).view, may_fit=False)
    view = Dates(tank=name, begin=desk.now(), due=(), at=QUIET_UNTIL) if isinstance(found, NotYet) else found.view
    return Response(feed(view, desk.now()), media_type="text/calendar; charset=utf-8")
