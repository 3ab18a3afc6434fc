"""Tank: what is held for true about it, where each fact comes from, and the form to change it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.keeper import describing
from lentic.logbook.problems import Problem
from lentic.web.forms import Posted
from lentic.web.render import around, desk_of, done, page

router = APIRouter()

SUBPAGES = (
    ("Facts", "/tank"), ("Home", "/tank/home"), ("Lamps", "/tank/lamps"), ("Heat", "/tank/heat"),
    ("Level and lime", "/tank/level"), ("Air", "/tank/air"), ("Filter", "/tank/filter"),
)  # fmt: skip
"""What is kept of a tank, a page each."""


@router.get("/tank")
def show(request: Request) -> Response:
    """Show every fact of the tank."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    desk = desk_of(request)
    tank = desk.held(name).tank
    assumed = desk.once(name, "assumed", lambda: describing.assumptions(desk, name))
    return page(
        request, "tank.html", title="Tank", groups=describing.form_of(tank), assumed=assumed,
        since=describing.since(desk, name), litres=_litres(request), subpages=SUBPAGES,
    )  # fmt: skip


def _litres(request: Request) -> tuple[str, str]:
    """Return the litres and how they are known."""
    tank = around(request).tank
    if tank is None or tank.water_litres is None:
        return "", ""
    known = "counted in buckets" if tank.glass.water_l is not None else "from your measures"
    return f"{tank.water_litres:.0f} L", known


@router.get("/tank/edit")
def edit(request: Request) -> Response:
    """Show the form with what is known."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    groups = describing.form_of(desk_of(request).held(name).tank)
    return page(request, "tank_edit.html", title="Change the description", groups=groups, typed={}, problems=())


@router.post("/tank/edit")
def change(request: Request, form: Posted) -> Response:
    """Keep the description as it was filled in, or say beside the form what cannot be."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    desk = desk_of(request)
    values = {key: text for key, text in form.values().items() if "." in key}
    tank, problems = describing.described(name, values)
    wrong = tuple(problem for problem in problems if problem.severity == "refused")
    if tank is None or wrong:
        groups = describing.form_of(desk.held(name).tank)
        return page(
            request, "tank_edit.html", title="Change the description", groups=groups, typed=values,
            problems=_named(wrong), status=422,
        )  # fmt: skip
    kept = describing.keep(desk, tank)
    return done(request, "/tank", "Kept. Older descriptions stay in the store." if kept else "Nothing was changed.")


def _named(problems: tuple[Problem, ...]) -> tuple[str, ...]:
    return tuple(f"{problem.message} {problem.remedy}" for problem in problems)
