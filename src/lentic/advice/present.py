"""The water as it stands: the last readings with what their kits may be off by, and what stands in for them."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.estimate import Estimate, between, exactly
from lentic.learn.evidence import COLOUR_SD
from lentic.logbook.events import Event, Reading
from lentic.logbook.tank import Tank
from lentic.logbook.units import QUANTITIES
from lentic.model.keeper_numbers import KITS
from lentic.model.parameters import LogNormal, Normal
from lentic.science.disinfectant import ammonia_from_chloramine
from lentic.science.equilibrium import first_dissociation_pb82, henry_carbon_dioxide_pb82
from lentic.science.hardness import HARDNESS_UNITS
from lentic.science.water import Water, water_from_tests

EIGHT_IN_TEN: Final = 1.2816
"""Standard deviations from the middle to the ends that hold 8 of 10."""
FRESH: Final = timedelta(days=4)
"""A reading this old still says something of now; common practice, no source."""
_SD: Final[Mapping[str, float]] = {
    row.name.removeprefix("kit_"): row.prior.sd for row in KITS if isinstance(row.prior, LogNormal | Normal)
}
HARDNESS_PER_KH: Final = 1.2
"""Total hardness against KH where only KH is known; moves pH by less than 0.02; common practice, no source. [-]"""
ROOM_CO2_ATM: Final = 700e-6
"""Carbon dioxide over the tank; common practice for a lived-in room, no source. [atm]"""
DROP_DKH: Final = 0.5
"""Half a drop of a hardness test either way; common practice, no source. [dKH]"""

_PLAIN_SD: Final[Mapping[str, float]] = {"oxygen": 0.6, "temperature": _SD["temperature"], "ph": _SD["ph"]}


@dataclass(frozen=True, kw_only=True)
class Now:
    """A quantity as it is taken to be now, in the unit used inside, and the reading it rests on."""

    known: Estimate
    reading: Reading | None
    days: float = 0.0


def with_kit_error(reading: Reading) -> Estimate:
    """Return a reading with the range that its kit leaves open, in the unit used inside."""
    quantity = reading.quantity.removeprefix("tap_")
    unit, origin = QUANTITIES[reading.quantity].unit, "own reading"
    value = reading.value
    if reading.below:
        return between(0.0, value / 2.0, value, unit, "own reading, below the kit's first step")
    if quantity in ("kh", "gh"):
        half = DROP_DKH * HARDNESS_UNITS["°dH"]
        return between(max(value - half, 0.0), value, value + half, unit, origin)
    if quantity in _PLAIN_SD:
        half = EIGHT_IN_TEN * _PLAIN_SD[quantity]
        return between(value - half, value, value + half, unit, origin)
    if quantity in _SD:
        factor = math.exp(EIGHT_IN_TEN * math.hypot(_SD[quantity], COLOUR_SD))
        return between(value / factor, value, value * factor, unit, f"{origin}, colour kit")
    return exactly(value, unit, origin)


def present(tank: Tank, events: Sequence[Event], typed: Sequence[Reading], now: datetime) -> dict[str, Now]:
    """Return each quantity as it is known now: typed before logged, logged within a few days, then the description."""
    found: dict[str, Now] = {}
    for event in events:
        if not isinstance(event, Reading):
            continue
        age = now - event.time
        if age <= FRESH or event.quantity.startswith("tap_") or event.quantity in ("gh",):
            days = max(age.total_seconds() / 86400.0, 0.0)
            found[event.quantity] = Now(known=with_kit_error(event), reading=event, days=days)
    for reading in typed:
        found[reading.quantity] = Now(known=with_kit_error(reading), reading=reading)
    for quantity, known in _described(tank).items():
        found.setdefault(quantity, Now(known=known, reading=None))
    return found


def _described(tank: Tank) -> dict[str, Estimate]:
    """Return what the description of the tank says of the water where nothing was read."""
    water, heater = tank.source_water, tank.heater
    said = {
        "tap_ph": water.ph, "tap_kh": water.alkalinity_meq_l, "tap_gh": water.hardness_meq_l,
        "tap_nitrate": water.nitrate_mgn_l, "tap_ammonia": water.tan_mgn_l, "tap_temperature": water.temperature_c,
        "tap_chlorine": water.chlorine_mg_l, "tap_chloramine": water.chloramine_mg_l,
        "tap_phosphate": water.phosphate_mgp_l,
    }  # fmt: skip
    found = {
        quantity: exactly(value, QUANTITIES[quantity].unit, "as you described the tap")
        for quantity, value in said.items()
        if value is not None
    }
    if heater is not None and heater.set_c is not None:
        found["temperature"] = between(
            heater.set_c - 1.0, heater.set_c, heater.set_c + 1.0, "°C", "as the heater is set"
        )
    return found


def tank_water(known: Mapping[str, Now]) -> Water | None:
    """Return the water of the tank from its tests; None without pH or KH."""
    if "kh" not in known or "ph" not in known:
        return None
    celsius = known["temperature"].known.value if "temperature" in known else 25.0
    ph = known["ph"].known.value
    kh = max(known["kh"].known.value, _least_alkalinity(celsius, ph))
    gh = known["gh"].known.value if "gh" in known else _hardness_like(kh, known)
    nitrate, tan = (known[name].known.value if name in known else 0.0 for name in ("nitrate", "ammonia"))
    return water_from_tests(celsius, ph, kh, gh, nitrate=nitrate, tan=tan)


def _least_alkalinity(temperature: float, ph: float) -> float:
    """Return the alkalinity that goes with a pH and the carbon dioxide of a lived-in room, never more than half a drop.

    A KH of 0 only says less than the first drop; without this a sour water would hold no carbon at all, and any tap
    would seem to lift its pH at once. [meq/L]
    """
    gas = float(henry_carbon_dioxide_pb82(temperature)) * ROOM_CO2_ATM
    bicarbonate = 1e3 * gas * float(first_dissociation_pb82(temperature)) / math.pow(10.0, -ph)
    return min(bicarbonate, DROP_DKH * HARDNESS_UNITS["°dH"])


def tap_water(known: Mapping[str, Now], temperature: float) -> Water | None:
    """Return the tap, brought to the temperature of the tank; None without its pH or KH."""
    if "tap_kh" not in known or "tap_ph" not in known:
        return None
    kh = known["tap_kh"].known.value
    gh = _hardness_like(kh, known)
    ammonia = known["tap_ammonia"].known.value if "tap_ammonia" in known else 0.0
    if "tap_chloramine" in known:
        ammonia += float(ammonia_from_chloramine(known["tap_chloramine"].known.value))
    nitrate = known["tap_nitrate"].known.value if "tap_nitrate" in known else 0.0
    return water_from_tests(temperature, known["tap_ph"].known.value, kh, gh, nitrate=nitrate, tan=ammonia)


def _hardness_like(kh: float, known: Mapping[str, Now]) -> float:
    """Return a total hardness where none was read: the tap's, else a little above KH, common practice."""
    return known["tap_gh"].known.value if "tap_gh" in known else HARDNESS_PER_KH * kh
