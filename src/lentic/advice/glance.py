"""The tank at a glance: what needs doing in one sentence, how the water stands, slow clocks, what is not known."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from lentic.advice.limits import Limit
from lentic.advice.over_time import OverTime, Read, Record, estimate_on, figure, read_words
from lentic.advice.today import Item, Today
from lentic.advice.words import Spread, day_words, grade_words, listed, number
from lentic.model.observers import grade

SHOWN = ("nitrate", "kh", "temperature", "ph_dusk", "ammonia", "phosphate", "plant_wet", "algae_panes")
"""What stands on the opening page, in this order."""
ALWAYS = ("nitrate", "kh", "temperature", "plant_wet", "algae_panes")
"""Shown even where it was never read; others only with an own reading."""
WORTH_READING = ("nitrate", "kh", "temperature", "phosphate", "ph_dusk")
"""What is told as not known where it was never read."""
MOST_AGE_D = 180
"""Older than this an own reading is told with its age. [d]"""
_STEPS = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
_SPANS = {"temperature": (15.0, 32.0), "ph_dusk": (6.0, 9.0)}


@dataclass(frozen=True, kw_only=True)
class State:
    """One quantity now: the estimate, the last own reading, the level it is held against, and how it stands."""

    quantity: str
    name: str
    unit: str
    estimate: Spread
    on: datetime
    read: Read | None
    age_d: int | None
    limit: Limit | None
    span: tuple[float, float]
    severity: str | None
    sentence: str

    def said(self, value: float) -> str:
        """Return a value as it is said of this quantity."""
        return figure(self.quantity, value)


@dataclass(frozen=True, kw_only=True)
class SlowClock:
    """Something of an animal or a lamp that changes over months: how it stands, in words and with its number."""

    name: str
    value: str
    range: str = ""
    how: str = "est"
    word: str = "estimate"
    link: str = ""
    severity: str | None = None
    sentence: str = ""
    page: str = "/animals"


def headline(today: Today) -> tuple[str, str]:
    """Return what needs doing in one sentence, and what else is worth knowing in a second."""
    urgent = [item for item in today.today if item.severity in ("stop", "act", "warn")]
    rest = [item for item in today.today if item not in urgent]
    first = [*rest, *urgent]
    if not first:
        coming = _next(today.can_wait)
        return "Nothing needs doing today.", f"Next: {_small(coming.do)} {coming.why}" if coming else ""
    more = len(first) - 1
    said = first[0].do.rstrip(".")
    others = "" if not more else ", and one more thing" if more == 1 else f", and {more} more things"
    warned = listed([_small(item.do).rstrip(".") for item in urgent])
    second = f"Nothing urgent. This week: {warned}." if urgent and rest else "" if urgent else "Nothing is urgent."
    return f"{said}{others}.", second


def _next(items: Sequence[Item]) -> Item | None:
    ordered = in_order(items)
    return ordered[0] if ordered and ordered[0].when is not None else None


def _small(text: str) -> str:
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def in_order(items: Sequence[Item]) -> tuple[Item, ...]:
    """Return what can wait by its day; what has none stands last."""
    dated = [(item.when, place) for place, item in enumerate(items) if item.when is not None]
    return (*(items[place] for _, place in sorted(dated)), *(item for item in items if item.when is None))


def states(found: OverTime, now: datetime) -> tuple[State, ...]:
    """Return how the water, the plants and the panes stand, as far as anything is known of them."""
    records = [found.of(quantity) for quantity in SHOWN]
    return tuple(
        state
        for record in records
        if record is not None and (record.reads or record.quantity in ALWAYS)
        if (state := _state(record, now, found)) is not None
    )


def _state(record: Record, now: datetime, found: OverTime) -> State | None:
    day, spread = _today(record, now, found)
    if not spread.known:
        return None
    read = record.reads[-1] if record.reads else None
    age = None if read is None else (now - read.time).days
    severity, level = _standing(spread, record.limit)
    said = _told(record, spread, read, age, level)
    return State(
        quantity=record.quantity, name=record.name, unit=record.unit, estimate=spread, on=day, read=read, age_d=age,
        limit=record.limit, span=_span(record, spread, read), severity=severity, sentence=said,
    )  # fmt: skip


def _today(record: Record, now: datetime, found: OverTime) -> tuple[datetime, Spread]:
    """Return the newest day that has an estimate: today's in the past of the log, else the first of the forecast."""
    today = now.replace(hour=0, minute=0, second=0, microsecond=0)
    for series, day in ((record.past, today), (record.past, today - timedelta(days=1)), (record.ahead, found.now)):
        spread = estimate_on(series, day)
        if spread.known:
            return day, spread
    return today, Spread(p10=None, p50=None, p90=None)


