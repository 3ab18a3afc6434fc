"""What to do: the plan that is proposed and what needs doing today."""

from __future__ import annotations

from pathlib import Path

from lentic.advice.forecast import forecast_of
from lentic.advice.hazards.facts import reasons_in
from lentic.advice.hazards.proposed import said_beside, through_the_gate
from lentic.advice.plan import Proposal, proposal_of
from lentic.advice.routine import Wishes
from lentic.advice.today import Today, today_of
from lentic.keeper.answers import Answer, ahead, checked_days, far, planned
from lentic.keeper.check import situation_in, stops
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import AskError, NotYet, Where, open_tank
from lentic.learn.forecast import futures

LOOK_AHEAD_D = 28
LEAST_PLAN_D = 14


def plan(
    where: Where, days: int = 56, file: Path | None = None, wishes: Wishes | None = None, say: Say | None = None
) -> Answer[Proposal] | NotYet:
    """Return the one change of routine worth making first, by what the keeper wishes and can give."""
    _checked(days, wishes)
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    opened = planned(opened, file)
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    if say:
        say("Trying changes of the routine one by one on the same possible tanks.")
    view = proposal_of(fit, opened.events, events, opened.begin, days, wishes)
    reasons = reasons_in(opened.events)
    view, verdict = through_the_gate(view, situation_in(opened), opened.tank, opened.end, reasons)
    cautions = (*opened.cautions, *far(days), *said_beside(verdict))
    return Answer(view=view, problems=opened.problems, cautions=cautions)


def _checked(days: int, wishes: Wishes | None) -> None:
    checked_days(days)
    if days < LEAST_PLAN_D:
        raise AskError(f"A change shows after {LEAST_PLAN_D} days at the earliest; {days} were asked for.")
    for name, value in vars(wishes or Wishes()).items():
        if value is not None and value <= 0.0:
            raise AskError(f"{name} must be above nought; {value:g} was given.")


def now(where: Where, say: Say | None = None) -> Answer[Today] | NotYet:
    """Return what needs doing today, why, and what can wait."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, planned(opened, None).plan or ())
    fit = fitted(opened, events, say=say)
    coming = forecast_of(fit, futures(fit, opened.events, events, opened.begin, LOOK_AHEAD_D))
    view = today_of(fit, coming, opened.events, opened.begin)
    return Answer(view=view, problems=opened.problems, cautions=(*opened.cautions, *stops(opened)))
