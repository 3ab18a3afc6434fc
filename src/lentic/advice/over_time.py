"""Every quantity over time: own readings with their error, what the tank most likely was, and what is to come."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

import numpy as np

from lentic.advice.forecast import NAMES, UNITS, Forecast, Series, quantities_of, shown
from lentic.advice.limits import Limit, limits_for
from lentic.advice.words import NOTHING, Spread, day_words, number, spread_of
from lentic.learn.evidence import FLOORS, Evidence, evidence_of
from lentic.learn.fit import Fit
from lentic.learn.past import Past
from lentic.logbook.events import Change, Event, Lamp, Planted, Reading, Rinse, Scrape, Thin
from lentic.logbook.tank import Tank
from lentic.model.story import Seen

READ_AS: Mapping[str, str] = {"ph": "ph_dusk", "oxygen": "oxygen_dawn"}
"""What is read -> the quantity of the forecast it is shown with; others have one name."""
MATERIALS: Mapping[str, str] = {"plant_wet": "plant", "algae_panes": "algae", "kh": "dirt", "oxygen_dawn": "air"}
EVENT_ROWS: Mapping[str, tuple[type[Event], tuple[str, ...]]] = {
    "water changed": (Change, ("nitrate", "nitrite", "ammonia", "ammonia_free", "phosphate", "kh", "ph_dusk")),
    "filter rinsed": (Rinse, ("nitrite", "ammonia", "ammonia_free")),
    "plants taken out": (Thin, ("nitrate", "phosphate", "plant_wet", "algae_panes")),
    "plants put in": (Planted, ("nitrate", "phosphate", "plant_wet", "algae_panes")),
    "panes scraped": (Scrape, ("algae_panes",)),
    "lamp hours changed": (Lamp, ("algae_panes", "plant_wet", "ph_dusk")),
}
"""Events shown under a chart, and under which charts."""
SPANS: Mapping[str, int | None] = {"4 weeks": 28, "3 months": 91, "1 year": 365, "the whole log": None}
"""What can be looked at at once: name -> days before now."""
ONE_DECIMAL = frozenset({"kh", "ph_dawn", "ph_dusk", "temperature", "oxygen_dawn"})
"""Quantities said with one decimal; others with two significant digits."""
MOST_POINTS = 190
"""Days drawn of a band; a longer span shows every so many. [-]"""


@dataclass(frozen=True, kw_only=True)
class Read:
    """One own reading, in the unit shown, with the error of the kit; `beyond` where only a bound was seen."""

    time: datetime
    value: float
    low: float
    high: float
    beyond: str
    estimate: Spread


@dataclass(frozen=True, kw_only=True)
class Record:
    """One quantity over time."""

    quantity: str
    name: str
    unit: str
    material: str
    reads: tuple[Read, ...]
    past: Series | None
    ahead: Series | None
    limit: Limit | None
    events: tuple[tuple[str, tuple[datetime, ...]], ...]


@dataclass(frozen=True, kw_only=True)
class OverTime:
    """All quantities of a tank over a span: `first` is where the log begins, `since` where the estimate does."""

    tank: str
    first: datetime
    since: datetime
    begin: datetime
    now: datetime
    end: datetime
    records: tuple[Record, ...]
    sentence: str

    def of(self, quantity: str) -> Record | None:
        """Return the record of a quantity."""
        return next((r for r in self.records if r.quantity == quantity), None)


def figure(quantity: str, value: float) -> str:
    """Return a value as it is said of its quantity."""
    return f"{value:.1f}" if quantity in ONE_DECIMAL else number(value)


def read_words(quantity: str, read: Read, value: float, unit: str = "") -> str:
    """Return a reading as a number in the unit wanted: less than the first step of a kit stays that."""
    if read.beyond == "below" and read.value == 0.0:
        return "under the first step of the kit"
    said = {"below": "< ", "above": "> "}.get(read.beyond, "") + figure(quantity, value)
    return f"{said} {unit}".strip()


def over_time_of(fit: Fit, events: Sequence[Event], before: Past, coming: Forecast) -> OverTime:
    """Return everything read of a tank beside what its possible versions were and will be."""
    tank = fit.description.tank
    first = tank.local_time(events[0].time).replace(tzinfo=None)
    own = _own(fit, events)
    records = [_record(fit, q, own.get(q, ()), events, before, coming) for q in quantities_of(fit)]
    count = sum(len(r.reads) for r in records)
    kinds = sum(bool(r.reads) for r in records)
    said = f"{count} readings of {kinds} quantities since {day_words(first)} {first.year}."
    return OverTime(
        tank=tank.name, first=first, since=datetime.combine(before.days[0], time()), begin=first,
        now=coming.begin, end=coming.series[0].times[-1],
        records=tuple(records),
        sentence=said if count else "No reading is in the log yet: all of this is what tanks of this kind do.",
    )  # fmt: skip


def _record(
    fit: Fit, quantity: str, own: Sequence[tuple[Reading, Evidence]], events: Sequence[Event], before: Past,
    coming: Forecast,
) -> Record:  # fmt: skip
    tank = fit.description.tank
    unit, factor = UNITS[quantity]
    series = _past_series(quantity, before)
    happened = tuple(
        (label, tuple(tank.local_time(e.time).replace(tzinfo=None) for e in events if isinstance(e, kind)))
        for label, (kind, shown_with) in EVENT_ROWS.items()
        if quantity in shown_with
    )
    return Record(
        quantity=quantity, name=NAMES[quantity], unit=unit, material=MATERIALS.get(quantity, "water"),
        reads=tuple(_read(tank, reading, seen, factor, series) for reading, seen in own), past=series,
        ahead=coming.of(quantity), events=tuple((label, times) for label, times in happened if times),
        limit=next((limit for limit in limits_for(tank) if limit.quantity == quantity), None),
    )  # fmt: skip


def _own(fit: Fit, events: Sequence[Event]) -> dict[str, list[tuple[Reading, Evidence]]]:
    """Return own readings with what the fit made of each, by the quantity they are shown with."""
    found: dict[str, list[tuple[Reading, Evidence]]] = {}
    readings = [e for e in events if isinstance(e, Reading) and READ_AS.get(e.quantity, e.quantity) in UNITS]
    weighed = evidence_of([Seen(e, 0, 0.0) for e in readings], fit.description)
    for reading, seen in zip(readings, weighed, strict=True):
        found.setdefault(READ_AS.get(reading.quantity, reading.quantity), []).append((reading, seen))
    return found


def _read(tank: Tank, reading: Reading, seen: Evidence, factor: float, series: Series | None) -> Read:
    """Return a reading with the error that the fit gives it: the step of the kit and its scatter."""
    low, high = seen.low - seen.sd, seen.high + seen.sd
    if reading.quantity in FLOORS:
        floor = FLOORS[reading.quantity]
        low, high = np.exp(low) - floor, np.exp(high) - floor
    bottom = max(0.0, float(low)) if np.isfinite(low) else 0.0
    top = float(high) if np.isfinite(high) else 1.5 * reading.value
    when = tank.local_time(reading.time).replace(tzinfo=None)
    return Read(
        time=when, value=reading.value / factor, low=min(bottom, reading.value) / factor,
        high=max(top, reading.value) / factor, estimate=estimate_on(series, when),
        beyond="below" if reading.below else "above" if reading.above else "",
    )  # fmt: skip


def estimate_on(series: Series | None, when: datetime) -> Spread:
    """Return what a series says of a day; nothing where it does not reach."""
    if series is None:
        return NOTHING
    return next((s for t, s in zip(series.times, series.spreads, strict=True) if t.date() == when.date()), NOTHING)


def _past_series(quantity: str, before: Past) -> Series | None:
    values = shown(quantity, before.values[quantity])[:, before.sound]
    if not values.size:
        return None
    return Series(
        quantity=quantity, unit=UNITS[quantity][0], times=tuple(datetime.combine(d, time(12)) for d in before.days),
        spreads=tuple(spread_of(row) for row in values),
    )  # fmt: skip


def within(found: OverTime, span: str, back: int = 0) -> OverTime:
    """Return the part that a span shows; `back` moves it by so many spans towards the first day."""
    days = SPANS[span]
    if days is None:
        begin, end = found.first, found.end
    else:
        end = found.end if back == 0 else found.now - timedelta(days=days * back)
        begin = (found.now if back == 0 else end) - timedelta(days=days)
    begin = max(begin, found.first) if back == 0 else begin
    return replace(found, begin=begin, end=end, records=tuple(_cut(record, begin, end) for record in found.records))


def _cut(record: Record, begin: datetime, end: datetime) -> Record:
    return replace(
        record, reads=tuple(r for r in record.reads if begin <= r.time <= end),
        past=_thinned(record.past, begin, end), ahead=_thinned(record.ahead, begin, end),
        events=tuple((label, tuple(t for t in times if begin <= t <= end)) for label, times in record.events),
    )  # fmt: skip


def _thinned(series: Series | None, begin: datetime, end: datetime) -> Series | None:
    """Return what of a series falls into a span, with as many days as can be drawn apart."""
    if series is None:
        return None
    known = [k for k, s in enumerate(series.spreads) if s.known and begin <= series.times[k] <= end]
    kept = known[:: max(1, -(-len(known) // MOST_POINTS))]
    if known and kept[-1] != known[-1]:
        kept.append(known[-1])
    if len(kept) < 2:
        return None
    return replace(series, times=tuple(series.times[k] for k in kept), spreads=tuple(series.spreads[k] for k in kept))
