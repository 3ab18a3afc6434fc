"""Readings to come of one tank under a plan, in the units of a keeper's kits, with their spread."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from lentic.advice.limits import Limit, limits_for
from lentic.advice.words import (
    NOTHING,
    Spread,
    amount,
    chance,
    day_words,
    grade_words,
    number,
    precise,
    ranged,
    spread_of,
)
from lentic.learn.fit import Fit
from lentic.learn.forecast import DAWN, DUSK, QUANTITIES, Futures
from lentic.logbook.units import AMMONIA, KH, NITRATE, NITRITE, PHOSPHATE
from lentic.model.describe import Assumption
from lentic.model.observers import grade

Array = npt.NDArray[np.float64]

UNITS: Mapping[str, tuple[str, float]] = {
    "nitrate": ("mg/L NO3", NITRATE["mg/lno3"].convert(1.0)),
    "nitrite": ("mg/L NO2", NITRITE["mg/lno2"].convert(1.0)),
    "ammonia": ("mg/L N", 1.0),
    "ammonia_free": ("mg/L NH3", AMMONIA["mg/lnh3"].convert(1.0)),
    "phosphate": ("mg/L PO4", PHOSPHATE["mg/lpo4"].convert(1.0)),
    "kh": ("dKH", KH["dkh"].convert(1.0)),
    "ph_dawn": ("", 1.0),
    "ph_dusk": ("", 1.0),
    "oxygen_dawn": ("mg/L", 1.0),
    "temperature": ("°C", 1.0),
    "plant_wet": ("g", 1.0),
    "algae_panes": ("g/m2", 1.0),
}
"""Quantity -> unit shown, and how much of the internal unit one of it is."""
NAMES: Mapping[str, str] = {
    "nitrate": "Nitrate",
    "nitrite": "Nitrite",
    "ammonia": "Total ammonia (as N)",
    "ammonia_free": "Free ammonia",
    "phosphate": "Phosphate",
    "kh": "KH",
    "ph_dawn": "pH as the lamp goes on",
    "ph_dusk": "pH as the lamp goes off",
    "oxygen_dawn": "Oxygen as the lamp goes on",
    "temperature": "Temperature",
    "plant_wet": "Plants, wet mass",
    "algae_panes": "Algae on the panes",
}
KITS = {"nitrate": "kit_nitrate", "phosphate": "kit_phosphate"}
NOON = time(12)
SCRAPE = "scrape panes"


@dataclass(frozen=True, kw_only=True)
class Series:
    """One quantity over the days to come."""

    quantity: str
    unit: str
    times: tuple[datetime, ...]
    spreads: tuple[Spread, ...]


@dataclass(frozen=True, kw_only=True)
class Due:
    """When something is due: early, middle and late; None beyond the horizon."""

    what: str
    p10: datetime | None
    p50: datetime | None
    p90: datetime | None
    chance: float


@dataclass(frozen=True, kw_only=True)
class Forecast:
    """Readings to come, what is due, and what it rests on."""

    tank: str
    begin: datetime
    members: int
    seed: int
    outcome: str
    series: tuple[Series, ...]
    due: tuple[Due, ...]
    limits: tuple[Due, ...]
    assumptions: tuple[Assumption, ...]
    sentences: tuple[str, ...]

    def of(self, quantity: str) -> Series:
        """Return the series of a quantity."""
        return next(s for s in self.series if s.quantity == quantity)


def shown(quantity: str, values: Array) -> Array:
    """Return internal values in the unit that is shown."""
    return np.asarray(values / UNITS[quantity][1], dtype=np.float64)


def quantities_of(fit: Fit) -> tuple[str, ...]:
    """Return the quantities that can be said of this tank; without plants there is no plant mass."""
    return tuple(q for q in QUANTITIES if q != "plant_wet" or fit.description.slots)


def forecast_of(fit: Fit, futures: Futures) -> Forecast:
    """Return what the possible versions of a tank do, as series, due dates and sentences."""
    begin = datetime.combine(futures.begin, time())
    series = tuple(_series(fit, futures, q) for q in quantities_of(fit))
    due = (due_from(SCRAPE, futures.scrape[futures.sound], begin, len(futures.days)),)
    limits = tuple(
        found for limit in limits_for(fit.description.tank) if (found := _limit_due(limit, futures, begin)) is not None
    )
    assumptions = fit.description.assumptions
    return Forecast(
        tank=fit.description.tank.name,
        begin=begin,
        members=int(futures.sound.sum()),
        seed=fit.effort.seed,
        outcome=futures.outcome.value,
        series=series,
        due=due,
        limits=limits,
        assumptions=assumptions,
        sentences=_sentences(fit, futures, series, due[0], limits),
    )


def _series(fit: Fit, futures: Futures, quantity: str) -> Series:
    values = shown(quantity, futures.values[quantity])[:, futures.sound]
    return Series(
        quantity=quantity,
        unit=UNITS[quantity][0],
        times=tuple(_moment(fit, futures, quantity, number) for number in range(len(futures.days))),
        spreads=tuple(spread_of(values[k], 5) if values.size else NOTHING for k in range(len(futures.days))),
    )


def _moment(fit: Fit, futures: Futures, quantity: str, number: int) -> datetime:
    """Return the local moment of a value: noon, as the plant lamp goes on, or as it goes off."""
    midnight = datetime.combine(futures.days[number], time())
    lighting = fit.story.surroundings.lighting
    kind = QUANTITIES[quantity][1]
    if kind == DAWN:
        return midnight + timedelta(hours=lighting.on_h)
    if kind == DUSK:
        day = float((futures.days[number] - fit.story.midnight.date()).days)
        # a lamp that burns to midnight or later is read at the last minute of its day
        return midnight + timedelta(hours=min(lighting.on_h + lighting.hours(day + 0.5), 24.0 - 1.0 / 60.0))
    return datetime.combine(futures.days[number], NOON)


def due_from(what: str, days: Array, begin: datetime, horizon: int) -> Due:
    """Return when something is due from its day in each member; NaN means not within the horizon."""
    if days.size == 0:
        return Due(what=what, p10=None, p50=None, p90=None, chance=float("nan"))
    ordered = np.sort(np.where(np.isfinite(days), days, np.inf))
    picked = [float(ordered[round(share * (ordered.size - 1))]) for share in (0.1, 0.5, 0.9)]
    moments = [begin + timedelta(minutes=round(day * 1440.0)) if day < horizon else None for day in picked]
    chance = float(np.mean(ordered < horizon))
    return Due(what=what, p10=moments[0], p50=moments[1], p90=moments[2], chance=chance)


def _limit_due(limit: Limit, futures: Futures, begin: datetime) -> Due | None:
    """Return when a limit is passed, or None where that is very unlikely within the horizon."""
    values = shown(limit.quantity, futures.values[limit.quantity])[:, futures.sound]
    if values.size == 0:
        return None
    past = values > limit.value if limit.above else values < limit.value
    days = np.where(past.any(axis=0), past.argmax(axis=0) + 0.5, np.nan)
    due = due_from(limit.sentence, days, begin, len(futures.days))
    return due if due.chance > 0.1 else None


def _sentences(
    fit: Fit, futures: Futures, series: Sequence[Series], scrape: Due, limits: Sequence[Due]
) -> tuple[str, ...]:
    lines = [_scrape_sentence(fit, scrape)]
    lines += [_limit_sentence(due) for due in limits]
    if not limits:
        lines.append("No limit in the list for this tank is likely to be passed in this time.")
    for day in _weeks(len(futures.days)):
        lines.append(f"{day_words(futures.days[day])}:")
        lines += [f"  {NAMES[s.quantity]}: {_said(s, day)}" for s in series if s.spreads[day].known]
    return (*lines, *_kit_sentences(fit, series))


def _weeks(days: int) -> list[int]:
    """Return the days worth a line: in one week, in four, and the last."""
    return sorted({min(d, days - 1) for d in (6, 27, days - 1)}) if days else []


def _said(series: Series, day: int) -> str:
    one_decimal = series.quantity in ("kh", "ph_dawn", "ph_dusk", "temperature", "oxygen_dawn")
    text = (precise if one_decimal else ranged)(series.spreads[day], series.unit)
    middle = series.spreads[day].p50
    if series.quantity == "algae_panes" and middle is not None:
        text += f", to the eye {grade_words(float(grade(np.array(middle))))}"
    return text


def _scrape_sentence(fit: Fit, due: Due) -> str:
    limit = float(np.median(fit.ensemble.gather(fit.ensemble["scrape_threshold"])))
    if due.p10 is None:
        return "Scraping the panes is not likely to be due in this time."
    late = day_words(due.p90) if due.p90 else "after the end of this forecast"
    middle = f"about {day_words(due.p50)}" if due.p50 else "after the end of this forecast"
    seen = f"at {limit:.1f} g/m2, which is where you seem to scrape"
    return f"Next scraping of the panes: {middle} (8 in 10: {day_words(due.p10)} to {late}), {seen}."


def _limit_sentence(due: Due) -> str:
    if due.p50 is None:
        return f"{due.what}: {chance(due.chance)} within this time."
    late = day_words(due.p90) if due.p90 else "later than this forecast"
    early = day_words(due.p10) if due.p10 else "now"
    return f"{due.what}: about {day_words(due.p50)} (8 in 10: {early} to {late})."


def _kit_sentences(fit: Fit, series: Sequence[Series]) -> list[str]:
    """Say what the keeper's own kit would show where it differs from the water by a tenth or more."""
    values = fit.numbers.values(fit.z)
    lines = []
    for quantity, row in KITS.items():
        found = next((s for s in series if s.quantity == quantity), None)
        if row not in values or found is None or not found.spreads:
            continue
        bias, middle = float(np.median(values[row])), found.spreads[-1].p50
        if middle is not None and abs(bias - 1.0) >= 0.1:
            kit = f"your kit reads {number(bias)} times the water"
            lines.append(f"{NAMES[quantity]}: {kit}, so it would show about {amount(middle * bias, found.unit)}.")
    return lines
