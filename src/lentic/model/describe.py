"""From a tank's description to the numbers of the process table: each with a default for THIS tank and a spread.

A value the keeper gave is centred on and kept narrow, a value nobody gave keeps the width of the trade; which is
which is listed as an assumption.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from lentic.catalogue.names import resolve
from lentic.catalogue.records import Medium
from lentic.catalogue.records import Plant as PlantRecord
from lentic.logbook import own
from lentic.logbook.events import Event, Feed, Leftovers, LostPlant, Planted, Thin, TopUp
from lentic.logbook.tank import Plant, Tank
from lentic.model.jumps import Meal
from lentic.model.keeper_numbers import KEEPER, KITS, START
from lentic.model.parameters import Fixed, LogNormal, Normal, Parameter, default_parameters
from lentic.model.parameters_plants import CLASS_CODES
from lentic.model.parameters_water import fitted_constants
from lentic.science.conductivity import ions_from_hardness
from lentic.science.food import food_carbon, food_oxygen_demand

MIN_SLOTS = 2


@dataclass(frozen=True, kw_only=True)
class Slot:
    """One class of plants of the tank: its species, dry share and wet mass on the first day."""

    code: str
    species: tuple[str, ...]
    dry: float
    wet_g: float


@dataclass(frozen=True, kw_only=True)
class Assumption:
    """A number nobody gave, what it is taken to be and why."""

    what: str
    value: float
    unit: str
    how: str


@dataclass(frozen=True, kw_only=True)
class Description:
    """A tank as the model sees it: parameters with priors, plant slots, meals, what was assumed."""

    tank: Tank
    parameters: Mapping[str, Parameter]
    slots: tuple[Slot, ...]
    plant_slots: int
    meals: Mapping[str, Meal]
    assumptions: tuple[Assumption, ...]

    def slot_of(self, species: str) -> int:
        """Return the slot number (from 1) a species lives in."""
        for number, slot in enumerate(self.slots, start=1):
            if species in slot.species:
                return number
        raise KeyError(species)


class _Notes:
    """Collects what had to be assumed."""

    def __init__(self) -> None:
        self.list: list[Assumption] = []

    def known(self, given: float | None, otherwise: float, what: str, unit: str, how: str) -> float:
        """Return what was given, or note the assumption and return that."""
        if given is not None:
            return given
        self.list.append(Assumption(what=what, value=otherwise, unit=unit, how=how))
        return otherwise


def describe(tank: Tank, events: Sequence[Event], today: date) -> Description:
    """Return a tank's numbers with their spreads.

    Parameters
    ----------
    tank : Tank
        The keeper's description. [-]
    events : Sequence[Event]
        Log and plan; they name further foods and plants. [-]
    today : date
        Day for ages. [-]

    Returns
    -------
    Description
        Parameters with priors, plant slots, meals and assumptions. [-]
    """
    notes = _Notes()
    tank = own.with_readings(tank, events)
    slots = _plant_slots(tank, events, notes)
    plant_slots = max(MIN_SLOTS, len(slots))
    parameters = default_parameters(plant_slots, [slot.code for slot in slots])
    parameters |= {p.name: p for p in (*KEEPER, *KITS, *START)}
    parameters |= {f"dry_{n}": _dry(n, slot.dry) for n, slot in enumerate(slots, start=1)}
    parameters |= {f"clump_{n}": _clump(n, slot.wet_g) for n, slot in enumerate(slots, start=1)}
    changes: dict[str, Parameter] = {}
    for part in (_vessel, _water, _heat, _light, _animals):
        changes |= part(parameters, tank, notes, today)
    changes |= _evaporation(parameters, tank, events, notes)
    names = {e.food for e in events if isinstance(e, Feed | Leftovers)}
    return Description(
        tank=tank,
        parameters=parameters | changes,
        slots=slots,
        plant_slots=plant_slots,
        meals={name: _meal(name, tank, notes) for name in sorted(names)},
        assumptions=tuple(notes.list),
    )


def _dry(slot: int, share: float) -> Parameter:
    return Parameter(
        name=f"dry_{slot}", default=share, unit="g/g", prior=LogNormal(sd=0.15), how="memory",
        meaning=f"plant {slot}: dry mass in the wet mass, shaken off", source="catalogue, dry_fraction",
    )  # fmt: skip


def _clump(slot: int, wet_grams: float) -> Parameter:
    return Parameter(
        name=f"clump_{slot}", default=max(0.9 * wet_grams, 20.0), unit="g", prior=LogNormal(sd=0.3), how="practice",
        meaning=f"plant {slot}: wet mass this keeper thins back to", source="common practice, no source",
    )  # fmt: skip


def _set(
    parameters: Mapping[str, Parameter],
    name: str,
    default: float,
    sd: float | None = None,
    fixed: bool = False,
) -> dict[str, Parameter]:
    """Return one parameter moved to this tank's value, its spread narrowed or kept."""
    base = parameters[name]
    prior = base.prior
    if fixed:
        prior = Fixed()
    elif sd is not None:
        prior = Normal(sd=sd) if isinstance(prior, Normal) else LogNormal(sd=sd)
    return {name: replace(base, default=default, prior=prior)}


