"""Rotting of dirt in tank and filter, and the two steps of nitrification on media and surfaces.

Reads: labile and refractory pools, nitrifiers, ammonium, nitrite, nitrate, oxygen, alkalinity, hydrogen,
temperature; driver flow. Writes: the same, dinitrogen, carbon, phosphate. Parameters: groups "dirt" and
"nitrification". Sources: wastewater models as read in open libraries (ASM1, ASM2d), Rosso 1993, Anthonisen
1976; see each row.
"""

from __future__ import annotations

from lentic.engine.table import Auxiliary, Process
from lentic.model.components import ELEMENTS
from lentic.model.expressions import cardinal, monod
from lentic.science.constants import NITROGEN, OXYGEN

NITRATE_PER_COD = NITROGEN / (2.5 * OXYGEN)
"""Nitrate nitrogen used to oxidise one g COD, down to nitrogen gas: five electrons an atom. [g N/g COD]"""

_SETTLED = ("labile", "refractory")
_QUANTITY = {"cod": "COD", "c": "C", "n": "N", "p": "P"}
_SPLIT = "first order with 1.07 per degree (PCLake, as read), slowed without oxygen (tuned)"


def filter_auxiliaries() -> tuple[Auxiliary, ...]:
    """Speed of rotting, flow through the dirty filter, and what slows the nitrifiers.

    Returns
    -------
    tuple of Auxiliary
        Rates of rotting [1/d], filter flow [m3/d], and the ammonia and nitrite turned over [g N/d].
    """
    return (*_rotting(), *_nitrifying())


def _rotting() -> tuple[Auxiliary, ...]:
    air = f"(0.15 + 0.85*{monod('oxygen_mg_l', '0.5')})"
    return (
        _aux("rotting", f"warmth*{air}", "-", "speed of rotting against 20 °C in air-rich water"),
        _aux("per_clogging", "1.0/clogging_half_cod", "1/g", "inverse of the dirt that halves the flow"),
        _aux("working", "0.3 + 0.7*flow", "-", "activity left in the filter when the pump rests"),
        _aux("nitrate_reach", monod("nitrate_mg_l", "0.5"), "-", "nitrate as a substitute for oxygen"),
        _aux(
            "filter_flow",
            "filter_flow_m3_d*flow/(1.0 + ((filter_labile_cod + filter_refractory_cod)*per_clogging)**2)",
            "m3/d",
            "water through the filter, less as dirt clogs it",
        ),
    )


