"""What stands in the log, in a keeper's words, and what this keeper usually writes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache

from lentic.catalogue import Record, resolve
from lentic.logbook.amounts import plain
from lentic.logbook.events import (
    AnimalIn,
    AnimalOut,
    Change,
    Dose,
    Event,
    Feed,
    Flow,
    Lamp,
    Leftovers,
    Look,
    LostPlant,
    Measure,
    Planted,
    Power,
    Reading,
    Refused,
    Rinse,
    Scrape,
    Sign,
    Siphon,
    Thin,
    TopUp,
    Void,
    Weigh,
)
from lentic.logbook.tank import Tank

KIND_WORDS = {
    "feed": "Fed", "leftovers": "Leftovers", "reading": "Readings", "look": "Algae looked at", "scrape": "Scraped",
    "change": "Water changes", "top_up": "Topped up", "siphon": "Siphoned", "thin": "Thinned", "plant": "Planted",
    "lost_plant": "Plants lost", "rinse": "Rinsed", "lamp": "Lamp hours", "power": "Power", "flow": "Flow",
    "weigh": "Weighed", "measure": "Measured", "dose": "Dosed", "animal_in": "Moved in", "animal_out": "Moved out",
    "sign": "Signs", "void": "Taken back", "refused": "Not read",
}  # fmt: skip
"""Kinds of lines as a keeper would call them."""
QUANTITY_WORDS = {
    "kh": "KH", "gh": "GH", "ph": "pH", "uvi": "UV index", "ppfd": "plant light",
    "oxygen_saturation": "oxygen saturation", "carbon_dioxide": "carbon dioxide", "room_co2": "CO2 of the room",
}  # fmt: skip
LAMP_WORDS = {
    "plants": "Plant lamp", "basking": "Basking lamp", "uvb": "UVB lamp", "basking_uvb": "Basking lamp with UVB",
    "room": "Room lamp",
}  # fmt: skip


@cache
def thing(kind: str, name: str) -> str:
    """Return the name under which a keeper knows a food or plant; what the catalogue lacks keeps its own name."""
    found = resolve(kind, name)
    return found.name if isinstance(found, Record) else name.replace("_", " ")


def quantity_words(quantity: str) -> str:
    """Return what a reading is of."""
    for place, words in (("tap_", " of the tap"), ("room_", " of the room"), ("surface_", " of the basking place")):
        rest = quantity.removeprefix(place)
        if rest != quantity and quantity not in QUANTITY_WORDS:
            return QUANTITY_WORDS.get(rest, rest.replace("_", " ")) + words
    return QUANTITY_WORDS.get(quantity, quantity.replace("_", " "))


def in_words(event: Event) -> str:
    """Return one entry of the log as a sentence without its note and time."""
    if isinstance(event, Void):
        return f"Taken back: {KIND_WORDS.get(event.of_kind, event.of_kind).lower()}"
    if isinstance(event, Refused):
        return event.text
    return _WORDS[type(event)](event)


def _named(name: str) -> str:
    return name if name[1:2].isupper() else name[:1].upper() + name[1:]


def _feed(event: Feed) -> str:
    summed = ", a sum of several days" if event.spread else ""
    return f"Fed {plain(event.grams)} g {thing('food', event.food)}{summed}"


def _leftovers(event: Leftovers) -> str:
    much = f"{plain(event.grams)} g" if event.grams is not None else f"{100 * (event.fraction or 0):.0f} %"
    return f"Took out leftovers: {much} {thing('food', event.food)}"


def _reading(event: Reading) -> str:
    sign = "above " if event.above else "below " if event.below and event.value else ""
    written = event.written.lstrip("<>≤≥") or f"{plain(event.value)} {event.unit}".strip()
    if event.below and not event.value:
        return f"{_named(quantity_words(event.quantity))}: nothing to see on the kit ({written})"
    return f"{_named(quantity_words(event.quantity))}: {sign}{written}"


def _scrape(event: Scrape) -> str:
    seen = "" if event.grade is None else f", grade {plain(event.grade)} before"
    return f"Scraped the {event.where}{seen}"


def _change(event: Change) -> str:
    much = f"{plain(event.litres)} L" if event.litres is not None else f"{plain(event.percent or 0.0)} %"
    return f"Changed {much} of water"


def _top_up(event: TopUp) -> str:
    water = "demineralised water" if event.water == "demineralised" else "source water"
    return f"Topped up {plain(event.litres)} L of {water}"


def _siphon(event: Siphon) -> str:
    return "Siphoned" + ("" if event.fraction is None else f", {100 * event.fraction:.0f} % of the dirt")


def _rinse(event: Rinse) -> str:
    what = {"half": "half of the filter media", "all": "all filter media", "floss": "the floss"}[event.extent]
    return f"Rinsed {what}" + ("" if event.water is None else f" in {event.water} water")


def _moved(event: AnimalIn | AnimalOut) -> str:
    way = "in" if isinstance(event, AnimalIn) else "out"
    each = "" if event.mass_g is None else f", {plain(event.mass_g)} g each"
    return f"Moved {way}: {event.count} {thing('animal', event.what)}{each}"


_WORDS: dict[type[Event], Callable[..., str]] = {
    Feed: _feed,
    Leftovers: _leftovers,
    Reading: _reading,
    Look: lambda e: f"Looked at the {e.where}: grade {plain(e.grade)}",
    Scrape: _scrape,
    Change: _change,
    TopUp: _top_up,
    Siphon: _siphon,
    Thin: lambda e: f"Thinned {plain(e.grams)} g {thing('plant', e.species)}",
    Planted: lambda e: f"Planted {plain(e.grams)} g {thing('plant', e.species)}",
    LostPlant: lambda e: f"Took out {plain(e.grams)} g dead {thing('plant', e.species)}",
    Rinse: _rinse,
    Lamp: lambda e: f"{LAMP_WORDS.get(e.use, e.use)}: {plain(e.hours)} h a day from now on",
    Power: lambda e: "Power is back" if e.on else "Power went off",
    Flow: lambda e: f"Filter flow: {plain(e.litres_per_hour)} L/h",
    Weigh: lambda e: f"{_named(e.animal)} weighs {plain(e.grams)} g",
    Measure: lambda e: f"{_named(e.animal)} measures {plain(e.centimetres)} cm",
    Dose: lambda e: f"Dosed {plain(e.amount)} {e.unit} {e.substance.replace('_', ' ')}",
    AnimalIn: _moved,
    AnimalOut: _moved,
    Sign: lambda e: f"Sign of {_named(e.animal)}",
}


@dataclass(frozen=True, kw_only=True)
class Usual:
    """A thing this keeper does often: what a button says, the line it writes, and the form for another amount."""

    kind: str
    label: str
    amount: str
    line: str | None
    """None where nothing of the kind was written yet or where it takes a number each time."""


_BUTTONS = (
    ("feed", "Fed"), ("change", "Changed"), ("top_up", "Topped up"), ("siphon", "Siphoned"), ("scrape", "Scraped"),
    ("thin", "Thinned"), ("reading", "Reading"), ("weigh", "Weighed"),
)  # fmt: skip


def usual(tank: Tank, events: Sequence[Event]) -> tuple[Usual, ...]:
    """Return eight buttons with this keeper's last amounts; events without voids, oldest first."""
    last = {event.kind: event for event in events}
    return tuple(_usual(kind, label, last.get(kind), tank) for kind, label in _BUTTONS)


