"""A keeper's routine as five dials, how far each may be turned, and the events that a turned routine means."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from itertools import pairwise

import numpy as np

from lentic.advice.habits import litres_of
from lentic.advice.limits import nitrate_aim
from lentic.advice.words import buckets, number
from lentic.learn.fit import Fit
from lentic.learn.forecast import planned_events
from lentic.logbook.events import Change, Event, Feed, Lamp, Planted, Reading, Scrape
from lentic.logbook.tank import Tank
from lentic.logbook.units import NITRATE
from lentic.model.observers import wet_plants

CHANGE_MINUTES, BUCKET_MINUTES, SCRAPE_MINUTES = 12.0, 2.5, 10.0
"""What a session, a bucket and a scraping take; common practice, no source. [min]"""
BUCKET_L = 10.0
LITRES_STEP, RATION_STEP, PLANTS_STEP, LIGHT_STEP = 5.0, 0.05, 50.0, 0.5
"""The finest step worth telling a keeper: litres [L], ration [-], plants [g], lamp [h]; common practice, no source."""
LEAST_RATION = 0.8
"""A cut of more than a fifth at once is a question of the animal, not of the water; common practice, no source. [-]"""
INTERVALS_D = (2.0, 3.0, 4.0, 5.0, 7.0, 10.0, 14.0, 21.0, 28.0)
"""Days between changes that a household can keep to; common practice, no source. [d]"""
FIRST_INTERVAL_D = 7.0
"""Where no water was ever changed, a change is tried once a week. [d]"""
LEAST_LIGHT_H, MOST_LIGHT_H = 5.0, 11.0
"""Hours in which plants are kept; common practice, no source. [h/d]"""
MOST_SHARE = 0.5
"""More water at once is no routine; common practice, no source. [-]"""
GOOD_SCRAPE_D = 14.0
"""Days between scrapings that keepers are content with; common practice, no source. [d]"""


LEAST_READINGS, LEAST_LIKED = 6, 10.0
"""Readings from which a log has good weeks of its own; lower nitrate is not asked for [mg/L NO3]; ours to choose."""
_OWN = "as in your own good weeks"


@dataclass(frozen=True, kw_only=True)
class Wishes:
    """What the keeper wants and can give; None leaves it to the keeper's own log."""

    nitrate_mg_l: float | None = None
    scrape_every_d: float | None = None
    minutes_a_week: float | None = None
    buckets: float | None = None


@dataclass(frozen=True, kw_only=True)
class Goals:
    """What a plan is judged by, and where each goal comes from."""

    nitrate_mg_l: float
    liked_nitrate_mg_l: float
    scrape_every_d: float
    minutes_a_week: float | None
    litres: float | None
    said: str


@dataclass(frozen=True, kw_only=True)
class Routine:
    """Where the five dials stand: litres and days of a change, food against now, plants put in, hours of light."""

    litres: float
    interval_d: float
    ration: float = 1.0
    plants_g: float = 0.0
    light_h: float = 0.0

    @property
    def minutes_of_changes(self) -> float:
        """Minutes of water work a week, by common practice."""
        if self.litres <= 0.0:
            return 0.0
        return 7.0 / self.interval_d * (CHANGE_MINUTES + BUCKET_MINUTES * self.litres / BUCKET_L)


DIALS = ("litres", "interval_d", "ration", "plants_g", "light_h")


def routine_of(fit: Fit, events: Sequence[Event], days: int) -> Routine:
    """Return the routine that some planned events are; where no water is changed, 0 litres every week."""
    tank = fit.description.tank
    changes = [litres_of(tank, e) for e in events if isinstance(e, Change)]
    hours = fit.story.surroundings.lighting.hours(fit.story.last)
    if not changes:
        return Routine(litres=0.0, interval_d=FIRST_INTERVAL_D, light_h=hours)
    return Routine(litres=float(np.median(changes)), interval_d=days / len(changes), light_h=hours)