def _nitrifying() -> tuple[Auxiliary, ...]:
    points = ("nitrifier_low_c", "nitrifier_best_c", "nitrifier_high_c")
    acid = "(1.0 + (hydrogen*per_h_lo)**2 + (nitrifier_h_hi*per_hydrogen)**2)"
    nitrous = "(hydrogen + nitrous_acid_k)"
    pores = "film_filter_m_d*media_m2"
    return (
        _aux("nitrifier_reference", cardinal("20.0", *points), "-", "temperature response at 20 °C"),
        _aux(
            "nitrifier_warmth",
            f"{cardinal('temperature', *points)}/nitrifier_reference",
            "-",
            "against 20 °C",
        ),
        _aux("per_h_lo", "1.0/nitrifier_h_lo", "L/mol", "inverse of the acidity that halves the speed"),
        _aux("ammonia_mg_l", "ammonium_mg_l*kn*ammonium_share", "g N/m3", "free ammonia"),
        _aux(
            "nitrifier_room",
            f"nitrifier_warmth*alkalinity_eq_m3*oxygen_mg_l/((alkalinity_eq_m3 + half_alkalinity)*{acid})",
            "g O2/m3",
            "temperature, acidity and alkalinity together, times oxygen",
        ),
        _aux(
            "ammonia_oxidiser_speed",
            "ammonia_oxidiser_activity*mu_ammonia*nitrifier_room/(oxygen_mg_l + half_oxygen_ammonia)",
            "1/d",
            "growth rate of ammonia oxidisers with plenty of ammonium",
        ),
        _aux(
            "nitrite_oxidiser_speed",
            f"nitrite_oxidiser_activity*mu_nitrite*nitrifier_room*{nitrous}"
            "/((oxygen_mg_l + half_oxygen_nitrite)*(1.0 + ammonia_mg_l*per_ammonia_blocks)"
            f"*({nitrous} + nitrite_mg_l*hydrogen*per_nitrous_blocks))",
            "1/d",
            "growth rate of nitrite oxidisers with plenty of nitrite, slowed by ammonia and nitrous acid",
        ),
        _aux("per_ammonia_blocks", "1.0/ammonia_blocks", "m3/g", "inverse of the blocking ammonia"),
        _aux("per_nitrous_blocks", "1.0/nitrous_acid_blocks", "m3/g", "inverse of the blocking nitrous acid"),
        _aux("per_yield_ammonia", "1.0/yield_ammonia", "g N/g COD", "nitrogen per grown ammonia oxidiser"),
        _aux("per_yield_nitrite", "1.0/yield_nitrite", "g N/g COD", "nitrogen per grown nitrite oxidiser"),
        _aux("per_room_filter", "1.0/(crowding_filter*media_m2)", "1/g COD", "inverse of the fullest media"),
        _aux(
            "per_room_surfaces",
            "1.0/(crowding_surfaces*bare_m2)",
            "1/g COD",
            "inverse of the fullest surfaces",
        ),
        _aux(
            "reach_filter",
            f"filter_flow*{pores}/(filter_flow + {pores} + 1e-9)",
            "m3/d",
            "water whose ammonium can reach the film on the media",
        ),
        _aux("reach_surfaces", "film_surfaces_m_d*bare_m2", "m3/d", "the same for glass, ground and decor"),
        *_film("ammonia", "ammonium", "filter"),
        *_film("ammonia", "ammonium", "surfaces"),
        *_film("nitrite", "nitrite", "filter"),
        *_film("nitrite", "nitrite", "surfaces"),
    )


def _film(step: str, feed: str, place: str) -> tuple[Auxiliary, ...]:
    # R = G (S - s) = Vm s/(K + s), in the root form without differences of like numbers or zero divisors
    reach, half, capacity = f"reach_{place}", f"half_{step}", f"{step}_capacity_{place}"
    supply = f"{reach}*{feed}_mg_l"
    root = f"sqrt(({supply} - {capacity})**2 + {reach}*{half}*({reach}*{half} + 2.0*({supply} + {capacity})))"
    total = f"{reach}*{half} + {supply} + {capacity}"
    return (
        _aux(
            capacity,
            f"{step}_oxidiser_speed*{step}_oxidisers_{place}*per_yield_{step}",
            "g N/d",
            f"what the {step} oxidisers of the {place} could turn over",
        ),
        _aux(
            f"{step}_turned_{place}",
            f"2.0*{capacity}*{supply}/({total} + {root} + 1e-30)",
            "g N/d",
            f"{step} nitrogen turned over on the {place}",
        ),
    )


def rotting_processes() -> tuple[Process, ...]:
    """Mineralisation of the four pools of dirt and their way into the filter.

    Returns
    -------
    tuple of Process
        Five rows a pool, four for each transfer.
    """
    rates = {
        "labile": "labile_rate*rotting",
        "refractory": "refractory_rate*rotting",
        "filter_labile": "labile_rate*rotting*working",
        "filter_refractory": "refractory_rate*rotting*working",
    }
    rows: list[Process] = []
    for pool, rate in rates.items():
        share = "denitrified_filter" if pool.startswith("filter") else "denitrified_tank"
        rows += _mineralisation(pool, rate, f"{share}*nitrate_reach")
    for pool, factor in zip(_SETTLED, ("", "0.3*"), strict=True):
        rows += [
            Process(
                name=f"{pool}_{element}_to_filter",
                stoichiometry={f"{pool}_{element}": -1.0, f"filter_{pool}_{element}": 1.0},
                rate=f"{factor}to_filter_rate*flow*{pool}_{element}",
                source="first order while the pump runs; tuned, no source",
            )
            for element in ELEMENTS
        ]
    return tuple(rows)


