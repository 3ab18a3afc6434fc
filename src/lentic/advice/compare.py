"""The difference between two plans on the same draws: sharp even where both plans are uncertain."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, time

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import NAMES, UNITS, quantities_of, shown
from lentic.advice.words import Spread, chance, number, spread_of
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures

Array = npt.NDArray[np.float64]

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
    return Comparison(
        tank=fit.description.tank.name, days=days, plans=plans, members=int(sound.sum()), differences=found,
        begin=datetime.combine(first.begin, time()),
        scrape=scrape, scrape_later=share, sentences=_sentences(found, plans, scrape, share),
    )  # fmt: skip


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


def _sentences(found: Sequence[Difference], plans: tuple[str, str], scrape: Spread, later: float) -> tuple[str, ...]:
    last = found[-1].span if found else ""
    lines = [f"{plans[1]} against {plans[0]}, {last}, on the same possible tanks:"]
    lines += [_said(d) for d in found if d.span == last]
    if scrape.p50 is not None and scrape.p10 is not None and scrape.p90 is not None:
        if abs(scrape.p50) < 0.5 and 0.2 < later < 0.8:
            lines.append("The first scraping comes at about the same time.")
        else:
            side = "later" if scrape.p50 >= 0.0 else "earlier"
            low, high = sorted((scrape.p10, scrape.p90))
            lines.append(
                f"The first scraping comes {number(abs(scrape.p50))} days {side} (8 in 10: {low:+.0f} to {high:+.0f})."
            )
    return tuple(lines)


def _said(d: Difference) -> str:
    gap = d.difference
    if gap.p10 is None or gap.p50 is None or gap.p90 is None or d.second.p50 is None or d.first.p50 is None:
        return f"  {NAMES[d.quantity]}: cannot be said."
    values = f"{number(d.first.p50)} and {number(d.second.p50)} {d.unit}".strip()
    if gap.p10 <= 0.0 <= gap.p90:
        said = f"no sure difference ({gap.p10:+.2g} to {gap.p90:+.2g})"
    else:
        side = "higher" if gap.p50 > 0.0 else "lower"
        sure = d.chance_higher if gap.p50 > 0.0 else 1.0 - d.chance_higher
        said = f"{side} by {number(abs(gap.p50))} (8 in 10: {gap.p10:+.2g} to {gap.p90:+.2g}; {chance(sure)})"
    return f"  {NAMES[d.quantity]}: {values}; {said}."
