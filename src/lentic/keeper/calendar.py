"""The dates of a tank: one list, and as a feed that ordinary calendars subscribe to (RFC 5545)."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

from lentic.advice.dates import DueDate, dates_of
from lentic.advice.forecast import Forecast, forecast_of
from lentic.advice.slow_dates import slow_dates
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import NotYet, Opened, Where, open_record, open_store, open_tank
from lentic.learn.forecast import futures
from lentic.logbook.trials import Trial, trial_from

AHEAD_D = 70
QUIET_UNTIL, QUIET_FROM = time(8, 0), time(20, 0)
"""Reminders come between these hours; a setting of the keeper wins."""


@dataclass(frozen=True, kw_only=True)
class Dates:
    """What is due, soonest first, and at what hour a reminder may come."""

    tank: str
    begin: datetime
    due: tuple[DueDate, ...]
    at: time


def dates(
    where: Where, forecast: Forecast | None = None, say: Say | None = None, may_fit: bool = True
) -> Answer[Dates] | NotYet:
    """Return what is due when and why; the tank is fitted where its log and the asker allow it."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    coming = forecast or (_forecast(where, say) if may_fit else None)
    # from the midnight that has passed: what is overdue is due today, and its reminder comes today
    today = opened.tank.local_date(opened.end)
    begin = opened.tank.utc(today, time())
    slow = slow_dates(opened.tank, opened.events, today)
    due = dates_of(opened.tank, opened.events, begin, coming, _trials(where, opened), slow)
    view = Dates(tank=opened.tank.name, begin=opened.tank.local_time(begin), due=due, at=_hour(where))
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _forecast(where: Where, say: Say | None) -> Forecast | None:
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return None
    fit = fitted(opened, (), say=say)
    return forecast_of(fit, futures(fit, opened.events, (), opened.begin, AHEAD_D))


def _trials(where: Where, opened: Opened) -> Sequence[Trial]:
    if where.folder is not None:
        return ()
    with open_store(where.home) as store:
        kept = store.trials(opened.tank.name)
    return tuple(trial_from(each.begun, each.body) for each in kept if each.closed is None)


def _hour(where: Where) -> time:
    """Return the hour of reminders: the keeper's own, kept out of the quiet hours of the night."""
    if where.folder is not None:
        return QUIET_UNTIL
    with open_store(where.home) as store:
        told = store.settings().get("reminders_at", "")
    try:
        wanted = time.fromisoformat(told) if told else QUIET_UNTIL
    except ValueError:
        return QUIET_UNTIL
    return min(max(wanted, QUIET_UNTIL), QUIET_FROM)


def feed(view: Dates, stamp: datetime) -> bytes:
    """Return the dates as a calendar; each keeps its identity while it moves, so that a subscriber moves it too."""
    from icalendar import Alarm, Calendar, Event

    calendar = Calendar()
    calendar.add("prodid", "-//lentic//dates of one tank//EN")
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", view.tank)
    calendar.add("refresh-interval", timedelta(hours=12), parameters={"value": "DURATION"})
    for due in view.due:
        event = Event()
        event.add("uid", f"{_identity(view.tank, due.id)}@lentic")
        event.add("dtstamp", stamp)
        event.add("dtstart", due.day)
        event.add("dtend", due.day + timedelta(days=1))
        event.add("summary", f"{view.tank}: {due.what}")
        event.add("description", " ".join(part for part in (due.why, _between(due)) if part))
        event.add("transp", "TRANSPARENT")
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", due.what)
        alarm.add("trigger", timedelta(hours=view.at.hour, minutes=view.at.minute))
        event.add_component(alarm)
        calendar.add_component(event)
    return bytes(calendar.to_ical())


def _between(due: DueDate) -> str:
    return f"8 in 10: {due.range_words}." if due.range_words else ""


def _identity(tank: str, what: str) -> str:
    return hashlib.sha256(f"{tank}\0{what}".encode()).hexdigest()[:32]
