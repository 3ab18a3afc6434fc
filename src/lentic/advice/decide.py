"""Plans side by side on the same possible tanks: as now, the one proposed, and one the keeper shapes with dials."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import UNITS, Series, shown
from lentic.advice.judge import Measured, Tried, judge, measured
from lentic.advice.limits import Limit, limit_of
from lentic.advice.routine import (
    BUCKET_L,
    DIALS,
    LEAST_LIGHT_H,
    LEAST_RATION,
    MOST_LIGHT_H,
    MOST_SHARE,
    STEPS,
    Goals,
    Routine,
    Wishes,
    events_of,
    goals_of,
    in_words,
    routine_of,
)
from lentic.advice.words import Spread, day_words, number, spread_of
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, futures, planned_events
from lentic.logbook.events import Change, Event, Feed

Array = npt.NDArray[np.float64]

SHOWN = ("nitrate", "kh", "algae_panes")
"""Quantities drawn for every plan, on the same axes."""
NOW, FIRST, OWN = "now", "first", "own"
LAST_D = 14
"""KH is looked at over so many last days, as nitrate is. [d]"""
DIAL_WORDS: Mapping[str, tuple[str, str]] = {
    "litres": ("Water at each change", "L"), "interval_d": ("Days from change to change", "days"),
    "ration": ("Food, against now", "% of now"), "plants_g": ("Plants put in once", "g"),
    "light_h": ("Plant lamp", "h a day"),
}  # fmt: skip
SHORT: Mapping[str, str] = {
    "litres": "litres", "interval_d": "days between changes", "ration": "food", "plants_g": "plants",
    "light_h": "plant light",
}  # fmt: skip
UNDO: Mapping[str, str] = {
    "litres": "change as many litres as before", "interval_d": "change on the old days again",
    "ration": "feed the old amount again", "plants_g": "take the plants out again",
    "light_h": "turn the timer back",
}  # fmt: skip
MOST_PLANTS_G, LONGEST_INTERVAL_D = 1000.0, 28.0
"""Ends of two dials; a choice of ours. [g, d]"""


@dataclass(frozen=True, kw_only=True)
class Dial:
    """One thing a keeper can turn: where it stands now and how far it goes."""

    key: str
    label: str
    unit: str
    low: float
    high: float
    step: float
    now: float


@dataclass(frozen=True, kw_only=True)
class Warned:
    """What a rule of the hazards says of a plan, and what to do instead."""

    severity: str
    rule: str
    message: str
    instead: str


@dataclass(frozen=True, kw_only=True)
class Column:
    """One plan: what it asks, what it does, and how it goes day by day."""

    key: str
    title: str
    routine: Routine
    turned: tuple[str, ...]
    litres_a_week: float
    buckets_a_week: float
    tried: Tried
    kh: Spread
    kh_kept: float
    scrape_kept: float
    undo: str
    series: tuple[Series, ...]
    warned: tuple[Warned, ...] = ()

    @property
    def stopped(self) -> bool:
        """Whether a rule forbids this plan."""
        return any(each.severity == "STOP" for each in self.warned)

    def of(self, quantity: str) -> Series:
        """Return how a quantity goes."""
        return next(s for s in self.series if s.quantity == quantity)


@dataclass(frozen=True, kw_only=True)
class Decision:
    """The plans beside each other, and the dials with which the keeper shapes another."""

    tank: str
    begin: datetime
    days: int
    goals: Goals
    members: int
    columns: tuple[Column, ...]
    dials: tuple[Dial, ...]
    kh_limit: Limit | None
    sentence: str
    more: str

    @property
    def end(self) -> datetime:
        """The last day that is looked at."""
        return self.begin + timedelta(days=self.days)

    def column(self, key: str) -> Column | None:
        """Return a plan by its key."""
        return next((c for c in self.columns if c.key == key), None)


class Bench:
    """A fitted tank on which plans are tried; all meet the same draws, and what goes on as now is tried once."""

    def __init__(
        self, fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int,
        wishes: Wishes | None = None,
    ) -> None:  # fmt: skip
        self.fit, self.log, self.plan, self.begin, self.days = fit, log, plan, begin, days
        self.tank = fit.description.tank
        self.goals = goals_of(self.tank, log, wishes or Wishes())
        events = planned_events(fit, log, plan, begin, days)
        self.now = routine_of(fit, events, days)
        self.eaten_g = sum(e.grams for e in events if isinstance(e, Feed)) / max(days, 1)
        found, self.base = self._lived(self.now)
        self.before = judge(self.tank, self.base, self.base, self.now, "Go on as before.", self.goals, None)
        self.as_now = self._column(NOW, "As now", self.now, found, self.base, self.before)

    def _lived(self, turned: Routine) -> tuple[Futures, Measured]:
        events: Sequence[Event] = self.plan
        if turned != self.now:
            events = events_of(self.fit, self.log, self.plan, self.begin, self.days, self.now, turned)
        coming = planned_events(self.fit, self.log, events, self.begin, self.days)
        days = {(e.time - self.begin).days for e in coming if isinstance(e, Change)}
        found = futures(self.fit, self.log, events, self.begin, self.days)
        return found, measured(self.fit, found, turned.litres, sorted(d for d in days if 0 <= d < self.days))

    def measured_of(self, turned: Routine) -> Measured:
        """Return what a routine comes to in every possible tank."""
        return self.base if turned == self.now else self._lived(turned)[1]

    def column(self, key: str, title: str, turned: Routine) -> Column:
        """Return a plan with everything that is said of it."""
        if turned == self.now:
            return replace(self.as_now, key=key, title=title)
        found, ends = self._lived(turned)
        do = in_words(self.fit, self.now, turned, self.eaten_g)
        tried = judge(self.tank, ends, self.base, turned, do, self.goals, self.before)
        return self._column(key, title, turned, found, ends, tried)

    def _column(self, key: str, title: str, turned: Routine, found: Futures, ends: Measured, tried: Tried) -> Column:
        sound = found.sound
        kh = shown("kh", found.values["kh"])[-LAST_D:][:, sound].mean(axis=0)
        limit = limit_of(self.tank, "kh")
        a_week = 7.0 / turned.interval_d * turned.litres
        changed = tuple(d for d in DIALS if getattr(turned, d) != getattr(self.now, d))
        return Column(
            key=key, title=title, routine=turned, turned=changed, tried=tried, litres_a_week=a_week,
            buckets_a_week=a_week / BUCKET_L, kh=spread_of(kh, 3), kh_kept=_share(kh >= limit.value) if limit else 1.0,
            scrape_kept=_share(ends.every[ends.known] >= self.goals.scrape_every_d),
            series=tuple(_drawn(found, quantity) for quantity in SHOWN),
            undo="; ".join(UNDO[d] for d in changed) or "nothing to undo",
        )  # fmt: skip

    def dials(self) -> tuple[Dial, ...]:
        """Return the dials that this tank has."""
        ends = {
            "litres": (0.0, float(np.floor(MOST_SHARE * (self.tank.water_litres or 0.0) / 5.0) * 5.0)),
            "interval_d": (2.0, LONGEST_INTERVAL_D), "ration": (LEAST_RATION, 1.3),
            "plants_g": (0.0, MOST_PLANTS_G if self.tank.plants else 0.0),
            "light_h": (LEAST_LIGHT_H, MOST_LIGHT_H) if self.now.light_h > 0.0 else (0.0, 0.0),
        }  # fmt: skip
        return tuple(
            Dial(
                key=key, label=DIAL_WORDS[key][0], unit=DIAL_WORDS[key][1], low=min(low, getattr(self.now, key)),
                high=max(high, getattr(self.now, key)), step=STEPS[key], now=getattr(self.now, key),
            )
            for key, (low, high) in ends.items()
            if high > low
        )  # fmt: skip


def _drawn(found: Futures, quantity: str) -> Series:
    """Return a quantity day by day at noon, among the versions that stay possible."""
    values = shown(quantity, found.values[quantity])[:, found.sound]
    return Series(
        quantity=quantity, unit=UNITS[quantity][0], times=tuple(datetime.combine(d, time(12)) for d in found.days),
        spreads=tuple(spread_of(row) for row in values),
    )  # fmt: skip


def _share(true: npt.NDArray[np.bool_]) -> float:
    return float(np.mean(true)) if true.size else float("nan")


def decision_of(
    bench: Bench, proposed: Tried | None, own: Routine | None, rules: Callable[[Routine], tuple[Warned, ...]]
) -> Decision:
    """Return the plans side by side: as now, the proposed one if there is one, and the keeper's own if it is shaped.

    ``rules`` says what the rules of the hazards find in a routine.
    """
    columns = [bench.as_now]
    if proposed is not None:
        columns.append(bench.column(FIRST, title_of(bench.now, proposed.routine), proposed.routine))
    if own is not None:
        columns.append(bench.column(OWN, f"Yours: {_small(title_of(bench.now, own))}", own))
    columns = [c if c.key == NOW else replace(c, warned=rules(c.routine)) for c in columns]
    begin = datetime.combine(bench.tank.local_date(bench.begin), time())
    sentence, more = _headline(bench, columns, begin)
    return Decision(
        tank=bench.tank.name, begin=begin, days=bench.days, goals=bench.goals, members=bench.fit.ensemble.members,
        columns=tuple(columns), dials=bench.dials(), kh_limit=limit_of(bench.tank, "kh"), sentence=sentence, more=more,
    )  # fmt: skip


def title_of(now: Routine, turned: Routine) -> str:
    """Return a plan in a few words."""
    said = []
    for dial in DIALS:
        value = getattr(turned, dial)
        if value == getattr(now, dial):
            continue
        said.append({
            "litres": f"{number(value)} L a change", "interval_d": f"a change every {value:.0f} days",
            "ration": f"food {100.0 * value:.0f} % of now", "plants_g": f"{value:.0f} g more plants",
            "light_h": f"plant light {value:g} h",
        }[dial])  # fmt: skip
    text = ", ".join(said) or "as now"
    return text[0].upper() + text[1:]


def _small(text: str) -> str:
    return text[0].lower() + text[1:]


def _headline(bench: Bench, columns: Sequence[Column], begin: datetime) -> tuple[str, str]:
    first = next((c for c in columns if c.key == FIRST), None)
    end = day_words(begin + timedelta(days=bench.days))
    if first is None:
        return "Go on as now: no single change is worth making first.", f"Looked ahead to {end}. {bench.goals.said}"
    return f"One change first: {_small(first.title)}.", f"{first.tried.do} {bench.goals.said}"


def turned_by(now: Routine, dials: Sequence[Dial], given: Mapping[str, float]) -> Routine:
    """Return a routine as given, each dial within its ends and on its steps; what is not given stays as now."""
    values: dict[str, float] = {}
    for dial in dials:
        if dial.key not in given:
            continue
        value = min(max(given[dial.key], dial.low), dial.high)
        if abs(value - dial.now) < 0.5 * dial.step:
            continue
        values[dial.key] = round(round(value / dial.step) * dial.step, 6)
    return replace(now, **values)
