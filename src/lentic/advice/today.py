"""What needs doing today, why, and what can wait."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

import numpy as np

from lentic.advice.forecast import Forecast
from lentic.advice.habits import READ_EVERY_D, rhythm, usual_litres
from lentic.advice.words import buckets, day_words
from lentic.learn.fit import Fit
from lentic.logbook.events import Change, Event, Reading
from lentic.logbook.tank import Tank

ODD_SD = 3.5


@dataclass(frozen=True, kw_only=True)
class Item:
    """One thing to do, why, how urgent it is, and what is known of when; None where no day can be named."""

    do: str
    why: str
    severity: str = "due"
    when: datetime | None = None
    early: datetime | None = None
    late: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class Today:
    """What is to be done today and what can wait."""

    tank: str
    day: datetime
    today: tuple[Item, ...]
    can_wait: tuple[Item, ...]


def today_of(fit: Fit, forecast: Forecast, events: Sequence[Event], begin: datetime) -> Today:
    """Return what the forecast, the rhythm of the log and missing facts ask for."""
    tank = fit.description.tank
    now: list[Item] = []
    later: list[Item] = []
    _scraping(forecast, now, later)
    _change(tank, events, begin, now, later)
    now += odd_readings(fit, begin)
    _overdue(tank, events, begin, now, later)
    for due in forecast.limits:
        when = f"likely by {day_words(due.p50)}" if due.p50 else "possible in this time"
        why = f"The forecast has it as {when}."
        do, ends = f"Keep an eye on: {due.what}.", {"early": due.p10, "when": due.p50, "late": due.p90}
        later.append(Item(do=do, why=why, severity="note", **ends))
    return Today(tank=tank.name, day=forecast.begin, today=tuple(now), can_wait=tuple(later))


def _scraping(forecast: Forecast, now: list[Item], later: list[Item]) -> None:
    due = forecast.due[0]
    if due.p50 is not None and due.p50 <= forecast.begin + timedelta(days=1):
        now.append(Item(do="Scrape the panes.", why="By the forecast they have reached where you usually scrape."))
    elif due.p50 is not None:
        why = f"Likely due about {day_words(due.p50)}."
        later.append(Item(do="Scrape the panes.", why=why, when=due.p50, early=due.p10, late=due.p90))


def _change(tank: Tank, events: Sequence[Event], begin: datetime, now: list[Item], later: list[Item]) -> None:
    changes = [e for e in events if isinstance(e, Change)]
    usual = rhythm([e.time for e in changes])
    if usual is None:
        return
    since = (begin - changes[-1].time) / timedelta(days=1)
    litres = usual_litres(tank, changes)
    what = f"Change {buckets(litres)}." if litres else "Change water as usual."
    days = (tank.local_date(begin) - tank.local_date(changes[-1].time)).days
    ago = {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
    why = f"The last change was {ago}; you change about every {usual:.0f} days."
    due = datetime.combine(tank.local_date(changes[-1].time), time()) + timedelta(days=round(usual))
    (now if since >= usual - 0.5 else later).append(Item(do=what, why=why, when=due))


def odd_readings(fit: Fit, begin: datetime) -> list[Item]:
    """Return a request to repeat each last reading that none of the possible tanks comes near."""
    last = fit.story.last
    asked: dict[str, Item] = {}
    for number, item in enumerate(fit.evidence):
        if item.day < last - 10.0 or item.what in ("grade", "limit", "thin"):
            continue
        values = fit.predicted[number][np.isfinite(fit.predicted[number])]
        if values.size == 0:
            continue
        middle = float(np.median(values))
        away = abs(float(np.clip(middle, item.low, item.high)) - middle)
        if away > ODD_SD * float(np.hypot(values.std(), item.sd)):
            name = {"kh": "KH", "ph": "pH"}.get(item.what, item.what)
            why = "The last one lies outside what this tank should show. One odd reading is no alarm."
            asked[item.what] = Item(do=f"Repeat the {name} reading.", why=why, severity="warn")
        else:
            asked.pop(item.what, None)
    return list(asked.values())


def _overdue(tank: Tank, events: Sequence[Event], begin: datetime, now: list[Item], later: list[Item]) -> None:
    for quantity, days in READ_EVERY_D.items():
        times = [e.time for e in events if isinstance(e, Reading) and e.quantity == quantity]
        name = "KH" if quantity == "kh" else quantity
        if not times:
            later.append(Item(do=f"Read {name} once.", why="There is no such reading in the log."))
        elif begin - times[-1] > timedelta(days=days):
            since = (begin - times[-1]).days
            (now if quantity == "nitrate" else later).append(
                Item(do=f"Read {name}.", why=f"The last reading is {since} days old.")
            )
    tap = tank.source_water
    given = {e.quantity for e in events if isinstance(e, Reading)}
    missing = [
        name
        for name, value, reading in (
            ("nitrate", tap.no3_mg_l, "tap_nitrate"), ("phosphate", tap.po4_mg_l, "tap_phosphate"),
            ("KH", tap.kh_dkh, "tap_kh"),
        )
        if value is None and reading not in given
    ]  # fmt: skip
    if missing:
        later.append(Item(do=f"Read {', '.join(missing)} of the tap.", why="Not given, so it had to be assumed."))
