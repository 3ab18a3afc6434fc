"""A record of the catalogue laid out for a keeper: every value with unit, range, how it is known and who says so."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from lentic.catalogue import Fact, Food, Record, references

LABELS: Final[Mapping[str, str]] = {
    "legal": "law, by country (ask your authority; lists change)",
    "gh_dGH": "total hardness (GH)",
    "temp_C": "water temperature",
    "pH": "pH",
    "uvb_zone": "zone of ultraviolet need",
    "uvb_zone_second_source": "zone of ultraviolet need, a second source",
    "survives_turtle": "survives a turtle (1 never, 5 nearly always)",
    "usda_name": "name in the food table",
    "smr_mLO2_per_g_h": "oxygen used at rest",
    "tan_tolerance_mg_L": "total ammonia without effect, as N",
    "Ca_to_P": "calcium to phosphorus",
    "vitA_RAE_ug_100g": "vitamin A, as retinol",
    "N_mg_per_kcal": "nitrogen for its energy",
    "N_mg_per_g": "nitrogen",
    "P_mg_per_g": "phosphorus",
    "kcal_100g": "energy",
    "adult_cm": "adult length",
    "uses_bicarbonate": "takes carbon from bicarbonate",
    "scl_adult_female_cm": "adult shell length, female",
    "scl_adult_male_cm": "adult shell length, male",
    "scl_max_cm": "greatest shell length",
    "mass_adult_g": "adult mass",
    "water_adult_C": "water for adults",
    "water_juvenile_C": "water for young ones",
    "bask_surface_C": "basking surface",
    "feeding_starts_water_C": "water in which it begins to feed",
    "depth_min_x_scl": "least depth of water",
    "depth_max_cm": "greatest depth of water",
    "diet_animal_pct_hatchling": "animal share of the diet, young",
    "diet_animal_pct_adult": "animal share of the diet, adult",
    "protein_pct_dm_juvenile_min": "least protein for young ones",
    "uvi_bask_target": "UV index to aim at where it basks",
    "temp_selected_C": "water it chooses",
    "temp_selected_young_C": "water young ones choose",
    "rgr_per_day_typical": "growth, share of its mass",
    "rgr_field_per_day": "growth in nature, share of its mass",
    "dry_fraction": "dry mass in the wet mass",
    "dry_fraction_measured": "dry mass in the wet mass, measured",
    "tissue_N_pct_dw": "nitrogen in the plant",
    "tissue_P_pct_dw": "phosphorus in the plant",
    "tissue_N_pct_dw_measured": "nitrogen in the plant, measured",
    "tissue_P_pct_dw_measured": "phosphorus in the plant, measured",
    "critical_N_pct_dw": "nitrogen below which growth suffers",
    "critical_P_pct_dw": "phosphorus below which growth suffers",
    "ppfd_min_umol": "least plant light (PPFD)",
    "safety": "as food for a turtle",
    "safety_detail": "as food for a turtle, more",
    "yield_fresh_g_m2_day_best": "best yield, fresh",
    "yield_dry_g_m2_day_best": "best yield, dry",
    "crowding_limit_dry_g_m2": "dry mass at which it stops",
    "doubling_days_good": "doubling in good conditions",
    "clog_weeks_turtle": "clogs with a turtle after",
    "areal_rate_g_m2_d": "nitrogen taken up by its surface",
    "lm_per_W": "light for its power",
    "lux_per_ppfd": "lux for its plant light",
    "life_h": "life",
    "uvb_life_months": "life of its UVB",
    "dose_mg_per_mg_Cl2": "needed for chlorine",
    "dose_printed_mg_per_mg_Cl2": "needed for chlorine, as printed",
    "cleaner": "sold or kept to clean",
    "prey": "prey of a turtle",
    "tank_mates": "tank mates",
}
"""What a key is called where the key itself does not say it."""

_UNIT_ENDS: Final = re.compile(
    r"_(pct_dw|pct_dm|pct|mg_100g|ug_100g|mg_per_g|per_day|g_m2_day|g_m2|m2_m3|g_m2_d|umol|cm|cm2|C|g|h|ppm|ppt|mg_L"
    r"|months|days|x_scl)(?=_|$)"
)
_ABBREVIATIONS: Final[Mapping[str, str]] = {
    "scl": "shell length", "rgr": "relative growth", "ppfd": "plant light (PPFD)", "uvi": "UV index", "lm": "lumens",
    "uvb": "UVB", "N": "nitrogen", "P": "phosphorus", "bask": "basking", "temp": "temperature", "cm2": "surface",
}  # fmt: skip
_EMPTY_UNITS: Final = frozenset({"", "1", "pH", "1 to 4", "1 to 5"})


@dataclass(frozen=True, kw_only=True)
class Row:
    """One value as it is shown."""

    key: str
    label: str
    value: str
    unit: str
    origin: str
    source: str
    note: str


@dataclass(frozen=True, kw_only=True)
class Card:
    """A record with all its values; what is not there is unknown."""

    id: str
    kind: str
    name: str
    names: tuple[str, ...]
    scientific: str
    rows: tuple[Row, ...]
    remarks: tuple[str, ...]


def card_of(record: Record) -> Card:
    """Return a record laid out for a keeper."""
    rows = [_row(key, fact) for key, fact in record.facts.items()]
    return Card(
        id=record.id, kind=record.kind, name=record.name, names=tuple(dict.fromkeys((*record.names, *record.synonyms))),
        scientific=record.scientific, rows=tuple(rows), remarks=tuple(_remarks(record)),
    )  # fmt: skip


def cited(fact: Fact) -> tuple[str, tuple[str, ...]]:
    """Return a fact as words without the keys of sources that stand in it, and those sources in full."""
    file = fact.source.partition(":")[0]
    named: list[str] = []

    def plain(group: re.Match[str]) -> str:
        kept = []
        for part in re.split(r"[;,] ", group[1]):
            key = f"{file}:{part.strip()}"
            if key in references():
                named.append(references()[key])
            else:
                kept.append(part)
        return f" ({'; '.join(kept)})" if kept else ""

    text = re.sub(r" \(([^()]*)\)", plain, fact.text)
    own = references().get(fact.source, fact.source)
    return text, tuple(dict.fromkeys((own, *named)))


def label_of(key: str) -> str:
    """Return what a key is called; its unit stands beside the value and is not said twice."""
    if key in LABELS:
        return LABELS[key]
    plain = _UNIT_ENDS.sub("", key)
    return " ".join(_ABBREVIATIONS.get(word, word) for word in plain.split("_"))


def _row(key: str, fact: Fact) -> Row:
    unit = "" if fact.unit in _EMPTY_UNITS else fact.unit
    text, sources = cited(fact)
    value = {True: "yes", False: "no"}[fact.value] if isinstance(fact.value, bool) else text
    if key == "safety":  # the bare word says neither of what nor for whom
        value = re.sub(r"^safe food plant$", "eaten, no harm known", re.sub(r"^safe$", "no harm known", value))
    return Row(
        key=key, label=label_of(key), value=value, unit=unit, origin=fact.origin,
        source=" ".join(sources), note=fact.note,
    )  # fmt: skip


def _remarks(record: Record) -> list[str]:
    found = ["What is not listed is not known here; it is never taken as nought."]
    if record.fact("legal") is not None:
        found.append("Law notes are no advice: lists change and differ by place; ask your authority before you act.")
    if isinstance(record, Food):
        found.append("Tables of foods move between releases; the packet in your hand wins (write it under [[food]]).")
    return found
