"""Where the waste comes from and where it goes, as a page tells it."""

from __future__ import annotations

from lentic.advice.why import Why, why_of
from lentic.keeper.answers import Answer, balance
from lentic.keeper.fitted import Say
from lentic.keeper.opening import NotYet, Where, open_tank
from lentic.model.describe import describe


def why(where: Where, weeks: int | None = 8, say: Say | None = None) -> Answer[Why] | NotYet:
    """Return the balance in two stages and rows, each flow with how it is known, and what would narrow it."""
    opened = open_tank(where)
    answer = balance(where, weeks, say)
    if isinstance(opened, NotYet):
        return opened
    if isinstance(answer, NotYet):
        return answer
    described = describe(opened.tank, opened.events, opened.tank.local_date(opened.events[0].time))
    view = why_of(answer.view, opened.tank, opened.events, weeks, described.assumptions)
    return Answer(view=view, problems=answer.problems, cautions=answer.cautions)
