"""Chlorine and chloramine of the new water: conditioner for buckets or the whole tank, and what a test shows.

Amounts come from stoichiometry and the published table of the catalogue, per mg of chlorine; a packet's own dose goes
before them. No chemical here takes the ammonia away that chloramine leaves behind.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from lentic.advice.estimate import Estimate, between, exactly
from lentic.catalogue import Conditioner, conditioners
from lentic.science.change import mixed
from lentic.science.disinfectant import ammonia_from_chloramine, thiosulfate_per_chlorine

ORDINARY: Final = (0.2, 0.5, 1.0)
"""Free chlorine of an ordinary tap where nobody measured it; common practice, no source. [mg/L]"""
WEIGHED: Final = "thiosulfate"
DOSE_KEY, PRINTED_KEY = "dose_mg_per_mg_Cl2", "dose_printed_mg_per_mg_Cl2"


@dataclass(frozen=True, kw_only=True)
class Dose:
    """How much of one conditioner the new water needs, in the buckets or, with a hose, for the whole tank. [g]"""

    conditioner: str
    for_buckets: Estimate
    for_tank: Estimate
    splits_chloramine: str
    leaves_ammonia: bool
    note: str


@dataclass(frozen=True, kw_only=True)
class NewWater:
    """What the disinfectant of the new water asks for."""

    litres: float
    chlorine: Estimate
    """Total chlorine, free and combined. [mg/L Cl2]"""
    chloramine: bool
    doses: tuple[Dose, ...]
    ammonia_in_new_water: float
    """Ammonia nitrogen that splitting the chloramine sets free. [mg/L N]"""
    ammonia_after: Estimate | None
    """What a test right after the change shows. [mg/L N]"""


def new_water(
    litres: float,
    tank_litres: float,
    chlorine: Estimate | None,
    chloramine: Estimate | None,
    ammonia_now: Estimate | None,
) -> NewWater:
    """Return conditioner and expected test for a change; an unmeasured tap is taken as ordinary chlorine, and said."""
    combined = chloramine is not None and chloramine.value > 0.0
    if combined and chloramine is not None:
        total = chloramine
    elif chlorine is not None and chlorine.value > 0.0:
        total = chlorine
    else:
        total = between(*ORDINARY, "mg/L Cl2", "assumed: an ordinary tap, nobody measured it")
    split = float(ammonia_from_chloramine(total.value)) if combined else 0.0
    records = conditioners()
    doses = [dose for key in records if (dose := _dose(records[key], litres, tank_litres, total, combined)) is not None]
    return NewWater(
        litres=litres, chlorine=total, chloramine=combined, doses=tuple(doses), ammonia_in_new_water=split,
        ammonia_after=_after(litres / tank_litres, split, total, ammonia_now) if combined else None,
    )  # fmt: skip


def _dose(record: Conditioner, litres: float, tank: float, total: Estimate, combined: bool) -> Dose | None:
    """Return the dose of one conditioner whose chemistry gives one, or nothing where it does not work here."""
    most, printed = record.fact(DOSE_KEY), record.fact(PRINTED_KEY)
    hazard = record.words("hazard")
    if most is None or hazard or (combined and "not rely" in record.words("chloramine")):
        return None
    per_mg = float(thiosulfate_per_chlorine(1.0)) if record.id == WEIGHED else most.bounds[1]
    least = min(printed.bounds[0] if printed else most.bounds[0], per_mg)
    origin = f"{total.origin}; {least:g} to {per_mg:.2g} mg per mg of chlorine"
    grams = between(total.low * least / 1e3, total.value * per_mg / 1e3, total.high * per_mg / 1e3, "g", origin)
    oxygen = record.words("oxygen_demand")
    return Dose(
        conditioner=record.name, for_buckets=grams.times(litres), for_tank=grams.times(tank),
        splits_chloramine=record.words("chloramine"), leaves_ammonia=record.words("ammonia_bound") != "True",
        note=f"takes up oxygen: {oxygen}" if oxygen not in ("", "none") else "",
    )  # fmt: skip


def _after(fraction: float, split: float, total: Estimate, now: Estimate | None) -> Estimate:
    before = now or exactly(0.0, "mg/L N", "assumed")
    scale = total.low / total.value if total.value else 1.0
    more = total.high / total.value if total.value else 1.0
    return between(
        float(mixed(before.low, split * scale, fraction)), float(mixed(before.value, split, fraction)),
        float(mixed(before.high, split * more, fraction)), "mg/L N", "mixed from the tank's reading and the new water",
    )  # fmt: skip
