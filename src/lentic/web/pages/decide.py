"""Decide: plans beside each other, a plan shaped by hand, and one change written down as a trial."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.advice.decide import Decision, Dial
from lentic.advice.routine import BUCKET_L
from lentic.advice.words import chance, number
from lentic.keeper.decide import close, shaped, start
from lentic.keeper.opening import AskError, NotYet
from lentic.keeper.trials import book
from lentic.logbook.trials import FACTORS
from lentic.web.draw.marks import chance_severity
from lentic.web.draw.pictures import plan_rows, trial_rows
from lentic.web.forms import Posted
from lentic.web.pages.why import waiting
from lentic.web.render import add_globals, around, desk_of, done, page

router = APIRouter()
PERCENT: dict[str, float] = {"ration": 100.0}
"""Dials that are shown in percent of what they are inside. [-]"""


def dial_factor(dial: Dial) -> float:
    """Return how a dial is shown: food in percent, all else as it is."""
    return PERCENT.get(dial.key, 1.0)


add_globals({
    "chance_severity": chance_severity, "chance": chance, "number": number, "one": "{:.1f}".format,
    "whole": "{:.0f}".format, "bucket": f"{BUCKET_L:g}", "dial_factor": dial_factor, "factors": FACTORS,
})  # fmt: skip


def dials_of(request: Request) -> dict[str, float]:
    """Return the dials in an address; what is no number is not a dial."""
    found: dict[str, float] = {}
    for key in FACTORS:
        text = request.query_params.get(key, "").replace(",", ".")
        try:
            found[key] = float(text) / PERCENT.get(key, 1.0)
        except ValueError:
            continue
    return {key: value for key, value in found.items() if abs(value) < 1e6}


@router.get("/decide")
def show(request: Request) -> Response:
    """Show plans beside each other; with dials in the address the keeper's own plan is worked out at once."""
    here = around(request)
    if here.name is None:
        return done(request, "/start")
    desk = desk_of(request)
    asked = desk.ask(here.name, "decide")
    opened = desk.opened(here.name)
    if asked.view is None or isinstance(opened, NotYet):
        return waiting(request, "Decide", asked, "what each plan does", "Decide", under="Compare")
    view: Decision = asked.view
    dials = dials_of(request)
    own = shaped(opened, desk.held(here.name).stamp, dials, view) if dials and asked.fresh else None
    past = desk.ask(here.name, "over_time")
    return page(
        request, "decide.html", title="Decide", place="Decide", asked=past if asked.fresh else asked, view=own or view,
        answer=asked.answer, dials=dials, query=f"?{request.url.query}" if dials else "",
        waits_for_fit=bool(dials) and own is None,
        rows=plan_rows(own or view, past.view, here.preferences),
        running=next((each for each in book(desk.where(here.name)) if each.closed is None), None),
    )  # fmt: skip


@router.get("/decide/trial")
def look(request: Request, factor: str = "", to: float = 0.0) -> Response:
    """Show a trial as it would be written down, before anything is written."""
    here = around(request)
    if here.name is None:
        return done(request, "/start")
    if not factor:
        return done(request, "/decide")
    if factor not in FACTORS or not 0.0 <= to <= 1e4:
        raise AskError(f"A trial turns one of {', '.join(FACTORS)}. Choose it on Decide.")
    asked = desk_of(request).ask(here.name, "trial", factor=factor, to=to)
    if asked.view is None:
        return waiting(request, "A trial", asked, "the prediction", "Decide", under="Trials")
    return page(request, "trial.html", title="A trial", place="Decide", asked=asked, answer=asked.answer,
                trial=asked.view, factor=factor, to=to, count=None, closed=None, ended=None, day=0,
                charts=trial_rows(asked.view, here.preferences))  # fmt: skip


@router.post("/decide/trial")
def begin(request: Request, form: Posted) -> Response:
    """Write a trial down as it was shown."""
    name, desk = around(request).name, desk_of(request)
    factor, to = form.text("factor"), form.number("to", "Turned to", 0.0, 1e4)
    if name is None or factor not in FACTORS or to is None:
        raise AskError("Choose one change on Decide first.")
    asked = desk.ask(name, "trial", factor=factor, to=to)
    if asked.view is None or not asked.fresh:
        return done(request, f"/decide/trial?factor={factor}&to={to:g}", "The log has moved on: look at it once more.")
    kept = start(desk.where(name), asked.view)
    return done(request, f"/decide/trials/{kept.number}", f"Written down as trial {kept.number}. Change nothing else.")


@router.get("/decide/trials")
def trials(request: Request) -> Response:
    """Show the book of trials, the newest first."""
    here = around(request)
    if here.name is None:
        return done(request, "/start")
    return page(request, "trials.html", title="Trials", place="Decide", book=book(desk_of(request).where(here.name)))


@router.get("/decide/trials/{number}")
def trial(request: Request, number: int) -> Response:
    """Show one trial: what was expected, and how it stands or ended."""
    here, desk = around(request), desk_of(request)
    if here.name is None:
        return done(request, "/start")
    kept = next((each for each in book(desk.where(here.name)) if each.number == number), None)
    if kept is None:
        raise AskError(f"There is no trial {number}. The book of trials is under Decide.")
    asked = desk.ask(here.name, "verdict", number=number) if kept.ended is None else None
    ended = kept.ended or (asked.view.ended if asked and asked.view else None)
    tank = desk.held(here.name).tank
    begun, today = tank.local_time(kept.trial.begun).replace(tzinfo=None), tank.local_date(desk.now())
    past = desk.ask(here.name, "over_time").view
    return page(request, "trial.html", title=f"Trial {number}", place="Decide", asked=asked,
                answer=asked.answer if asked else None, trial=kept.trial,
                factor=kept.trial.factor, to=kept.trial.after, count=number, closed=kept.closed, ended=ended,
                charts=trial_rows(kept.trial, here.preferences, begun, past),
                day=max((today - begun.date()).days + 1, 0))  # fmt: skip


@router.post("/decide/trials/{number}/end")
def end(request: Request, number: int, form: Posted) -> Response:
    """Close a trial with the verdict it has now."""
    name, desk = around(request).name, desk_of(request)
    if name is None:
        raise AskError("There is no tank.")
    asked = desk.ask(name, "verdict", number=number)
    if asked.view is None or not asked.fresh:
        raise AskError("The verdict is still being worked out. Look again in a moment.")
    close(desk.where(name), asked.view)
    return done(request, f"/decide/trials/{number}", f"Trial {number} is closed.")
