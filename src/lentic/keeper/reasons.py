"""What lies behind a trouble: the keeper's question after causes."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime

from lentic.advice.causes import SUBJECTS, Causes, causes_of
from lentic.advice.withdrawn import EVIDENCE, effects
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import fitted
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_tank
from lentic.learn.fit import Say
from lentic.model.describe import describe


def causes_in(opened: Opened, of: str, say: Say | None = None, rerun: bool = True) -> Causes:
    """Return the ranked causes of a trouble; the fitted tank is run again without each, if so wished."""
    description = describe(opened.tank, opened.events, opened.tank.local_date(opened.events[0].time))
    nitrogen = {food: meal.n for food, meal in description.meals.items()}

    def again(since: datetime) -> Mapping[str, float]:
        return effects(fitted(opened, say=say), opened.events, of, since, opened.end)

    return causes_of(opened.tank, opened.events, of, nitrogen, again if rerun and of in EVIDENCE else None)


def causes(where: Where, of: str = "algae", say: Say | None = None) -> Answer[Causes] | NotYet:
    """Return the ranked causes of a trouble, each with the cheapest next test."""
    if of not in SUBJECTS:
        raise AskError(f"Causes can be looked for of {', '.join(SUBJECTS)}; not of {of!r}.")
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    view = causes_in(opened, of, say)
    if view.since is None and view.sentence.startswith("Not yet"):
        return NotYet(tank=view.tank, sentence=view.sentence, wanted=(), problems=opened.problems)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
