"""Going away: what the tank does meanwhile, what the sitter gets, and whether to go."""

from __future__ import annotations

from datetime import date, timedelta

from lentic.advice.away import LONGEST_D, VISIT_EVERY_D, Away, away_of
from lentic.keeper.answers import Answer
from lentic.keeper.check import stops
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import AskError, NotYet, Where, open_tank

LONGEST_LEAD_D = 42
"""How far ahead an absence can be planned. [d]"""


def away(
    where: Where, days: int, first: date | None = None, every: int = VISIT_EVERY_D, say: Say | None = None
) -> Answer[Away] | NotYet:
    """Return an absence of so many days from a first day on, with a visit every so many days."""
    if not 2 <= days <= LONGEST_D:
        raise AskError(f"An absence is planned for 2 to {LONGEST_D} days; {days} were asked for.")
    if not 1 <= every <= 14:
        raise AskError("A sitter comes every 1 to 14 days.")
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    today = opened.tank.local_date(opened.begin)
    start = first or today + timedelta(days=1)
    if not today <= start <= today + timedelta(days=LONGEST_LEAD_D):
        raise AskError(f"The first day lies between {today} and {today + timedelta(days=LONGEST_LEAD_D)}.")
    fit = fitted(opened, (), say=say)
    if say:
        say("Running the absence under three sitters.")
    view = away_of(fit, opened.events, opened.begin, start, days, every)
    return Answer(view=view, problems=opened.problems, cautions=(*opened.cautions, *stops(opened)))
