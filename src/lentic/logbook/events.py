"""What happened at a tank: one frozen record for each kind of line a keeper can write."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, ClassVar, Literal


@dataclass(frozen=True, kw_only=True)
class Event:
    """Something that happened; `time` is aware UTC, `line` where it stood in its file (not compared)."""

    kind: ClassVar[str] = ""
    time: datetime
    note: str = ""
    line: int | None = field(default=None, compare=False)


@dataclass(frozen=True, kw_only=True)
class Feed(Event):
    """Food given, as fed; `spread` means the grams are a sum since the feed of that food before."""

    kind: ClassVar[str] = "feed"
    food: str
    grams: float
    spread: bool = False


@dataclass(frozen=True, kw_only=True)
class Leftovers(Event):
    """Food taken out again, in grams or as a fraction of the feed; one of the two is known."""

    kind: ClassVar[str] = "leftovers"
    food: str
    grams: float | None = None
    fraction: float | None = None


@dataclass(frozen=True, kw_only=True)
class Reading(Event):
    """A test or a meter, in the unit used inside; `below` and `above` say the truth lies beyond `value`.

    A plain 0 of a colour kit has value 0 and `below` set: less than the first step, whatever that is.
    """

    kind: ClassVar[str] = "reading"
    quantity: str
    value: float
    unit: str
    below: bool = False
    above: bool = False
    written: str = ""


@dataclass(frozen=True, kw_only=True)
class Look(Event):
    """Algae seen, grade 0 (clean) to 4 (mat); nothing was taken off."""

    kind: ClassVar[str] = "look"
    where: str
    grade: float


@dataclass(frozen=True, kw_only=True)
class Scrape(Event):
    """Algae taken off; the grade is that before scraping, None if not looked at."""

    kind: ClassVar[str] = "scrape"
    where: str = "panes"
    grade: float | None = None


@dataclass(frozen=True, kw_only=True)
class Change(Event):
    """Water taken out and replaced with prepared source water, in litres or percent of the real water."""

    kind: ClassVar[str] = "change"
    litres: float | None = None
    percent: float | None = None

    def litres_of(self, water_l: float | None) -> float | None:
        """Return how much it was of so much real water; None where that is unknown and only a share was written."""
        if self.litres is not None or self.percent is None or not water_l:
            return self.litres
        return self.percent / 100.0 * water_l

    def share_of(self, water_l: float | None) -> float | None:
        """Return which share of so much real water it was; None where that cannot be known."""
        if self.litres is None:
            return None if self.percent is None else self.percent / 100.0
        return self.litres / water_l if water_l else None


@dataclass(frozen=True, kw_only=True)
class TopUp(Event):
    """Evaporation replaced."""

    kind: ClassVar[str] = "top_up"
    water: Literal["source", "demineralised"] = "source"
    litres: float


@dataclass(frozen=True, kw_only=True)
class Siphon(Event):
    """Dirt taken out with the water; the share of the lying dirt, None if not estimated."""

    kind: ClassVar[str] = "siphon"
    fraction: float | None = None


@dataclass(frozen=True, kw_only=True)
class Thin(Event):
    """Plant taken out, wet grams."""

    kind: ClassVar[str] = "thin"
    species: str
    grams: float


@dataclass(frozen=True, kw_only=True)
class Planted(Event):
    """Plant put in, wet grams."""

    kind: ClassVar[str] = "plant"
    species: str
    grams: float


@dataclass(frozen=True, kw_only=True)
class LostPlant(Event):
    """Plant found dead and removed, wet grams."""

    kind: ClassVar[str] = "lost_plant"
    species: str
    grams: float


@dataclass(frozen=True, kw_only=True)
class Rinse(Event):
    """Filter media rinsed; `water` None means the keeper did not say which (tank water is then assumed)."""

    kind: ClassVar[str] = "rinse"
    extent: Literal["half", "all", "floss"]
    water: Literal["tank", "tap"] | None = None


@dataclass(frozen=True, kw_only=True)
class Lamp(Event):
    """New daily hours of a lamp from now on; a new bulb stands in the note."""

    kind: ClassVar[str] = "lamp"
    use: str
    hours: float


@dataclass(frozen=True, kw_only=True)
class Power(Event):
    """Filter and heater lost their power, or have it back."""

    kind: ClassVar[str] = "power"
    on: bool


@dataclass(frozen=True, kw_only=True)
class Flow(Event):
    """Filter flow measured at the outlet."""

    kind: ClassVar[str] = "flow"
    litres_per_hour: float


@dataclass(frozen=True, kw_only=True)
class Weigh(Event):
    """An animal on the scale."""

    kind: ClassVar[str] = "weigh"
    animal: str
    grams: float


@dataclass(frozen=True, kw_only=True)
class Measure(Event):
    """Straight carapace length."""

    kind: ClassVar[str] = "measure"
    animal: str
    centimetres: float


@dataclass(frozen=True, kw_only=True)
class Dose(Event):
    """Something put into the tank or the new water; unit `g` or `mL`."""

    kind: ClassVar[str] = "dose"
    substance: str
    amount: float
    unit: Literal["g", "mL"]


@dataclass(frozen=True, kw_only=True)
class AnimalIn(Event):
    """Animals that moved in; the mass is that of each, if the note gives one."""

    kind: ClassVar[str] = "animal_in"
    what: str
    count: int
    mass_g: float | None = None


@dataclass(frozen=True, kw_only=True)
class AnimalOut(Event):
    """Animals that left or were found dead; the mass is that of each, if the note gives one."""

    kind: ClassVar[str] = "animal_out"
    what: str
    count: int
    mass_g: float | None = None


@dataclass(frozen=True, kw_only=True)
class Sign(Event):
    """A health sign of a turtle, in the keeper's words in the note."""

    kind: ClassVar[str] = "sign"
    animal: str


