"""The questions a keeper asks of a fitted tank: balance, forecast and comparison of plans."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Generic, TypeVar

from lentic.advice.balance import Balance, balance_of
from lentic.advice.compare import Comparison, comparison_of
from lentic.advice.forecast import Forecast, forecast_of
from lentic.advice.words import day_words
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_tank, read_plan
from lentic.learn.forecast import futures
from lentic.logbook.events import Event
from lentic.logbook.problems import Problem

View = TypeVar("View")

OWN_PLAN = "The plan.csv of the folder was followed; what it does not hold goes on as in the last eight weeks."
AHEAD_D = 56
"""Eight weeks: so far questions about what is to come look where nothing else is asked. [d]"""
MOST_DAYS = 182
"""Slow drifts are carried so far ahead and no further. [d]"""
WELL_KNOWN_D = 70
"""Beyond this what drifts slowly is known as well as in any tank of its kind, not as in this one. [d]"""
FAR = (
    "Beyond ten weeks appetite, vigour of plants and algae, tap and season may have moved on: the ranges are wider"
    " there, and the later weeks tell a direction more than a number."
)
PLAN_TO_COME_D = 14
"""A plan of the folder that begins later than this is not yet followed. [d]"""


@dataclass(frozen=True, kw_only=True)
class Answer(Generic[View]):
    """What was asked, with the problems of the log and what limits the answer."""

    view: View
    problems: tuple[Problem, ...]
    cautions: tuple[str, ...] = ()


def balance(where: Where, weeks: int | None = 8, say: Say | None = None) -> Answer[Balance] | NotYet:
    """Return where nitrogen and phosphorus come from and go; None weeks means the whole log."""
    if weeks is not None and weeks < 1:
        raise AskError("A balance covers at least one week: use --weeks 1 or more, or --weeks all.")
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    whole = (opened.end - opened.events[0].time).total_seconds() / 86400.0 + 1.0
    books_d = whole if weeks is None else 7.0 * weeks
    fit = fitted(opened, (), books_d, say)
    return Answer(view=balance_of(fit, books_d), problems=opened.problems, cautions=opened.cautions)


def checked_days(days: int) -> int:
    """Return a horizon that a forecast can reach."""
    if not 1 <= days <= MOST_DAYS:
        raise AskError(f"A forecast reaches 1 to {MOST_DAYS} days ahead; {days} was asked for.")
    return days


def ahead(opened: Opened, plan: Sequence[Event]) -> tuple[Event, ...]:
    """Return what of a plan lies ahead."""
    return tuple(event for event in plan if event.time >= opened.begin)


def planned(opened: Opened, plan: Path | None) -> Opened:
    """Return the tank under the plan of a file, or under the plan in its folder, or with no plan."""
    if plan is None:
        return _own_plan(opened)
    events, problems = read_plan(plan, opened.tank)
    return opened.with_plan(events, problems)


def _own_plan(opened: Opened) -> Opened:
    """Return the tank under the plan in its folder, unless that lies further ahead than anybody plans."""
    if opened.plan is None:
        return opened
    begins = min((event.time for event in opened.plan), default=opened.begin)
    if begins - opened.begin <= timedelta(days=PLAN_TO_COME_D):
        return replace(opened, cautions=(*opened.cautions, OWN_PLAN))
    said = f"The plan.csv of the folder begins on {day_words(begins)} only; until then, and here, the routine goes on."
    return replace(opened, plan=None, cautions=(*opened.cautions, said))


def far(days: int) -> tuple[str, ...]:
    """Return what is to be said of a horizon beyond which slow drifts are less known."""
    return (FAR,) if days > WELL_KNOWN_D else ()


def forecast(
    where: Where, days: int = 56, plan: Path | None = None, say: Say | None = None
) -> Answer[Forecast] | NotYet:
    """Return the readings to come under a plan; without one the routine goes on."""
    checked_days(days)
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    opened = planned(opened, plan)
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    cautions = (*opened.cautions, *far(days))
    if opened.plan and not events:
        cautions = (*cautions, "Every line of the plan lies before the first day of the forecast; none was used.")
    view = forecast_of(fit, futures(fit, opened.events, events, opened.begin, days))
    return Answer(view=view, problems=opened.problems, cautions=cautions)


def compare(where: Where, plans: Sequence[Path], days: int = 56, say: Say | None = None) -> Answer[Comparison] | NotYet:
    """Return the difference two plans make; a single plan is compared with going on as before."""
    checked_days(days)
    if not 1 <= len(plans) <= 2:
        raise AskError("Give one plan to compare with the routine of the log, or two to compare with each other.")
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    read = [read_plan(path, opened.tank) for path in plans]
    problems = (*opened.problems, *(problem for _, found in read for problem in found))
    paths = [ahead(opened, events) for events, _ in read]
    names = [path.name for path in plans]
    if len(paths) == 1:
        paths, names = [(), *paths], ["going on as before", *names]
    fit = fitted(opened, [*paths[0], *paths[1]], say=say)
    first, second = (futures(fit, opened.events, events, opened.begin, days) for events in paths)
    view = comparison_of(fit, first, second, (names[0], names[1]))
    return Answer(view=view, problems=problems, cautions=(*opened.cautions, *far(days)))
