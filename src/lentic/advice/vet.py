"""One page of history for the vet: what the log knows of one animal, in order, without any opinion."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from lentic.advice.findings import date_words
from lentic.advice.growing import Curve, lengths, record_of, weighings
from lentic.advice.winter import amount_g
from lentic.advice.words import amount, number
from lentic.catalogue import Animal, lamps
from lentic.logbook.events import AnimalIn, AnimalOut, Change, Dose, Event, Feed, Reading, Rest, Sign, Wake
from lentic.logbook.tank import Tank, Turtle
from lentic.logbook.units import NITRATE
from lentic.science.hardness import HARDNESS_UNITS

WEEKS = 8
OWN_NOTES = "What the keeper measured and wrote down, with the errors of home scales and kits; no diagnosis."
MOST_MASSES, MOST_NOTES, MOST_FOODS = 12, 8, 8
SHOWN: dict[str, tuple[str, float, str]] = {
    "temperature": ("water temperature", 1.0, "°C"),
    "surface_temperature": ("basking surface", 1.0, "°C"),
    "room_temperature": ("room", 1.0, "°C"),
    "uvi": ("UV index", 1.0, ""),
    "ammonia": ("total ammonia", 1.0, "mg/L as N"),
    "nitrite": ("nitrite", 1.0, "mg/L as N"),
    "nitrate": ("nitrate", 1.0 / NITRATE["mg/lno3"].factor, "mg/L NO3"),
    "ph": ("pH", 1.0, ""),
    "kh": ("KH", 1.0 / HARDNESS_UNITS["°dH"], "dKH"),
}


@dataclass(frozen=True, kw_only=True)
class Part:
    """One heading of the page with its lines."""

    title: str
    lines: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class VetPage:
    """The history of one animal on one page."""

    title: str
    day: date
    parts: tuple[Part, ...]
    caution: str = OWN_NOTES


def vet_page(tank: Tank, events: Sequence[Event], turtle: Turtle, curve: Curve | None, today: date) -> VetPage:
    """Return the page; a heading without anything to say is said to be empty, never left out."""
    since = today - timedelta(weeks=WEEKS)
    late = [e for e in events if tank.local_date(e.time) >= since]
    parts = (
        Part(title="Animal", lines=_animal(turtle, record_of(turtle), today)),
        Part(title="Signs, in the keeper's words", lines=_signs(tank, events, turtle)),
        Part(title="Mass and shell length", lines=_sizes(tank, events, turtle, curve)),
        Part(title=f"Food of the last {WEEKS} weeks", lines=_food(late)),
        Part(title=f"Readings of the last {WEEKS} weeks", lines=_readings(tank, late)),
        Part(title="Lamps and water", lines=_surroundings(tank, late, today)),
        Part(title="Winter rests, company, what was put into the water", lines=_else(tank, events, turtle)),
    )
    return VetPage(title=f"{turtle.id}, {tank.name}", day=today, parts=parts)


def _animal(turtle: Turtle, record: Animal | None, today: date) -> tuple[str, ...]:
    kind = f"{record.scientific} ({record.name})" if record is not None else turtle.species or "kind not known"
    age = "hatching day not known"
    if turtle.hatched is not None:
        age = f"hatched {date_words(turtle.hatched)}, {(today - turtle.hatched).days / 365.25:.1f} years"
    seen = "" if turtle.vet_checked is None else f"last seen by a vet on {date_words(turtle.vet_checked)}"
    return tuple(each for each in (f"{kind}, {turtle.sex or 'sex not known'}", age, seen) if each)


def _signs(tank: Tank, events: Sequence[Event], turtle: Turtle) -> tuple[str, ...]:
    noted = [
        f"{date_words(tank.local_date(e.time))}: {e.note}"
        for e in events if isinstance(e, Sign) and e.animal == turtle.id
    ]  # fmt: skip
    return tuple(reversed(noted[-MOST_NOTES:])) or ("none written down",)


def _sizes(tank: Tank, events: Sequence[Event], turtle: Turtle, curve: Curve | None) -> tuple[str, ...]:
    masses, measured = weighings(tank, events, turtle), lengths(tank, events, turtle)
    lines: list[str] = []
    if masses:
        shown = "; ".join(f"{day:%Y-%m-%d} {amount_g(grams)}" for day, grams in masses[-MOST_MASSES:])
        change = f", {100 * (masses[-1][1] / masses[0][1] - 1):+.1f} % since {masses[0][0]:%Y-%m-%d}"
        lines.append(f"mass: {shown}{change if len(masses) > 1 else ''}")
    if measured:
        shown = "; ".join(f"{day:%Y-%m-%d} {cm:.1f} cm" for day, cm in measured[-MOST_MASSES:])
        lines.append(f"straight shell length: {shown}")
    if curve is not None and curve.coefficient.p50 is not None:
        usual = 100 * curve.coefficient.p50 / curve.prior.coefficient
        lines.append(f"mass over length cubed: {curve.coefficient.p50:.3f} g/cm³, {usual:.0f} % of the usual kind")
    return tuple(lines) or ("never weighed or measured",)


def _food(late: Sequence[Event]) -> tuple[str, ...]:
    grams: dict[str, float] = defaultdict(float)
    for event in late:
        if isinstance(event, Feed):
            grams[event.food] += event.grams
    most = sorted(grams.items(), key=lambda each: -each[1])[:MOST_FOODS]
    return tuple(f"{food}: {amount(total / WEEKS, 'g a week')}" for food, total in most) or ("none written down",)


def _readings(tank: Tank, late: Sequence[Event]) -> tuple[str, ...]:
    lines: list[str] = []
    for quantity, (name, factor, unit) in SHOWN.items():
        taken = [e for e in late if isinstance(e, Reading) and e.quantity == quantity]
        if taken:
            values = [e.value * factor for e in taken]
            last = taken[-1].written if taken[-1].below and taken[-1].written else f"{values[-1]:.3g} {unit}".strip()
            span = f"; {min(values):.3g} to {max(values):.3g} {unit}".rstrip() if len(values) > 1 else ""
            lines.append(
                f"{name}: last {last} on {tank.local_date(taken[-1].time):%Y-%m-%d}{span} ({len(values)} in all)"
            )
        elif quantity in ("temperature", "surface_temperature", "uvi"):
            lines.append(f"{name}: not measured")
    return tuple(lines)


def _surroundings(tank: Tank, late: Sequence[Event], today: date) -> tuple[str, ...]:
    lines = []
    for lamp in tank.lamps:
        known = lamps().get(lamp.lamp_class or "")
        kind = known.name if known is not None else lamp.lamp_class or "class not known"
        age = "" if lamp.fitted is None else f", fitted {date_words(lamp.fitted)} ({(today - lamp.fitted).days} days)"
        hours = "" if lamp.hours is None else f", {lamp.hours:g} h a day"
        lines.append(f"lamp, {lamp.use}: {kind}{hours}{age}")
    litres = tank.water_litres
    changes = [e for e in late if isinstance(e, Change)]
    water = "water: volume not known" if litres is None else f"water: {number(litres)} L"
    return (*lines, f"{water}, {len(changes)} changes in {WEEKS} weeks")


def _else(tank: Tank, events: Sequence[Event], turtle: Turtle) -> tuple[str, ...]:
    lines: list[str] = []
    for event in events:
        day = date_words(tank.local_date(event.time))
        match event:
            case Rest(animal=turtle.id):
                lines.append(f"{day}: winter rest began")
            case Wake(animal=turtle.id):
                lines.append(f"{day}: winter rest ended")
            case AnimalIn(what=what, count=count):
                lines.append(f"{day}: {count} {what} came in")
            case AnimalOut(what=what, count=count):
                lines.append(f"{day}: {count} {what} left or died")
            case Dose(substance=substance, amount=much, unit=unit):
                lines.append(f"{day}: {number(much)} {unit} {substance} into the water")
    return tuple(reversed(lines[-MOST_NOTES:])) or ("none written down",)