def _mineralisation(pool: str, rate: str, share: str) -> list[Process]:
    closing = {
        "c": {"C": "carbon"},
        "n": {"N": "ammonium", "charge": "alkalinity"},
        "p": {"P": "phosphate", "charge": "alkalinity"},
    }
    return [
        Process(
            name=f"{pool}_rots_in_oxygen",
            stoichiometry={f"{pool}_cod": -1.0},
            solve={"COD": "oxygen"},
            rate=f"{rate}*(1.0 - {share})*{pool}_cod",
            source=_SPLIT,
        ),
        Process(
            name=f"{pool}_rots_in_nitrate",
            stoichiometry={f"{pool}_cod": -1.0, "nitrate": -NITRATE_PER_COD},
            solve={"N": "dinitrogen", "charge": "alkalinity"},
            rate=f"{rate}*{share}*{pool}_cod",
            source=f"{_SPLIT}; share that turns to nitrate: tuned",
        ),
        *(
            Process(
                name=f"{pool}_{element}_mineralises",
                stoichiometry={f"{pool}_{element}": -1.0},
                solve=solved,
                rate=f"{rate}*{pool}_{element}",
                source=_SPLIT,
            )
            for element, solved in closing.items()
        ),
    ]


def nitrifier_processes() -> tuple[Process, ...]:
    """Growth and decay of ammonia and nitrite oxidisers, and the seeding of the filter from the surfaces.

    Returns
    -------
    tuple of Process
        Ten rows.
    """
    rows: list[Process] = []
    for place in ("filter", "surfaces"):
        dirt = "filter_labile" if place == "filter" else "labile"
        rows += [_growth(step, place) for step in ("ammonia", "nitrite")]
        rows += [_decay(step, place, dirt) for step in ("ammonia", "nitrite")]
    rows += [
        Process(
            name=f"{step}_oxidisers_settle_in_filter",
            stoichiometry={f"{step}_oxidisers_surfaces": -1.0, f"{step}_oxidisers_filter": 1.0},
            rate=f"seeding_rate*{step}_oxidisers_surfaces",
            source="small exchange so that new media are seeded; tuned, no source",
        )
        for step in ("ammonia", "nitrite")
    ]
    return tuple(rows)


def _growth(step: str, place: str) -> Process:
    bacteria = f"{step}_oxidisers_{place}"
    made: dict[str, float | str] = (
        {"nitrite": "1.0/yield_ammonia"}
        if step == "ammonia"
        else {"nitrite": "-1.0/yield_nitrite", "nitrate": "1.0/yield_nitrite"}
    )
    return Process(
        name=f"{bacteria}_grow",
        stoichiometry={bacteria: 1.0, **made},
        solve={"N": "ammonium", "P": "phosphate", "C": "carbon", "COD": "oxygen", "charge": "alkalinity"},
        rate=f"yield_{step}*{step}_turned_{place}*maximum(1.0 - {bacteria}*per_room_{place}, 0.0)",
        source="Monod growth behind a diffusion film, in closed form; temperature as Rosso 1993, from memory",
    )


def _decay(step: str, place: str, dirt: str) -> Process:
    bacteria = f"{step}_oxidisers_{place}"
    rate = f"decay_{step}*warmth"
    if place == "filter":
        rate = f"({rate}*working + decay_stagnant*warmth*(1.0 - flow))"
    return Process(
        name=f"{bacteria}_decay",
        stoichiometry={bacteria: -1.0},
        solve={quantity: f"{dirt}_{element}" for element, quantity in _QUANTITY.items()},
        rate=f"{rate}*{bacteria}",
        source="first order (ASM1, ASM2d as read); loss in a stopped filter tuned, literature to hobby lore",
    )


def _aux(name: str, expression: str, unit: str, meaning: str) -> Auxiliary:
    return Auxiliary(name=name, expression=expression, unit=unit, meaning=meaning)
