"""Whether a line fits this keeper's own log: a ten-fold slip, another unit, another kit, a wrong day.

A line is held against the last lines of its kind. Where it lies far outside their band and one slip would bring it
back in, the slip is named; where nothing explains it, a repeat is asked for. A first line is held against the
description of the tank. The widths are common practice, no source: how much such lines of one tank differ from one to
the next without anything being wrong; they decide what is asked, never what is stored.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from lentic.logbook.events import (
    Change,
    Event,
    Feed,
    Flow,
    Lamp,
    Measure,
    Planted,
    Reading,
    Thin,
    TopUp,
    Void,
    Weigh,
    what_of,
)
from lentic.logbook.tank import Tank
from lentic.logbook.units import OFFERED, QUANTITIES, Unit, fold, units_for
from lentic.science.hardness import HARDNESS_UNITS

LAST_LINES = 4
FAR, NEAR, ODD, BEYOND = 2.4, 1.0, 1.6, 4.0
"""In widths: so far off and a slip this near is named; so far off and another kit fits is asked; beyond is repeated."""
OLD, LEEWAY = timedelta(days=7), timedelta(days=3)
SURE = "checked"
"""A note with this word says that the keeper has looked again; such a line is not doubted."""

# Width of the band of one kind of line as a factor (its logarithm), or in the unit itself for a scale without a zero.
_FACTOR: Mapping[str, float] = {
    "nitrate": 0.33, "nitrite": 0.57, "ammonia": 0.57, "phosphate": 0.50, "kh": 0.13, "gh": 0.11, "oxygen": 0.25,
    "oxygen_saturation": 0.25, "conductivity": 0.15, "calcium": 0.25, "magnesium": 0.30, "carbon_dioxide": 0.60,
    "chlorine": 0.80, "chloramine": 0.80, "ppfd": 0.40, "lux": 0.50, "uvi": 0.40, "flow": 0.30, "level": 0.15,
    "room_humidity": 0.25, "room_co2": 0.40, "feed": 0.45, "change": 0.33, "top_up": 0.60, "thin": 0.70, "plant": 0.90,
    "lamp": 0.35, "weigh": 0.06, "measure": 0.04,
}  # fmt: skip
_PLAIN: Mapping[str, float] = {
    "ph": 0.30, "temperature": 1.5, "tap_temperature": 4.0, "room_temperature": 4.0, "surface_temperature": 6.0,
}  # fmt: skip
_FIRST_STEP: Mapping[str, float] = {"nitrate": 1.1, "nitrite": 0.015, "ammonia": 0.1, "phosphate": 0.03}
"""What a plain 0 of a colour kit may still be, in the unit used inside, where the log shows no smaller step."""
_SWAPPED = ("nitrate", "nitrite", "ammonia", "phosphate", "kh", "gh", "ph")


@dataclass(frozen=True, kw_only=True)
class Guess:
    """What the line may have been meant to say: the factor on the number, another unit, or another kit."""

    times: float = 1.0
    unit: str | None = None
    what: str | None = None


@dataclass(frozen=True, kw_only=True)
class Doubt:
    """Why a line is doubted, in one sentence, and what it may have been meant to say."""

    why: str
    guesses: tuple[Guess, ...] = ()
    slip: str = "repeat"
    """`ten-fold`, `unit`, `kit`, `day` or, where no slip explains it, `repeat`."""


@dataclass(frozen=True, kw_only=True)
class _Band:
    """The span of the last lines of one kind, in the unit used inside, and the width around it."""

    low: float
    high: float
    width: float
    plain: bool
    count: int

    def off(self, value: float) -> float:
        """Return how many widths a value lies outside the span; 0 inside."""
        if self.plain:
            return max(self.low - value, value - self.high, 0.0) / self.width
        if self.low <= value <= self.high:
            return 0.0
        small = 1e-6
        low, high, value = max(self.low, small), max(self.high, small), max(value, small)
        return max(math.log(low / value), math.log(value / high), 0.0) / self.width


def doubt_of(
    event: Event, tank: Tank, events: Sequence[Event], now: datetime | None = None, unit: str = "", usual: str = ""
) -> Doubt | None:
    """Return why a line that was just read should be asked about, or None; `events` are the lines before it.

    `unit` is the unit it was typed in and `usual` the one of all other such lines, both folded, where they are known.
    """
    if SURE in event.note.casefold() or isinstance(event, Void):
        return None
    if now is not None and (doubt := _wrong_day(event, events, now)):
        return doubt
    if unit and usual and unit != usual and (doubt := _unlike_all_others(event, unit, usual, events)):
        return doubt
    value, series = _value(event, tank), _series(event)
    if isinstance(event, TopUp) and value is not None:
        value = _per_day(event, events)
    if value is None or series is None:
        return None
    band = _band(event, series, tank, events)
    if band is None:
        return None
    return _doubt(event, value, band, tank, events)


def _wrong_day(event: Event, events: Sequence[Event], now: datetime) -> Doubt | None:
    """Ask about a line that is older than a week although newer lines stand in the log."""
    if not events or now - event.time <= OLD:
        return None
    first, last = min(e.time for e in events), max(e.time for e in events)
    if event.time < first - timedelta(days=1):
        return Doubt(why="it lies before the first line of the log; was it another day?", slip="day")
    if event.time < last - LEEWAY:
        days = (now - event.time).days
        return Doubt(why=f"it is {days} days old, and newer lines are in the log; was it another day?", slip="day")
    return None


def _unlike_all_others(event: Event, unit: str, usual: str, events: Sequence[Event]) -> Doubt | None:
    """Ask about a unit that none of three or more like lines was written in."""
    if len(_alike(event, events)) < 3:
        return None
    units = units_for(event.kind, what_of(event))
    if unit not in units or usual not in units or units[unit].name == units[usual].name:
        return None
    mine, theirs = units[unit].name, units[usual].name
    why = f"your other {_name(event)} lines are all in {theirs}; is this one in {mine}?"
    return Doubt(why=why, guesses=(Guess(unit=theirs),), slip="unit")


def _per_day(event: TopUp, events: Sequence[Event]) -> float | None:
    """Return the litres a day that a top-up replaces, counted from the last line that filled the tank."""
    filled = [e.time for e in events if isinstance(e, TopUp | Change) and e.time < event.time]
    if not filled:
        return None
    return event.litres / max((event.time - filled[-1]).total_seconds() / 86400.0, 0.5)


def _series(event: Event) -> str | None:
    match event:
        case Reading():
            return event.quantity.removeprefix("tap_") if event.quantity != "tap_temperature" else event.quantity
        case Feed() if event.spread:
            return None
        case Feed() | Change() | TopUp() | Thin() | Planted() | Lamp() | Weigh() | Measure() | Flow():
            return event.kind
    return None


def _value(event: Event, tank: Tank) -> float | None:
    """Return the number of a line in the unit used inside; None where it has none."""
    match event:
        case Reading():
            return event.value
        case Feed() | Thin() | Planted() | Weigh():
            return event.grams
        case TopUp():
            return event.litres
        case Change():
            return event.litres_of(tank.water_litres)
        case Measure():
            return event.centimetres
        case Lamp():
            return event.hours
        case Flow():
            return event.litres_per_hour
    return None


def _alike(event: Event, events: Iterable[Event]) -> list[Event]:
    """Return the earlier lines of the same kind about the same thing, oldest first."""
    what = what_of(event) if not isinstance(event, TopUp | Planted) else ""
    return [
        e
        for e in events
        if e.kind == event.kind and e.time < event.time and (not what or what_of(e) == what)
        and not (isinstance(e, Reading) and e.above) and not (isinstance(e, Feed) and e.spread)
    ]  # fmt: skip


def _band(event: Event, series: str, tank: Tank, events: Sequence[Event]) -> _Band | None:
    plain = series in _PLAIN
    width = _PLAIN[series] if plain else _FACTOR.get(series, 0.0)
    if not width:
        return None
    alike = _alike(event, events)[-LAST_LINES:]
    values = [
        (value, isinstance(e, Reading) and e.below)
        for e in alike
        if (value := _per_day(e, events) if isinstance(e, TopUp) else _value(e, tank)) is not None
    ]
    if not values:
        described = _described(event, tank)
        if described is None:
            return None
        return _Band(low=described, high=described, width=1.5 * width, plain=plain, count=0)
    step = _FIRST_STEP.get(series, 0.0)
    low = min(0.0 if below and not plain else value for value, below in values)
    high = max(max(value, step) if below else value for value, below in values)
    months = max((event.time - alike[-1].time).days, 0) / 30.0
    width *= math.sqrt(1.0 + (4.0 if series in ("weigh", "measure") else 0.5) * months)
    width *= 2.0 if len(values) == 1 else 1.0
    if not plain and high > 0.0 and series in ("kh", "gh"):
        width = math.hypot(width, 0.5 * HARDNESS_UNITS["°dH"] / high)
    return _Band(low=low, high=high, width=width, plain=plain, count=len(values))


def _described(event: Event, tank: Tank) -> float | None:
    """Return what the description of the tank says where the log says nothing yet."""
    water = tank.source_water
    match event:
        case Weigh():
            return next((t.mass_g for t in tank.turtles if t.id == event.animal), None)
        case Measure():
            return next((t.scl_cm for t in tank.turtles if t.id == event.animal), None)
        case Flow():
            return tank.filter.flow_l_h if tank.filter else None
        case Lamp():
            return next((lamp.hours for lamp in tank.lamps if lamp.use == event.use), None)
        case Reading():
            said = {
                "tap_nitrate": water.nitrate_mgn_l, "tap_phosphate": water.phosphate_mgp_l,
                "tap_kh": water.alkalinity_meq_l, "tap_gh": water.hardness_meq_l, "tap_ph": water.ph,
                "tap_temperature": water.temperature_c, "gh": water.hardness_meq_l,
                "temperature": tank.heater.set_c if tank.heater else None,
            }  # fmt: skip
            return said.get(event.quantity)
    return None


def _doubt(event: Event, value: float, band: _Band, tank: Tank, events: Sequence[Event]) -> Doubt | None:
    off = _off(event, value, band)
    own = _other_than_own_unit(event, band, off, events)
    if own is not None:
        return own
    if off < ODD:
        return None
    guesses = sorted(_guesses(event, value, band, tank, events), key=lambda each: each[0])
    if guesses and off >= FAR and guesses[0][0] <= NEAR:
        slip = guesses[0][1]
        likely = tuple(dict.fromkeys(guess for left, _, guess in guesses if left <= NEAR))[:3]
        return Doubt(why=_why(event, band, slip, likely[0], tank), guesses=likely, slip=slip)
    kits = [guess for left, slip, guess in guesses if slip == "kit" and left <= 0.5]
    if kits:
        return Doubt(why=_why(event, band, "kit", kits[0], tank), guesses=tuple(kits[:2]), slip="kit")
    if off >= BEYOND:
        return Doubt(why=_why(event, band, "repeat", None, tank))
    return None


def _off(event: Event, value: float, band: _Band) -> float:
    """Return how far off a line lies; of `<` only the far side counts, of `>` only the near."""
    if isinstance(event, Reading) and event.below and not band.plain:
        step = max(value, _FIRST_STEP.get(event.quantity.removeprefix("tap_"), 0.0))
        return band.off(step) if step < band.low else 0.0
    if isinstance(event, Reading) and event.above:
        return band.off(value) if value > band.high else 0.0
    return band.off(value)


def _other_than_own_unit(event: Event, band: _Band, off: float, events: Sequence[Event]) -> Doubt | None:
    """Ask when the unit is not the keeper's usual one and the same number in the usual one fits better."""
    if not isinstance(event, Reading) or not event.written:
        return None
    number, unit = _written(event)
    usual = _usual_unit(event, events)
    if number is None or unit is None or usual is None or usual.name == unit.name or usual.reciprocal:
        return None
    if band.off(usual.convert(number)) + 0.3 < off:
        why = f"your other {_name(event)} lines are in {usual.name}, and {number:g} {usual.name} would fit them; which?"
        return Doubt(why=why, guesses=(Guess(unit=usual.name),), slip="unit")
    return None


