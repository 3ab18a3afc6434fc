"""The difference between two plans on the same draws: sharp even where both plans are uncertain."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, time

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import NAMES, UNITS, quantities_of, shown
from lentic.advice.judge import LONGEST_D
from lentic.advice.words import NOTHING, Spread, chance, listed, number, spread_of
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, scraping_interval

Array = npt.NDArray[np.float64]

NOTICED = {
    "nitrate": (1.0, 0.1), "nitrite": (0.05, 0.2), "ammonia": (0.03, 0.2), "ammonia_free": (0.003, 0.2),
    "phosphate": (0.1, 0.15), "kh": (0.5, 0.0), "ph_dawn": (0.1, 0.0), "ph_dusk": (0.1, 0.0),
    "oxygen_dawn": (0.2, 0.0), "temperature": (0.3, 0.0), "plant_wet": (20.0, 0.1), "algae_panes": (0.2, 0.1),
}  # fmt: skip
"""Quantity -> the least difference a keeper could notice, in its unit or as a share; common practice, no source."""
ONE_DECIMAL = ("kh", "ph_dawn", "ph_dusk", "temperature", "oxygen_dawn")
SURE = 0.75
"""From so large a share of the possible tanks on, a side is named. [-]"""
SPANS = ((21, 28, "week 4"), (49, 56, "week 8"))


@dataclass(frozen=True, kw_only=True)
class Difference:
    """How much higher a quantity is under the second plan, over a span of days."""

    quantity: str
    unit: str
    span: str
    first: Spread
    second: Spread
    difference: Spread
    chance_higher: float


@dataclass(frozen=True, kw_only=True)
class Comparison:
    """Two plans of one tank side by side."""

    tank: str
    begin: datetime
    days: int
    plans: tuple[str, str]
    members: int
    differences: tuple[Difference, ...]
    scrape: Spread
    scrape_later: float
    scrape_every: tuple[Spread, Spread]
    sentences: tuple[str, ...]


def comparison_of(fit: Fit, first: Futures, second: Futures, plans: tuple[str, str]) -> Comparison:
    """Return what the second plan does to the same possible tanks, against the first."""
    sound = first.sound & second.sound
    days = len(first.days)
    found = tuple(
        _difference(q, first.values[q][:, sound], second.values[q][:, sound], span)
        for q in quantities_of(fit)
        for span in spans_of(days)
    )
    wait = [np.where(np.isfinite(f.scrape[sound]), f.scrape[sound], float(days)) for f in (first, second)]
    later = wait[1] - wait[0]
    scrape = spread_of(later, 3)
    share = float(np.mean(later > 0.25)) if later.size else float("nan")
    every = (_every(first, sound), _every(second, sound))
    comparison = Comparison(
        tank=fit.description.tank.name, days=days, plans=plans, members=int(sound.sum()), differences=found,
        begin=datetime.combine(first.begin, time()),
        scrape=scrape, scrape_later=share, scrape_every=every, sentences=(),
    )  # fmt: skip
    return replace(comparison, sentences=_sentences(comparison))


def _every(found: Futures, sound: npt.NDArray[np.bool_]) -> Spread:
    film = found.values["algae_panes"][:, sound]
    return spread_of(scraping_interval(film, LONGEST_D), 3) if len(film) > 1 and film.size else NOTHING


def spans_of(days: int) -> list[tuple[int, int, str]]:
    """Return the spans of days that are compared: the fourth week, the eighth, or the last of a short horizon."""
    found = [(a, b, name) for a, b, name in SPANS if b <= days]
    if not found or found[-1][1] < days:
        found.append((max(0, days - 7), days, "the last days" if days <= 7 else "the last week"))
    return found


def _difference(quantity: str, first: Array, second: Array, span: tuple[int, int, str]) -> Difference:
    means = [shown(quantity, values[span[0] : span[1]]).mean(axis=0) for values in (first, second)]
    gap = means[1] - means[0]
    kept = gap[np.isfinite(gap)]
    return Difference(
        quantity=quantity, unit=UNITS[quantity][0], span=span[2], first=spread_of(means[0]),
        second=spread_of(means[1]), difference=spread_of(gap),
        chance_higher=float(np.mean(kept > 0.0)) if kept.size else float("nan"),
    )  # fmt: skip


def _sentences(comparison: Comparison) -> tuple[str, ...]:
    found, plans = comparison.differences, comparison.plans
    last = found[-1].span if found else ""
    told = [d for d in found if d.span == last]
    same = [NAMES[d.quantity] for d in told if _same(d)]
    lines = [f"{plans[1]} against {plans[0]}, {last}, on the same possible tanks:"]
    lines += [_said(d) for d in told if not _same(d)]
    if same:
        lines.append(f"  No difference that could be noticed: {listed([_small(name) for name in same])}.")
    return (*lines, *_scraping(comparison))


def _scraping(comparison: Comparison) -> list[str]:
    first, second = comparison.scrape_every
    lines: list[str] = []
    if first.p50 is not None and second.p50 is not None:
        lines.append(f"The panes are scraped about every {first.p50:.0f} and every {second.p50:.0f} days.")
    wait, later = comparison.scrape, comparison.scrape_later
    if wait.p50 is None or wait.p10 is None or wait.p90 is None:
        return lines
    if abs(wait.p50) < 0.5:
        return [*lines, "The first scraping comes at about the same time."]
    side, sure = ("later", later) if wait.p50 >= 0.0 else ("earlier", 1.0 - later)
    low, high = sorted((wait.p10, wait.p90))
    span = f"8 in 10: {low:+.0f} to {high:+.0f}; {chance(sure)}"
    return [*lines, f"The first scraping comes {abs(wait.p50):.0f} days {side} ({span})."]


def _small(name: str) -> str:
    """Return a name as it stands within a sentence."""
    return name if name.startswith(("KH", "pH")) else name[0].lower() + name[1:]


def _noticed(d: Difference) -> float:
    """Return the least difference a keeper could notice: a step of the kit or a share of the value."""
    step, share = NOTICED[d.quantity]
    return max(step, share * abs(d.first.p50 or 0.0))


def _same(d: Difference) -> bool:
    """Tell whether eight in ten tanks differ by less than could be noticed."""
    gap = d.difference
    return gap.p10 is not None and gap.p90 is not None and max(abs(gap.p10), abs(gap.p90)) < _noticed(d)


def _said(d: Difference) -> str:
    gap = d.difference
    if gap.p10 is None or gap.p50 is None or gap.p90 is None or d.second.p50 is None or d.first.p50 is None:
        return f"  {NAMES[d.quantity]}: cannot be said."
    values = f"{_value(d.first.p50, d.quantity)} and {_value(d.second.p50, d.quantity)} {d.unit}".strip()
    span = f"{_signed(gap.p10)} to {_signed(gap.p90)}"
    sure = d.chance_higher if gap.p50 > 0.0 else 1.0 - d.chance_higher
    if sure < SURE:
        return f"  {NAMES[d.quantity]}: {values}; no sure difference (8 in 10: {span})."
    side = "higher" if gap.p50 > 0.0 else "lower"
    return f"  {NAMES[d.quantity]}: {values}; {side} by {number(abs(gap.p50))} (8 in 10: {span}; {chance(sure)})."


def _value(value: float, quantity: str) -> str:
    return f"{value:.1f}" if quantity in ONE_DECIMAL else number(value)


def _signed(value: float) -> str:
    return f"{'+' if value >= 0.0 else '-'}{number(abs(value))}"
