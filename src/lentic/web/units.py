"""The keeper's own units, put in at the edge of the pages: amounts and sentences come in °C, L and dKH."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from lentic.logbook.units import KH, TEMPERATURE, VOLUME, fold

GALLON, FAHRENHEIT, CALCITE = "US gal", "°F", "mg/L CaCO3"
CHOICES: Mapping[str, tuple[str, ...]] = {
    "temperature": ("°C", FAHRENHEIT),
    "volume": ("L", GALLON),
    "hardness": ("dKH", CALCITE),
}
"""What can be chosen; the first of each is what the sentences are written in."""
_NUMBER = r"[-−]?\d+(?:[.,]\d+)?"
_AMOUNT = re.compile(
    rf"(?P<sign>± ?|by |at most |about )?(?P<low>{_NUMBER})(?:(?P<dash>–|-| to )(?P<high>{_NUMBER}))?"
    r"(?P<gap>[\s\u00a0])(?P<unit>°C|L|dKH)(?![\w/])"
    rf"(?P<open>[\s\u00a0]\((?:8 in 10: )?)?(?(open)(?P<range>{_NUMBER}(?: to |–){_NUMBER}\)))"
    r"(?P<after> (?:a day|warmer|colder|higher|lower|more|less|off)\b)?"
)


@dataclass(frozen=True, kw_only=True)
class Preferences:
    """The units a keeper wants to read."""

    temperature: str = "°C"
    volume: str = "L"
    hardness: str = "dKH"

    @property
    def plain(self) -> bool:
        """Whether nothing has to be turned into another unit."""
        return all(getattr(self, name) == units[0] for name, units in CHOICES.items())


def preferences_of(settings: Mapping[str, str]) -> Preferences:
    """Return the preferences among the settings of a household; what is no choice counts as not made."""
    chosen = {name: settings.get(f"units.{name}", "") for name in CHOICES}
    return Preferences(**{name: unit for name, unit in chosen.items() if unit in CHOICES[name]})


def in_units(text: str, wanted: Preferences) -> str:
    """Return a text with its temperatures, volumes and hardnesses in the keeper's units."""
    return text if wanted.plain else _AMOUNT.sub(lambda found: _turned(found, wanted), text)


def drawn_in(unit: str, wanted: Preferences) -> tuple[str, Callable[[float], float]]:
    """Return the unit in which an axis is drawn, and how values of the written unit get there."""
    chosen = {"°C": wanted.temperature, "L": wanted.volume, "dKH": wanted.hardness}.get(unit, unit)
    return chosen, (lambda value: value) if chosen == unit else _turner(chosen)


def typed_in(unit: str, wanted: Preferences) -> tuple[str, Callable[[float], float], Callable[[float], float]]:
    """Return the unit in which a keeper types an amount, how it is read into the written unit, and how it is shown."""
    chosen, shown = drawn_in(unit, wanted)
    if chosen == FAHRENHEIT:
        known = TEMPERATURE[fold("°F")]
        return chosen, lambda value: value * known.factor + known.offset, shown
    if chosen == GALLON:
        return chosen, lambda value: value * VOLUME[fold("US gal")].factor, shown
    return unit, lambda value: value, lambda value: value


def _turned(found: re.Match[str], wanted: Preferences) -> str:
    unit = {"°C": wanted.temperature, "L": wanted.volume, "dKH": wanted.hardness}[found["unit"]]
    if unit == found["unit"]:
        return found[0]
    sign = found["sign"] or ""
    change = sign.startswith(("±", "by")) or (found["after"] or "").strip() in ("warmer", "colder", "higher", "lower")
    turn = _turner(unit, difference=change)
    low = _like(found["low"], turn)
    high = f"{found['dash']}{_like(found['high'], turn)}" if found["high"] else ""
    around = (found["open"] or "") + re.sub(_NUMBER, lambda n: _like(n[0], turn), found["range"] or "")
    return f"{sign}{low}{high}{found['gap']}{unit}{around}{found['after'] or ''}"


def _turner(unit: str, difference: bool = False) -> Callable[[float], float]:
    """Return how a value of the written unit becomes one of the wanted unit."""
    if unit == FAHRENHEIT:
        known = TEMPERATURE[fold("°F")]
        return lambda value: value / known.factor if difference else (value - known.offset) / known.factor
    if unit == GALLON:
        return lambda value: value / VOLUME[fold("US gal")].factor
    factor = KH[fold("dKH")].factor / KH[fold("mg/L CaCO3")].factor
    return lambda value: value * factor


def _like(written: str, turn: Callable[[float], float]) -> str:
    """Return a number turned, with as many digits as it was written with."""
    plain = written.replace("−", "-").replace(",", ".")
    value = turn(float(plain))
    digits = len(plain.partition(".")[2])
    whole = f"{value:.{digits}f}" if digits or abs(value) >= 10 or value == int(value) else f"{value:.1f}"
    return whole.replace("-", "−")
