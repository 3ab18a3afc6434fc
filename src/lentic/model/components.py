"""The rows of a tank's state: amounts, what they are made of, and how the integrator should treat them.

Organic matter is counted as chemical oxygen demand against ammonium, bicarbonate, phosphate and water, so
protein nitrogen has none; nitrate, nitrite and nitrogen gas carry the oxygen they would take. Alkalinity is
explicit-conservative (Wolf-Gladrow et al. 2007, from memory): strong cations minus strong anions plus total
ammonium minus nitrate, nitrite and total phosphate; it is its own charge with the sign turned.
"""

from __future__ import annotations

from lentic.engine.table import Component, Kind
from lentic.science.constants import CARBON, NITROGEN, OXYGEN, PHOSPHORUS

OXYGEN_IN_NITRATE = 4.0 * OXYGEN / NITROGEN
OXYGEN_IN_NITRITE = 3.0 * OXYGEN / NITROGEN
OXYGEN_IN_DINITROGEN = 1.5 * OXYGEN / NITROGEN
"""Oxygen each form of nitrogen has taken up since ammonium [g O2/g N]: 4, 3 and 1.5 atoms per atom of N."""

CARBON_IN_UREA = 0.5 * CARBON / NITROGEN
"""One carbon to two nitrogens in CO(NH2)2. [g C/g N]"""

BACTERIA = {"COD": 1.0, "C": 0.366, "N": 0.086, "P": 0.020}
"""Nitrifying bacteria per g COD; N, C of a modified ASM2d, P of ASM2d, as read in a wastewater library."""

PLANT = {"COD": 1.12, "C": 0.40}
"""Plant skeleton without its N and P, per g dry; carbon within 0.35-0.42 of ditch plants (Hill 1979)."""

ALGAE = {"COD": 1.12, "C": 0.42, "N": 0.065, "P": 0.0080}
"""Algae per g dry; near the Redfield-like 0.072 N, 0.010 P of river models."""

ELEMENTS = ("cod", "c", "n", "p")
"""The four states of each pool of organic matter, in this order."""

_QUANTITY = {"cod": "COD", "c": "C", "n": "N", "p": "P"}
_UNIT = {"cod": "g COD", "c": "g C", "n": "g N", "p": "g P"}
_POOLS = {
    "labile": "quickly rotting dirt in the tank",
    "refractory": "slowly rotting dirt in the tank",
    "filter_labile": "quickly rotting dirt in the filter",
    "filter_refractory": "slowly rotting dirt in the filter",
    "turtle_gut": "food in the turtles' guts",
    "fish_gut": "food in the fishes' guts",
    "tissue": "growth of the animals since the start",
}
_NITRIFIERS = {
    "ammonia_oxidisers_filter": "ammonia oxidisers on the filter media",
    "nitrite_oxidisers_filter": "nitrite oxidisers on the filter media",
    "ammonia_oxidisers_surfaces": "ammonia oxidisers on glass, ground and decor",
    "nitrite_oxidisers_surfaces": "nitrite oxidisers on glass, ground and decor",
}
_ALGAE = {
    "algae_panes": "algae on the panes that get scraped",
    "algae_decor": "algae on everything else",
    "algae_adrift": "torn-off algae floating about",
    "green_water": "algae that live floating",
}


def components(plant_slots: int) -> tuple[Component, ...]:
    """All rows of the state.

    Parameters
    ----------
    plant_slots : int
        How many kinds of plant the tank can hold.

    Returns
    -------
    tuple of Component
        Temperature and volume first, then dissolved, dirt, bacteria, plants, algae, animals, accounts.
    """
    return (
        *_early(),
        *_dissolved(),
        *(_pool_row(pool, element) for pool in list(_POOLS)[:4] for element in ELEMENTS),
        *(_living(name, meaning, "g COD", BACTERIA) for name, meaning in _NITRIFIERS.items()),
        *(row for slot in range(1, plant_slots + 1) for row in _plant(slot)),
        *(_algae(name, meaning) for name, meaning in _ALGAE.items()),
        *(_pool_row(pool, element) for pool in list(_POOLS)[4:] for element in ELEMENTS),
        *_accounts(),
    )


