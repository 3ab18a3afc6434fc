"""Turtles and fishes: what the gut makes of the food, element by element.

Reads: turtle_gut_*, fish_gut_*, urea, temperature. Writes: tissue, dirt, ammonium, urea, phosphate, carbon,
oxygen, alkalinity and the air accounts (a turtle breathes air). Parameters: group "animals". Sources: gut
passage and shares as stated in the parameters.
"""

from __future__ import annotations

from lentic.engine.table import Auxiliary, Process


def gut_auxiliaries() -> tuple[Auxiliary, ...]:
    """Speed of digestion.

    Returns
    -------
    tuple of Auxiliary
        Gut passage of turtles and fishes. [1/d]
    """
    warmth = "exp(gut_warming*(temperature - 25.0))"
    return (
        Auxiliary(
            name="turtle_passage", expression=f"turtle_gut_rate*{warmth}", unit="1/d", meaning="turtle gut"
        ),
        Auxiliary(name="fish_passage", expression=f"fish_gut_rate*{warmth}", unit="1/d", meaning="fish gut"),
    )


def animal_processes() -> tuple[Process, ...]:
    """Four rows for the turtles, four for the fishes, and the urea both leave.

    Returns
    -------
    tuple of Process
        Each eaten gram becomes faeces, tissue and what is excreted or breathed out.
    """
    return (*_turtle(), *_fish(), _urea())


def _faeces(animal: str, element: str, digested: str, extra: str = "") -> dict[str, float | str]:
    return {
        f"{animal}_gut_{element}": -1.0,
        f"labile_{element}": f"(1.0 - {digested})*{animal}_labile_share{extra}",
        f"refractory_{element}": f"(1.0 - {digested})*(1.0 - {animal}_labile_share)",
    }


def _turtle() -> tuple[Process, ...]:
    source = "first-order gut passage; shares digested, kept and excreted as in the parameters"
    energy, nitrogen, phosphorus = "turtle_digests_energy", "turtle_digests_n", "turtle_digests_p"
    spent = f"{nitrogen}*(1.0 - turtle_keeps_n)"
    return (
        Process(
            name="turtle_digests_cod",
            stoichiometry={
                **_faeces("turtle", "cod", energy),
                "tissue_cod": f"{energy}*turtle_keeps_energy",
            },
            solve={"COD": "oxygen_air"},
            rate="turtle_passage*turtle_gut_cod",
            source=f"{source}; turtles breathe air",
        ),
        Process(
            name="turtle_digests_c",
            stoichiometry={
                **_faeces("turtle", "c", energy),
                "tissue_c": f"{energy}*turtle_keeps_energy",
                "carbon": f"{energy}*(1.0 - turtle_keeps_energy)*turtle_exhales_water",
            },
            solve={"C": "carbon_air"},
            rate="turtle_passage*turtle_gut_c",
            source=f"{source}; part of the carbon dioxide leaves by skin and cloaca",
        ),
        Process(
            name="turtle_digests_n",
            stoichiometry={
                **_faeces("turtle", "n", nitrogen, f" + {spent}*turtle_uric_share"),
                "tissue_n": f"{nitrogen}*turtle_keeps_n",
                "ammonium": f"{spent}*turtle_ammonia_share",
                "urea": f"{spent}*(1.0 - turtle_ammonia_share - turtle_uric_share)",
            },
            solve={"C": "carbon_air", "charge": "alkalinity"},
            rate="turtle_passage*turtle_gut_n",
            source=f"{source}; aquatic reptiles excrete mainly urea and ammonia (review abstract)",
        ),
        Process(
            name="turtle_digests_p",
            stoichiometry={
                **_faeces("turtle", "p", phosphorus),
                "tissue_p": f"{phosphorus}*turtle_keeps_p",
                "phosphate": f"{phosphorus}*(1.0 - turtle_keeps_p)",
            },
            solve={"charge": "alkalinity"},
            rate="turtle_passage*turtle_gut_p",
            source=source,
        ),
    )


def _fish() -> tuple[Process, ...]:
    source = "first-order gut passage; shares digested, kept and excreted as in the parameters; gills"
    energy, nitrogen, phosphorus = "fish_digests_energy", "fish_digests_n", "fish_digests_p"
    spent = f"{nitrogen}*(1.0 - fish_keeps_n)"
    return (
        Process(
            name="fish_digests_cod",
            stoichiometry={**_faeces("fish", "cod", energy), "tissue_cod": f"{energy}*fish_keeps_energy"},
            solve={"COD": "oxygen"},
            rate="fish_passage*fish_gut_cod",
            source=source,
        ),
        Process(
            name="fish_digests_c",
            stoichiometry={**_faeces("fish", "c", energy), "tissue_c": f"{energy}*fish_keeps_energy"},
            solve={"C": "carbon"},
            rate="fish_passage*fish_gut_c",
            source=source,
        ),
        Process(
            name="fish_digests_n",
            stoichiometry={
                **_faeces("fish", "n", nitrogen),
                "tissue_n": f"{nitrogen}*fish_keeps_n",
                "ammonium": f"{spent}*fish_ammonia_share",
                "urea": f"{spent}*(1.0 - fish_ammonia_share)",
            },
            solve={"C": "carbon", "charge": "alkalinity"},
            rate="fish_passage*fish_gut_n",
            source=source,
        ),
        Process(
            name="fish_digests_p",
            stoichiometry={
                **_faeces("fish", "p", phosphorus),
                "tissue_p": f"{phosphorus}*fish_keeps_p",
                "phosphate": f"{phosphorus}*(1.0 - fish_keeps_p)",
            },
            solve={"charge": "alkalinity"},
            rate="fish_passage*fish_gut_p",
            source=source,
        ),
    )


def _urea() -> Process:
    return Process(
        name="urea_hydrolysis",
        stoichiometry={"urea": -1.0, "ammonium": 1.0},
        solve={"C": "carbon", "charge": "alkalinity"},
        rate="urea_rate*warmth*urea",
        source="first order; urease is fast in mature tanks (from memory)",
    )
