"""Where nitrogen and phosphorus come from and where they go: flows of one tank with their spread."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from lentic.advice.words import Spread, number, ranged, spread_of
from lentic.learn.fit import Fit
from lentic.model.members import flows
from lentic.science.constants import MG_PER_G, WEEK_D

Array = npt.NDArray[np.float64]

INPUTS = ("food", "tap", "planted")
OUTPUTS = ("change", "siphon", "rinse", "thinning", "scraping", "gas", "growth", "stored")
FLOWS = (*INPUTS, *OUTPUTS)
ELEMENTS = ("N", "P")
NAMES: Mapping[str, str] = {
    "food": "food",
    "tap": "tap water",
    "planted": "plants put in",
    "change": "water changes",
    "siphon": "siphoned dirt",
    "rinse": "rinsed filter dirt",
    "thinning": "plants taken out",
    "scraping": "algae scraped off",
    "gas": "gas to the air",
    "growth": "growth of the animals",
    "stored": "stored in water, dirt, plants and algae",
}


@dataclass(frozen=True, kw_only=True)
class Flow:
    """One flow of one element. [mg/week]"""

    flow: str
    element: str
    mg_per_week: Spread


@dataclass(frozen=True, kw_only=True)
class Balance:
    """Flows over the last weeks of a log, and what of the input they leave unexplained."""

    tank: str
    begin: datetime
    end: datetime
    flows: tuple[Flow, ...]
    closure: Mapping[str, float]
    sentences: tuple[str, ...]

    def spread(self, flow: str, element: str) -> Spread:
        """Return one flow's spread."""
        return next(f.mg_per_week for f in self.flows if (f.flow, f.element) == (flow, element))


def balance_of(fit: Fit, books_d: float) -> Balance:
    """Return the balance of a fitted tank over the days its books were open."""
    tank, story = fit.description.tank, fit.story
    days = float(min(books_d, story.last))
    booked = flows(fit.ensemble)
    sound = np.all([np.isfinite(values) for values in booked.values()], axis=0)
    weekly = per_week(booked, days, np.asarray(sound, dtype=np.bool_))
    rows = tuple(
        Flow(flow=flow, element=element, mg_per_week=spread_of(weekly[flow, element]))
        for element in ELEMENTS
        for flow in FLOWS
    )
    end = tank.local_time(tank.utc(story.midnight.date(), story.midnight.time())) + timedelta(days=story.last)
    return Balance(
        tank=tank.name,
        begin=(end - timedelta(days=days)).replace(tzinfo=None),
        end=end.replace(tzinfo=None),
        flows=rows,
        closure={element: closure(weekly, element) for element in ELEMENTS},
        sentences=tuple(line for element in ELEMENTS for line in sentences(weekly, element)),
    )


Weekly = Mapping[tuple[str, str], Array]


def per_week(booked: Mapping[str, Array], days: float, sound: npt.NDArray[np.bool_]) -> Weekly:
    """Return booked grams as milligrams a week of the members that stayed possible."""
    factor = MG_PER_G * WEEK_D / max(days, 1e-9)
    return {
        (flow, element): booked[f"{flow}_{element.lower()}"][sound] * factor for flow in FLOWS for element in ELEMENTS
    }


def closure(weekly: Weekly, element: str) -> float:
    """Return the largest share of the input that the flows of any member leave unexplained."""
    came = sum((weekly[flow, element] for flow in INPUTS), np.zeros_like(weekly["food", element]))
    went = sum((weekly[flow, element] for flow in OUTPUTS), np.zeros_like(came))
    if came.size == 0:
        return float("nan")
    return float(np.max(np.abs(came - went) / np.maximum(np.abs(came), 1e-9)))


def sentences(weekly: Weekly, element: str) -> list[str]:
    """Return where an element comes from and goes to, the largest flows first."""
    name = {"N": "Nitrogen", "P": "Phosphorus"}[element]
    spreads = {flow: spread_of(weekly[flow, element]) for flow in FLOWS}
    came = sorted(INPUTS, key=lambda f: -(spreads[f].p50 or 0.0))
    total = float(np.median(sum((weekly[f, element] for f in INPUTS), np.zeros(1))))
    if total <= 0.0:
        return [f"{name}: nothing was booked in this span."]
    lines = [f"{name}: {number(total)} mg a week came in, {_shares(came, spreads, total)}."]
    went = sorted((f for f in OUTPUTS if f != "stored"), key=lambda f: -(spreads[f].p50 or 0.0))
    lines.append(f"{name} went out with {_shares(went, spreads, total)}.")
    stored = spreads["stored"]
    if stored.p10 is not None and stored.p90 is not None:
        if stored.p10 > 0.0:
            lines.append(f"{name} builds up in the tank: {ranged(stored, 'mg a week')}.")
        elif stored.p90 < 0.0:
            lines.append(f"The tank gives up {name.lower()} it held: {ranged(stored, 'mg a week')}.")
        else:
            lines.append(f"Whether the tank stores or gives up {name.lower()} cannot be told.")
    return lines


def _shares(order: list[str], spreads: Mapping[str, Spread], total: float) -> str:
    said = [
        f"{NAMES[f]} {number(spreads[f].p50 or 0.0)} mg ({100 * (spreads[f].p50 or 0.0) / total:.0f} %)"
        for f in order
        if (spreads[f].p50 or 0.0) >= 0.02 * total
    ]
    return ", ".join(said) if said else "nothing worth naming"
