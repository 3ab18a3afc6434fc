"""Plants, one set of rows per slot: photosynthesis, respiration, uptake, litter, and what the turtles bite off.

Reads: plant_j, plant_n_j, plant_p_j, ammonium, nitrate, phosphate, light, carbon forms, hydrogen, temperature.
Writes: the same, oxygen, carbon, alkalinity, dirt, turtle_gut_*, air accounts (for leaves in air).
Parameters: groups "plant_j" and "plants", plant_vigour. Sources: Jassby & Platt 1976, Droop 1973 (from memory),
Rosso 1993 (from memory); numbers in the parameters.
"""

from __future__ import annotations

from lentic.engine.table import Auxiliary, Process
from lentic.model.components import OXYGEN_IN_NITRATE, PLANT
from lentic.model.expressions import cardinal, light_curve, monod


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
    photosynthesis = vigour mu CTMI(T) f(I/Ik) fC fQ (1 - W/(cap A)) W with fC = Ce/(Ce + K)/(1 + 10^(pH - pH_max)),
    Ce = CO2 + beta HCO3 (leaves in air: 1), fQ the smaller of the two (1 - qmin/q)/(1 - qmin/qmax) within 0..1.
    The small additions in the divisors leave an empty slot at rest; 1e-6 g dry is far below any clump.
    """
    j = slot
    droop = " , ".join(
        f"(1.0 - quota_{e}_min_{j}*plant_{j}/(plant_{e}_{j} + 1e-9))*droop_{e}_{j}" for e in ("n", "p")
    ).replace(" , ", ", ")
    return (
        *(
            _aux(
                f"droop_{e}_{j}",
                f"quota_{e}_max_{j}/(quota_{e}_max_{j} - quota_{e}_min_{j})",
                "-",
                "Droop scale",
            )
            for e in ("n", "p")
        ),
        _aux(f"plant_warmth_{j}", _warmth(j), "-", "temperature response"),
        *(
            _aux(f"content_{e}_{j}", f"plant_{e}_{j}/(plant_{j} + 1e-6)", "g/g", "content")
            for e in ("n", "p")
        ),
        *(
            _aux(
                f"hunger_{e}_{j}",
                f"minimum(maximum((quota_{e}_max_{j} - content_{e}_{j})"
                f"/(quota_{e}_max_{j} - quota_{e}_min_{j}), 0.0), 1.0)",
                "-",
                "room left in the tissue",
            )
            for e in ("n", "p")
        ),
        _aux(f"fullness_{j}", f"maximum(minimum(minimum({droop}), 1.0), 0.0)", "-", "Droop limit by N or P"),
        _aux(
            f"usable_carbon_{j}",
            f"co2 + bicarbonate_use_{j}*bicarbonate",
            "g C/m3",
            "carbon this plant can take",
        ),
        _aux(
            f"light_ratio_{j}",
            f"(air_{j}*top_light + (1.0 - air_{j})*water_light)/ik_{j}",
            "-",
            "light against the onset of saturation",
        ),
        _aux(f"photosynthesis_{j}", _photosynthesis(j), "g dry/d", "gross growth of the skeleton"),
        _aux(
            f"carbon_uptake_{j}",
            f"{PLANT['C']!r}*(1.0 - air_{j})*photosynthesis_{j}",
            "g C/d",
            "from the water",
        ),
        _aux(f"litter_rate_{j}", f"litter_{j} + starving_{j}*(1.0 - fullness_{j})**2", "1/d", "shedding"),
        _aux(
            f"bite_rate_{j}", f"palatability_{j}*herbivory_g_d/(plant_{j} + 10.0)", "1/d", "eaten by turtles"
        ),
        _aux(f"active_{j}", f"plant_warmth_{j}*plant_{j}", "g dry", "plant at its working speed"),
    )


def _warmth(j: int) -> str:
    return cardinal("temperature", f"plant_low_c_{j}", f"plant_best_c_{j}", f"plant_high_c_{j}")


def _photosynthesis(j: int) -> str:
    carbon = f"{monod(f'usable_carbon_{j}', f'half_carbon_{j}')}*hydrogen/(hydrogen + h_max_{j})"
    return (
        f"plant_vigour*mu_{j}*plant_warmth_{j}*({light_curve(f'light_ratio_{j}')})"
        f"*(air_{j} + (1.0 - air_{j})*{carbon})*fullness_{j}"
        f"*maximum(1.0 - plant_{j}/(crowding_{j}*surface_m2), 0.0)*plant_{j}"
    )


def carbon_user(slot: int) -> tuple[str, str, str, str, str]:
    """How this plant's uptake depends on carbon, for the return rate of inorganic carbon.

    Parameters
    ----------
    slot : int
        Number of the plant slot.

    Returns
    -------
    tuple of str
        Uptake, usable carbon, half-saturation, bicarbonate share, hydrogen activity of half rate.
    """
    return (
        f"carbon_uptake_{slot}",
        f"usable_carbon_{slot}",
        f"half_carbon_{slot}",
        f"bicarbonate_use_{slot}",
        f"h_max_{slot}",
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
        Seven rows.
    """
    j = slot
    shed = "shedding grows as stores run out; tuned, no source"
    eaten = "saturating in the amount on offer; turtle appetite from memory"
    parts = {"": ("cod", "c"), "n_": ("n",), "p_": ("p",)}
    litter = []
    bites = []
    for part, elements in parts.items():
        plant = f"plant_{part}{j}"
        to_dirt: dict[str, float | str] = {plant: -1.0}
        for element in elements:
            to_dirt[f"labile_{element}"] = f"{PLANT.get(element.upper(), 1.0)!r}*litter_labile_share"
        litter.append(
            Process(
                name=f"plant_{part}{j}_sheds",
                stoichiometry=to_dirt,
                solve={e.upper(): f"refractory_{e}" for e in elements},
                rate=f"litter_rate_{j}*{plant}",
                source=shed,
            )
        )
        bites.append(
            Process(
                name=f"plant_{part}{j}_eaten",
                stoichiometry={plant: -1.0},
                solve={e.upper(): f"turtle_gut_{e}" for e in elements},
                rate=f"bite_rate_{j}*{plant}",
                source=eaten,
            )
        )
    respiration = Process(
        name=f"plant_{j}_respires",
        stoichiometry={f"plant_{j}": -1.0, **_exchange(j, -1.0)},
        solve={"COD": "oxygen_air", "C": "carbon_air"},
        rate=f"respiration_{j}*plant_respiration_warmth*plant_{j}",
        source="first order, doubling with ten degrees (PCLake, as read)",
    )
    return (respiration, *litter, *bites)