def _early() -> tuple[Component, ...]:
    thermostat = "0.5*(1.0 - tanh((temperature - heater_set_c)/0.3))"
    back = f"1.0/heat_time_d + heater_k_per_d*{thermostat}*(1.0 - {thermostat})/0.15"
    return (
        Component(
            name="temperature",
            unit="°C",
            meaning="water temperature",
            kind="signed",
            relaxation=back,
            early=True,
        ),
        Component(name="volume", unit="m3", meaning="water in the tank", early=True),
    )


def _dissolved() -> tuple[Component, ...]:
    # nitrate and phosphate are "fast" too: a big clump empties the last 0.1 mg/L with a rate of tens per day
    return (
        Component(name="oxygen", unit="g O2", meaning="dissolved oxygen", composition={"COD": -1.0}, kind="fast"),
        Component(
            name="ammonium",
            unit="g N",
            meaning="total ammonia nitrogen, NH4+ and NH3",
            composition={"N": 1.0, "charge": 1.0 / NITROGEN},
            kind="fast",
        ),
        Component(
            name="nitrite",
            unit="g N",
            meaning="nitrite nitrogen",
            composition={"N": 1.0, "COD": -OXYGEN_IN_NITRITE, "charge": -1.0 / NITROGEN},
            kind="fast",
        ),
        Component(
            name="nitrate",
            unit="g N",
            meaning="nitrate nitrogen",
            composition={"N": 1.0, "COD": -OXYGEN_IN_NITRATE, "charge": -1.0 / NITROGEN},
            kind="fast",
        ),
        Component(
            name="dinitrogen",
            unit="g N",
            meaning="nitrogen gas made by denitrification",
            composition={"N": 1.0, "COD": -OXYGEN_IN_DINITROGEN},
        ),
        Component(
            name="urea",
            unit="g N",
            meaning="urea nitrogen",
            composition={"N": 1.0, "C": CARBON_IN_UREA},
            kind="fast",
        ),
        Component(
            name="phosphate",
            unit="g P",
            meaning="dissolved phosphorus, counted as H2PO4-",
            composition={"P": 1.0, "charge": -1.0 / PHOSPHORUS},
            kind="fast",
        ),
        Component(
            name="carbon",
            unit="g C",
            meaning="total inorganic carbon: CO2, HCO3-, CO3--",
            composition={"C": 1.0},
            kind="fast",
            relaxation="carbon_return",
        ),
        Component(
            name="alkalinity",
            unit="eq",
            meaning="explicit-conservative alkalinity",
            composition={"charge": -1.0},
            kind="signed",
        ),
    )


def _pool_row(pool: str, element: str) -> Component:
    passage = {"turtle_gut": "turtle_passage", "fish_gut": "fish_passage"}.get(pool)
    return Component(
        name=f"{pool}_{element}",
        unit=_UNIT[element],
        meaning=f"{_POOLS[pool]}, its {_QUANTITY[element]}",
        composition={_QUANTITY[element]: 1.0},
        kind="brisk" if passage else "slow",
        relaxation=passage,
    )


def _living(name: str, meaning: str, unit: str, content: dict[str, float], kind: Kind = "slow") -> Component:
    return Component(name=name, unit=unit, meaning=meaning, composition=content, kind=kind)


def _algae(name: str, meaning: str) -> Component:
    # what floats is caught, settles or sinks within hours to days
    return _living(name, meaning, "g dry", ALGAE, "slow" if name in ("algae_panes", "algae_decor") else "brisk")


def _plant(slot: int) -> tuple[Component, ...]:
    return (
        _living(f"plant_{slot}", f"plant {slot}, skeleton without N and P", "g dry", PLANT),
        Component(name=f"plant_n_{slot}", unit="g N", meaning=f"nitrogen in plant {slot}", composition={"N": 1.0}),
        Component(name=f"plant_p_{slot}", unit="g P", meaning=f"phosphorus in plant {slot}", composition={"P": 1.0}),
    )


def _accounts() -> tuple[Component, ...]:
    return (
        Component(
            name="oxygen_air",
            unit="g O2",
            meaning="oxygen the room has gained from the tank",
            composition={"COD": -1.0},
            kind="signed",
        ),
        Component(
            name="carbon_air",
            unit="g C",
            meaning="carbon the room has gained from the tank",
            composition={"C": 1.0},
            kind="signed",
        ),
        Component(
            name="lime",
            unit="g C",
            meaning="carbon bound as CaCO3 on heater and panes",
            composition={"C": 1.0, "charge": -2.0 / CARBON},
        ),
    )
