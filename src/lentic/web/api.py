"""The contract's JSON for scripts: the same answers and names as the command line.

Where an answer has to be worked out first, the status is 202 with how far it is: ask again after two seconds.
"""

from __future__ import annotations

import secrets
from collections.abc import Callable, Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, Path, Query, Request
from fastapi.responses import JSONResponse, Response
from starlette.exceptions import HTTPException

from lentic.keeper import as_json, book
from lentic.keeper.answers import MOST_DAYS
from lentic.keeper.check import check as check_tank
from lentic.keeper.json_number import number_json
from lentic.keeper.number import number_from, question_of
from lentic.keeper.opening import NotYet
from lentic.logbook.events import Refused
from lentic.logbook.rows import write_row
from lentic.web import api_models as m
from lentic.web.render import chosen_tank, desk_of

router = APIRouter(prefix="/api/v1", tags=["answers"])
MOST_LINES = 2000
MOST_NUMBER = 2**31 - 1


def tank_of(
    request: Request, tank: Annotated[str | None, Query(max_length=200, description="The name of the tank.")] = None
) -> str:
    """Return the tank that is meant, the shown one where none is named."""
    names = desk_of(request).store.tanks()
    if tank is not None and tank not in names:
        raise HTTPException(status_code=404, detail=f"There is no tank of that name. Known are: {', '.join(names)}")
    found = tank or chosen_tank(request)
    if found is None:
        raise HTTPException(
            status_code=404, detail="The store holds no tank yet. Use lentic import, or the page /start"
        )
    return found


Tank = Annotated[str, Depends(tank_of)]
Days = Annotated[int, Query(ge=1, le=MOST_DAYS, description="How far ahead.")]


def responses(answer: Any) -> dict[int | str, dict[str, Any]]:
    """Describe what a question may answer."""
    return {
        200: {"model": answer, "description": "The answer, or why there is none yet."},
        202: {"model": m.UnderWay, "description": "Being worked out; ask again."},
        404: {"model": m.Refusal, "description": "There is no such tank."},
        422: {"model": m.Refusal, "description": "This cannot be asked so."},
        503: {"model": m.Refusal, "description": "It could not be worked out; the log is untouched."},
    }


def given(content: Mapping[str, Any], status: int = 200) -> Response:
    """Return an answer as JSON."""
    return JSONResponse(as_json.plain(content), status_code=status)


def ask(
    request: Request, tank: str, name: str, shape: Callable[[Any], Mapping[str, Any]], **arguments: Any
) -> Response:  # fmt: skip
    """Return the answer to a question about the log as it stands, or how far the work on it is."""
    asked = desk_of(request).ask(tank, name, **arguments)
    if asked.fresh and isinstance(asked.answer, NotYet):
        return given(as_json.not_yet_json(asked.answer))
    if asked.fresh and asked.view is not None:
        return given(shape(asked.view))
    if asked.failed and asked.work is not None:
        return given({"outcome": asked.work.said}, 503)
    said = asked.work.said if asked.work else ""
    response = given({"outcome": "This is being worked out; ask again.", "said": said, "share": asked.share}, 202)
    response.headers["retry-after"] = "2"
    return response


@router.get("/tanks", responses={200: {"model": m.TankNames}})
def tanks(request: Request) -> Response:
    """Return the names of all tanks."""
    return given({"tanks": desk_of(request).store.tanks()})


@router.get("/now", responses=responses(m.NowAnswer | m.NotYetAnswer))
def now(request: Request, tank: Tank) -> Response:
    """Return what needs doing today, why, and what can wait."""
    return ask(request, tank, "now", as_json.now_json)


@router.get("/balance", responses=responses(m.BalanceAnswer | m.NotYetAnswer))
def balance(
    request: Request, tank: Tank,
    weeks: Annotated[str, Query(pattern="^([1-9][0-9]{0,3}|all)$", description="Last weeks, or all.")] = "8",
) -> Response:  # fmt: skip
    """Return where nitrogen and phosphorus come from and go, mg a week with range."""
    return ask(request, tank, "balance", as_json.balance_json, weeks=None if weeks == "all" else int(weeks))


@router.get("/forecast", responses=responses(m.ForecastAnswer | m.NotYetAnswer))
def forecast(request: Request, tank: Tank, days: Days = 56) -> Response:
    """Return readings to come as things go on."""
    return ask(request, tank, "forecast", as_json.forecast_json, days=days)


@router.post("/forecast", responses=responses(m.ForecastAnswer | m.NotYetAnswer))
def forecast_planned(request: Request, tank: Tank, body: m.Planned) -> Response:
    """Return readings to come under a plan."""
    return ask(request, tank, "forecast", as_json.forecast_json, days=body.days, plan=body.plan)


