"""The home of the animals of one tank, as it stands or as it is offered."""

from __future__ import annotations

from datetime import date

from lentic.advice.home import HomeView, Offer, home_of
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say
from lentic.keeper.opening import NotYet, Where, open_record


def home(
    where: Where,
    offer: Offer | None = None,
    move: date | None = None,
    reseal: date | None = None,
    say: Say | None = None,
) -> Answer[HomeView] | NotYet:
    """Return room, panes, floor, furnishing and house; with days, also the plan of a move or of resealing."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    view = home_of(opened.tank, opened.events, opened.end, offer, move=move, reseal=reseal)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