def goals_of(tank: Tank, log: Sequence[Event], wishes: Wishes) -> Goals:
    """Return what the keeper wishes; what was not said comes from the log's own good weeks or from practice."""
    times = [e.time for e in log if isinstance(e, Scrape) and e.where == "panes"]
    gaps = sorted((b - a) / timedelta(days=1) for a, b in pairwise(times))
    own = float(np.quantile(gaps, 0.75)) if len(gaps) >= 4 else None
    scrape = wishes.scrape_every_d or (own and max(own, 5.0)) or GOOD_SCRAPE_D
    whence = "as you said" if wishes.scrape_every_d else _OWN if own else "common practice"
    nitrate = wishes.nitrate_mg_l or nitrate_aim(tank)
    wanted = "as you said" if wishes.nitrate_mg_l else "common practice"
    liked = nitrate if wishes.nitrate_mg_l else _liked_nitrate(log, nitrate)
    below = f", better {liked:.0f} ({_OWN})" if liked < 0.9 * nitrate else ""
    return Goals(
        nitrate_mg_l=nitrate, liked_nitrate_mg_l=liked, scrape_every_d=scrape, minutes_a_week=wishes.minutes_a_week,
        litres=None if wishes.buckets is None else BUCKET_L * wishes.buckets,
        said=f"Wanted: nitrate at or under {nitrate:g} mg/L NO3 ({wanted}){below}, and {scrape:.0f} days or more from"
        f" one scraping to the next ({whence}).",
    )  # fmt: skip


def _liked_nitrate(log: Sequence[Event], most: float) -> float:
    """Return the nitrate of this tank's own good weeks, never so low that plants would go hungry. [mg/L NO3]"""
    read = [e.value for e in log if isinstance(e, Reading) and e.quantity == "nitrate"]
    if len(read) < LEAST_READINGS:
        return most
    own = float(np.quantile(read, 0.25)) / NITRATE["mg/lno3"].convert(1.0)
    return float(np.clip(own, LEAST_LIKED, most))


def places(fit: Fit, log: Sequence[Event], now: Routine, goals: Goals) -> Mapping[str, tuple[float, ...]]:
    """Return where each dial may stand instead: a few places over the range of the keeper's own habits."""
    tank = fit.description.tank
    volume = tank.water_litres or np.inf
    logged = [litres_of(tank, e) for e in log if isinstance(e, Change)]
    usual = now.litres or min(0.2 * volume, goals.litres or np.inf)
    most = min(max([1.5 * usual, *logged]), MOST_SHARE * volume, goals.litres or np.inf)
    shortest, longest = 0.5 * now.interval_d - 0.5, 2.0 * now.interval_d + 0.5
    found = {
        "litres": _ladder(0.6 * usual if now.litres else LITRES_STEP, most, LITRES_STEP),
        "interval_d": tuple(d for d in INTERVALS_D if shortest <= d <= longest),
        "ration": (LEAST_RATION, 0.9) if any(isinstance(e, Feed) for e in log) else (),
        "plants_g": _plants(fit),
        "light_h": (),
    }  # fmt: skip
    if not now.litres:  # how much comes before how often
        found["interval_d"] = ()
    if now.light_h > 0.0:
        hours = (now.light_h + d for d in (-2.0, -1.0, 1.0, 2.0))
        found["light_h"] = tuple(h for h in hours if LEAST_LIGHT_H <= h <= MOST_LIGHT_H)
    return {
        dial: tuple(x for x in values if abs(x - getattr(now, dial)) > NEAR * STEPS[dial])
        for dial, values in found.items()
    }


def _ladder(low: float, high: float, step: float) -> tuple[float, ...]:
    return tuple(sorted({max(step, round(float(x) / step) * step) for x in np.linspace(low, high, 4)}))


