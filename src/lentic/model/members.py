"""Many possible versions of one tank: their rows filled, their first day set, their slow drifts carried along."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Ensemble
from lentic.engine.kernel import Kernel
from lentic.engine.table import Table
from lentic.model.components import ALGAE, BACTERIA
from lentic.model.describe import Description
from lentic.model.jumps import ACCOUNT_ROWS, KEEPER_ROWS, Operator
from lentic.model.keeper_numbers import KITS, START
from lentic.model.parameters import default_values
from lentic.model.processes import build_table
from lentic.model.schedule import Task
from lentic.science.constants import CARBON

Array = npt.NDArray[np.float64]
Values = Mapping[str, npt.ArrayLike]


@dataclass(frozen=True, kw_only=True)
class Drift:
    """A number that wanders: the row it moves, how far, and whether it multiplies or is added to its base."""

    row: str
    sd: float
    added: bool = False
    base: str | None = None


DRIFTS: Mapping[str, Drift] = {
    "plant_drift": Drift(row="plant_vigour", sd=0.22),
    "algae_drift": Drift(row="algae_vigour", sd=0.25),
    "appetite_drift": Drift(row="appetite", sd=0.12),
    "tap_nitrate_drift": Drift(row="tap_nitrate", sd=0.12, base="tap_nitrate_base"),
    "tap_alkalinity_drift": Drift(row="tap_alkalinity", sd=0.05, base="tap_alkalinity_base"),
    "heater_drift": Drift(row="heater_set_c", sd=0.35, added=True, base="heater_base_c"),
}
"""Drifts and how far they wander (sd of ln, or in the row's unit where added); common practice, no source."""
KNOT_D = 21.0
"""Distance of the points between which a drift is straight. [d]"""
DRIFT_MEMORY = 0.75
"""Correlation of a drift from one point to the next; common practice, no source. [-]"""
DRIFT_EVERY_D = 2.0
LEAST_SEED = 0.01
"""Algae that glass in a living tank never falls below; common practice, no source. [g dry/m2]"""
TAP_CARBON = 1.01 * CARBON
"""Prepared water stood open for a while: nearly as much inorganic carbon as alkalinity. [g C/eq]"""

OPEN_ROWS = ("open_n", "open_p", "open_gas_n", "open_growth_n", "open_growth_p")
"""What the tank held when the books were opened. [g]"""
OTHER_ROWS = (
    *OPEN_ROWS,
    "clock",
    "days_to_scrape",
    "in_algae",
    "ip_algae",
    "in_bacteria",
    "ip_bacteria",
    "pane_area",
)


def table_for(description: Description) -> Table:
    """Return the process table that has room for this tank's plants."""
    return build_table(description.plant_slots)


def knots(days: float) -> int:
    """Return how many drift points cover a span of days from the first day on."""
    return int(np.ceil(days / KNOT_D)) + 2


def extra_rows(description: Description, drift_points: int) -> tuple[str, ...]:
    """Return the rows that members hold beside those of the process table."""
    table_names = set(table_for(description).parameters)
    dry = [f"{name}_{slot}" for name in ("dry", "clump") for slot in range(1, description.plant_slots + 1)]
    drifts = [f"{name}_{k}" for name in DRIFTS for k in range(drift_points)]
    own = [p.name for p in (*START, *KITS)]
    bases = [drift.base for drift in DRIFTS.values() if drift.base]
    rows = (*KEEPER_ROWS, *bases, *ACCOUNT_ROWS, *OTHER_ROWS, *dry, *drifts, *own)
    return tuple(dict.fromkeys(name for name in rows if name not in table_names))


def populate(
    kernel: Kernel, description: Description, values: Values, members: int, drift_points: int
) -> Ensemble:
    """Return members with all parameters set and the state of a plausible tank before the run-up.

    Parameters
    ----------
    kernel : Kernel
        Kernel of this tank's table. [-]
    description : Description
        The tank. [-]
    values : Mapping[str, array_like]
        Parameters and keeper's numbers, scalars or shape (member,); what is missing keeps its default. [as named]
    members : int
        How many members. [-]
    drift_points : int
        How many drift points there are. [-]

    Returns
    -------
    Ensemble
        Ready to run. [-]
    """
    ensemble = Ensemble(kernel, members, extra_rows(description, drift_points))
    given = {name: v for name, v in default_values(description.parameters).items() if name in ensemble}
    ensemble.set_all(given | {name: v for name, v in values.items() if name in ensemble})
    ensemble["appetite"] = 1.0
    ensemble["plant_vigour"] = 1.0
    ensemble["algae_vigour"] = 1.0
    for drift in DRIFTS.values():
        if drift.base:
            ensemble[drift.base] = ensemble[drift.row]
    ensemble["full_volume"] = ensemble["full_volume_m3"]
    for slot in range(len(description.slots) + 1, description.plant_slots + 1):
        ensemble[f"dry_{slot}"], ensemble[f"clump_{slot}"] = 0.08, 100.0
    ensemble["in_algae"], ensemble["ip_algae"] = ALGAE["N"], ALGAE["P"]
    ensemble["in_bacteria"], ensemble["ip_bacteria"] = BACTERIA["N"], BACTERIA["P"]
    ensemble["pane_area"] = ensemble["pane_m2"]
    ensemble["tap_carbon"] = ensemble["tap_alkalinity"] * TAP_CARBON
    ensemble["days_to_scrape"] = -1.0
    _first_state(ensemble, description)
    return ensemble


def _first_state(e: Ensemble, description: Description) -> None:
    """Set amounts of an ordinary tank; the run-up makes them fit this one."""
    volume = e["full_volume"]
    e["volume"] = volume
    e["temperature"] = np.maximum(e["heater_set_c"], 21.0)
    e["oxygen"], e["nitrite"], e["ammonium"], e["urea"] = (
        8.0 * volume,
        0.03 * volume,
        0.05 * volume,
        0.05 * volume,
    )
    e["nitrate"] = (e["tap_nitrate"] + 3.0) * volume
    e["phosphate"] = (e["tap_phosphate"] + 0.2) * volume
    e["alkalinity"] = e["tap_alkalinity"] * volume
    e["carbon"] = e["tap_carbon"] * volume
    e["hydrogen"] = 1e-8
    size = volume / 0.28
    for name, grams in (
        ("ammonia_oxidisers_filter", 0.05),
        ("nitrite_oxidisers_filter", 0.018),
        ("ammonia_oxidisers_surfaces", 0.012),
        ("nitrite_oxidisers_surfaces", 0.006),
    ):
        e[name] = grams * size
    e["algae_panes"] = 0.3 * e["pane_m2"]
    e["algae_decor"] = 0.6 * e["decor_m2"]
    e["algae_adrift"], e["green_water"] = 0.02 * volume, 0.02 * volume
    for element, share in (("cod", 1.0), ("c", 0.37), ("n", 0.045), ("p", 0.008)):
        for pool, grams in (
            ("labile", 2.0),
            ("refractory", 8.0),
            ("filter_labile", 1.0),
            ("filter_refractory", 5.0),
        ):
            e[f"{pool}_{element}"] = grams * share * size
        e[f"turtle_gut_{element}"], e[f"fish_gut_{element}"] = 1e-3 * share, 1e-4 * share
        e[f"tissue_{element}"] = 0.0
    for name in ("dinitrogen", "oxygen_air", "carbon_air", "lime"):
        e[name] = 0.0
    _set_plants(e, description)


def _set_plants(e: Ensemble, description: Description) -> None:
    for number in range(1, description.plant_slots + 1):
        slot = description.slots[number - 1] if number <= len(description.slots) else None
        dry = (slot.wet_g if slot else 0.0) / e["plant_gram"] * e[f"dry_{number}"]
        e[f"plant_{number}"] = dry
        e[f"plant_n_{number}"] = dry * e["new_plant_n"]
        e[f"plant_p_{number}"] = dry * e["new_plant_p"]


def first_day(description: Description, new_tank: bool) -> Operator:
    """Return the operator of the first day: known plants, this member's film, dirt, salts and bacteria."""

    def operate(e: Ensemble) -> None:
        for slot in range(1, description.plant_slots + 1):
            content_n = e[f"plant_n_{slot}"] / (e[f"plant_{slot}"] + 1e-9)
            content_p = e[f"plant_p_{slot}"] / (e[f"plant_{slot}"] + 1e-9)
            known = description.slots[slot - 1].wet_g if slot <= len(description.slots) else 0.0
            dry = known / e["plant_gram"] * e[f"dry_{slot}"]
            e[f"plant_{slot}"], e[f"plant_n_{slot}"], e[f"plant_p_{slot}"] = (
                dry,
                dry * content_n,
                dry * content_p,
            )
        e["algae_panes"] = e["start_film"] * e["pane_m2"]
        dirt = e["start_dirt"] * (0.05 if new_tank else 1.0)
        for pool in ("labile", "refractory", "filter_labile", "filter_refractory"):
            for element in ("cod", "c", "n", "p"):
                e[f"{pool}_{element}"] *= dirt
        if new_tank:
            _fresh_water(e)
        e["nitrate"] *= e["start_nitrate"]
        e["phosphate"] *= e["start_phosphate"]
        e["alkalinity"] *= e["start_alkalinity"]
        e["carbon"] *= e["start_alkalinity"]
        for step, start in (("ammonia", "start_film_bacteria"), ("nitrite", "start_nitrite_bacteria")):
            for place in ("filter", "surfaces"):
                e[f"{step}_oxidisers_{place}"] *= e[start]
        open_books(e)

    return operate


def _fresh_water(e: Ensemble) -> None:
    volume = e["volume"]
    e["nitrate"], e["phosphate"] = e["tap_nitrate"] * volume, e["tap_phosphate"] * volume
    e["alkalinity"], e["carbon"] = e["tap_alkalinity"] * volume, e["tap_carbon"] * volume
    e["nitrite"], e["ammonium"] = 0.005 * volume, (e["tap_ammonium"] + 0.02) * volume
    e["algae_decor"] = 0.02 * e["decor_m2"]


def held(e: Ensemble) -> dict[str, Array]:
    """Return what the tank holds of nitrogen and phosphorus, and what has gone to the air and into animals. [g]"""
    total = {"n": np.zeros_like(e["volume"]), "p": np.zeros_like(e["volume"])}
    for component in e.kernel.layout.table.components:
        if component.name.startswith(("tissue_", "dinitrogen")):
            continue
        for element, key in (("n", "N"), ("p", "P")):
            content = component.composition.get(key, 0.0)
            if content:
                total[element] = total[element] + content * e[component.name]
    return {
        "open_n": total["n"],
        "open_p": total["p"],
        "open_gas_n": e["dinitrogen"].copy(),
        "open_growth_n": e["tissue_n"].copy(),
        "open_growth_p": e["tissue_p"].copy(),
    }


def open_books(e: Ensemble) -> None:
    """Set all accounts to zero and note what the tank holds now."""
    for name in ACCOUNT_ROWS:
        e[name] = 0.0
    for name, amount in held(e).items():
        e[name] = amount


def flows(e: Ensemble) -> dict[str, Array]:
    """Return every flow since the books were opened, per member.

    Parameters
    ----------
    e : Ensemble
        The members. [-]

    Returns
    -------
    dict[str, Array]
        ``food_n`` and so on, with gas, growth and stored, shape (member,). [g]
    """
    now = held(e)
    out = {name: e.gather(e[name]) for name in ACCOUNT_ROWS}
    for flow, row in (
        ("stored_n", "open_n"),
        ("stored_p", "open_p"),
        ("gas_n", "open_gas_n"),
        ("growth_n", "open_growth_n"),
        ("growth_p", "open_growth_p"),
    ):
        out[flow] = e.gather(now[row] - e[row])
    out["gas_p"] = np.zeros(e.members)
    return out


def drift_tasks(first: float, last: float) -> list[Task]:
    """Return the tasks that carry the drifting numbers along between two moments."""
    days = np.arange(np.floor(first), last, DRIFT_EVERY_D)
    return [
        Task(day=float(day), operators=(_drift(float(day)),), sudden=False) for day in days if day >= first
    ]


def _drift(day: float) -> Operator:
    place = max(day, 0.0) / KNOT_D
    before = int(place)
    share = place - before

    def operate(e: Ensemble) -> None:
        for name, drift in DRIFTS.items():
            change = (1.0 - share) * e[f"{name}_{before}"] + share * e[f"{name}_{before + 1}"]
            base = e[drift.base] if drift.base else 1.0
            e[drift.row] = base + change if drift.added else base * np.exp(change)
        e["tap_carbon"] = e["tap_alkalinity"] * TAP_CARBON
        _seed_panes(e)

    return operate


def _seed_panes(e: Ensemble) -> None:
    """Keep a trace of algae on the panes, made of loose dirt: spores come with food, plants and hands."""
    missing = np.maximum(LEAST_SEED * e["pane_area"] - e["algae_panes"], 0.0)
    contents = {"cod": ALGAE["COD"], "c": ALGAE["C"], "n": ALGAE["N"], "p": ALGAE["P"]}
    for element, content in contents.items():
        missing = np.minimum(missing, 0.5 * e[f"labile_{element}"] / content)
    for element, content in contents.items():
        e[f"labile_{element}"] -= missing * content
    e["algae_panes"] += missing


def drift_values(name: str, steps: Array) -> Array:
    """Return a drift at its points from independent standard-normal steps.

    Parameters
    ----------
    name : str
        A key of ``DRIFTS``. [-]
    steps : Array
        Shape (point, member). [-]

    Returns
    -------
    Array
        Logarithm of the factor, or what is added, same shape. [-]
    """
    spread = DRIFTS[name].sd
    out = np.empty_like(steps)
    out[0] = spread * steps[0]
    for k in range(1, len(steps)):
        out[k] = DRIFT_MEMORY * out[k - 1] + spread * np.sqrt(1.0 - DRIFT_MEMORY**2) * steps[k]
    return out
