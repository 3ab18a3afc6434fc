"""What an event does to the state: small named operators on all members at once, each booked to its flow.

Every operator works on rows of shape (block, lane) and on the keeper's own numbers of each member (true grams per
logged gram, the share the hose takes, what the scraper leaves ...), which stand in rows of their own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Ensemble
from lentic.model.components import ELEMENTS, PLANT
from lentic.science.constants import CARBON, SODIUM_BICARBONATE

Array = npt.NDArray[np.float64]
Operator = Callable[[Ensemble], None]

DISSOLVED_N = ("ammonium", "nitrite", "nitrate", "urea")
FLOWS = ("food", "tap", "planted", "change", "siphon", "rinse", "thinning", "scraping")

KEEPER_ROWS = (
    "true_gram",
    "appetite",
    "true_litre",
    "plant_gram",
    "uneaten",
    "nitrogen_factor",
    "phosphorus_factor",
    "fish_share",
    "siphon_share",
    "rinse_share",
    "scrape_leaves",
    "scrape_kept",
    "scrape_threshold",
    "full_volume",
    "tap_nitrate",
    "tap_phosphate",
    "tap_alkalinity",
    "tap_carbon",
    "tap_ammonium",
    "new_plant_n",
    "new_plant_p",
    "died_per_found",
)
"""Numbers of the keeper and the tap that jumps need, one per member."""

ACCOUNT_ROWS = tuple(f"{flow}_{element}" for flow in FLOWS for element in ("n", "p"))
"""What each flow has carried since the last time the books were closed. [g]"""

ADRIFT_CAUGHT = 0.5
"""Share of the floating algae that the hose catches; common practice, no source. [-]"""
TAP_OXYGEN = 8.0
"""Oxygen of prepared water. [mg/L]"""
RINSED = {"floss": (0.35, 0.05), "half": (0.5, 0.08), "all": (1.0, 0.15)}
"""Extent -> share of the filter dirt a rinse reaches, share of the film lost in tank water; common practice."""
SPARED_CLUMP = 0.4
"""Share of the liked clump below which nobody thins; common practice, no source. [-]"""
FILM_LOST_TO_TAP = 0.8
"""Share of the film lost where chlorinated tap water is used on all media; common practice, no source. [-]"""


@dataclass(frozen=True, kw_only=True)
class Meal:
    """What one gram of a food as fed holds. [g/g]"""

    cod: float
    c: float
    n: float
    p: float


def _book(rows: Ensemble, flow: str, nitrogen: Array | float, phosphorus: Array | float) -> None:
    rows[f"{flow}_n"] += nitrogen
    rows[f"{flow}_p"] += phosphorus


def feed(grams: float, meal: Meal, to_fish: bool) -> Operator:
    """Return the operator of a meal: most of it into the guts, the uneaten share into the sludge."""

    def operate(rows: Ensemble) -> None:
        true = grams * rows["true_gram"] * rows["appetite"]
        uneaten = true * rows["uneaten"]
        eaten = true - uneaten
        to_fishes = eaten if to_fish else eaten * rows["fish_share"]
        foods = {"fish_gut": to_fishes, "labile": uneaten}
        if not to_fish:
            foods["turtle_gut"] = eaten - to_fishes
        nitrogen, phosphorus = rows["nitrogen_factor"] * meal.n, rows["phosphorus_factor"] * meal.p
        per_gram: dict[str, Array | float] = {"cod": meal.cod, "c": meal.c, "n": nitrogen, "p": phosphorus}
        for element, content in per_gram.items():
            for pool, food in foods.items():
                rows[f"{pool}_{element}"] += food * content
        _book(rows, "food", true * nitrogen, true * phosphorus)

    return operate


def change(litres: float | None, share: float | None, chloramine_nitrogen: float = 0.0) -> Operator:
    """Return the operator of a water change: dissolved amounts are thinned, the refill reaches the full mark."""

    def operate(rows: Ensemble) -> None:
        volume = rows["volume"]
        taken = litres * 1e-3 * rows["true_litre"] if litres is not None else (share or 0.0) * volume
        f = np.minimum(taken / volume, 0.95)
        nitrogen = sum((f * rows[name] for name in DISSOLVED_N), np.zeros_like(f))
        floating = f * rows["green_water"]
        nitrogen = nitrogen + floating * rows["in_algae"]
        phosphorus = f * rows["phosphate"] + floating * rows["ip_algae"]
        _book(rows, "change", nitrogen, phosphorus)
        scraped = f * rows["algae_adrift"]  # what the scraper freed and the water carries out
        _book(rows, "scraping", scraped * rows["in_algae"], scraped * rows["ip_algae"])
        for name in (
            *DISSOLVED_N,
            "phosphate",
            "carbon",
            "oxygen",
            "alkalinity",
            "green_water",
            "algae_adrift",
        ):
            rows[name] *= 1.0 - f
        refill = np.maximum(rows["full_volume"] - volume * (1.0 - f), 0.0)
        rows["volume"] = volume * (1.0 - f) + refill
        _fill(rows, refill, chloramine_nitrogen)

    return operate


def _fill(rows: Ensemble, refill: Array, chloramine_nitrogen: float = 0.0) -> None:
    ammonium = rows["tap_ammonium"] + chloramine_nitrogen
    rows["nitrate"] += refill * rows["tap_nitrate"]
    rows["ammonium"] += refill * ammonium
    rows["phosphate"] += refill * rows["tap_phosphate"]
    rows["alkalinity"] += refill * rows["tap_alkalinity"]
    rows["carbon"] += refill * rows["tap_carbon"]
    rows["oxygen"] += refill * TAP_OXYGEN
    _book(rows, "tap", refill * (rows["tap_nitrate"] + ammonium), refill * rows["tap_phosphate"])


def top_up(demineralised: bool) -> Operator:
    """Return the operator that fills evaporated water up to the mark."""

    def operate(rows: Ensemble) -> None:
        refill = np.maximum(rows["full_volume"] - rows["volume"], 0.0)
        rows["volume"] = rows["volume"] + refill
        if not demineralised:
            _fill(rows, refill)

    return operate


def siphon(fraction: float | None) -> Operator:
    """Return the operator of the hose: it takes a share of the lying dirt and half of what floats."""

    def operate(rows: Ensemble) -> None:
        share = rows["siphon_share"] if fraction is None else np.clip(fraction, 0.0, 1.0)
        adrift = rows["algae_adrift"] * ADRIFT_CAUGHT * np.minimum(1.0, share)
        nitrogen = share * (rows["labile_n"] + rows["refractory_n"])
        phosphorus = share * (rows["labile_p"] + rows["refractory_p"])
        _book(rows, "siphon", nitrogen, phosphorus)
        _book(rows, "scraping", adrift * rows["in_algae"], adrift * rows["ip_algae"])
        rows["algae_adrift"] -= adrift
        for element in ELEMENTS:
            rows[f"labile_{element}"] *= 1.0 - share
            rows[f"refractory_{element}"] *= 1.0 - share

    return operate


def scrape_where(mask: Array | None = None) -> Operator:
    """Return the operator of the scraper: it leaves a residue, keeps a part, the rest drifts."""

    def operate(rows: Ensemble) -> None:
        _scrape(rows, np.ones_like(rows["algae_panes"]) if mask is None else mask)

    return operate


def _scrape(rows: Ensemble, mask: Array) -> None:
    loose = rows["algae_panes"] * (1.0 - rows["scrape_leaves"]) * mask
    kept = loose * rows["scrape_kept"]
    rows["algae_panes"] -= loose
    rows["algae_adrift"] += loose - kept
    _book(rows, "scraping", kept * rows["in_algae"], kept * rows["ip_algae"])


def scrape_when_due(area: str = "pane_area") -> Operator:
    """Return the operator of a keeper who looks and scrapes the panes that have reached this keeper's own limit."""

    def operate(rows: Ensemble) -> None:
        due = rows["algae_panes"] >= rows["scrape_threshold"] * rows[area]
        rows["days_to_scrape"] = np.where(
            due & (rows["days_to_scrape"] < 0), rows["clock"], rows["days_to_scrape"]
        )
        _scrape(rows, due.astype(np.float64))

    return operate


