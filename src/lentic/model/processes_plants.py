"""Plants, one set of rows per slot: photosynthesis, respiration, uptake, litter, and what turtles bite off.

Reads: plant_j, plant_n_j, plant_p_j, ammonium, nitrate, phosphate, light, carbon forms, hydrogen,
temperature. Writes: the same, oxygen, carbon, alkalinity, dirt, turtle_gut_*, air accounts (for leaves in
air). Parameters: groups "plant_j" and "plants", plant_vigour. Sources: Jassby & Platt 1976, Droop 1973 (from
memory), Rosso 1993 (from memory); numbers in the parameters.
"""

from __future__ import annotations

from lentic.engine.table import Auxiliary, Process
from lentic.model.components import PLANT
from lentic.model.expressions import cardinal, light_curve, monod
from lentic.model.processes_gas import CarbonUser, access


def plant_auxiliaries(slot: int) -> tuple[Auxiliary, ...]:
    """What one plant sees and does.

    Parameters
    ----------
    slot : int
        Number of the plant slot.

    Returns
    -------
    tuple of Auxiliary
        Contents, limits, photosynthesis [g dry/d] and loss rates [1/d].

    Notes
    -----
    photosynthesis = vigour mu CTMI(T) f(I/Ik) fC fQ (1 - W/(cap A)) W with fC = Ce/(Ce + K)/(1 + 10^(pH -
    pH_max)), Ce = CO2 + beta HCO3 (leaves in air: 1), fQ the smaller of the two (1 - qmin/q)/(1 - qmin/qmax)
    within 0..1. The small additions in the divisors leave an empty slot at rest; 1e-6 g dry is far below any
    clump.
    """
    j = slot
    by_n, by_p = (
        f"(1.0 - quota_{e}_min_{j}*plant_{j}/(plant_{e}_{j} + 1e-9))*droop_{e}_{j}" for e in ("n", "p")
    )
    fullest = f"minimum({by_n}, {by_p})"
    return (
        *(row for e in ("n", "p") for row in _stores(e, j)),
        _aux(f"plant_warmth_{j}", _warmth(j), "-", "temperature response"),
        _aux(f"per_plant_{j}", f"1.0/(plant_{j} + 1e-6)", "1/g dry", "inverse of the plant"),
        _aux(f"fullness_{j}", f"maximum(minimum({fullest}, 1.0), 0.0)", "-", "Droop limit by N or P"),
        _aux(
            f"usable_carbon_{j}",
            f"co2 + bicarbonate_use_{j}*bicarbonate",
            "g C/m3",
            "carbon this plant can take",
        ),
        _aux(
            f"access_{j}",
            access(f"usable_carbon_{j}", f"half_carbon_{j}", f"h_max_{j}"),
            "-",
            "see processes_gas",
        ),
        _aux(f"per_ik_{j}", f"1.0/ik_{j}", "m2 s/umol", "inverse of the light at the onset of saturation"),
        _aux(f"per_crowd_{j}", f"1.0/(crowding_{j}*surface_m2)", "1/g dry", "inverse of the densest stand"),
        _aux(
            f"light_ratio_{j}",
            f"(air_{j}*top_light + (1.0 - air_{j})*water_light)*per_ik_{j}",
            "-",
            "light against the onset of saturation",
        ),
        _aux(f"plant_pace_{j}", _pace(j), "1/d", "growth with plenty of carbon"),
        _aux(
            f"carbon_demand_{j}",
            f"{PLANT['C']!r}*(1.0 - air_{j})*plant_pace_{j}*plant_{j}",
            "g C/d",
            "from the water",
        ),
        _aux(
            f"photosynthesis_{j}",
            f"plant_pace_{j}*usable_carbon_{j}*hydrogen*access_{j}*plant_{j}",
            "g dry/d",
            "gross growth of a submerged plant",
        ),
        _aux(f"litter_rate_{j}", f"litter_{j} + starving_{j}*(1.0 - fullness_{j})**2", "1/d", "shedding"),
        _aux(
            f"bite_rate_{j}", f"palatability_{j}*herbivory_g_d/(plant_{j} + 10.0)", "1/d", "eaten by turtles"
        ),
        _aux(
            f"appetite_n_{j}",
            f"uptake_n_{j}*hunger_n_{j}*plant_warmth_{j}",
            "1/d",
            "nitrogen uptake with plenty of it",
        ),
        _aux(
            f"appetite_p_{j}",
            f"uptake_p_{j}*hunger_p_{j}*plant_warmth_{j}",
            "1/d",
            "phosphorus uptake with plenty of it",
        ),
    )


def _stores(element: str, j: int) -> tuple[Auxiliary, ...]:
    e, lowest, highest = element, f"quota_{element}_min_{j}", f"quota_{element}_max_{j}"
    content = f"plant_{e}_{j}*per_plant_{j}"
    return (
        _aux(f"droop_{e}_{j}", f"{highest}/({highest} - {lowest})", "-", "scale of the Droop limit"),
        _aux(f"per_store_{e}_{j}", f"1.0/({highest} - {lowest})", "g/g", "inverse of the room for a store"),
        _aux(
            f"hunger_{e}_{j}",
            f"minimum(maximum(({highest} - {content})*per_store_{e}_{j}, 0.0), 1.0)",
            "-",
            "room left in the tissue",
        ),
    )


def _warmth(j: int) -> str:
    return cardinal("temperature", f"plant_low_c_{j}", f"plant_best_c_{j}", f"plant_high_c_{j}")


