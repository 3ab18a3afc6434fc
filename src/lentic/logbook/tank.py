"""What a tank is: glass, room, tap, filter, lamps, animals, plants, food; None is unknown, never zero."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from math import sqrt
from zoneinfo import ZoneInfo

from lentic.logbook.events import Event
from lentic.logbook.told import Told
from lentic.logbook.units import NITRATE, PHOSPHATE
from lentic.science import volume
from lentic.science.arrays import Array
from lentic.science.hardness import HARDNESS_UNITS

CM_PER_M = 100.0


def _tub(length: float, depth: float, width: float, bottom_length: float, bottom_width: float) -> Array:
    middle = (length + bottom_length) * (width + bottom_width) / 4.0
    return volume.sloping_tub(bottom_length * bottom_width, middle, length * width, depth)


_SHAPES: Mapping[str, Callable[..., Array]] = {
    "rectangle": lambda length, depth, width: volume.rectangle(length, width, depth),
    "bow_front": lambda length, depth, width, bow: volume.bow_front(length, width, bow, depth),
    "hexagon": volume.hexagon,
    "cylinder": volume.cylinder,
    "quarter": volume.quarter_cylinder,
    "tub": _tub,
}
SHAPES = tuple(_SHAPES)
"""Shapes of a tank. `length_cm` is the side of a hexagon, the diameter of a cylinder, the radius of a quarter, and the
length of a tub at the water line."""


@dataclass(frozen=True, kw_only=True)
class Glass:
    """The vessel: inner measures, what displaces water, what was measured by bucket."""

    pane: str | None = None
    length_cm: float | None = None
    width_cm: float | None = None
    water_depth_cm: float | None = None
    height_cm: float | None = None
    pane_mm: float | None = None
    braced: bool | None = None
    solids_l: float | None = None
    water_l: float | None = None
    lid_open_fraction: float | None = None
    shape: str | None = None
    bow_cm: float | None = None
    bottom_length_cm: float | None = None
    bottom_width_cm: float | None = None

    @property
    def is_box(self) -> bool:
        """Whether the inside is a rectangular box; taken so where no shape is given."""
        return self.shape in (None, "rectangle")

    @property
    def sides_cm(self) -> tuple[float, float] | None:
        """The way across inside, long and wide, whatever the shape; None if a measure is missing. [cm]"""
        long = self.length_cm
        if long is None:
            return None
        if self.shape in ("cylinder", "quarter"):
            return long, long
        if self.shape == "hexagon":
            return 2.0 * long, sqrt(3.0) * long
        return None if self.width_cm is None else (long, self.width_cm)

    @property
    def filled_litres(self) -> float | None:
        """What the inner measures hold up to the water line; None if one that the shape needs is missing."""
        parts = [self.length_cm, self.water_depth_cm, *self._further()]
        known = [each / CM_PER_M for each in parts if each is not None]
        if len(known) < len(parts):
            return None
        length, depth, *rest = known
        return float(_SHAPES[self.shape or "rectangle"](length, depth, *rest))

    def _further(self) -> list[float | None]:
        """Measures a shape needs besides its length and the depth of the water."""
        match self.shape:
            case None | "rectangle":
                return [self.width_cm]
            case "bow_front":
                return [self.width_cm, self.bow_cm]
            case "tub":
                return [self.width_cm, self.bottom_length_cm, self.bottom_width_cm]
            case _:
                return []


@dataclass(frozen=True, kw_only=True)
class Room:
    """The air around the tank."""

    temperature_c: float | None = None
    relative_humidity: float | None = None
    co2_ppm: float | None = None
    window_sun_h: float | None = None


@dataclass(frozen=True, kw_only=True)
class SourceWater:
    """The tap as the keeper described it, in the kit's units; the properties give the units used inside."""

    ph: float | None = None
    kh_dkh: float | None = None
    gh_dgh: float | None = None
    no3_mg_l: float | None = None
    po4_mg_l: float | None = None
    tan_mgn_l: float | None = None
    chlorine_mg_l: float | None = None
    chloramine_mg_l: float | None = None
    temperature_c: float | None = None

    @property
    def nitrate_mgn_l(self) -> float | None:
        """Nitrate as N. [mg/L]"""
        return None if self.no3_mg_l is None else NITRATE["mg/lno3"].convert(self.no3_mg_l)

    @property
    def phosphate_mgp_l(self) -> float | None:
        """Phosphate as P. [mg/L]"""
        return None if self.po4_mg_l is None else PHOSPHATE["mg/lpo4"].convert(self.po4_mg_l)

    @property
    def alkalinity_meq_l(self) -> float | None:
        """Carbonate hardness as alkalinity. [meq/L]"""
        return None if self.kh_dkh is None else self.kh_dkh * HARDNESS_UNITS["°dH"]

    @property
    def hardness_meq_l(self) -> float | None:
        """Total hardness, calcium and magnesium. [meq/L]"""
        return None if self.gh_dgh is None else self.gh_dgh * HARDNESS_UNITS["°dH"]


@dataclass(frozen=True, kw_only=True)
class Filter:
    """The filter: kind, media and measured flow."""

    type: str | None = None
    media_l: float | None = None
    medium: str | None = None
    flow_l_h: float | None = None


@dataclass(frozen=True, kw_only=True)
class Heater:
    """The heater and what it is set to."""

    watts: float | None = None
    set_c: float | None = None


