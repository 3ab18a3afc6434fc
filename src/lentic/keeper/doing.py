"""What to do: the plan that is proposed and what needs doing today."""

from __future__ import annotations

from pathlib import Path

from lentic.advice.forecast import forecast_of
from lentic.advice.plan import Proposal, proposal_of
from lentic.advice.today import Today, today_of
from lentic.keeper.answers import Answer, ahead, checked_days, planned
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import NotYet, Where, open_tank
from lentic.learn.forecast import futures

LOOK_AHEAD_D = 28


def plan(where: Where, days: int = 56, file: Path | None = None, say: Say | None = None) -> Answer[Proposal] | NotYet:
    """Return the one change of routine worth making first."""
    checked_days(days)
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    opened = planned(opened, file)
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    if say:
        say("Trying single changes of the routine on the same possible tanks.")
    view = proposal_of(fit, opened.events, events, opened.begin, days)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def now(where: Where, say: Say | None = None) -> Answer[Today] | NotYet:
    """Return what needs doing today, why, and what can wait."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    coming = forecast_of(fit, futures(fit, opened.events, events, opened.begin, LOOK_AHEAD_D))
    view = today_of(fit, coming, opened.events, opened.begin)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
