"""Facts from the description of tank, home, tap and devices."""

from __future__ import annotations

from datetime import datetime
from typing import Final

from lentic.advice.heat import heat_lost
from lentic.advice.limits import nitrate_aim
from lentic.advice.pane import factor_of
from lentic.catalogue import Lamp, common, resolve, turtles
from lentic.catalogue.hazards import NOTHING, Known, PartSet
from lentic.catalogue.records import Record
from lentic.logbook.tank import Fixture, Glass, Tank
from lentic.science.constants import MONTH_D, STANDARD_GRAVITY, YEAR_D

FLOOR_KN_M2: Final = 1.5
"""Live load of floors in homes: a builders' text, not the code itself. [kN/m²]"""
GLASS_KG_L: Final = 2.5
"""Density of glass, EN 572-1. [kg/L]"""
HOT: Final = frozenset({"basking", "basking_uvb"})
WARM_WATER_C, ROOM_C = 25.0, 20.0
"""Water and room for the heat the tank loses where nothing is written; common practice, no source. [°C]"""
_PATHS: Final = {"nothing": "open", "glass": "glass", "acrylic": "acrylic", "mesh": "fine_mesh"}
AT_RISK: Final = ("child_under_5", "adult_65_plus", "weak_immunity")
CARRIES: Final = 2.0
"""A basking place should carry so many times the heaviest turtle; common practice, no source. [-]"""
COARSE_MESH_MM: Final = 10.0
"""From this distance of the wires on a mesh is called coarse; common practice, no source. [mm]"""


def known_only(facts: dict[str, Known | None]) -> dict[str, Known]:
    """Leave out what is not known."""
    return {name: value for name, value in facts.items() if value is not None}


def described(tank: Tank, now: datetime) -> dict[str, Known]:
    """Return what the description says of tank, home, tap and devices."""
    return {**_tank(tank), **_home(tank, now), **_tap(tank), **_devices(tank), **_lamps(tank, now)}


def _tank(tank: Tank) -> dict[str, Known]:
    glass, open_share = tank.glass, tank.glass.lid_open_fraction
    lid = None if open_share is None else "open" if open_share >= 1.0 else "vented" if open_share > 0.0 else "closed"
    return known_only(
        {
            "tank.pane": glass.pane,
            "tank.lid": lid,
            "tank.depth_cm": glass.water_depth_cm,
            "tank.dry_months": 0.0 if tank.water_litres else None,
            "tank.safety_factor": safety_factor(glass),
            "tank.floor_area_m2": floor_area(tank),
            "tank.ua_W_per_K": heat_loss_per_degree(tank),
            "tank.direct_sun_h": tank.room.window_sun_h,
            "target.nitrate": nitrate_aim(tank),
            "keeper.country": tank.country,
        }
    )


def safety_factor(glass: Glass) -> float | None:
    """Return the safety factor of the long side pane with the water as described; only for boxes of glass. [-]"""
    if glass.pane != "glass" or glass.braced is None or glass.water_depth_cm is None:
        return None
    found = factor_of(glass, glass.water_depth_cm, glass.braced)
    return None if found is None else found.counts


def floor_area(tank: Tank) -> float | None:
    """Return how much floor would carry the filled tank, glass and stand as far as they are known. [m²]"""
    litres, glass = tank.water_litres, tank.glass
    if litres is None:
        return None
    kilograms = litres + (tank.home.stand_kg or 0.0) + 2.0 * (glass.solids_l or 0.0)
    if None not in (glass.length_cm, glass.width_cm, glass.height_cm, glass.pane_mm):
        length, width, height = glass.length_cm or 0.0, glass.width_cm or 0.0, glass.height_cm or 0.0
        panes = 2.0 * (length + width) * height + length * width
        kilograms += panes * (glass.pane_mm or 0.0) / 10.0 / 1000.0 * GLASS_KG_L
    return kilograms * STANDARD_GRAVITY / 1000.0 / FLOOR_KN_M2


def heat_loss_per_degree(tank: Tank) -> float | None:
    """Return the heat the tank loses for each degree over the room, worked out from its measures. [W/K]"""
    if tank.glass.pane_mm is None:
        return None
    air = tank.room.temperature_c if tank.room.temperature_c is not None else ROOM_C
    water = max(tank.heater.set_c if tank.heater and tank.heater.set_c is not None else WARM_WATER_C, air + 2.0)
    lost = heat_lost(tank, water, air)
    return None if lost is None else lost / (water - air)


def _home(tank: Tank, now: datetime) -> dict[str, Known]:
    home = tank.home
    years = None if home.seams_made is None else (tank.local_date(now) - home.seams_made).days / YEAR_D
    return known_only(
        {
            "tank.rim_above_foothold_cm": home.rim_above_foothold_cm,
            "tank.climbing_path": home.climbing_path,
            "tank.nest_box": home.nest_box,
            "decor.gap_cm": home.gap_cm,
            "gravel.grain_cm": None if home.grain_mm is None else home.grain_mm / 10.0,
            "bask.ramp_deg": home.ramp_deg,
            "bask.ramp_rough": home.ramp_rough,
            "sealant.age_known": True if years is not None else None,
            "sealant.age_years": years,
            "stand.slope_mm_per_m": home.stand_slope_mm_m,
            "elec.rcd": True if home.breaker_ma is not None else None,
            "elec.rcd_mA": home.breaker_ma,
            "home.faults": _faults(tank),
            # one question of the description for three: no vulnerable person rules all three out, one is not said which
            **{f"household.{who}": False if home.vulnerable_person is False else None for who in AT_RISK},
        }
    )


