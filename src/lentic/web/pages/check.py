"""The page before something is bought, dosed, fed, planted or done: what is dangerous."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.advice.hazards.gate import Verdict
from lentic.keeper import check as checking
from lentic.keeper.opening import NotYet
from lentic.web.render import around, desk_of, done, page

router = APIRouter()
GATE = {"STOP": "stop", "ACT": "act", "WARN": "warn", "NOTE": "note"}


@router.get("/decide/check")
def check(request: Request, thing: str = "") -> Response:
    """Show what is dangerous here, or in a thing about to be bought, dosed, fed, planted or done."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    things = [word.strip() for word in thing.split(",") if word.strip()]
    facts = [f"{key[5:]}={value}" for key, value in request.query_params.items() if key.startswith("fact.") and value]
    found = checking.check(desk_of(request).where(name), things, facts)
    given = [(key, value) for key, value in request.query_params.items() if key.startswith("fact.") and value]
    view = None if isinstance(found, NotYet) else found.view
    sentence = found.sentence if isinstance(found, NotYet) else _verdict_words(found.view)
    return page(
        request, "check.html", title="Before you buy or dose", place="Decide", view=view, thing=thing, gate=GATE,
        sentence=sentence, problems=found.problems, given=given,
    )  # fmt: skip


def _verdict_words(view: Verdict) -> str:
    about = ", ".join(view.words) or "this tank as it stands"
    if view.stops:
        return f"Stop: {view.stops[0].message}"
    if view.found:
        return f"{len(view.found)} things to know about {about}."
    return f"Nothing was found against {about}." if view.tried else f"No rule speaks of {about}."
