# ruff: noqa: E501 - a table reads best with one parameter a line
"""The parameters each plant slot carries; the numbers of its class come from the catalogue.

Classes: FS fast stem or rootless, MS medium stem, RG rooted ribbon, FL floater, EM roots in water and leaves
in air, SL slow fern, aroid or moss.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from lentic import LenticError
from lentic.catalogue.load import plant_class as catalogue_class
from lentic.model.parameters import Fixed, LogNormal, Parameter, Share, row

_SD_PH = 0.15 * math.log(10.0)
_CEILING = "tuned under 0.109 per day net of 14 species (Nielsen & Sand-Jensen 1991, abstract)"
_TISSUE = "critical 1.3 % N, 0.13 % P (Gerloff & Krombholz 1966, from memory); PCLake 1-3.5 % N, 0.08-0.35 % P (read)"
_TUNED = "tuned; no source"


@dataclass(frozen=True, kw_only=True)
class PlantClass:
    """Growth numbers of one class of plant; carbon numbers do not count for leaves in air."""

    mu: float
    ik: float
    respiration: float
    litter: float
    starving: float
    quota_n_min: float
    quota_n_max: float
    quota_p_min: float
    quota_p_max: float
    crowding: float
    half_carbon: float = 0.35
    bicarbonate_use: float = 0.04
    ph_max: float = 9.4
    air: float = 0.0
    shade: float = 0.011
    cover: float = 0.0
    uptake_n: float = 0.020
    half_nitrate: float = 0.20
    half_ammonium: float = 0.15
    uptake_p: float = 0.0018
    half_phosphate: float = 0.020
    high_c: float = 38.0


CLASS_CODES: Mapping[str, str] = {
    "fast_stem": "FS",
    "medium_stem": "MS",
    "ribbon": "RG",
    "floater": "FL",
    "emersed": "EM",
    "slow": "SL",
}
"""Growth class of the catalogue -> code of the class in this room."""

_FIELDS: Mapping[str, str] = {
    "mu": "mu",
    "ik": "ik",
    "respiration": "r20",
    "litter": "m0",
    "starving": "ms",
    "quota_n_min": "qn_min",
    "quota_n_max": "qn_max",
    "quota_p_min": "qp_min",
    "quota_p_max": "qp_max",
    "crowding": "cap",
    "shade": "eps",
    "cover": "sigma",
    "uptake_n": "v_n",
    "half_nitrate": "k_no3",
    "half_ammonium": "k_nh",
    "uptake_p": "v_p",
    "half_phosphate": "k_p",
    "high_c": "t_max",
}
_CARBON_FIELDS: Mapping[str, str] = {"half_carbon": "k_c", "bicarbonate_use": "beta", "ph_max": "ph_max"}
"""Numbers of carbon from the water; leaves in air have none, and the placeholder stays."""

COMMON: tuple[Parameter, ...] = (
    row("herbivory_g_d", 0.0, "g dry/d", LogNormal(sd=0.8), "plant the turtles could eat a day", "0.001-0.003 g per g adult slider a day, 0 for hatchlings; from memory", "memory"),
    row("plant_vigour", 1.0, "-", Fixed(), "drifting factor on the photosynthesis of all plants", "1 by definition; how it drifts is learned", "computed"),
    row("plant_warming", math.log(2.0) / 10.0, "1/K", Fixed(), "ln 2 over ten degrees, rise of respiration", "Q10 of 2 (PCLake, read)", "read"),
    row("ammonium_blocks", 0.10, "g N/m3", LogNormal(sd=0.7), "ammonium that halves the uptake of nitrate", _TUNED, "tuned"),
    row("litter_labile_share", 0.35, "-", Share(low=0.15, high=0.60), "plant litter that rots quickly", _TUNED, "tuned"),
)  # fmt: skip


def plant_defaults(plant_class: str) -> PlantClass:
    """Growth numbers of a class.

    Parameters
    ----------
    plant_class : str
        FS, MS, RG, FL, EM or SL.

    Returns
    -------
    PlantClass
        Its defaults.
    """
    names = {code: name for name, code in CLASS_CODES.items()}
    if plant_class not in names:
        raise LenticError(f"plant class {plant_class!r} is not known; take one of {', '.join(names)}")
    known = catalogue_class(names[plant_class])
    fields = _FIELDS if known.air_leaves else {**_FIELDS, **_CARBON_FIELDS}
    numbers = {field: float(getattr(known, key)) for field, key in fields.items()}
    return PlantClass(**numbers, air=1.0 if known.air_leaves else 0.0)


def plant_parameters(slot: int, plant_class: str) -> tuple[Parameter, ...]:
    """Parameters of one plant slot.

    Parameters
    ----------
    slot : int
        Number of the plant slot, from 1.
    plant_class : str
        Class of the plant in it.

    Returns
    -------
    tuple of Parameter
        Names end in the number of the slot.
    """
    k = plant_defaults(plant_class)
    spread = LogNormal(sd=0.35 if plant_class == "FS" else 0.5)
    appetite = "1 eagerly eaten, 0 never touched; common practice, no source"
    uptake = "uptake and half-saturation from memory; at low nitrogen only their quotient of 0.1 counts"
    leaf = "from memory; duckweed 0.10 m2 per g dry (read)"
    rows = (
        row("air", k.air, "-", Fixed(), "1: leaves in air, carbon from air", "growth form of the class; common practice, no source", "practice"),
        row("mu", k.mu, "1/d", spread, "growth in full light at the best temperature", _CEILING, "tuned"),
        row("ik", k.ik, "umol/m2/s", LogNormal(sd=0.4), "light at the onset of saturation", "pondweed 180 (read); shade-grown stems lower, from memory", "memory"),
        row("respiration", k.respiration, "1/d", LogNormal(sd=0.35), "respiration at 20 °C", "0.02 (PCLake, a benthic module; read)", "read"),
        row("litter", k.litter, "1/d", LogNormal(sd=0.35), "shedding of a well-fed plant", _TUNED, "tuned"),
        row("starving", k.starving, "1/d", LogNormal(sd=0.35), "extra shedding of a starved plant", _TUNED, "tuned"),
        row("quota_n_min", k.quota_n_min, "g/g", Fixed(), "nitrogen at which growth stops", _TISSUE, "memory"),
        row("quota_n_max", k.quota_n_max, "g/g", LogNormal(sd=0.2), "nitrogen at which uptake stops", _TISSUE, "memory"),
        row("quota_p_min", k.quota_p_min, "g/g", Fixed(), "phosphorus at which growth stops", _TISSUE, "memory"),
        row("quota_p_max", k.quota_p_max, "g/g", LogNormal(sd=0.35), "phosphorus at which uptake stops", _TISSUE, "memory"),
        row("half_carbon", k.half_carbon, "g C/m3", LogNormal(sd=0.6), "usable carbon that gives half the growth", _TUNED, "tuned"),
        row("bicarbonate_use", k.bicarbonate_use, "-", LogNormal(sd=0.7), "use of bicarbonate against carbon dioxide", _TUNED, "tuned"),
        row("h_max", 10.0**-k.ph_max, "mol/L", LogNormal(sd=_SD_PH), "alkaline end that halves growth", "tuned, ±0.3 pH", "tuned"),
        row("crowding", k.crowding, "g/m2", LogNormal(sd=0.3), "most plant per surface", "crop 400 (PCLake), crowded duckweed 177 (read)", "read"),
        row("shade", k.shade, "m2/g", LogNormal(sd=0.4), "shade in the water per g dry", _TUNED, "tuned"),
        row("cover", k.cover, "m2/g", LogNormal(sd=0.4), "surface covered per g dry floating leaves", leaf, "memory"),
        row("uptake_n", k.uptake_n, "g/g/d", LogNormal(sd=0.6), "fastest nitrogen uptake", uptake, "memory"),
        row("half_nitrate", k.half_nitrate, "g N/m3", LogNormal(sd=0.7), "nitrate that gives half the uptake", uptake, "memory"),
        row("half_ammonium", k.half_ammonium, "g N/m3", LogNormal(sd=0.7), "ammonium that gives half the uptake", uptake, "memory"),
        row("uptake_p", k.uptake_p, "g/g/d", LogNormal(sd=0.6), "fastest phosphorus uptake", uptake, "memory"),
        row("half_phosphate", k.half_phosphate, "g P/m3", LogNormal(sd=0.7), "phosphate that gives half the uptake", uptake, "memory"),
        row("plant_low_c", 8.0, "°C", Fixed(), "no growth below", "tuned cardinal points; Rosso 1993 form", "tuned"),
        row("plant_best_c", 27.0, "°C", Fixed(), "fastest growth", "tuned cardinal points; Rosso 1993 form", "tuned"),
        row("plant_high_c", k.high_c, "°C", Fixed(), "no growth above", "tuned cardinal points; Rosso 1993 form", "tuned"),
        row("palatability", 1.0, "-", Fixed(), "how readily turtles eat it", appetite, "practice"),
    )  # fmt: skip
    return tuple(
        Parameter(
            name=f"{r.name}_{slot}", default=r.default, unit=r.unit, prior=r.prior,
            meaning=f"plant {slot}: {r.meaning}", source=r.source, how=r.how,
        )
        for r in rows
    )  # fmt: skip
