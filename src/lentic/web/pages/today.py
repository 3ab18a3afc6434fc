"""Today: what needs doing, why, how the tank stands, and what can wait."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from fastapi import APIRouter, Request
from fastapi.responses import Response
from markupsafe import Markup

from lentic.advice.entries import usual
from lentic.advice.glance import SlowClock, State, headline, in_order, not_known, states
from lentic.keeper import book
from lentic.keeper.desk import Desk
from lentic.keeper.opening import NotYet
from lentic.logbook.tank import Tank
from lentic.web.draw.chart import Dot
from lentic.web.draw.scale import Scale, scale_drawing
from lentic.web.pages.log import receipt
from lentic.web.render import around, desk_of, done, full_day, page

router = APIRouter()

SLOW_CLOCKS: list[Callable[[Desk, str], tuple[SlowClock, ...]]] = []
"""What fills the block "Slow clocks": each takes the desk and the tank's name and must not wait; pages add to it."""


WORKED_OUT = "What needs doing today is being worked out."


@dataclass(frozen=True, kw_only=True)
class Row:
    """One quantity as the page shows it."""

    state: State
    value: str
    range: str
    drawing: Markup
    link: str


@router.get("/")
def show(request: Request) -> Response:
    """Show the opening page."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    desk = desk_of(request)
    asked = desk.ask(name, "now")
    if isinstance(asked.answer, NotYet):
        return page(request, "waiting.html", title="Today", place="Today", asked=asked, waits="what needs doing today")
    held = desk.held(name)
    local = held.tank.local_time(desk.now())
    standing = desk.ask(name, "over_time")
    view, over = asked.view, standing.view
    sentence, more = headline(view) if view is not None else (WORKED_OUT, "")
    events = book.standing_events(held)
    return page(
        request, "today.html", title="Today", place="Today", asked=asked if asked.work is not None else standing,
        view=view, sentence=sentence, more=more, kicker=_kicker(held.tank, local, events[-1].time),
        rows=[_row(each) for each in states(over, local.replace(tzinfo=None))] if over else None,
        slow=desk.once(name, "slow clocks", lambda: [clock for fill in SLOW_CLOCKS for clock in fill(desk, name)]),
        wait=in_order(view.can_wait) if view is not None else None,
        unknown=not_known(over, view) if over is not None and view is not None else (),
        usual=[u for u in usual(held.tank, events) if u.line][:5], receipt=receipt,
        last=book.last_written(desk, name), cautions=getattr(asked.answer, "cautions", ()),
    )  # fmt: skip


def _kicker(tank: Tank, now: datetime, last: datetime) -> str:
    """Return what day it is, and up to when the log speaks."""
    until = tank.local_time(last)
    day = "" if until.date() == now.date() else f" on {full_day(until)}"
    return f"{full_day(now)}, {now:%H:%M}. Your log goes up to {until:%H:%M}{day}."


def _row(state: State) -> Row:
    spread = state.estimate
    low, middle, high = spread.p10 or 0.0, spread.p50 or 0.0, spread.p90 or 0.0
    said = state.said
    unit = f" {state.unit}" if state.unit else ""
    limit = state.limit
    wanted = (None, None) if limit is None else (None, limit.value) if limit.above else (limit.value, None)
    read = state.read
    scale = Scale(
        label=f"{state.name}: {said(middle)}{unit}, 8 in 10 between {said(low)} and {said(high)}", low=state.span[0],
        high=state.span[1], wanted=wanted, estimate=spread,
        reading=None if read is None else Dot(time=read.time, value=read.value, low=read.low, high=read.high),
    )  # fmt: skip
    return Row(
        state=state, value=f"{said(middle)}{unit}", range=f"({said(low)}–{said(high)})", drawing=scale_drawing(scale),
        link=f"/number/day.{state.quantity}.{state.on:%Y-%m-%d}",
    )  # fmt: skip