def volume_m3(tank: Tank) -> float | None:
    """Return the tank's water, or None where neither litres nor measures were given. [m3]"""
    litres = tank.water_litres
    return None if not litres else litres / 1000.0


def _sides(tank: Tank, volume: float) -> tuple[float, float, float]:
    """Return length, width and depth of the water, estimated from the litres where not measured. [m]"""
    glass = tank.glass
    depth = (glass.water_depth_cm or 0.0) / 100.0 or min(0.6, 0.65 * volume ** (1 / 3))
    if not glass.is_box:  # a square of the same surface
        side = (volume / depth) ** 0.5
        return side, side, depth
    width = (glass.width_cm or 0.0) / 100.0 or (volume / depth / 2.3) ** 0.5
    length = (glass.length_cm or 0.0) / 100.0 or volume / depth / width
    return length, width, depth


def _vessel(parameters: Mapping[str, Parameter], tank: Tank, notes: _Notes, today: date) -> dict[str, Parameter]:
    volume = volume_m3(tank)
    if volume is None:
        volume = (
            notes.known(None, 200.0, "water in the tank", "L", "not given: count the buckets at the next change") / 1e3
        )
    length, width, depth = _sides(tank, volume)
    panes = (length + 2.0 * width) * depth
    decor = 1.25 * (length * width + length * depth)
    measured = tank.glass.water_l is not None
    out = _set(parameters, "full_volume_m3", volume, 0.03 if measured else 0.07)
    out |= _set(parameters, "surface_m2", length * width, fixed=True)
    out |= _set(parameters, "pane_m2", panes, fixed=True)
    out |= _set(parameters, "decor_m2", decor, fixed=True)
    out |= _set(parameters, "bare_m2", panes + decor)
    filter_ = tank.filter
    medium = resolve("medium", (filter_.medium or "") if filter_ else "")
    known = medium.specific_surface if isinstance(medium, Medium) else None
    surface = known.middle if known else 600.0
    litres = notes.known(filter_.media_l if filter_ else None, 4.0, "filter media", "L", "not given")
    out |= _set(parameters, "media_m2", max(0.6, litres * 1e-3 * surface * 0.6))
    flow = notes.known(filter_.flow_l_h if filter_ else None, volume * 2500.0, "filter flow", "L/h", "not given")
    out |= _set(parameters, "filter_flow_m3_d", max(flow, 1.0) * 0.024, 0.15)
    return out


def _water(parameters: Mapping[str, Parameter], tank: Tank, notes: _Notes, today: date) -> dict[str, Parameter]:
    tap = tank.source_water
    out: dict[str, Parameter] = {}
    rows = (
        ("tap_nitrate", tap.nitrate_mgn_l, 1.5, "nitrate of the tap as N", "mg/L N", 0.15, 0.9),
        ("tap_phosphate", tap.phosphate_mgp_l, 0.05, "phosphate of the tap as P", "mg/L P", 0.4, 0.9),
        ("tap_alkalinity", tap.alkalinity_meq_l, 2.0, "KH of the tap", "meq/L", 0.04, 0.5),
        ("tap_ammonium", tap.tan_mgn_l, 0.01, "ammonia of the tap as N", "mg/L N", 0.3, 1.0),
    )
    for name, given, otherwise, what, unit, narrow, wide in rows:
        value = max(notes.known(given, otherwise, what, unit, "not given: test the tap once"), 1e-3)
        sd = wide if given is None else narrow
        out[name] = Parameter(
            name=name, default=value, unit=unit, prior=LogNormal(sd=sd), meaning=what,
            source="the keeper's tap reading" if given is not None else "common practice, no source",
            how="tank" if given is not None else "practice",
        )  # fmt: skip
    hardness = tap.hardness_meq_l
    calcium = 0.375 * hardness if hardness is not None else 0.45 * out["tap_alkalinity"].default
    out |= _set(parameters, "calcium_mmol_l", max(calcium, 0.05), 0.2 if hardness is not None else 0.5)
    alkalinity = out["tap_alkalinity"].default * 1e-3
    total = hardness * 1e-3 if hardness is not None else 1.2 * alkalinity
    ions = ions_from_hardness(max(total, 1e-4), alkalinity, out["tap_nitrate"].default / 14007.0)
    for name, value in fitted_constants(ions, alkalinity, alkalinity).items():
        out |= _set(parameters, name, value, fixed=True)
    co2 = tank.room.co2_ppm
    out |= _set(parameters, "room_co2_atm", (co2 or 800.0) * 1e-6, 0.15 if co2 else 0.3)
    return out


