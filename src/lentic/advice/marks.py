"""What a log shows before against after a moment: the plain contrasts from which causes are weighed.

Every contrast is a number of standard steps, about 1 where a keeper would begin to notice and 3 where nobody would
miss it. The sizes of the steps are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from lentic.advice.habits import litres_of
from lentic.logbook.events import (
    AnimalIn,
    AnimalOut,
    Change,
    Event,
    Feed,
    Flow,
    Lamp,
    Leftovers,
    LostPlant,
    Planted,
    Power,
    Reading,
    Rinse,
    Siphon,
    Thin,
)
from lentic.logbook.tank import Tank

BEFORE_D, LEAD_D, EVENT_D = 70.0, 12.0, 30.0
"""How far back routine is looked at; how long before its effect a cause may begin; how far back single events count."""
WORDS: Mapping[str, str] = {
    "sun": r"\bsun\b|sunlight|sunny|curtain|blind",
    "light": r"fixture|stronger|brighter|new (lamp|bulb|tube|light)|watts|timer",
    "carbon": r"air ?stone|bubbl|splash|spray bar|aerat|air pump",
    "tapped": r"\btap\b|hosed|hot water|boil",
    "stirred": r"gravel|sand|dug|\bstir|spring clean|replant|rescap|everything out|washed and put back",
    "rot": r"smell|stink|foul|milky|rotten|dead|cloudy",
    "eaten": r"chewed|eaten|at the stems|floats about|hardly any|cut right back|gave .* away|\bgrazed",
    "tap": r"waterworks|water works|supplier|another spring|well water",
    "lazy": r"can of water|no time|back is bad|only a can|skipped",
    "dirty": r"siphon.*(split|broken|lost)|mulm|clogg",
    "warm": r"heat ?wave|heater|dial|hot day",
    "brown": r"soft and brown|rotting|yellow|melting|more is better|whole tub",
}


@dataclass(frozen=True, kw_only=True)
class Marks:
    """Contrasts in standard steps and what each of them is in words."""

    sizes: Mapping[str, float]
    said: Mapping[str, str]

    def of(self, name: str) -> float:
        """Return a contrast; 0 where the log says nothing."""
        return self.sizes.get(name, 0.0)


class _Reader:
    def __init__(self, tank: Tank, events: Sequence[Event], onset: datetime, nitrogen: Mapping[str, float]) -> None:
        self.tank, self.events, self.onset, self.nitrogen = tank, events, onset, nitrogen
        self.turn = onset - timedelta(days=LEAD_D)
        self.first = max(events[0].time, self.turn - timedelta(days=BEFORE_D))
        self.last = events[-1].time
        self.sizes: dict[str, float] = {}
        self.said: dict[str, str] = {}

    def put(self, name: str, size: float, said: str) -> None:
        if np.isfinite(size) and abs(size) > self.sizes.get(name, 0.0):
            self.sizes[name], self.said[name] = float(np.clip(size, -4.0, 4.0)), said

    def around(self) -> list[Event]:
        """Return what happened shortly before the effect, or soon after it was seen."""
        low, high = self.onset - timedelta(days=EVENT_D), self.onset + timedelta(days=14)
        return [e for e in self.events if low <= e.time <= high]

    def weekly(self, amount: Callable[[Event], float], late: datetime | None = None) -> tuple[float, float]:
        """Return amounts a week before and after; after counts from the effect on, where the new routine holds."""
        late = late or self.onset
        days = [(self.turn - self.first).days, (self.last - late).days + 1]
        before = sum(amount(e) for e in self.events if self.first <= e.time < self.turn)
        after = sum(amount(e) for e in self.events if e.time >= late)
        return 7.0 * before / max(days[0], 1), 7.0 * after / max(days[1], 1)

    def readings(self, quantity: str) -> tuple[list[float], list[float]]:
        found = [
            (e.time, 0.5 * e.value if e.below else e.value)
            for e in self.events
            if isinstance(e, Reading) and e.quantity == quantity
        ]
        split = self.onset - timedelta(days=6)
        return [v for t, v in found if self.first <= t < split], [v for t, v in found if t >= split]


def _litres(tank: Tank, event: Event) -> float:
    return litres_of(tank, event) if isinstance(event, Change) else 0.0


def marks_of(tank: Tank, events: Sequence[Event], onset: datetime, nitrogen: Mapping[str, float]) -> Marks:
    """Return the contrasts of a log around the moment at which an effect was first seen."""
    reader = _Reader(tank, events, onset, nitrogen)
    for look in (_routine, _water, _single, _plants, _notes):
        look(reader)
    return Marks(sizes=reader.sizes, said=reader.said)


def _routine(r: _Reader) -> None:
    before, after = r.weekly(lambda e: e.grams * r.nitrogen.get(e.food, 0.05) if isinstance(e, Feed) else 0.0)
    if before > 0.0 and after > 0.0:
        ratio = after / before
        r.put("feed", np.log(ratio) / 0.22, f"food {100 * (ratio - 1):+.0f} % a week, as nitrogen")
    before, after = r.weekly(lambda e: _litres(r.tank, e))
    if before > 0.0:
        ratio = after / before
        r.put("less_change", -np.log(max(ratio, 0.05)) / 0.35, f"water changed: {before:.0f} then {after:.0f} L a week")
    before, after = r.weekly(lambda e: float(isinstance(e, Siphon)))
    if before > 0.3:
        r.put("no_siphon", 2.5 * (1.0 - after / before), f"siphoned {before:.1f} then {after:.1f} times a week")
    before, after = r.weekly(lambda e: float(isinstance(e, Rinse)))
    if before > 0.12:
        r.put("no_rinse", 1.0 - after / before, f"filter rinsed {before:.2f} then {after:.2f} times a week")
    before, after = r.weekly(lambda e: e.grams if isinstance(e, Thin) else 0.0)
    if before > 0.0:
        r.put("no_thin", 2.0 * (1.0 - after / before), f"plants thinned {before:.0f} then {after:.0f} g a week")


_STEPS: Mapping[str, tuple[float, bool]] = {
    "nitrate": (0.35, True), "phosphate": (0.45, True), "ammonia": (0.5, True), "nitrite": (0.5, True),
    "tap_nitrate": (0.45, True), "tap_phosphate": (0.6, True), "ph": (0.12, False), "kh": (0.35, False),
    "temperature": (0.7, False), "room_temperature": (1.5, False),
}  # fmt: skip
"""Quantity -> size of one step, and whether it is a ratio."""


def _water(r: _Reader) -> None:
    for quantity, (step, ratio) in _STEPS.items():
        before, after = r.readings(quantity)
        if quantity == "tap_nitrate" and not before and r.tank.source_water.nitrate_mgn_l is not None:
            before = [r.tank.source_water.nitrate_mgn_l]
        if quantity == "tap_phosphate" and not before and r.tank.source_water.phosphate_mgp_l is not None:
            before = [r.tank.source_water.phosphate_mgp_l]
        if not before or not after:
            continue
        old, new = float(np.median(before)), float(np.mean(after))
        top = max(after) if quantity in ("ammonia", "nitrite", "temperature") else new
        size = np.log((new + 0.02) / (old + 0.02)) / step if ratio else (new - old) / step
        peak = np.log((top + 0.05) / (old + 0.05)) / step if ratio else (top - old) / step
        doubt = min(1.0, np.sqrt(min(len(after), len(before)) / 2.0))
        r.put(quantity, size * doubt, f"{quantity.replace('_', ' ')} {'up' if size > 0 else 'down'} against before")
        r.put(f"{quantity}_peak", peak * doubt, f"{quantity.replace('_', ' ')} peaked")
    flow = [(e.time, e.litres_per_hour) for e in r.events if isinstance(e, Flow)]
    early = [v for t, v in flow if r.first <= t < r.turn]
    late = [v for t, v in flow if t >= r.onset]
    if early and late:
        fall = 1.0 - min(late) / float(np.median(early))
        r.put("flow_down", fall / 0.13, f"measured flow {float(np.median(early)):.0f}, then {min(late):.0f} L/h")


def _single(r: _Reader) -> None:
    hours = max((lamp.hours or 9.0 for lamp in r.tank.lamps if lamp.use == "plants"), default=9.0)
    for event in r.events:
        if isinstance(event, Lamp) and event.use == "plants":
            if r.onset - timedelta(days=EVENT_D) <= event.time <= r.onset + timedelta(days=16):
                r.put("lamp", (event.hours - hours) / 1.2, f"plant lamp from {hours:g} to {event.hours:g} h a day")
            hours = event.hours
    earlier = r.onset - timedelta(days=40)
    small_rinses = [e for e in r.events if isinstance(e, Rinse) and e.extent == "all" and e.time < earlier]
    for event in r.around():
        match event:
            case Rinse(extent="all", water=water):
                usual = 0.4 if small_rinses else 1.0
                tap = water == "tap" or bool(re.search(WORDS["tapped"], event.note.casefold()))
                r.put(
                    "rinse_tap" if tap else "rinse_all",
                    3.0 * usual if tap else 2.0 * usual,
                    "all media washed" + (" under the tap" if tap else " at once"),
                )
                r.put("rinse_tank", 2.0 if water == "tank" else 0.0, "all media rinsed in tank water")
            case Power(on=False):
                r.put("power", 2.5, "the filter stood without power")
            case AnimalIn(what=what, count=count):
                known = any(t.species == what or t.id == what for t in r.tank.turtles)
                r.put("animal_in", 3.0 if known else 1.0, f"{count} more animal moved in")
            case AnimalOut():
                r.put("animal_out", 2.0, "animals were found dead or left")
            case Leftovers():
                r.put("leftovers", 1.5, "food was left over")
    usual_change = [_litres(r.tank, e) for e in r.events if isinstance(e, Change)]
    days = [e.time for e in r.events if isinstance(e, Change)]
    for event in r.around():
        near = [t for t in days if abs((t - event.time).total_seconds()) < 3.5 * 86400 and t != event.time]
        if isinstance(event, Change) and len(usual_change) > 3:
            big = _litres(r.tank, event) / float(np.median(usual_change))
            if near or big > 1.25:
                r.put("extra_change", 1.0 + max(0.0, big - 1.0), "a water change beside the usual ones")


def _plants(r: _Reader) -> None:
    thins = [e.grams for e in r.events if isinstance(e, Thin)]
    usual = float(np.median(thins)) if thins else 0.0
    there = sum(p.wet_g or 0.0 for p in r.tank.plants)
    for event in r.around():
        if isinstance(event, Thin) and usual > 0.0 and event.grams > 1.7 * usual and event.grams > 0.35 * there:
            size = min(4.0, event.grams / max(0.25 * there, 1.0))
            r.put("thin_hard", size, f"{event.grams:.0f} g of plants thinned at once")
        if isinstance(event, LostPlant) and event.grams > 0.3 * max(there, 1.0):
            r.put("lost", 3.5, f"{event.grams:.0f} g of plants lost at once")
        if isinstance(event, Planted) and event.grams > 0.3 * max(there, 1.0):
            r.put("planted", 3.0, f"{event.grams:.0f} g of plants put in")
    small = [e for e in r.events if isinstance(e, LostPlant) and e.time >= r.turn and e.grams <= 0.3 * max(there, 1.0)]
    if small:
        r.put("dying", 0.8 * len(small), f"dead plant found {len(small)} times")


def _notes(r: _Reader) -> None:
    said = [(e, e.note.casefold()) for e in r.around() if e.note]
    for name, pattern in WORDS.items():
        for event, note in said:
            if isinstance(event, Rinse) and name in ("tap", "sun", "warm"):
                continue
            if re.search(pattern, note):
                r.put(f"note_{name}", 3.0, f"your note: {event.note!r}")
    southern = (r.tank.timezone or "").startswith(("Australia/", "Antarctica/", "Pacific/Auckland"))
    day = (r.onset.timetuple().tm_yday + (182 if southern else 0)) % 365
    spring = 15 <= day <= 150
    sunny = r.tank.room.window_sun_h
    season = "the sun climbs at this time of year" if spring else "not the time of a climbing sun"
    r.put("spring", 1.0 if spring else -0.5, season)
    if sunny is not None:
        r.put("window", 1.5 if sunny > 0.3 else -0.3, f"direct sun on the panes: {sunny:g} h a day")
