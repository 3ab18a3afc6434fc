"""An input of a hand sum as it is typed: a number, with or without a unit, in the unit the relation wants."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

import numpy as np

from lentic.keeper.opening import AskError
from lentic.logbook import units as u
from lentic.logbook.cells import NUMBER
from lentic.logbook.units import Unit, fold

_TIME: Final = {
    "d": u.Unit("d"), "day": u.Unit("d"), "days": u.Unit("d"), "week": u.Unit("week", 7.0),
    "weeks": u.Unit("week", 7.0), "h": u.Unit("h", 1 / 24), "hours": u.Unit("h", 1 / 24),
}  # fmt: skip
_PRESSURE: Final = {
    "atm": u.Unit("atm"), "hpa": u.Unit("hPa", 1 / 1013.25), "mbar": u.Unit("mbar", 1 / 1013.25),
    "kpa": u.Unit("kPa", 1 / 101.325), "bar": u.Unit("bar", 1 / 1.01325),
}  # fmt: skip
_SMALL: Final = {"mg/l": u.Unit("mg/L"), "µg/l": u.Unit("µg/L", 0.001), "ug/l": u.Unit("µg/L", 0.001)}


def _scaled(units: Mapping[str, Unit], factor: float) -> dict[str, Unit]:
    """Return units that end in a multiple of what they ended in."""
    return {
        key: Unit(unit.name, unit.factor * factor, unit.offset * factor)
        for key, unit in units.items()
        if not unit.reciprocal
    }


_HARDNESS: Final = {**u.GH, **u.KH}
_FOR: Final[Mapping[str, Mapping[str, Unit]]] = {
    "°C": u.TEMPERATURE, "L": u.VOLUME, "g": u.MASS, "kg": _scaled(u.MASS, 0.001), "mg": _scaled(u.MASS, 1000.0),
    "cm": u.LENGTH, "m": _scaled(u.LENGTH, 0.01), "mm": _scaled(u.LENGTH, 10.0), "meq/L": _HARDNESS,
    "eq/kg": _scaled(_HARDNESS, 0.001), "mg/L CaCO3": _scaled(_HARDNESS, 1.0 / _HARDNESS["mg/lcaco3"].factor),
    "h": u.HOURS, "d": _TIME, "L/h": u.FLOW, "atm": _PRESSURE, "mg/L": _SMALL, "g/d": u.MASS,
}  # fmt: skip
_OF_NITROGEN: Final[Mapping[str, Mapping[str, Unit]]] = {
    "nitrate": u.NITRATE, "nitrite": u.NITRITE, "ammonia": u.AMMONIA, "tan": u.AMMONIA,
}  # fmt: skip


def units_for_input(name: str, unit: str) -> Mapping[str, Unit]:
    """Return the units an input may be typed in, by folded spelling; its own is always among them."""
    table = _OF_NITROGEN.get(name, {}) if unit == "mg N/L" else u.PHOSPHATE if unit == "mg P/L" else _FOR.get(unit, {})
    return {fold(unit): Unit(unit), **{key: each for key, each in table.items() if key}} if unit != "-" else {}


def number_of(key: str, unit: str, text: str) -> float:
    """Return a typed number in the unit of the input; what cannot be read is said with what can."""
    found = re.match(rf"\s*({NUMBER.pattern}(?:[eE][-+]?\d+)?)\s*(.*?)\s*$", text)
    if found is None:
        raise AskError(f"{key}={text}: {text!r} is not a number.")
    value, written = float(found[1].replace(",", ".")), found[2]
    if written:
        known = units_for_input(key, unit)
        if fold(written) not in known:
            names = ", ".join(dict.fromkeys(each.name for each in known.values())) or "no unit"
            raise AskError(f"{key}={text}: {written!r} is no unit for it; it takes {names}.")
        value = known[fold(written)].convert(value)
    if not np.isfinite(value):
        raise AskError(f"{key}={text}: a finite number is needed.")
    return value
