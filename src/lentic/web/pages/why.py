"""Why: where the waste comes from and goes, every reading over time, and what lies behind a trouble."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.advice.causes import SUBJECTS, Causes
from lentic.advice.over_time import SPANS, within
from lentic.advice.why import span_words
from lentic.advice.words import chance
from lentic.keeper.desk import Asked
from lentic.keeper.opening import AskError
from lentic.web.draw.marks import line_sample
from lentic.web.draw.pictures import flow_of, picture_of
from lentic.web.render import add_globals, around, desk_of, done, page

router = APIRouter()
add_globals({"line_sample": line_sample})

WEEKS: dict[str, tuple[str, int | None]] = {
    "4": ("4 weeks", 4), "8": ("8 weeks", 8), "26": ("26 weeks", 26), "all": ("the whole log", None),
}  # fmt: skip
ELEMENTS = {"N": "Nitrogen", "P": "Phosphorus"}
LIKELY = 0.08
"""Causes with a smaller chance are set aside. [-]"""
CAUSES = {
    "light": "More light on the plants", "sun": "Sun on the panes", "load": "More food or animals than before",
    "plants": "Fewer plants than before", "overplanted": "More plants than the light carries",
    "carbon": "Carbon dioxide driven out", "dirt": "Dirt left lying", "filter": "A weakened filter film",
    "tap": "Other tap water", "changes": "Less water changed", "dead": "Something dead", "warmth": "Warmer water",
    "chloramine": "Ammonia out of chloramine", "disturbance": "A disturbed ground or filter",
}  # fmt: skip
TROUBLES = {
    "algae": "algae", "nitrate": "nitrate", "ammonia": "ammonia", "kh": "a falling KH", "cloudy": "cloudy water",
}  # fmt: skip


def waiting(request: Request, title: str, asked: Asked[Any], waits: str, place: str = "Why", **more: Any) -> Response:
    """Show what stands in the place of an answer: why there is none yet, or how far the work on it is."""
    values = {"under": title, "troubles": None, "of": ""} | more
    return page(request, "why_waiting.html", title=title, place=place, asked=asked, waits=waits, **values)


@router.get("/why")
def balance(request: Request, weeks: str = "8", element: str = "N") -> Response:
    """Show the balance as a drawing and in numbers."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    if weeks not in WEEKS or element not in ELEMENTS:
        raise AskError("A balance is shown over 4, 8 or 26 weeks or the whole log, of N or of P.")
    asked = desk_of(request).ask(name, "why", weeks=WEEKS[weeks][1])
    view = asked.view
    if view is None:
        return waiting(request, "Balance", asked, "the balance")
    return page(
        request, "balance.html", title="Balance", place="Why", asked=asked, answer=asked.answer,
        view=view, weeks=weeks, choices=WEEKS, element=element, elements=ELEMENTS, drawing=flow_of(view.of(element)),
        span=span_words(view.balance.begin, view.balance.end),
    )  # fmt: skip


@router.get("/why/readings")
def readings(request: Request, span: str = "3 months", back: int = 0) -> Response:
    """Show every quantity over time, and its numbers below each chart."""
    here = around(request)
    if here.name is None:
        return done(request, "/start")
    if span not in SPANS or not 0 <= back <= 200:
        raise AskError(f"Readings are shown over {', '.join(SPANS)}.")
    asked = desk_of(request).ask(here.name, "over_time")
    if asked.view is None:
        return waiting(request, "Readings", asked, "the past day by day")
    view = within(asked.view, span, back)
    return page(
        request, "readings.html", title="Readings", place="Why", asked=asked, answer=asked.answer,
        view=view, span=span, back=back, spans=tuple(SPANS),
        pictures=tuple(picture_of(r, view, here.preferences) for r in view.records),
        words=span_words(view.begin, view.end), earlier=SPANS[span] is not None and view.begin > view.first,
    )  # fmt: skip


@router.get("/why/causes")
def causes(request: Request, of: str = "algae") -> Response:
    """Show what may lie behind a trouble, with what speaks for and against each cause."""
    here = around(request)
    if here.name is None:
        return done(request, "/start")
    if of not in SUBJECTS:
        raise AskError(f"Causes can be looked for of {', '.join(SUBJECTS)}.")
    desk = desk_of(request)
    asked = desk.ask(here.name, "causes", of=of)
    if asked.view is None:
        return waiting(request, "Causes", asked, "what may lie behind it", of=of, troubles=TROUBLES)
    quantity = {"algae": "algae_panes"}.get(of, of)
    past = desk.ask(here.name, "over_time")
    whole = within(past.view, "the whole log") if past.view else None
    record = whole.of(quantity) if whole else None
    picture = picture_of(record, whole, here.preferences) if whole and record else None
    return page(
        request, "causes.html", title="Causes", place="Why", asked=past if asked.fresh else asked, view=asked.view,
        answer=asked.answer, of=of, troubles=TROUBLES, picture=picture, names=CAUSES, headline=headline(asked.view),
        likely=[c for c in asked.view.causes if c.chance >= LIKELY],
        rest=[c for c in asked.view.causes if c.chance < LIKELY],
    )  # fmt: skip


def headline(view: Causes) -> str:
    """Return the likeliest cause in a sentence, or what the log says instead."""
    first = view.causes[0] if view.causes else None
    if first is None or first.chance < LIKELY:
        return view.sentence if first is None else "Nothing in the log stands out as a cause."
    name = CAUSES[first.cause]
    return f"Most likely: {name[0].lower()}{name[1:]}, {chance(first.chance)}."