def _standing(spread: Spread, limit: Limit | None) -> tuple[str | None, str]:
    """Return how an estimate stands to a level: well inside, possibly past it, or past it."""
    if limit is None or spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return None, ""
    side = "above" if limit.above else "below"
    level = f"{limit.value:g} {limit.unit}".strip()
    past = spread.p50 > limit.value if limit.above else spread.p50 < limit.value
    worst = spread.p90 if limit.above else spread.p10
    maybe = worst > limit.value if limit.above else worst < limit.value
    if past:
        return "warn", f"Past the level: {side} {level} ({limit.protects})."
    if maybe:
        return "note", f"Possibly {side} {level} ({limit.protects})."
    return "inband", f"The level is {side} {level} ({limit.protects})."


def _not_read(record: Record, spread: Spread) -> str:
    """Return what an estimate rests on where a quantity is never read off."""
    if record.quantity == "algae_panes":
        return f"To the eye: {grade_words(float(grade(np.array(spread.p50 or 0.0))))}."
    if record.quantity == "plant_wet":
        return "From what was planted, thinned and lost, and how it grows here."
    return "Never read."


def _told(record: Record, spread: Spread, read: Read | None, age: int | None, said: str) -> str:
    if read is None or age is None:
        return f"{_not_read(record, spread)} {said}".strip()
    when = f"{day_words(read.time)}" + (f", {age // 30} months ago" if age > MOST_AGE_D else "")
    value = read_words(record.quantity, read, read.value, record.unit)
    return f"Dot: own reading, {when}: {value}. {said}".strip()


def _span(record: Record, spread: Spread, read: Read | None) -> tuple[float, float]:
    """Return the ends of the scale: what was read, what is likely, and twice the level."""
    values = [spread.p90 or 0.0, read.high if read else 0.0, 2.0 * record.limit.value if record.limit else 0.0]
    low, high = _SPANS.get(record.quantity, (0.0, 0.0))
    if high:
        return min(low, math.floor(spread.p10 or low)), max(high, math.ceil(max(values[:2])))
    return 0.0, _round_up(1.1 * max(values) or 1.0)


def _round_up(value: float) -> float:
    size = 10.0 ** math.floor(math.log10(value))
    return next((step * size for step in _STEPS if step * size >= value), 10.0 * size)


def not_known(found: OverTime, today: Today) -> tuple[str, ...]:
    """Return what was never read and what that leaves open."""
    never = [r for r in found.records if not r.reads and r.quantity in WORTH_READING]
    said = []
    for record in never:
        middle = record.ahead.spreads[0] if record.ahead and record.ahead.spreads else None
        name = "pH" if record.quantity == "ph_dusk" else record.name
        if middle is None or middle.p10 is None or middle.p90 is None:
            said.append(f"{name}: never read.")
        else:
            unit = f" {record.unit}" if record.unit else ""
            reach = f"{number(middle.p10)} to {number(middle.p90)}{unit}"
            said.append(f"{name}: never read. By everything else it is {reach}.")
    asked = [item.do for item in today.can_wait if "of the tap" in item.do]
    return (*said, *(f"{_tap(do)} not known, and assumed." for do in asked))


def _tap(do: str) -> str:
    named = do.removeprefix("Read ").rstrip(".")
    return f"{named[:1].upper()}{named[1:]}" if not named[1:2].isupper() else named
