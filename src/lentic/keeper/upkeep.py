"""The weekly work: what is due, and a session as it happens, kept step by step in the store."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from lentic.advice.forecast import Forecast, forecast_of
from lentic.advice.hazards.facts import reasons_in
from lentic.advice.hazards.proposed import said_beside
from lentic.advice.hazards.session import session_verdict
from lentic.advice.upkeep.graph import Step, total_minutes
from lentic.advice.upkeep.plan import UpkeepPlan, upkeep_of
from lentic.advice.upkeep.run import (
    Mark,
    Refusal,
    Reminder,
    Run,
    mark_done,
    next_step,
    off_since,
    reminders,
    skip,
    skipped,
    stop_here,
    take_back,
    waits_until,
)
from lentic.advice.upkeep.situation import situation_of
from lentic.advice.upkeep.written import (
    asked_for,
    body_of_mark,
    body_of_run,
    events_of,
    run_from,
    taken_back,
    wrong_value,
)
from lentic.keeper.answers import Answer
from lentic.keeper.check import situation_in
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import AskError, NotYet, Opened, Where, moment_of, open_record, open_store, open_tank
from lentic.learn.forecast import futures
from lentic.logbook.events import Event
from lentic.logbook.household import Household, Session
from lentic.logbook.tank import Tank

HASTE = timedelta(seconds=5)
"""Presses so close together count in the order in which they came, whatever the seconds say."""
AHEAD_D = 28
"""How far the forecast looks for the next scraping. [d]"""


@dataclass(frozen=True, kw_only=True)
class StepState:
    """A step of a running session, and what was said of it: open, done or skipped."""

    step: Step
    state: str
    at: datetime | None
    said: str
    takes: str
    """Which number it takes when it is done; empty if none."""


@dataclass(frozen=True, kw_only=True)
class Now:
    """A session as it stands: what is next, what waits, and what must not be forgotten; times are the tank's own."""

    key: str
    tank: str
    begun: datetime
    minutes: float
    """How long the whole was reckoned to take. [min]"""
    marks: int
    """How many marks there are; given back with the next one, a second press of one button adds nothing."""
    steps: tuple[StepState, ...]
    next: StepState | None
    waits_until: datetime | None
    off_since: datetime | None
    reminders: tuple[Reminder, ...]
    left_out: tuple[tuple[str, str], ...]
    """Steps that were skipped, to be asked about at the end, with why."""
    can_end: bool
    closed_canister: bool = False
    refused: str = ""
    """Why what was asked just now cannot be done; nothing was written then."""


def plan(
    where: Where, litres: float | None = None, forecast: Forecast | None = None, say: Say | None = None,
    may_fit: bool = True,
) -> Answer[UpkeepPlan] | NotYet:  # fmt: skip
    """Return this week's session; without a forecast at hand the tank is fitted where log and asker allow it."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    if litres is not None and litres <= 0.0:
        raise AskError("Litres to change must be more than nothing.")
    coming = forecast or (_forecast(where, say) if may_fit else None)
    view = upkeep_of(situation_of(opened.tank, opened.events, opened.begin, coming, litres))
    reasons = reasons_in(opened.events)
    verdict = session_verdict(situation_in(opened), view.steps, opened.tank, opened.end, reasons)
    return Answer(view=view, problems=opened.problems, cautions=(*opened.cautions, *said_beside(verdict)))


def _forecast(where: Where, say: Say | None) -> Forecast | None:
    """Return the next weeks where the log allows it; a session is planned without them too."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return None
    fit = fitted(opened, (), say=say)
    return forecast_of(fit, futures(fit, opened.events, (), opened.begin, AHEAD_D))