def thin(slot: int, wet_grams: float) -> Operator:
    """Return the operator of a planned thinning: wet grams with what they hold, but no one cuts a small clump away."""

    def operate(rows: Ensemble) -> None:
        dry = wet_grams / rows["plant_gram"] * rows[f"dry_{slot}"]
        small = SPARED_CLUMP * rows[f"clump_{slot}"] / rows["plant_gram"] * rows[f"dry_{slot}"]
        mass = rows[f"plant_{slot}"] + 1e-9
        share = np.clip(np.minimum(dry, mass - small) / mass, 0.0, 0.95)
        _book(rows, "thinning", share * rows[f"plant_n_{slot}"], share * rows[f"plant_p_{slot}"])
        for part in ("plant", "plant_n", "plant_p"):
            rows[f"{part}_{slot}"] *= 1.0 - share

    return operate


def thin_back(slot: int, wet_grams: float) -> Operator:
    """Return the operator of a keeper who thins back to the clump they like, by about what the log says."""

    def operate(rows: Ensemble) -> None:
        wet = thinned(rows, slot, wet_grams)
        share = np.minimum(wet * rows[f"dry_{slot}"] / (rows[f"plant_{slot}"] + 1e-9), 0.95)
        _book(rows, "thinning", share * rows[f"plant_n_{slot}"], share * rows[f"plant_p_{slot}"])
        for part in ("plant", "plant_n", "plant_p"):
            rows[f"{part}_{slot}"] *= 1.0 - share

    return operate


