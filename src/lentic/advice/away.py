"""An absence: what the tank does while somebody else looks after it, as told, far too generously, or not at all."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import shown
from lentic.advice.habits import usual_litres
from lentic.advice.limits import Limit, limits_for
from lentic.advice.words import Spread, day_words, number, spread_of
from lentic.engine.ensemble import Ensemble
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, futures, planned_events
from lentic.logbook.events import Change, Event, Feed, Rinse, Siphon, Thin, TopUp
from lentic.logbook.tank import Tank

Array = npt.NDArray[np.float64]

LONGEST_D = 28
"""An absence beyond is for somebody who takes the tank over. [d]"""
VISIT_EVERY_D = 3
"""A sitter comes so often where nothing else is said; common practice, no source. [d]"""
UNFED_ADULT_D, UNFED_YOUNG_D = 7, 2
"""A healthy adult goes without food for so long, a young one for so long; common practice, no source. [d]"""
TOO_MUCH = 3.0
"""A sitter who means well feeds so many times what was said; common practice, no source. [-]"""
SAFE = 0.9
"""Share of the possible tanks that must stay inside the limits. [-]"""
COLDER_K, WARMER_K = 3.0, 4.0
"""A thermometer this far from usual is a reason to call; common practice, no source. [K]"""
JUDGED = ("ammonia_free", "ammonia", "nitrite", "nitrate", "oxygen_dawn", "kh")
RECENT_D = 28.0
_CHORES = (Feed, Change, Siphon, Rinse, TopUp, Thin)
AS_TOLD, TOO_GENEROUS, NOBODY = "as told", "three times the food", "no visit at all"


@dataclass(frozen=True, kw_only=True)
class Portion:
    """One visit and the food that is put into its bag."""

    day: date
    bag: str
    food: str
    grams: float


@dataclass(frozen=True, kw_only=True)
class Course:
    """How the absence goes under one behaviour."""

    behaviour: str
    ends: Mapping[str, Spread]
    """Quantity -> value on the last day, in the unit shown."""
    left: tuple[str, ...]
    """Limits that more than one in ten of the possible tanks leave, in words."""
    safe_days: int
    """Days until then; the whole absence where none is left. [d]"""

    @property
    def inside(self) -> bool:
        """Whether it stays inside all limits."""
        return not self.left


@dataclass(frozen=True, kw_only=True)
class Away:
    """An absence as it is planned: portions, three courses, and whether to go."""

    tank: str
    first: date
    last: date
    days: int
    change_before_l: float | None
    portions: tuple[Portion, ...]
    courses: tuple[Course, ...]
    evaporated_mm: Spread
    evaporated_l: Spread
    temperature: tuple[float, float] | None
    longest_d: int
    """Days for which the water stays inside the limits under the worst of the three, 28 at most. [d]"""
    unfed_d: int
    go: bool
    sentence: str
    warnings: tuple[str, ...]


def away_of(
    fit: Fit, log: Sequence[Event], begin: datetime, first: date, days: int, every: int = VISIT_EVERY_D
) -> Away:
    """Return what an absence does to the tank under three behaviours of a sitter."""
    tank = fit.description.tank
    visits = [first + timedelta(days=d) for d in range(1, LONGEST_D, every)]
    every_portion = _portions(tank, log, begin, visits)
    portions = tuple(p for p in every_portion if p.day < first + timedelta(days=days))
    change = usual_litres(tank, log)
    ahead = max((first - tank.local_date(begin)).days, 0)
    before = _before(fit, log, begin, ahead, change, tank.utc(first, time(9)))
    feeds = [Feed(time=tank.utc(p.day, time(18)), food=p.food, grams=p.grams) for p in every_portion]
    plans = {
        AS_TOLD: [*before, *feeds],
        TOO_GENEROUS: [*before, *(replace(f, grams=TOO_MUCH * f.grams) for f in feeds)],
        NOBODY: before,
    }
    courses = tuple(
        _course(tank, behaviour, _lived(fit, log, plan, begin, ahead + LONGEST_D), ahead, days)
        for behaviour, plan in plans.items()
    )
    return _judged(fit, tank, first, days, change, portions, courses)


def _portions(tank: Tank, log: Sequence[Event], begin: datetime, visits: Sequence[date]) -> tuple[Portion, ...]:
    """Return one usual meal of the usual food for each visit."""
    recent = [e for e in log if isinstance(e, Feed) and e.time >= begin - timedelta(days=RECENT_D)]
    if not recent:
        return ()
    food, _ = Counter(e.food for e in recent).most_common(1)[0]
    meals: dict[date, float] = {}
    for event in recent:
        if event.food == food:
            day = tank.local_date(event.time)
            meals[day] = meals.get(day, 0.0) + event.grams
    grams = round(float(np.median(list(meals.values()))), 1)
    return tuple(Portion(day=day, bag=_letter(place), food=food, grams=grams) for place, day in enumerate(visits))


def _letter(place: int) -> str:
    return chr(ord("A") + place) if place < 26 else f"A{place - 25}"


def _before(
    fit: Fit, log: Sequence[Event], begin: datetime, ahead: int, change: float | None, leaving: datetime
) -> list[Event]:
    """Return what happens until the door closes: the routine, a change on the last day, water up to the mark."""
    events = [e for e in planned_events(fit, log, (), begin, ahead) if e.time < leaving] if ahead else []
    if change is not None:
        events.append(Change(time=leaving - timedelta(hours=1), litres=change))
    events.append(TopUp(time=leaving - timedelta(minutes=30), water="source", litres=1.0))
    return sorted(events, key=lambda e: e.time)


def _lived(fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int) -> Futures:
    """Return the futures of a plan with no routine beside it: nobody scrapes, changes or fills up."""
    quiet = [e for e in log if not isinstance(e, _CHORES)]

    def nobody_scrapes(ensemble: Ensemble) -> None:
        ensemble["scrape_threshold"] = np.inf

    return futures(fit, quiet, plan, begin, days, adjust=nobody_scrapes)


def _course(tank: Tank, behaviour: str, lived: Futures, ahead: int, days: int) -> Course:
    left: list[str] = []
    safe = LONGEST_D
    for limit in limits_for(tank):
        if limit.quantity not in JUDGED:
            continue
        values = shown(limit.quantity, lived.values[limit.quantity])[ahead:][:, lived.sound]
        broken = _broken(limit, values)
        if broken is not None:
            safe = min(safe, broken)
            left += [f"{limit.sentence} from day {broken + 1}"] if broken < days else []
    ends = {
        quantity: spread_of(shown(quantity, lived.values[quantity])[ahead + days - 1][lived.sound], 3)
        for quantity in ("nitrate", "ammonia", "nitrite", "oxygen_dawn", "kh", "temperature")
    }
    return Course(behaviour=behaviour, ends=ends, left=tuple(left), safe_days=safe)


def _broken(limit: Limit, values: Array) -> int | None:
    """Return the first day on which too many of the possible tanks are beyond a limit that they kept on leaving."""
    beyond = values > limit.value if limit.above else values < limit.value
    share = beyond.mean(axis=1)
    if share[0] > 1.0 - SAFE:  # it was beyond before the door closed: not the absence's doing, and said by `now`
        grows = share > share[0] + (1.0 - SAFE)
        return int(np.argmax(grows)) if grows.any() else None
    over = share > 1.0 - SAFE
    return int(np.argmax(over)) if over.any() else None


def _judged(
    fit: Fit,
    tank: Tank,
    first: date,
    days: int,
    change: float | None,
    portions: tuple[Portion, ...],
    courses: tuple[Course, ...],
) -> Away:
    unfed = _unfed(tank, first)
    worst = min(courses, key=lambda c: c.safe_days)
    longest = worst.safe_days
    warnings = _warnings(tank, portions, days, unfed)
    go = all(course.inside for course in courses)
    last = first + timedelta(days=days)
    if go:
        sentence = (
            f"The water allows it from {day_words(first)} to {day_words(last)}: even under the worst of three sitters "
            "it stays inside its limits."
        )
    else:
        sentence = (
            f"Do not go for {days} days like this: with {worst.behaviour} the tank would leave its limits on day "
            f"{worst.safe_days + 1} ({worst.left[0]}). Up to {longest} days are safe."
        )
    evaporated = fit.ensemble.gather(fit.ensemble["evaporation_m3_d"]) * 1000.0 * days
    return Away(
        tank=tank.name, first=first, last=last, days=days, change_before_l=change, portions=portions, courses=courses,
        evaporated_l=spread_of(evaporated, 2), evaporated_mm=_fallen(tank, evaporated),
        temperature=_temperatures(courses[0]), longest_d=longest, unfed_d=unfed, go=go, sentence=sentence,
        warnings=warnings,
    )  # fmt: skip


def _fallen(tank: Tank, litres: Array) -> Spread:
    glass = tank.glass
    if not glass.length_cm or not glass.width_cm or not glass.is_box:
        return spread_of(np.array([np.nan]))
    return spread_of(litres * 1000.0 / (glass.length_cm * glass.width_cm) * 10.0, 2)


def _temperatures(course: Course) -> tuple[float, float] | None:
    middle = course.ends["temperature"].p50
    return None if middle is None else (round(middle - COLDER_K), round(middle + WARMER_K))


def _unfed(tank: Tank, first: date) -> int:
    """Return how long the youngest animal goes without food: three years and more count as grown where it is known."""
    hatched = [turtle.hatched for turtle in tank.turtles if turtle.hatched is not None]
    young = any((first - day).days < 3 * 365 for day in hatched)
    return UNFED_YOUNG_D if young else UNFED_ADULT_D


def _warnings(tank: Tank, portions: Sequence[Portion], days: int, unfed: int) -> tuple[str, ...]:
    found = []
    if not portions:
        found.append("No feeding of the last four weeks is in the log: weigh the portions yourself.")
    if days > unfed:
        found.append(
            f"If nobody comes at all the animal goes {days} days without food; a healthy "
            f"{'adult' if unfed == UNFED_ADULT_D else 'young one'} bears about {unfed} (common practice). "
            "Arrange a second person."
        )
    if not tank.turtles:
        found.append("No turtle is described: the days without food are those of a grown one.")
    found.append("The heater, the filter and the power are taken to work: a failure is what the calls are for.")
    return tuple(found)


def course_words(course: Course) -> str:
    """Return one behaviour in a line."""
    nitrate, ammonia = course.ends["nitrate"], course.ends["ammonia"]
    if nitrate.p50 is None or nitrate.p10 is None or nitrate.p90 is None or ammonia.p90 is None:
        return f"{course.behaviour}: cannot be said"
    told = f"nitrate {number(nitrate.p50)} mg/L as NO3 (8 in 10: {number(nitrate.p10)} to {number(nitrate.p90)})"
    told += f", total ammonia up to {number(ammonia.p90)} mg/L as N"
    return f"{course.behaviour}: {told}; " + ("inside the limits" if course.inside else "; ".join(course.left))
