"""What a filled tank weighs and what that means for a floor: a reason to ask, never a verdict."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lentic.advice.findings import Finding, ask
from lentic.advice.words import number
from lentic.logbook.tank import Glass, Home, Turtle
from lentic.science.constants import STANDARD_GRAVITY
from lentic.science.volume import ACRYLIC_DENSITY, GLASS_DENSITY, floor_load, pane_mass, water_mass

DESIGN_KN_M2 = 1.5
"""Load a floor of a home is reckoned for; read in a builders' text, the code's own value from memory. [kN/m²]"""
STAND_KG = 100.0
"""Stand, lamps and filter where they are not told; common practice, no source. [kg]"""
SOLIDS_KG_L = 2.0
"""Stone, sand and wood together; common practice, no source. [kg/L]"""
FILL_C = 10.0
"""Water cold from the tap, when the tank is heaviest. [°C]"""
ADVICE_M2, ENGINEER_M2 = 2.5, 4.0
"""Floor that the tank stands for, from which to ask for advice and from which to ask an engineer; common practice."""
WHERE = "at a wall that carries, across the joists, on a plate that spreads the load; the lowest floor is best"


@dataclass(frozen=True, kw_only=True)
class Load:
    """Mass of everything on its footprint, in kg and kN, and the floor whose whole design load it equals."""

    water_kg: float
    panes_kg: float
    solids_kg: float
    stand_kg: float
    stand_told: bool
    animals_kg: float
    mass_kg: float
    kn: float
    area_m2: float
    kn_m2: float
    equals_m2: float


def load_of(glass: Glass, home: Home, turtles: Sequence[Turtle], litres: float, depth_cm: float) -> Load | None:
    """Return what a tank weighs at a depth; None while its measures are missing."""
    if glass.length_cm is None or glass.width_cm is None or glass.pane_mm is None or not glass.is_box:
        return None
    thick = glass.pane_mm / 1000.0
    long, wide = glass.length_cm / 100.0 + 2 * thick, glass.width_cm / 100.0 + 2 * thick
    tall = (glass.height_cm or depth_cm) / 100.0 + thick
    density = ACRYLIC_DENSITY if glass.pane == "acrylic" else GLASS_DENSITY
    water, panes = float(water_mass(litres, FILL_C)), float(pane_mass(long, wide, tall, thick, density))
    solids, animals = SOLIDS_KG_L * (glass.solids_l or 0.0), sum(each.mass_g or 0.0 for each in turtles) / 1000.0
    stand = home.stand_kg if home.stand_kg is not None else STAND_KG
    mass = water + panes + solids + stand + animals
    area = long * wide
    if home.stand_length_cm is not None and home.stand_width_cm is not None:
        area = home.stand_length_cm * home.stand_width_cm / 1e4
    newton = mass * STANDARD_GRAVITY / 1000.0
    return Load(
        water_kg=water, panes_kg=panes, solids_kg=solids, stand_kg=stand, stand_told=home.stand_kg is not None,
        animals_kg=animals, mass_kg=mass, kn=newton, area_m2=area, kn_m2=float(floor_load(mass, area)),
        equals_m2=newton / DESIGN_KN_M2,
    )  # fmt: skip


def floor_finding(load: Load | None, storey: int | None) -> Finding:
    """Return whom to ask about the floor."""
    if load is None:
        return ask("floor", "Missing for the weight: length_cm, width_cm, water_depth_cm and pane_mm under [tank].")
    stand = "" if load.stand_told else f", stand and gear taken as {load.stand_kg:.0f} kg"
    said = (
        f"{load.mass_kg:.0f} kg = {load.kn:.1f} kN on {load.area_m2:.1f} m², {load.kn_m2:.1f} kN/m² under the stand "
        f"(water {load.water_kg:.0f}, panes {load.panes_kg:.0f} kg{stand}). It equals the whole design load of "
        f"{number(load.equals_m2)} m² of floor at {DESIGN_KN_M2:g} kN/m²."
    )
    source = "weights reckoned; 1.5 kN/m² from a builders' text, older houses may have less"
    ground = storey is not None and storey <= 0
    if ground and load.equals_m2 <= ENGINEER_M2:
        return Finding(
            what="floor", state="fine", sentence=said, source=source, do="Ground floor: look for a cellar below."
        )
    if load.equals_m2 > ADVICE_M2:
        return Finding(what="floor", state="act" if load.equals_m2 > ENGINEER_M2 else "watch", sentence=said,
                       source=source, do=f"Ask a structural engineer before it is filled; {WHERE}.")  # fmt: skip
    return Finding(what="floor", state="fine", sentence=said, source=source, do=f"Best {WHERE}.")