def thinned(rows: Mapping[str, Array] | Ensemble, slot: int, wet_grams: float) -> Array:
    """Return the true wet grams that thinning back to the liked clump takes, within a third and three times the log.

    Parameters
    ----------
    rows : Mapping[str, Array] or Ensemble
        Rows ``plant_j``, ``dry_j``, ``clump_j`` and ``plant_gram`` of any common shape. [as named]
    slot : int
        Plant slot. [-]
    wet_grams : float
        What the log says. [g]

    Returns
    -------
    Array
        True wet mass taken. [g]
    """
    said = wet_grams / rows["plant_gram"]
    liked = rows[f"clump_{slot}"] / rows["plant_gram"]
    wet = rows[f"plant_{slot}"] / rows[f"dry_{slot}"]
    least = said / 3.0 * np.minimum(1.0, wet / liked) ** 3
    return np.asarray(np.clip(wet - liked, least, said * 3.0), dtype=np.float64)


def die_back(slot: int, wet_grams: float) -> Operator:
    """Return the operator of plants found dead: the grams found are taken out, more than was found has rotted away."""

    def operate(rows: Ensemble) -> None:
        found = wet_grams / rows["plant_gram"] * rows[f"dry_{slot}"]
        mass = rows[f"plant_{slot}"] + 1e-9
        dead = np.minimum(rows["died_per_found"] * found / mass, 0.97)
        out = np.minimum(found / mass, dead)
        _book(rows, "thinning", out * rows[f"plant_n_{slot}"], out * rows[f"plant_p_{slot}"])
        labile = rows["litter_labile_share"]
        for element, part, content in (
            ("cod", "plant", PLANT["COD"]),
            ("c", "plant", PLANT["C"]),
            ("n", "plant_n", 1.0),
            ("p", "plant_p", 1.0),
        ):
            rot = (dead - out) * rows[f"{part}_{slot}"] * content
            rows[f"labile_{element}"] += labile * rot
            rows[f"refractory_{element}"] += (1.0 - labile) * rot
        for part in ("plant", "plant_n", "plant_p"):
            rows[f"{part}_{slot}"] *= 1.0 - dead

    return operate


def plant(slot: int, wet_grams: float) -> Operator:
    """Return the operator that puts wet grams of a well-fed plant in."""

    def operate(rows: Ensemble) -> None:
        dry = wet_grams / rows["plant_gram"] * rows[f"dry_{slot}"]
        nitrogen, phosphorus = dry * rows["new_plant_n"], dry * rows["new_plant_p"]
        _book(rows, "planted", nitrogen, phosphorus)
        rows[f"plant_{slot}"] += dry
        rows[f"plant_n_{slot}"] += nitrogen
        rows[f"plant_p_{slot}"] += phosphorus

    return operate


def rinse(extent: str, in_tap_water: bool) -> Operator:
    """Return the operator of a rinse: filter dirt leaves, a part of the film with it."""
    reached, lost = RINSED[extent]
    film = FILM_LOST_TO_TAP * reached if in_tap_water else lost

    def operate(rows: Ensemble) -> None:
        share = np.minimum(1.0, reached * rows["rinse_share"])
        nitrogen = share * (rows["filter_labile_n"] + rows["filter_refractory_n"])
        phosphorus = share * (rows["filter_labile_p"] + rows["filter_refractory_p"])
        bacteria = rows["ammonia_oxidisers_filter"] + rows["nitrite_oxidisers_filter"]
        nitrogen = nitrogen + film * bacteria * rows["in_bacteria"]
        phosphorus = phosphorus + film * bacteria * rows["ip_bacteria"]
        _book(rows, "rinse", nitrogen, phosphorus)
        for element in ELEMENTS:
            rows[f"filter_labile_{element}"] *= 1.0 - share
            rows[f"filter_refractory_{element}"] *= 1.0 - share
        rows["ammonia_oxidisers_filter"] *= 1.0 - film
        rows["nitrite_oxidisers_filter"] *= 1.0 - film

    return operate


def bicarbonate(grams: float) -> Operator:
    """Return the operator of sodium bicarbonate: alkalinity and inorganic carbon in the same moles."""

    def operate(rows: Ensemble) -> None:
        moles = grams / SODIUM_BICARBONATE
        rows["alkalinity"] += moles
        rows["carbon"] += moles * CARBON

    return operate


def leftovers(grams: float, meal: Meal) -> Operator:
    """Return the operator of food taken out again, as far as it lies in the tank."""

    def operate(rows: Ensemble) -> None:
        true = grams * rows["true_gram"]
        share = np.minimum(0.9, true * meal.cod / (rows["labile_cod"] + 1e-9))
        _book(rows, "siphon", share * rows["labile_n"], share * rows["labile_p"])
        for element in ELEMENTS:
            rows[f"labile_{element}"] *= 1.0 - share

    return operate


def set_rows(names: Sequence[str], values: Callable[[Ensemble], Sequence[Array]]) -> Operator:
    """Return the operator that moves parameters along (slow drifts); no amount changes."""

    def operate(rows: Ensemble) -> None:
        for name, value in zip(names, values(rows), strict=True):
            rows[name] = value

    return operate
