"""What a reading of total ammonia means at this pH and temperature: the free share, whom it harms, what a change does.

Total ammonia says nothing alone. The free share follows from pH, temperature and salts; where fish live it is held
against the guideline and the criteria of the United States of 2013, in a turtle-only tank against hygiene levels.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from lentic.advice.estimate import Estimate, follows
from lentic.advice.present import Now, tank_water, tap_water
from lentic.catalogue.targets import target
from lentic.logbook.tank import Tank
from lentic.science.ammonia import (
    acute_criterion_mussels_absent,
    acute_criterion_salmonids_absent,
    acute_criterion_salmonids_only,
    acute_criterion_salmonids_present,
    chronic_criterion,
    chronic_criterion_mussels_absent,
    unionised_share,
)
from lentic.science.conductivity import ionic_strength_from_conductivity
from lentic.science.constants import HYDROGEN, NITROGEN
from lentic.science.water import Water, mixed_water, with_bicarbonate

NH3_PER_N: Final = (NITROGEN + 3.0 * HYDROGEN) / NITROGEN
SALMONIDS: Final = frozenset({"salmonidae", "trout", "salmon", "char"})
MUSSELS: Final = frozenset({"mussel", "clam", "unio", "anodonta", "corbicula", "pisidium"})
FILM_HARMED_MG_N: Final = (0.1, 1.0)
"""Free ammonia from which nitrite oxidisers are held back, Anthonisen 1976, from memory. [mg/L N]"""


@dataclass(frozen=True, kw_only=True)
class Free:
    """Free ammonia now, and what it is of the total."""

    total: Estimate
    """[mg/L N]"""
    share: Estimate
    """[-]"""
    free_n: Estimate
    """[mg/L N]"""
    free_nh3: Estimate
    """[mg/L NH3]"""
    ph: float
    temperature: float
    level: str | None
    protects: str


@dataclass(frozen=True, kw_only=True)
class Criteria:
    """The 2013 lines for total ammonia at this pH and temperature. [mg/L N]"""

    acute: float
    chronic: float
    four_days: float
    salmonids: bool


@dataclass(frozen=True, kw_only=True)
class AfterChange:
    """What a change in one go does to pH, total and free ammonia."""

    fraction: float
    ph: float
    kh_meq: float
    total_n: float
    free_nh3: float


def free_of(known: Mapping[str, Now], fish: bool) -> Free | None:
    """Return the free ammonia of the present water; None without total, pH and temperature."""
    if any(name not in known for name in ("ammonia", "ph", "temperature")):
        return None
    total, ph, temperature = (known[name].known for name in ("ammonia", "ph", "temperature"))
    strength = _strength(known)
    share = follows(lambda p, t: float(unionised_share(p, t, strength)), ph, temperature, unit="")
    free = follows(lambda n, x: n * x, total, share, unit="mg/L N")
    row = target("ammonia_free.fish" if fish else "ammonia_total.turtle")
    nh3 = free.times(NH3_PER_N, "mg/L NH3")
    judged = nh3.value if fish else total.value
    return Free(
        total=total, share=share, free_n=free, free_nh3=nh3, ph=ph.value, temperature=temperature.value,
        level=row.level(judged), protects="fish" if fish else "filter",
    )  # fmt: skip


def _strength(known: Mapping[str, Now]) -> float:
    """Return the ionic strength of the water: from conductivity, else from its hardness, else of no salts."""
    if "conductivity" in known:
        return float(ionic_strength_from_conductivity(known["conductivity"].known.value))
    water = tank_water(known)
    return 0.0 if water is None else float(water.constants.ionic_strength)


def criteria(ph: float, temperature: float, salmonids: bool = False, mussels: bool = True) -> Criteria:
    """Return the criteria of the United States of 2013: one hour, thirty days, four days; fish may breed here."""
    acute = {
        (True, True): acute_criterion_salmonids_present, (False, True): acute_criterion_salmonids_absent,
        (True, False): acute_criterion_salmonids_only, (False, False): acute_criterion_mussels_absent,
    }[salmonids, mussels]  # fmt: skip
    chronic = float((chronic_criterion if mussels else chronic_criterion_mussels_absent)(ph, temperature))
    return Criteria(acute=float(acute(ph, temperature)), chronic=chronic, four_days=2.5 * chronic, salmonids=salmonids)


def has_mussels(tank: Tank) -> bool:
    """Tell whether a mussel or clam is named among the tankmates."""
    return any(word in fish.species.casefold() for fish in tank.fish for word in MUSSELS)


def has_salmonids(tank: Tank) -> bool:
    """Tell whether a fish of the trout family is named among those of the tank."""
    return any(word in fish.species.casefold() for fish in tank.fish for word in SALMONIDS)


def after_change(
    known: Mapping[str, Now], fraction: float, bicarbonate_mol_kg: float = 0.0, kh_meq: float | None = None
) -> AfterChange | None:
    """Return pH and free ammonia right after replacing a share with tap water; alkalinity and carbon are mixed.

    `bicarbonate_mol_kg` is what was dissolved in the new water; `kh_meq` takes another KH of the tap for granted.
    """
    old = tank_water(known)
    new = tap_water(known, known["temperature"].known.value) if "temperature" in known else None
    if old is None or new is None:
        return None
    if kh_meq is not None:
        bicarbonate_mol_kg = max(kh_meq / 1e3 - float(new.alkalinity), 0.0)
    return _free_after(mixed_water(old, with_bicarbonate(new, bicarbonate_mol_kg), fraction), fraction)


def aired(known: Mapping[str, Now], ph: float) -> AfterChange | None:
    """Return the free ammonia if the same water, ammonia and all, stood at another pH."""
    if any(name not in known for name in ("ammonia", "temperature")):
        return None
    total, temperature = known["ammonia"].known.value, known["temperature"].known.value
    free = total * float(unionised_share(ph, temperature, _strength(known)))
    kh = known["kh"].known.value if "kh" in known else 0.0
    return AfterChange(fraction=0.0, ph=ph, kh_meq=kh, total_n=total, free_nh3=free * NH3_PER_N)


def _free_after(water: Water, fraction: float) -> AfterChange:
    ph, total = float(water.ph), float(water.tan) * NITROGEN * 1e3
    share = float(unionised_share(ph, water.temperature, water.constants.ionic_strength))
    return AfterChange(
        fraction=fraction, ph=ph, kh_meq=float(water.alkalinity) * 1e3, total_n=total,
        free_nh3=total * share * NH3_PER_N,
    )  # fmt: skip