def _written(event: Reading) -> tuple[float | None, Unit | None]:
    text, _, unit = event.written.partition(" ")
    try:
        number = float(text.lstrip("<>≤≥").replace(",", "."))
    except ValueError:
        return None, None
    return number, units_for("reading", event.quantity).get(fold(unit))


def _usual_unit(event: Reading, events: Iterable[Event]) -> Unit | None:
    found = [unit for e in _alike(event, events) if isinstance(e, Reading) and (unit := _written(e)[1]) is not None]
    names = {unit.name for unit in found}
    return found[-1] if len(names) == 1 else None


def _guesses(
    event: Event, value: float, band: _Band, tank: Tank, events: Sequence[Event]
) -> list[tuple[float, str, Guess]]:
    """Return every slip that could lie behind a number, with how far off it would still be."""
    found = [
        (band.off(value * times), "ten-fold", Guess(times=times))
        for times in (0.1, 10.0, 0.01, 100.0)
        if not band.plain or event.kind != "reading" or "temperature" in what_of(event)
    ]
    found += [(band.off(other), "unit", Guess(unit=unit.name)) for unit, other in _in_other_units(event, value, tank)]
    if isinstance(event, Reading) and event.quantity in _SWAPPED and (number := _written(event)[0]) is not None:
        found += [(left, "kit", Guess(what=kit)) for kit, left in _other_kits(event, number, tank, events)]
    return found