def _heat(parameters: Mapping[str, Parameter], tank: Tank, notes: _Notes, today: date) -> dict[str, Parameter]:
    volume = volume_m3(tank) or 0.2
    heater = tank.heater
    out = _set(parameters, "heat_time_d", 1.07 * (volume / 0.2) ** (1 / 3))
    if heater is None or not heater.watts:
        out |= _set(parameters, "heater_set_c", -20.0, fixed=True)
        return out | _set(parameters, "heater_k_per_d", 1e-3, fixed=True)
    set_c = notes.known(heater.set_c, 25.0, "heater setting", "°C", "not given")
    out["heater_set_c"] = replace(parameters["heater_set_c"], default=set_c, prior=Normal(sd=0.6))
    return out | _set(parameters, "heater_k_per_d", heater.watts * 86.4 / (4182.0 * volume))


def _light(parameters: Mapping[str, Parameter], tank: Tank, notes: _Notes, today: date) -> dict[str, Parameter]:
    lamps = [lamp for lamp in tank.lamps if lamp.use == "plants"]
    surface = 1.0
    volume = volume_m3(tank) or 0.2
    length, width, _ = _sides(tank, volume)
    surface = length * width
    out: dict[str, Parameter] = {}
    measured = [lamp.ppfd for lamp in lamps if lamp.ppfd]
    if measured:
        out |= _set(parameters, "lamp_umol", 0.92 * sum(measured), 0.25)
    elif lamps and any(lamp.watts for lamp in lamps):
        watts = sum(lamp.watts or 0.0 for lamp in lamps)
        # 2 umol a joule of a white LED, of which the larger half reaches the surface; common practice, no source
        light = notes.known(
            None,
            2.0 * 0.6 * watts / surface,
            "plant light at the water",
            "umol/m2/s",
            "from the lamp's watts",
        )
        out |= _set(parameters, "lamp_umol", light, 0.5)
    elif lamps:
        out |= _set(parameters, "lamp_umol", 70.0, 0.6)
    else:
        out |= _set(parameters, "lamp_umol", 1.0, fixed=True)
    return out


def _animals(parameters: Mapping[str, Parameter], tank: Tank, notes: _Notes, today: date) -> dict[str, Parameter]:
    turtle_mass = sum(t.mass_g or 400.0 for t in tank.turtles)
    fish_mass = sum((f.count or 1) * (f.mass_g or 1.0) for f in tank.fish)
    ages = [(today - t.hatched).days / 365.25 for t in tank.turtles if t.hatched]
    age = min(ages, default=6.0)
    keeps = 0.18 if age < 2.0 else 0.10 if age < 5.0 else 0.04
    out = _set(parameters, "turtle_keeps_n", keeps)
    for name in ("turtle_keeps_n", "turtle_keeps_energy"):
        centre = keeps if name == "turtle_keeps_n" else 0.6 * keeps
        out[name] = replace(parameters[name], default=centre, prior=LogNormal(sd=0.5))
    out |= _set(parameters, "herbivory_g_d", max(1e-4, 3e-4 * turtle_mass))
    # A fish eats five times as much for its mass as a turtle; common practice, no source.
    share = 5.0 * fish_mass / (5.0 * fish_mass + turtle_mass) if fish_mass + turtle_mass > 0.0 else 0.0
    out["fish_share"] = Parameter(
        name="fish_share", default=share, unit="-", prior=LogNormal(sd=0.4) if share else Fixed(),
        meaning="share of the food the fish take", source="common practice, no source", how="practice",
    )  # fmt: skip
    return out