@dataclass(frozen=True, kw_only=True)
class Turtle:
    """One turtle, on the day the description stands for."""

    id: str
    species: str | None = None
    sex: str | None = None
    mass_g: float | None = None
    scl_cm: float | None = None
    hatched: date | None = None
    shell_width_cm: float | None = None
    shell_height_cm: float | None = None
    vet_checked: date | None = None


@dataclass(frozen=True, kw_only=True)
class Fish:
    """A kind of fish or other tankmate; the mass is that of each."""

    species: str
    count: int | None = None
    mass_g: float | None = None


@dataclass(frozen=True, kw_only=True)
class Plant:
    """A plant and its wet mass, shaken dry; the dry share of the wet mass if the keeper dried some."""

    species: str
    wet_g: float | None = None
    dry_fraction: float | None = None


@dataclass(frozen=True, kw_only=True)
class Fixture:
    """A lamp over the tank; `on` is the local time it is switched on, 09:00 if not given.

    `height_cm` is the height over the water or, of a lamp for the animal, over the basking place; `shell_cm` the
    distance to the back of the animal there; `through` what the light passes on its way.
    """

    use: str
    lamp_class: str | None = None
    watts: float | None = None
    height_cm: float | None = None
    ppfd: float | None = None
    hours: float | None = None
    on: time = time(9, 0)
    fitted: date | None = None
    shell_cm: float | None = None
    through: str | None = None
    mesh_wire_mm: float | None = None
    mesh_pitch_mm: float | None = None
    length_cm: float | None = None
    width_cm: float | None = None
    circuit: str | None = None
    fixings: int | None = None
    guarded: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Home:
    """What stands around and in the tank besides water: footholds, gaps, stand, floor, sockets, seams."""

    rim_above_foothold_cm: float | None = None
    gap_cm: float | None = None
    grain_mm: float | None = None
    ramp_deg: float | None = None
    ramp_rough: bool | None = None
    platform_carries_g: float | None = None
    platform_tips: bool | None = None
    climbing_path: bool | None = None
    nest_box: bool | None = None
    seams_made: date | None = None
    seams_peel: bool | None = None
    edge_chipped: bool | None = None
    stand_kg: float | None = None
    stand_length_cm: float | None = None
    stand_width_cm: float | None = None
    stand_slope_mm_m: float | None = None
    storey: int | None = None
    breaker_ma: float | None = None
    breaker_tested: date | None = None
    drip_loops: bool | None = None
    sockets_above_rim: bool | None = None
    vulnerable_person: bool | None = None


@dataclass(frozen=True, kw_only=True)
class Packet:
    """A food the keeper describes from its label, fractions as fed; `scoop_g` is what the keeper's scoop of it weighs.

    Under the name of a food of the catalogue, what is left out is taken from there.
    """

    id: str
    protein: float | None = None
    fat: float | None = None
    ash: float | None = None
    water: float | None = None
    fibre: float | None = None
    phosphorus: float | None = None
    calcium: float | None = None
    kcal_100g: float | None = None
    scoop_g: float | None = None


@dataclass(frozen=True, kw_only=True)
class Tank:
    """A tank as it was on `as_of`, or on the first day of its log where `as_of` is None."""

    name: str
    timezone: str | None = None
    country: str | None = None
    latitude: float | None = None
    as_of: date | None = None
    glass: Glass = field(default_factory=Glass)
    room: Room = field(default_factory=Room)
    home: Home = field(default_factory=Home)
    source_water: SourceWater = field(default_factory=SourceWater)
    filter: Filter | None = None
    heater: Heater | None = None
    turtles: tuple[Turtle, ...] = ()
    fish: tuple[Fish, ...] = ()
    plants: tuple[Plant, ...] = ()
    lamps: tuple[Fixture, ...] = ()
    foods: tuple[Packet, ...] = ()
    facts: tuple[Told, ...] = ()

    @property
    def zone(self) -> ZoneInfo:
        """The tank's time zone; UTC where none is given."""
        return ZoneInfo(self.timezone or "UTC")

    @property
    def measured_litres(self) -> float | None:
        """The inside up to the water line, without what displaces water; None if a measure is missing."""
        box = self.glass.filled_litres
        return None if box is None else max(box - (self.glass.solids_l or 0.0), 0.0) or None

    @property
    def water_litres(self) -> float | None:
        """Litres of real water: measured by bucket, else from the measures, else None."""
        return self.glass.water_l if self.glass.water_l is not None else self.measured_litres

    def local_date(self, moment: datetime) -> date:
        """Return the calendar day at the tank."""
        return moment.astimezone(self.zone).date()

    def local_time(self, moment: datetime) -> datetime:
        """Return the moment on the tank's own clock."""
        return moment.astimezone(self.zone)

    def utc(self, day: date, clock: time = time(12, 0)) -> datetime:
        """Return the UTC moment of a local day and clock time; a skipped hour counts on from before it."""
        return datetime.combine(day, clock.replace(tzinfo=None), tzinfo=self.zone).astimezone(UTC)


def described_on(tank: Tank, events: Iterable[Event]) -> date | None:
    """Return the day the description stands for: `as_of`, else the first day of the log, else None."""
    if tank.as_of is not None:
        return tank.as_of
    first = min((event.time for event in events), default=None)
    return None if first is None else tank.local_date(first)