def _plants(fit: Fit) -> tuple[float, ...]:
    """Return grams that may be put in: up to as much again as there is, where plants are kept at all."""
    if not fit.description.tank.plants:
        return ()
    ensemble = fit.ensemble
    slots = range(1, len(fit.description.slots) + 1)
    names = ("volume", *(f"{row}_{n}" for n in slots for row in ("plant", "dry")))
    rows = {name: ensemble.gather(ensemble[name]) for name in names}
    there = float(np.median(wet_plants(rows, [rows[f"dry_{n}"] for n in slots])))
    most = float(np.clip(there, 200.0, 1000.0))
    return _ladder(0.25 * most, most, PLANTS_STEP)


STEPS: Mapping[str, float] = {
    "litres": LITRES_STEP, "interval_d": 1.0, "ration": RATION_STEP, "plants_g": PLANTS_STEP, "light_h": LIGHT_STEP,
}  # fmt: skip
"""Dial -> finest step."""
NEAR = 0.5
"""Of a step: a place so near to where the dial stands is the same place. [-]"""


def between(dial: str, best: float, tried: Sequence[float]) -> tuple[float, ...]:
    """Return the places half way from the best place of a dial to its neighbours, on its own steps.

    Intervals have no places between: a household keeps to a few.
    """
    if dial == "interval_d":
        return ()
    step = STEPS[dial]
    ordered = sorted({best, *tried})
    at = ordered.index(best)
    halves = [0.5 * (best + ordered[k]) for k in (at - 1, at + 1) if 0 <= k < len(ordered)]
    return tuple({round(x / step) * step for x in halves} - set(ordered))


def events_of(
    fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int, now: Routine, turned: Routine
) -> tuple[Event, ...]:
    """Return the plan that a turned routine means; a kind whose dials stand as before is left to the old plan."""
    events = planned_events(fit, log, plan, begin, days)
    changed: list[Event] = []
    if turned.interval_d != now.interval_d or (turned.litres and not now.litres):
        every = turned.interval_d
        count = int(days / every)
        changed += [Change(time=begin + timedelta(days=every * k - 1.0, hours=18), litres=turned.litres)
                    for k in range(1, count + 1)]  # fmt: skip
    elif turned.litres != now.litres:
        changed += [replace(e, litres=turned.litres, percent=None) for e in events if isinstance(e, Change)]
    if turned.ration != 1.0:
        changed += [replace(e, grams=e.grams * turned.ration) for e in events if isinstance(e, Feed)]
    if turned.light_h != now.light_h:
        changed.append(Lamp(time=begin, use="plants", hours=turned.light_h))
    if turned.plants_g:
        changed.append(Planted(time=begin, species=fit.description.tank.plants[0].species, grams=turned.plants_g))
    kinds = {type(e) for e in changed}
    return tuple(sorted([*(e for e in plan if type(e) not in kinds), *changed], key=lambda e: e.time))


def in_words(fit: Fit, now: Routine, turned: Routine, eaten_g: float) -> str:
    """Return what a turned routine asks of the keeper."""
    said: list[str] = []
    if turned.interval_d != now.interval_d:
        before = f"every {turned.interval_d:.0f} days instead of every {now.interval_d:.0f}"
        said.append(f"Change {buckets(turned.litres)} {before}.")
    elif turned.litres and not now.litres:
        said.append(f"Change {buckets(turned.litres)} every {turned.interval_d:.0f} days.")
    elif turned.litres != now.litres:
        said.append(f"Change {buckets(turned.litres)} each time instead of {number(now.litres)} L.")
    if turned.ration != 1.0:
        less = 100.0 * (1.0 - turned.ration)
        said.append(f"Feed {less:.0f} % less, {number(eaten_g * turned.ration)} g a day in all; weigh the animal every"
                    " two weeks, and leave the food as it is for one that is young or thin.")  # fmt: skip
    if turned.plants_g:
        said.append(f"Put in {turned.plants_g:.0f} g more {fit.description.tank.plants[0].species}, shaken dry.")
    if turned.light_h != now.light_h:
        said.append(f"Let the plant lamp burn {turned.light_h:g} h a day instead of {now.light_h:g}.")
    return " ".join(said)
