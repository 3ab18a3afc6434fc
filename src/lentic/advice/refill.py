"""What the new water does at once: heat, KH and pH by mixing what is conserved, and the free ammonia that follows."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from lentic.advice.present import HARDNESS_PER_KH
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures
from lentic.logbook.tank import Tank
from lentic.science.ammonia import unionised_share
from lentic.science.carbonate import dic_from_ph
from lentic.science.conductivity import ions_from_hardness
from lentic.science.constants import CARBON, NITROGEN, PHOSPHORUS
from lentic.science.disinfectant import ammonia_from_chloramine
from lentic.science.water import Water, mixed_water, water_from_tests

Array = npt.NDArray[np.float64]

ANY_PH = 7.5
"""Stands in until the carbon of the members replaces it, where the tap's pH is not known. [-]"""
TAP_COLD_C = 12.0
"""Cold tap water where nobody measured it; common practice, no source. [°C]"""


@dataclass(frozen=True, kw_only=True)
class Refill:
    """What the changes of a plan do at the moment of each, as arrays of shape (change, member).

    Parameters
    ----------
    cooling : Array
        Fall of temperature if the new water is not warmed. [K]
    kh_step, ph_step : Array
        KH and pH after less before. [meq/L, -]
    free_before, free_after : Array
        Free ammonia nitrogen before and after. [mg/L N]
    """

    cooling: Array
    kh_step: Array
    ph_step: Array
    free_before: Array
    free_after: Array


def refill(tank: Water, tap: Water, share: Array) -> Refill:
    """Return what putting in a share of tap water does to the tank's water; pH is solved, never mixed.

    The new water is taken as warmed for the acid-base balance: a cold refill has less free ammonia at the same pH, so
    this errs towards care. What happens to heat where it is not warmed stands apart.
    """
    warmed = replace(tap, temperature=tank.temperature)
    after = mixed_water(tank, warmed, share)
    cold = mixed_water(tank, tap, share)
    return Refill(
        cooling=np.asarray(tank.temperature - np.asarray(cold.temperature)),
        kh_step=np.asarray(1e3 * (np.asarray(after.alkalinity) - tank.alkalinity)),
        ph_step=np.asarray(after.ph - tank.ph),
        free_before=free_ammonia(tank),
        free_after=free_ammonia(after),
    )


def free_ammonia(water: Water) -> Array:
    """Return the free ammonia nitrogen of a water. [mg/L N]"""
    total = np.asarray(water.tan) * NITROGEN * 1e3
    return np.asarray(total * unionised_share(water.ph, water.temperature), dtype=np.float64)


def tap_of(fit: Fit, sound: npt.NDArray[np.bool_]) -> Water:
    """Return the tap water of the sound members as fitted, its pH as given or else as the model has it."""
    tank, ensemble = fit.description.tank, fit.ensemble
    names = ("alkalinity", "ammonium", "phosphate", "carbon")
    row = {name: ensemble.gather(ensemble[f"tap_{name}"])[sound] for name in names}
    tap = tank.source_water
    cold = tap.temperature_c if tap.temperature_c is not None else TAP_COLD_C
    ammonia = row["ammonium"] + float(ammonia_from_chloramine(tap.chloramine_mg_l or 0.0))
    made = water_from_tests(
        cold, tap.ph or ANY_PH, row["alkalinity"], _hardness(tank, row["alkalinity"]),
        tan=ammonia, phosphate=row["phosphate"],
    )  # fmt: skip
    return made if tap.ph is not None else replace(made, dic=row["carbon"] / CARBON / 1e3)


def water_of(tank: Tank, found: Futures, days: Sequence[int], sound: npt.NDArray[np.bool_]) -> Water:
    """Return the tank's water on some days, as the lamp goes off, when pH is highest: shape (day, member)."""
    value = {name: found.values[name][list(days)][:, sound] for name in found.values}
    alkalinity = value["kh"] / 1e3
    tan, phosphate = value["ammonia"] / NITROGEN / 1e3, value["phosphate"] / PHOSPHORUS / 1e3
    ions = ions_from_hardness(_hardness(tank, value["kh"]) / 1e3, alkalinity, value["nitrate"] / NITROGEN / 1e3)
    water = Water(
        temperature=value["temperature"], ions=ions, alkalinity=alkalinity, dic=alkalinity, tan=tan,
        phosphate=phosphate,
    )  # fmt: skip
    for _ in range(2):
        carbon = dic_from_ph(water.constants, value["ph_dusk"], alkalinity, tan, phosphate)
        water = replace(water, dic=carbon)
    return water


def _hardness(tank: Tank, alkalinity: Array) -> Array:
    given = tank.source_water.hardness_meq_l
    return HARDNESS_PER_KH * alkalinity if given is None else np.full_like(alkalinity, given)


def refills(
    fit: Fit, found: Futures, litres: float, days: Sequence[int], sound: npt.NDArray[np.bool_]
) -> Refill | None:
    """Return what the changes of a plan do at once in every sound member; None where nothing is changed."""
    if not days or litres <= 0.0 or not sound.any():
        return None
    ensemble = fit.ensemble
    share = litres * 1e-3 * ensemble.gather(ensemble["true_litre"]) / ensemble.gather(ensemble["full_volume"])
    tap = tap_of(fit, sound)
    return refill(water_of(fit.description.tank, found, days, sound), tap, np.minimum(share[sound], 0.95))