def plant_gains(slot: int) -> tuple[Process, ...]:
    """Photosynthesis and uptake of one plant.

    Parameters
    ----------
    slot : int
        Number of the plant slot.

    Returns
    -------
    tuple of Process
        Four rows.
    """
    j = slot
    nitrate = monod("nitrate_mg_l", f"half_nitrate_{j}")
    blocked = "ammonium_blocks/(ammonium_blocks + ammonium_mg_l)"
    source = "Michaelis-Menten uptake, closing as the tissue fills; half-saturations from memory"
    return (
        Process(
            name=f"plant_{j}_grows",
            stoichiometry={f"plant_{j}": 1.0, **_exchange(j, 1.0)},
            solve={"COD": "oxygen_air", "C": "carbon_air"},
            rate=f"photosynthesis_{j}",
            source="Jassby & Platt 1976 light curve (or Smith, Steele), Droop quota, bicarbonate use; scale tuned "
            "under the ceiling of Nielsen & Sand-Jensen 1991",
        ),
        Process(
            name=f"plant_{j}_takes_ammonium",
            stoichiometry={"ammonium": -1.0, f"plant_n_{j}": 1.0},
            solve={"charge": "alkalinity"},
            rate=f"uptake_n_{j}*{monod('ammonium_mg_l', f'half_ammonium_{j}')}*hunger_n_{j}*active_{j}",
            source=source,
        ),
        Process(
            name=f"plant_{j}_takes_nitrate",
            stoichiometry={
                "nitrate": -1.0,
                f"plant_n_{j}": 1.0,
                "oxygen": f"{OXYGEN_IN_NITRATE!r}*(1.0 - air_{j})",
            },
            solve={"COD": "oxygen_air", "charge": "alkalinity"},
            rate=f"uptake_n_{j}*{nitrate}*{blocked}*hunger_n_{j}*active_{j}",
            source=f"{source}; ammonium first",
        ),
        Process(
            name=f"plant_{j}_takes_phosphate",
            stoichiometry={"phosphate": -1.0, f"plant_p_{j}": 1.0},
            solve={"charge": "alkalinity"},
            rate=f"uptake_p_{j}*{monod('phosphate_mg_l', f'half_phosphate_{j}')}*hunger_p_{j}*active_{j}",
            source=source,
        ),
    )


def _exchange(j: int, sign: float) -> dict[str, float | str]:
    # a submerged plant trades gas with the water, a floating or emerged one with the air, which closes the row
    return {
        "oxygen": f"{sign * PLANT['COD']!r}*(1.0 - air_{j})",
        "carbon": f"{-sign * PLANT['C']!r}*(1.0 - air_{j})",
    }


def _aux(name: str, expression: str, unit: str, meaning: str) -> Auxiliary:
    return Auxiliary(name=name, expression=expression, unit=unit, meaning=meaning)