def _usual(kind: str, label: str, event: Event | None, tank: Tank) -> Usual:
    amount, line = "", None
    match event:
        case Feed():
            amount = f"{plain(event.grams)} g {thing('food', event.food)}"
            line = f"feed {plain(event.grams)} g {event.food}"
        case Change(litres=float(much)):
            amount, line = f"{plain(much)} L", f"change {plain(much)} L"
        case Change(percent=float(share)):
            amount, line = f"{plain(share)} %", f"change {plain(share)} %"
        case TopUp():
            amount, line = f"{plain(event.litres)} L", f"top up {plain(event.litres)} L {event.water}"
        case Thin():
            amount = f"{plain(event.grams)} g {thing('plant', event.species)}"
            line = f"thin {plain(event.grams)} g {event.species}"
        case _ if kind == "siphon":
            line = "siphon"
        case _ if kind == "scrape":
            amount, line = "the panes", "scrape panes"
    return Usual(kind=kind, label=label, amount=amount, line=line)


def usual_readings(events: Sequence[Event]) -> tuple[tuple[str, str, str], ...]:
    """Return quantity, own kit's unit and last number of what this keeper reads off, the most frequent first."""
    count: dict[str, int] = {}
    last: dict[str, Reading] = {}
    for event in events:
        if isinstance(event, Reading):
            count[event.quantity] = count.get(event.quantity, 0) + 1
            last[event.quantity] = event
    found = []
    for quantity in sorted(count, key=lambda q: -count[q]):
        number, _, unit = last[quantity].written.lstrip("<>≤≥").partition(" ")
        found.append((quantity, unit, number))
    return tuple(found)


def usual_foods(tank: Tank, events: Sequence[Event]) -> tuple[tuple[str, float | None], ...]:
    """Return the foods this keeper gives with the last grams of each, the last first; then those of the packets."""
    last: dict[str, float | None] = {}
    for event in reversed(events):
        if isinstance(event, Feed) and event.food not in last:
            last[event.food] = event.grams
    for packet in tank.foods:
        last.setdefault(packet.id, None)
    return tuple(last.items())
