"""The slow clocks of the tank itself: heat, level and lime, air, filter."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from lentic.advice.air import Air, air_of
from lentic.advice.cycling import Cycling, cycling_of
from lentic.advice.filtering import FilterState, closed_off, filter_of
from lentic.advice.findings import Finding
from lentic.advice.forecast import forecast_of
from lentic.advice.heat import Heat, heat_of
from lentic.advice.heat_wave import HeatDay, heat_day
from lentic.advice.level import Level, level_of
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say, fitted, fitted_before
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record, open_tank
from lentic.learn.forecast import futures

View = TypeVar("View")
AHEAD_D = 28


@dataclass(frozen=True, kw_only=True)
class Warmth:
    """How a tank keeps its heat, and a hot day if one was asked for."""

    heat: Heat
    hot_day: HeatDay | None


@dataclass(frozen=True, kw_only=True)
class FilterView:
    """What is known of a filter, a young one's way, and what to do after an outage."""

    state: FilterState
    cycling: Cycling | None
    outage: Finding | None


def heat(
    where: Where, coldest_c: float | None = None, price: float | None = None,
    hot: tuple[float, float, float] | None = None, say: Say | None = None,
) -> Answer[Warmth] | NotYet:  # fmt: skip
    """Return heat loss, heater, power cut and cost; with (night, day, limit) also a hot day by the hour."""
    if hot is not None and not -10.0 < hot[0] <= hot[1] < 60.0:
        raise AskError("A hot day has a night that is no warmer than the day, both of the room in °C.")

    def work(opened: Opened) -> Warmth | Finding:
        found = heat_of(opened.tank, opened.events, coldest_c, price)
        if isinstance(found, Finding):
            return found
        day = heat_day(opened.tank, found, *hot) if hot is not None else None
        return Warmth(heat=found, hot_day=day)

    return _answered(where, work)


def level(where: Where, mark_cm: float | None = None, say: Say | None = None) -> Answer[Level] | NotYet:
    """Return evaporation, the day of the heater's mark, concentration and lime."""
    return _answered(where, lambda opened: level_of(opened.tank, opened.events, opened.end, mark_cm))


def air(where: Where, say: Say | None = None, fit_now: bool = True) -> Answer[Air] | NotYet:
    """Return oxygen at dawn and after a stopped pump; the tank is fitted where its log allows it."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    ready = open_tank(where)
    coming = None
    if not isinstance(ready, NotYet):
        fit = fitted(ready, (), say=say) if fit_now else fitted_before(ready, ())
        if fit is not None:
            coming = forecast_of(fit, futures(fit, ready.events, (), ready.begin, AHEAD_D))
    view = air_of(opened.tank, opened.events, coming)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def filtering(
    where: Where, off_hours: float | None = None, cycling: bool = False, seeded: float = 0.0, say: Say | None = None
) -> Answer[FilterView] | NotYet:
    """Return what the filter takes and when it is due; on request how a young one grows in, and a restart."""

    def work(opened: Opened) -> FilterView | Finding:
        state = filter_of(opened.tank, opened.events, opened.end)
        if isinstance(state, Finding):
            return state
        way = _cycling(opened, state, seeded) if cycling else None
        canister = opened.tank.filter is not None and opened.tank.filter.type == "canister"
        outage = closed_off(off_hours, canister) if off_hours is not None else None
        return FilterView(state=state, cycling=way, outage=outage)

    return _answered(where, work)


def _cycling(opened: Opened, state: FilterState, seeded: float) -> Cycling | None:
    from lentic.logbook.events import Reading

    litres = opened.tank.water_litres
    if state.load is None or not litres:
        return None
    first = opened.events[0].time
    by_day: dict[int, dict[str, float]] = {}
    for event in opened.events:
        if isinstance(event, Reading) and event.quantity in ("ammonia", "nitrite"):
            by_day.setdefault((event.time - first).days, {})[event.quantity] = event.value
    tests = [(d, v["ammonia"], v["nitrite"]) for d, v in sorted(by_day.items()) if len(v) == 2]
    warm = opened.tank.heater.set_c if opened.tank.heater and opened.tank.heater.set_c else 24.0
    return cycling_of(state.load.value, litres, warm, seeded, tests)


def _answered(where: Where, work: Callable[[Opened], View | Finding]) -> Answer[View] | NotYet:
    """Return an answer, or the one question that stands in its way."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    found = work(opened)
    if isinstance(found, Finding):
        return NotYet(
            tank=opened.tank.name, sentence=f"Not yet: {found.sentence}", wanted=(found.what,), problems=opened.problems
        )
    return Answer(view=found, problems=opened.problems, cautions=opened.cautions)