def _faults(tank: Tank) -> PartSet | None:
    """Return the faults the description says are there, and those it says are not; the others nobody has looked for."""
    home = tank.home
    heaviest = max((turtle.mass_g for turtle in tank.turtles if turtle.mass_g is not None), default=None)
    carries = home.platform_carries_g
    floats_low = None if carries is None or heaviest is None else carries < CARRIES * heaviest
    said = {
        "no_drip_loop": None if home.drip_loops is None else not home.drip_loops,
        "socket_below_rim": None if home.sockets_above_rim is None else not home.sockets_above_rim,
        "edge_chip": home.edge_chipped,
        "sealant_peeling": home.seams_peel,
        "bask_tips": home.platform_tips,
        "bask_floats_low": floats_low,
    }
    there = frozenset(name for name, seen in said.items() if seen)
    absent = frozenset(name for name, seen in said.items() if seen is False)
    return PartSet(there=there, absent=absent) if there or absent else None


def _tap(tank: Tank) -> dict[str, Known]:
    tap = tank.source_water
    disinfectant: str | None = None
    if tap.chloramine_mg_l:
        disinfectant = "chloramine"
    elif tap.chlorine_mg_l:
        disinfectant = "chlorine"
    elif tap.chlorine_mg_l == 0.0 and tap.chloramine_mg_l == 0.0:
        disinfectant = "none"
    return known_only({"tap.disinfectant": disinfectant, "tap.nitrate": tap.no3_mg_l, "tap.gh": tap.gh_dgh})


def _devices(tank: Tank) -> dict[str, Known]:
    known: dict[str, Known | None] = {}
    if tank.heater is not None:
        # a heater that is described is taken to have power: that only ever asks for more
        known |= {"heater.watts": tank.heater.watts, "heater.on": True}
    if tank.filter is not None and tank.filter.type == "none":
        known |= {"filter.kind": NOTHING, "filter.flow_share": NOTHING, "filter.off_hours": NOTHING}
    elif tank.filter is not None:
        sand = tank.filter.medium == "fluidised_sand"
        known["filter.kind"] = "fluidised_sand" if sand else tank.filter.type
    return known_only(known)


def _lamps(tank: Tank, now: datetime) -> dict[str, Known]:
    if not tank.lamps:
        return {}
    uvb = [lamp for lamp in tank.lamps if lamp.use in ("uvb", "basking_uvb")]
    hot = [lamp for lamp in tank.lamps if lamp.use in HOT]
    hours = [lamp.hours for lamp in tank.lamps]
    fixings = [lamp.fixings for lamp in hot]
    known: dict[str, Known | None] = {
        "lamp.uvb.any": bool(uvb),
        "lamp.reach_cm": _reach(hot),
        "lamp.fixings": float(min(f for f in fixings if f is not None)) if fixings and None not in fixings else None,
        "light.hours": max((h for h in hours if h is not None), default=None) if None not in hours else None,
        "light.dark_hours": longest_dark(tank.lamps),
    }
    if uvb:
        known |= _uvb(uvb[0], tank, now)
    else:
        known |= {
            name: NOTHING
            for name in ("path", "age_days", "class_life_days", "measured", "reading_age_days", "uvi")
            for name in (f"lamp.uvb.{name}",)
        }
    return known_only(known)


def _reach(hot: list[Fixture]) -> Known | None:
    """Return how near a turtle can come to a hot lamp; a lamp in a cage counts as out of reach."""
    if not hot:
        return NOTHING
    open_lamps = [lamp.shell_cm for lamp in hot if not lamp.guarded]
    if not open_lamps:
        return NOTHING
    known = [each for each in open_lamps if each is not None]
    return min(known) if len(known) == len(open_lamps) else None


def _uvb(lamp: Fixture, tank: Tank, now: datetime) -> dict[str, Known | None]:
    found = resolve("lamp", lamp.lamp_class) if lamp.lamp_class else None
    life = found.fact("uvb_life_months") if isinstance(found, Lamp) else None
    path = _PATHS.get(lamp.through or "")
    if path == "fine_mesh" and lamp.mesh_pitch_mm is not None and lamp.mesh_pitch_mm >= COARSE_MESH_MM:
        path = "coarse_mesh"
    return {
        "lamp.uvb.path": path,
        "lamp.uvb.age_days": None if lamp.fitted is None else float((tank.local_date(now) - lamp.fitted).days),
        "lamp.uvb.class_life_days": None if life is None else life.bounds[1] * MONTH_D,
        "lamp.uvb.zone_max": zone_max(tank),
    }


def zone_max(tank: Tank) -> float | None:
    """Return the highest UV index the most tender turtle of the tank should meet. [-]"""
    highest = []
    for turtle in tank.turtles:
        record = resolve("turtle", turtle.species) if turtle.species else None
        zone = record.fact("uvb_zone") if isinstance(record, Record) and record.id in turtles() else None
        fact = common("turtles").get(f"uvi_highest_zone_{zone.middle:g}") if zone else None
        if fact is None:
            return None
        highest.append(fact.bounds[1])
    return min(highest, default=None)


def longest_dark(lamps: tuple[Fixture, ...]) -> float | None:
    """Return the longest stretch of a day in which no lamp burns; None while the hours of one are not known. [h]"""
    spans: list[tuple[float, float]] = []
    for lamp in lamps:
        if lamp.hours is None:
            return None
        begin = lamp.on.hour + lamp.on.minute / 60.0
        spans.append((begin, begin + lamp.hours))
    if not spans:
        return 24.0
    ends = sorted((begin + turn, end + turn) for begin, end in spans for turn in (0.0, 24.0))
    longest, lit = 0.0, ends[0][1]
    for begin, end in ends[1:]:
        longest = max(longest, begin - lit)
        lit = max(lit, end)
    return min(longest, 24.0)