def begin(
    where: Where, litres: float | None = None, forecast: Forecast | None = None, say: Say | None = None,
    may_fit: bool = True,
) -> Now:  # fmt: skip
    """Begin a session, or return the one that is open already: two at once would lose track of the plugs."""
    tank, moment = _tank_of(where)
    name = tank.name
    with open_store(where.home) as store:
        open_now = store.sessions(name, only_open=True)
    if open_now:
        return _shown(_run(name, open_now[-1]), tank, moment)
    planned = plan(where, litres, forecast, say, may_fit)
    if isinstance(planned, NotYet):
        raise AskError(planned.sentence)
    key = f"{name} {moment:%Y-%m-%dT%H:%M:%S}"
    view = planned.view
    run = Run(id=key, tank=name, started=moment, steps=view.steps, closed_canister=view.closed_canister)
    with open_store(where.home) as store:
        store.begin_session(name, key, body_of_run(run), moment)
    return _shown(run, tank, moment)


def current(where: Where) -> Now | None:
    """Return the session that is open, if there is one."""
    tank, moment = _tank_of(where)
    with open_store(where.home) as store:
        return open_now(store, tank, moment)


def open_now(store: Household, tank: Tank, moment: datetime) -> Now | None:
    """Return the session that is open, for who has the store and the tank at hand."""
    found = store.sessions(tank.name, only_open=True)
    return _shown(_run(tank.name, found[-1]), tank, moment) if found else None


def done(
    where: Where, name: str, value: float | None = None, number: int | None = None, ago_s: float = 0.0
) -> Now:  # fmt: skip
    """Write down that a step is done; `number` is how many marks the asker saw, so that a second press adds nothing.

    `ago_s` is how long ago it was pressed, where the line was broken meanwhile: the log keeps that time.
    """
    return _mark(where, name, "done", value=value, number=number, ago_s=ago_s)


def leave_out(where: Where, name: str, why: str = "", number: int | None = None, ago_s: float = 0.0) -> Now:
    """Write down that a step is left out."""
    return _mark(where, name, "skipped", said=why, number=number, ago_s=ago_s)


def undo(where: Where, name: str, number: int | None = None, ago_s: float = 0.0) -> Now:
    """Take a step back, with the lines of the log it gave."""
    return _mark(where, name, "taken_back", number=number, ago_s=ago_s)


def stop(where: Where) -> Now:
    """Cut the session short: what makes the tank safe again stays to be done."""
    tank, moment = _tank_of(where)
    with open_store(where.home) as store:
        run = _open_run(store, tank)
        cut = stop_here(run, moment)
        for place in range(len(run.marks), len(cut.marks)):
            store.add_mark(tank.name, run.id, place, body_of_mark(cut.marks[place]), (), moment)
    return _shown(cut, tank, moment)


def end(where: Where) -> Now:
    """Close the session; with a step still open it stays open and says which."""
    tank, moment = _tank_of(where)
    with open_store(where.home) as store:
        run = _open_run(store, tank)
        if run.left:
            titles = ", ".join(step.title for step in run.left[:3])
            return replace(_shown(run, tank, moment), refused=f"Not yet: {titles}. Do or leave out each, or stop here.")
        store.end_session(run.id, moment)
    return _shown(run, tank, moment)


def _mark(
    where: Where, name: str, what: str, value: float | None = None, said: str = "", number: int | None = None,
    ago_s: float = 0.0,
) -> Now:  # fmt: skip
    tank, moment = _tank_of(where)
    with open_store(where.home) as store:
        run = _open_run(store, tank)
        if number is not None and number != len(run.marks):
            return _shown(run, tank, moment)
        at = _pressed(run, name, moment, ago_s)
        made = _made(run, name, what, at, value, said)
        if isinstance(made, Refusal):
            until = "" if made.until is None else f" From {tank.local_time(made.until):%H:%M}."
            return replace(_shown(run, tank, moment), refused=made.sentence + until)
        events = _events(run, made, name, what, tank, at)
        kept = all(
            store.add_mark(tank.name, run.id, place, body_of_mark(made.marks[place]), events if first else (), moment)
            for first, place in ((place == len(run.marks), place) for place in range(len(run.marks), len(made.marks)))
        )
    if not kept:
        return _shown(_reload(where, tank), tank, moment)
    return _shown(made, tank, moment)