def _in_other_units(event: Event, value: float, tank: Tank) -> list[tuple[Unit, float]]:
    if isinstance(event, Reading):
        number, unit = _written(event)
    else:
        number, unit = value, None
    units = units_for(event.kind, what_of(event))
    if number is None or not units:
        return []
    inside = unit or next(iter(units.values()))
    if isinstance(event, Change) and event.percent is not None:
        number, inside = event.percent, units["%"]
    found: dict[str, tuple[Unit, float]] = {}
    for other in units.values():
        if other.name == inside.name or other.reciprocal or other.name not in OFFERED:
            continue
        if other.name == "%":
            if tank.water_litres:
                found[other.name] = (other, number / 100.0 * tank.water_litres)
            continue
        found[other.name] = (other, other.convert(number))
    return list(found.values())


def _other_kits(event: Reading, number: float, tank: Tank, events: Sequence[Event]) -> list[tuple[str, float]]:
    """Return the kits whose last readings the number would fit, in the unit this keeper writes for them."""
    found = []
    for kit in _SWAPPED:
        if kit == event.quantity:
            continue
        like = Reading(time=event.time, quantity=kit, value=number, unit=QUANTITIES[kit].unit)
        earlier = _alike(like, events)
        unit = _written(earlier[-1])[1] if earlier and isinstance(earlier[-1], Reading) else None
        band = _band(like, kit, tank, events) if unit else None
        if unit is not None and band is not None and band.count >= 2:
            found.append((kit, band.off(unit.convert(number))))
    return found


