"""JSON of what is being done: the session that is open, dates, cards, trials; names as on the command line."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import Response
from pydantic import Field

from lentic.advice.away import LONGEST_D, VISIT_EVERY_D
from lentic.keeper import as_json, cards, trials
from lentic.keeper.calendar import AHEAD_D, dates
from lentic.keeper.json_calendar import dates_json
from lentic.keeper.json_cards import card_json
from lentic.keeper.json_trial import now_json
from lentic.keeper.json_upkeep import session_json
from lentic.keeper.opening import NotYet
from lentic.keeper.upkeep import open_now
from lentic.web import api_models as m
from lentic.web.api import Tank, ask, given, responses
from lentic.web.render import desk_of

router = APIRouter(prefix="/api/v1", tags=["doing"])


class StepNow(m.Step):
    """One step of a running session, and what was said of it."""

    state: Literal["open", "done", "skipped"]
    at: str | None


class ReminderNow(m.Shape):
    """What must not be forgotten; `by` is when it becomes urgent."""

    sentence: str
    by: str | None
    urgent: bool


class SessionAnswer(m.Shape):
    """The session of upkeep that is open; `off_since` is set while filter and heater have no power."""

    tank: str
    session: str
    begun: str
    marks: int
    next: str | None
    waits_until: str | None
    off_since: str | None
    refused: str
    reminders: list[ReminderNow]
    steps: list[StepNow]
    can_end: bool


class Due(m.Shape):
    """One thing that is due, with the range in which its day may fall."""

    id: str
    what: str
    day: str
    earliest: str
    latest: str
    why: str


class DatesAnswer(m.Shape):
    """What is due when, soonest first."""

    tank: str
    begin: str = Field(alias="from")
    due: list[Due]


class TrialsAnswer(m.Shape):
    """Every trial of the tank, oldest first."""

    trials: list[dict[str, Any]]


@router.get("/upkeep/session", responses=responses(SessionAnswer | m.Refusal))
def session(request: Request, tank: Tank) -> Response:
    """Return the session of upkeep that is open, or that there is none."""
    desk = desk_of(request)
    found = open_now(desk.store, desk.held(tank).tank, desk.now())
    return given({"outcome": "No session is open."} if found is None else session_json(found))


@router.get("/calendar", responses=responses(DatesAnswer | m.NotYetAnswer))
def calendar(request: Request, tank: Tank) -> Response:
    """Return what is due when and why; the dates rest on the newest forecast there is."""
    desk = desk_of(request)
    found = dates(desk.where(tank), desk.ask(tank, "forecast", days=AHEAD_D).view, may_fit=False)
    return given(as_json.not_yet_json(found) if isinstance(found, NotYet) else dates_json(found.view))


@router.get("/card/emergency", responses=responses(dict[str, Any]))
def emergency(
    request: Request,
    tank: Tank,
    only: Annotated[str | None, Query(max_length=40, description="One card.")] = None,
) -> Response:
    """Return the emergency cards, or one of them."""
    found = cards.emergency(desk_of(request).where(tank), only)
    return given(as_json.not_yet_json(found) if isinstance(found, NotYet) else card_json(found.view))


@router.get("/card/vet", responses=responses(dict[str, Any]))
def vet(request: Request, tank: Tank) -> Response:
    """Return the history of every animal for the vet."""
    found = cards.vet(desk_of(request).where(tank))
    return given(as_json.not_yet_json(found) if isinstance(found, NotYet) else card_json(found.view))


@router.get("/card/sitter", responses=responses(dict[str, Any]))
def sitter(
    request: Request, tank: Tank, days: Annotated[int, Query(ge=2, le=LONGEST_D)] = 10,
    first: Annotated[str, Query(alias="from", pattern=r"^(\d{4}-\d{2}-\d{2})?$", description="The first day.")] = "",
    every: Annotated[int, Query(ge=1, le=14, description="A visit every so many days.")] = VISIT_EVERY_D,
) -> Response:  # fmt: skip
    """Return the sitter's card for an absence."""
    more = {"first": first} if first else {}
    return ask(request, tank, "sitter", card_json, days=days, every=every, **more)


@router.get("/card/tank", responses=responses(dict[str, Any]))
def explained(request: Request, tank: Tank) -> Response:
    """Return the tank explained to a visitor."""
    return ask(request, tank, "explained", card_json)


@router.get("/trial", responses=responses(TrialsAnswer))
def trial(request: Request, tank: Tank) -> Response:
    """Return every trial of the tank."""
    views = trials.book(desk_of(request).where(tank))
    return given({"trials": [now_json(view) for view in views]})