def _pace(j: int) -> str:
    return (
        f"plant_vigour*mu_{j}*plant_warmth_{j}*({light_curve(f'light_ratio_{j}')})*fullness_{j}"
        f"*maximum(1.0 - plant_{j}*per_crowd_{j}, 0.0)"
    )


def carbon_user(slot: int) -> CarbonUser:
    """How this plant's uptake depends on carbon, for the return rate of inorganic carbon.

    Parameters
    ----------
    slot : int
        Number of the plant slot.

    Returns
    -------
    CarbonUser
        Names of what makes its uptake.
    """
    return CarbonUser(
        demand=f"carbon_demand_{slot}",
        usable=f"usable_carbon_{slot}",
        access=f"access_{slot}",
        half=f"half_carbon_{slot}",
        bicarbonate=f"bicarbonate_use_{slot}",
        limit=f"h_max_{slot}",
    )


def plant_losses(slot: int) -> tuple[Process, ...]:
    """Respiration, litter and bites of one plant.

    Parameters
    ----------
    slot : int
        Number of the plant slot.

    Returns
    -------
    tuple of Process
        Eleven rows; what splits by a share is two rows with fixed numbers, which costs the integrator less.
    """
    j = slot
    respired = f"respiration_{j}*plant_respiration_warmth*plant_{j}"
    rows = [
        Process(
            name=f"plant_{j}_respires_in_{medium}",
            stoichiometry={f"plant_{j}": -1.0},
            solve=_exchange(medium),
            rate=f"{share}*{respired}",
            source="first order, doubling with ten degrees (PCLake, as read)",
        )
        for medium, share in _media(j)
    ]
    for part, elements in {"": ("cod", "c"), "n_": ("n",), "p_": ("p",)}.items():
        plant = f"plant_{part}{j}"
        for pool, share in (("labile", "litter_labile_share"), ("refractory", "(1.0 - litter_labile_share)")):
            rows.append(
                Process(
                    name=f"plant_{part}{j}_sheds_{pool}",
                    stoichiometry={plant: -1.0},
                    solve={e.upper(): f"{pool}_{e}" for e in elements},
                    rate=f"{share}*litter_rate_{j}*{plant}",
                    source="shedding grows as stores run out; tuned, no source",
                )
            )
        rows.append(
            Process(
                name=f"plant_{part}{j}_eaten",
                stoichiometry={plant: -1.0},
                solve={e.upper(): f"turtle_gut_{e}" for e in elements},
                rate=f"bite_rate_{j}*{plant}",
                source="saturating in the amount on offer; turtle appetite from memory",
            )
        )
    return tuple(rows)


def plant_gains(slot: int) -> tuple[Process, ...]:
    """Photosynthesis and uptake of one plant.

    Parameters
    ----------
    slot : int
        Number of the plant slot.

    Returns
    -------
    tuple of Process
        Five rows; the oxygen freed by reducing nitrate is counted in the water for every plant.
    """
    j = slot
    growth = {"water": f"photosynthesis_{j}", "air": f"plant_pace_{j}*plant_{j}"}
    grows = (
        Process(
            name=f"plant_{j}_grows_in_{medium}",
            stoichiometry={f"plant_{j}": 1.0},
            solve=_exchange(medium),
            rate=f"{share}*{growth[medium]}",
            source="light by Jassby & Platt 1976 (or Smith, Steele), Droop quota, bicarbonate under water; "
            "scale tuned under the ceiling of Nielsen & Sand-Jensen 1991",
        )
        for medium, share in _media(j)
    )
    return (*grows, *_uptake(j))


def _uptake(j: int) -> tuple[Process, ...]:
    source = "Michaelis-Menten uptake, closing as the tissue fills; half-saturations from memory"
    nitrate = (
        f"nitrate_mg_l*ammonium_blocks/((nitrate_mg_l + half_nitrate_{j})*(ammonium_blocks + ammonium_mg_l))"
    )
    return (
        Process(
            name=f"plant_{j}_takes_ammonium",
            stoichiometry={"ammonium": -1.0, f"plant_n_{j}": 1.0},
            solve={"charge": "alkalinity"},
            rate=f"appetite_n_{j}*{monod('ammonium_mg_l', f'half_ammonium_{j}')}*plant_{j}",
            source=source,
        ),
        Process(
            name=f"plant_{j}_takes_nitrate",
            stoichiometry={"nitrate": -1.0, f"plant_n_{j}": 1.0},
            solve={"COD": "oxygen", "charge": "alkalinity"},
            rate=f"appetite_n_{j}*{nitrate}*plant_{j}",
            source=f"{source}; ammonium first",
        ),
        Process(
            name=f"plant_{j}_takes_phosphate",
            stoichiometry={"phosphate": -1.0, f"plant_p_{j}": 1.0},
            solve={"charge": "alkalinity"},
            rate=f"appetite_p_{j}*{monod('phosphate_mg_l', f'half_phosphate_{j}')}*plant_{j}",
            source=source,
        ),
    )


def _media(j: int) -> tuple[tuple[str, str], ...]:
    return (("water", f"(1.0 - air_{j})"), ("air", f"air_{j}"))


def _exchange(medium: str) -> dict[str, str]:
    # a submerged plant trades gas with the water, a floating or emerged one with the room
    return {"COD": "oxygen", "C": "carbon"} if medium == "water" else {"COD": "oxygen_air", "C": "carbon_air"}


def _aux(name: str, expression: str, unit: str, meaning: str) -> Auxiliary:
    return Auxiliary(name=name, expression=expression, unit=unit, meaning=meaning)