def _name(event: Event) -> str:
    return what_of(event).replace("_", " ") if isinstance(event, Reading) else event.kind.replace("_", " ")


def _why(event: Event, band: _Band, slip: str, guess: Guess | None, tank: Tank) -> str:
    """Say what is odd, and the likeliest slip, as one question."""
    span = _span(event, band)
    told = f"it lies far from {span}" if band.count else "it does not fit the description of the tank"
    if slip == "ten-fold" and guess is not None:
        return f"{told}; is the decimal point in its place?"
    if slip == "unit" and guess is not None:
        return f"{told}; was it {guess.unit}?"
    if slip == "kit" and guess is not None and guess.what is not None:
        return f"{told}, and would fit your {guess.what.replace('_', ' ')}; which kit was it?"
    return f"{told}; please repeat it before it counts."


def _span(event: Event, band: _Band) -> str:
    """Say the band of the last lines in the unit the line is written in."""
    unit = _written(event)[1] if isinstance(event, Reading) else None
    if unit is not None and not unit.reciprocal:
        low, high = ((each - unit.offset) / unit.factor for each in (band.low, band.high))
        name = "" if unit.name in ("pH", "UVI") else f" {unit.name}"
    else:
        low, high, name = band.low, band.high, f" {_UNIT_SAID.get(event.kind, '')}".rstrip()
    ends = f"{low:.3g}" if math.isclose(low, high, rel_tol=0.01) else f"{low:.3g} to {high:.3g}"
    lines = "line" if band.count == 1 else f"{band.count} lines"
    return f"your last {lines} ({ends}{name})"


_UNIT_SAID = {
    "feed": "g", "thin": "g", "plant": "g", "weigh": "g", "change": "L", "top_up": "L a day", "measure": "cm",
    "lamp": "h", "flow": "L/h",
}  # fmt: skip