def _evaporation(
    parameters: Mapping[str, Parameter], tank: Tank, events: Sequence[Event], notes: _Notes
) -> dict[str, Parameter]:
    tops = sorted((e for e in events if isinstance(e, TopUp)), key=lambda e: e.time)
    if len(tops) >= 4:
        days = (tops[-1].time - tops[0].time).total_seconds() / 86400.0
        if days > 7.0:
            litres = sum(e.litres for e in tops[1:])
            return _set(parameters, "evaporation_m3_d", max(litres / days, 0.05) * 1e-3, 0.2)
    volume = volume_m3(tank) or 0.2
    length, width, _ = _sides(tank, volume)
    lid = tank.glass.lid_open_fraction
    open_share = 0.3 if lid is None else lid
    # 3.7 mm a day from open still water at 25 °C in a 22 °C room (Shah 2014), less under a lid.
    return _set(parameters, "evaporation_m3_d", 3.7e-3 * max(open_share, 0.03) ** 0.5 * length * width, 0.4)


def _plant_slots(tank: Tank, events: Sequence[Event], notes: _Notes) -> tuple[Slot, ...]:
    wet: dict[str, float] = {}
    for plant in tank.plants:
        mass = notes.known(plant.wet_g, 100.0, f"{plant.species} on the first day", "g wet", "not given")
        wet[plant.species] = wet.get(plant.species, 0.0) + mass
    for event in events:
        if isinstance(event, Thin | Planted | LostPlant):
            wet.setdefault(event.species, 0.0)
    groups: dict[str, list[tuple[str, float, float]]] = {}
    for species, grams in wet.items():
        record = resolve("plant", species)
        if isinstance(record, PlantRecord):
            known = own.dry_fraction(tank, species) or record.dry_fraction
            code, dry = CLASS_CODES[record.growth_class], known.middle
        else:
            code, dry = (
                "FS",
                notes.known(None, 0.08, f"dry share of {species}", "g/g", "not in the catalogue"),
            )
        groups.setdefault(code, []).append((species, grams, dry))
    return tuple(_slot(code, members) for code, members in groups.items())


def _slot(code: str, members: Iterable[tuple[str, float, float]]) -> Slot:
    members = list(members)
    total = sum(grams for _, grams, _ in members)
    weights = [grams / total if total > 0.0 else 1.0 / len(members) for _, grams, _ in members]
    dry = sum(weight * share for weight, (_, _, share) in zip(weights, members, strict=True))
    return Slot(code=code, species=tuple(name for name, _, _ in members), dry=dry, wet_g=total)


def _meal(name: str, tank: Tank, notes: _Notes) -> Meal:
    record = own.food(tank, name)
    if record is None or record.protein is None:
        notes.known(None, 0.32, f"protein of {name}", "g/g", "neither in the catalogue nor on a packet: as a pellet")
        return _composed(0.32, 0.06, 0.43, 0.010)
    water = record.water.middle if record.water else 0.10
    protein = record.protein.middle
    fat = record.fat.middle if record.fat else 0.05
    ash = record.ash.middle if record.ash else 0.09 * (1.0 - water)
    rest = record.carbohydrate.middle if record.carbohydrate else max(0.0, 1.0 - water - protein - fat - ash)
    given = record.phosphorus.middle if record.phosphorus else None
    usual = 0.010 * (1.0 - water)
    return _composed(protein, fat, rest, notes.known(given, usual, f"phosphorus of {name}", "g/g", "not given"))


def _composed(protein: float, fat: float, carbohydrate: float, phosphorus: float) -> Meal:
    return Meal(
        cod=float(food_oxygen_demand(protein, fat, carbohydrate)),
        c=float(food_carbon(protein, fat, carbohydrate)),
        n=protein / 6.25,
        p=phosphorus,
    )


def plants_since(tank: Tank, events: Sequence[Event], moment: datetime) -> Tank:
    """Return the tank with its plants as they stood at a later moment, as far as the log tells.

    Parameters
    ----------
    tank : Tank
        The keeper's description of the first day. [-]
    events : Sequence[Event]
        The log. [-]
    moment : datetime
        Aware. [-]

    Returns
    -------
    Tank
        With what was put in added and what was found dead taken off; thinning only takes what had grown. [-]
    """
    wet = {plant.species: plant.wet_g for plant in tank.plants}
    for event in events:
        if event.time >= moment or not isinstance(event, Planted | LostPlant):
            continue
        before = wet.get(event.species) or 0.0
        wet[event.species] = max(0.0, before + (event.grams if isinstance(event, Planted) else -event.grams))
    return replace(tank, plants=tuple(Plant(species=name, wet_g=grams) for name, grams in wet.items()))