@dataclass(frozen=True, kw_only=True)
class Rest(Event):
    """A turtle went into its winter rest; the temperature is that of its place, None if not said."""

    kind: ClassVar[str] = "rest"
    animal: str
    celsius: float | None = None


@dataclass(frozen=True, kw_only=True)
class Wake(Event):
    """The winter rest of a turtle ended."""

    kind: ClassVar[str] = "wake"
    animal: str


@dataclass(frozen=True, kw_only=True)
class Overrule(Event):
    """A hazard rule the keeper goes against, with the reason in the note; the only way past a STOP."""

    kind: ClassVar[str] = "overrule"
    rule: str


@dataclass(frozen=True, kw_only=True)
class Void(Event):
    """A correction: the line of that time and kind (and what, where two would fit) is taken back."""

    kind: ClassVar[str] = "void"
    of_time: datetime
    of_kind: str
    of_what: str | None = None


@dataclass(frozen=True, kw_only=True)
class Refused(Event):
    """A line that could not be read, kept as it was written; the time is the nearest that is known."""

    kind: ClassVar[str] = "refused"
    text: str


EVENTS: dict[str, type[Event]] = {
    each.kind: each
    for each in (
        Feed, Leftovers, Reading, Look, Scrape, Change, TopUp, Siphon, Thin, Planted, LostPlant, Rinse, Lamp,
        Power, Flow, Weigh, Measure, Dose, AnimalIn, AnimalOut, Sign, Rest, Wake, Overrule, Void,
        Refused,
    )
}  # fmt: skip
KINDS: tuple[str, ...] = tuple(kind for kind in EVENTS if kind != "refused")
"""The kinds a keeper may write."""

_WHAT = {
    "feed": "food", "leftovers": "food", "reading": "quantity", "look": "where", "scrape": "where",
    "top_up": "water",
    "thin": "species", "plant": "species", "lost_plant": "species", "rinse": "extent", "lamp": "use",
    "weigh": "animal", "measure": "animal", "dose": "substance", "animal_in": "what", "animal_out": "what",
    "sign": "animal", "rest": "animal", "wake": "animal", "overrule": "rule",
}  # fmt: skip


def what_of(event: Event) -> str:
    """Return what the `what` column of this event says; empty for kinds that have none."""
    if isinstance(event, Power):
        return "on" if event.on else "off"
    name = _WHAT.get(event.kind)
    return str(getattr(event, name)) if name else ""


def body_of(event: Event) -> dict[str, Any]:
    """Return the fields that belong to the kind itself, ready for JSON."""
    shared = {"time", "note", "line"}
    body = {
        each.name: getattr(event, each.name) for each in dataclasses.fields(event) if each.name not in shared
    }
    if isinstance(event, Void):
        body["of_time"] = event.of_time.isoformat()
    return body


def event_from(kind: str, time: datetime, note: str, body: dict[str, Any], line: int | None = None) -> Event:
    """Build the event of a kind again from what `body_of` gave."""
    fields = dict(body)
    if kind == Void.kind:
        fields["of_time"] = datetime.fromisoformat(fields["of_time"])
    return EVENTS[kind](time=time, note=note, line=line, **fields)


def void_target(void: Void, events: Iterable[Event]) -> list[int]:
    """Return the places of the events a void could mean; the last of them is the one it takes back."""
    fits = []
    for place, event in enumerate(events):
        at = event.time == void.of_time or event.time.replace(second=0, microsecond=0) == void.of_time
        if at and event is not void and event.kind == void.of_kind:
            fits.append(place)
    if void.of_what is None:
        return fits
    return [
        place for place, event in zip(fits, _at(events, fits), strict=True) if what_of(event) == void.of_what
    ]


def _at(events: Iterable[Event], places: list[int]) -> list[Event]:
    listed = list(events)
    return [listed[place] for place in places]


def is_ambiguous(void: Void, fits: Iterable[Event]) -> bool:
    """Tell whether a void that names no `what` fits lines of different `what`; it then takes nothing back."""
    return void.of_what is None and len({what_of(event) for event in fits}) > 1


def without_voided(events: Iterable[Event]) -> tuple[Event, ...]:
    """Return the events that still stand, without voids and without what they take back."""
    listed = list(events)
    gone: set[int] = set()
    for place in range(len(listed) - 1, -1, -1):
        void = listed[place]
        if not isinstance(void, Void) or place in gone:
            continue
        fits = [fit for fit in void_target(void, listed) if fit not in gone and fit != place]
        if fits and not is_ambiguous(void, (listed[fit] for fit in fits)):
            gone.add(fits[-1])
    return tuple(
        event for place, event in enumerate(listed) if place not in gone and not isinstance(event, Void)
    )


def first_step(events: Iterable[Event], quantity: str) -> float | None:
    """Return the smallest step this keeper's kit has shown for a quantity, in the unit used inside."""
    values = [
        event.value
        for event in events
        if isinstance(event, Reading) and event.quantity == quantity and event.value > 0 and not event.above
    ]
    return min(values, default=None)