def _pressed(run: Run, name: str, moment: datetime, ago_s: float) -> datetime:
    """Return when a button was pressed: so long ago, but not before what was pressed earlier.

    Two marks of one step never share a second: taking the first back would take the second with it.
    """
    earliest = max([run.started, *(mark.at for mark in run.marks)])
    at = moment - timedelta(seconds=round(ago_s))
    if ago_s > 0.0 or timedelta(0) < earliest - at <= HASTE:
        at = max(at, earliest)
    return max([at, *(mark.at + timedelta(seconds=1) for mark in run.marks if mark.step == name)])


def _made(run: Run, name: str, what: str, at: datetime, value: float | None, said: str) -> Run | Refusal:
    if what == "taken_back":
        return take_back(run, name, at)
    if what == "skipped":
        return skip(run, name, at, said)
    step = run.step(name)
    wrong = wrong_value(step, value) if step is not None else None
    return Refusal(sentence=wrong) if wrong else mark_done(run, name, at, value, said)


def _events(run: Run, made: Run, name: str, what: str, tank: Tank, at: datetime) -> tuple[Event, ...]:
    step = run.step(name)
    if step is None or what == "skipped":
        return ()
    if what == "done":
        return events_of(step, made.marks[len(run.marks)].at, made.marks[len(run.marks)].value, tank)
    before = run.standing[name]
    return taken_back(events_of(step, before.at, before.value, tank), at) if before.what == "done" else ()


def _tank_of(where: Where) -> tuple[Tank, datetime]:
    """Return the tank in the store that is meant, and the moment that counts as now."""
    if where.folder is not None:
        raise AskError(
            "A session is kept in the store: bring the folder in with `lentic import DIR`, then use its name."
        )
    opened = open_record(where)
    if isinstance(opened, NotYet):
        raise AskError(opened.sentence)
    return opened.tank, _second(where, opened)


def _second(where: Where, opened: Opened) -> datetime:
    moment = where.clock if where.now_text is None else moment_of(where.now_text, opened.tank)
    return moment - timedelta(microseconds=moment.microsecond)


def _open_run(store: Household, tank: Tank) -> Run:
    found = store.sessions(tank.name, only_open=True)
    if not found:
        raise AskError("No session is open. Begin one first.")
    return _run(tank.name, found[-1])


def _reload(where: Where, tank: Tank) -> Run:
    with open_store(where.home) as store:
        return _open_run(store, tank)


def _run(name: str, session: Session) -> Run:
    return run_from(session.key, name, session.begun, session.body, session.marks)


def _shown(run: Run, tank: Tank, moment: datetime) -> Now:
    step = next_step(run)
    until = waits_until(run, step) if step is not None else None
    since = off_since(run)
    states = tuple(_state(each, run.standing.get(each.id), tank) for each in run.steps)
    return Now(
        key=run.id, tank=run.tank, begun=tank.local_time(run.started), minutes=total_minutes(run.steps),
        marks=len(run.marks),
        steps=states,
        next=next((state for state in states if step is not None and state.step.id == step.id), None),
        waits_until=tank.local_time(until) if until is not None and until > moment else None,
        off_since=tank.local_time(since) if since is not None else None,
        reminders=_local(reminders(run, moment), tank),
        left_out=tuple((step.title, why) for step, why in skipped(run)), can_end=run.done,
        closed_canister=run.closed_canister,
    )  # fmt: skip


def _local(found: Sequence[Reminder], tank: Tank) -> tuple[Reminder, ...]:
    return tuple(replace(r, by=None if r.by is None else tank.local_time(r.by)) for r in found)


def _state(step: Step, mark: Mark | None, tank: Tank) -> StepState:
    return StepState(
        step=step, state="open" if mark is None else mark.what, at=None if mark is None else tank.local_time(mark.at),
        said="" if mark is None else mark.said, takes=asked_for(step, tank),
    )  # fmt: skip
