"""Every quantity over time: what was read, what it most likely was, and what is to come."""

from __future__ import annotations

from lentic.advice.forecast import forecast_of
from lentic.advice.over_time import OverTime, over_time_of
from lentic.keeper.answers import AHEAD_D, Answer, ahead
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import NotYet, Where, open_tank
from lentic.learn.forecast import futures
from lentic.learn.past import past


def over_time(where: Where, say: Say | None = None) -> Answer[OverTime] | NotYet:
    """Return the readings of a tank with their error, its estimated past, and its forecast as things go on."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    coming = forecast_of(fit, futures(fit, opened.events, events, opened.begin, AHEAD_D))
    if say:
        say("Living the log through once more, day by day.")
    view = over_time_of(fit, opened.events, past(fit), coming)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