@router.post("/compare", responses=responses(m.ComparisonAnswer | m.NotYetAnswer))
def compare(request: Request, tank: Tank, body: m.Plans) -> Response:
    """Return the difference plans make, on the same possible tanks."""
    return ask(request, tank, "compare", as_json.compare_json, plans=body.plans, days=body.days)


@router.get("/causes", responses=responses(m.CausesAnswer | m.NotYetAnswer))
def causes(
    request: Request, tank: Tank,
    of: Annotated[str, Query(pattern="^(algae|ammonia|kh|nitrate|cloudy)$", description="Which trouble.")] = "algae",
) -> Response:  # fmt: skip
    """Return what feeds a trouble: ranked, for, against, cheapest next test."""
    return ask(request, tank, "causes", as_json.causes_json, of=of)


@router.get("/number", responses=responses(m.NumberAnswer | m.NotYetAnswer))
def number(
    request: Request, tank: Tank,
    of: Annotated[str, Query(max_length=80, description="Such as flow.N.food.8 or day.nitrate.2026-05-01.")],
) -> Response:  # fmt: skip
    """Return how a number is known: lines of the log, plain steps, assumptions, what would change it."""
    question, opened = question_of(of), desk_of(request).opened(tank)
    if isinstance(opened, NotYet):
        return given(as_json.not_yet_json(opened))
    shape = lambda view: number_json(number_from(opened, of, view))  # noqa: E731 - used once, where it is made
    return ask(request, tank, question.ask, shape, **question.arguments)


@router.get("/plan", responses=responses(m.PlanAnswer | m.NotYetAnswer))
def plan(request: Request, tank: Tank, days: Days = 56) -> Response:
    """Return the one change of routine worth making first."""
    return ask(request, tank, "plan", as_json.plan_json, days=days)


@router.get("/check", responses=responses(m.CheckAnswer | m.NotYetAnswer))
def check(
    request: Request, tank: Tank,
    thing: Annotated[list[str] | None, Query(max_length=20, description="About to be bought, dosed or done.")] = None,
) -> Response:  # fmt: skip
    """Return hazards in the tank, or in something about to be bought, dosed or done."""
    found = check_tank(desk_of(request).where(tank), tuple(thing or ()))
    if isinstance(found, NotYet):
        return given(as_json.not_yet_json(found))
    return given(as_json.check_json(found.view))


@router.get("/upkeep", responses=responses(m.UpkeepAnswer | m.NotYetAnswer))
def upkeep(request: Request, tank: Tank) -> Response:
    """Return this week's maintenance in a safe order, litres and grams filled in."""
    return ask(request, tank, "upkeep", as_json.upkeep_json)


@router.get("/log", responses={**responses(m.LogAnswer), 200: {"model": m.LogAnswer}})
def log(
    request: Request, tank: Tank,
    after: Annotated[int, Query(ge=0, le=MOST_NUMBER, description="Only lines written after this one.")] = 0,
    most: Annotated[int, Query(ge=1, le=MOST_LINES)] = MOST_LINES,
) -> Response:  # fmt: skip
    """Return lines of the log with their numbers, in the order in which they were written."""
    held = desk_of(request).held(tank)
    standing = {id(event) for event in book.standing_events(held)}
    wanted = [each for each in held.entries if each.id > after and not isinstance(each.event, Refused)]
    lines = [
        dict(
            zip(("time", "kind", "what", "amount", "unit", "note"), write_row(each.event, held.tank.zone), strict=True)
        )
        | {"id": each.id, "standing": id(each.event) in standing}
        for each in sorted(wanted, key=lambda each: each.id)[:most]
    ]
    return given({"tank": tank, "lines": lines})


@router.post("/log", responses={**responses(m.Written), 200: {"model": m.Written}})
def write(request: Request, tank: Tank, body: m.Entry) -> Response:
    """Write a line into the log; parts with an open question are not written."""
    found = book.write(desk_of(request), tank, body.text, body.receipt or secrets.token_urlsafe(16))
    problems = [f"{each.message} {each.remedy}".strip() for each in found.problems]
    questions = [{"part": each.part, "question": each.text, "choices": each.choices} for each in found.questions]
    return given(
        {"tank": tank, "added": found.added, "questions": questions, "problems": problems, "twice": found.twice}
    )


@router.post("/log/{number}/void", responses={**responses(m.Refusal), 200: {"model": m.Refusal}})
def void(request: Request, tank: Tank, number: Annotated[int, Path(ge=1, le=MOST_NUMBER)]) -> Response:
    """Take a line back; nothing is ever deleted."""
    words = book.take_back(desk_of(request), tank, number, f"void-{number}-{secrets.token_urlsafe(8)}")
    return given({"outcome": f"Taken back: {words}."})
