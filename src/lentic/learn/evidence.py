"""What each line of the log says of the water: predictions beside readings, on a scale with even errors.

A colour kit is a chart with steps, a drop test counts whole drops, a scraping says that the panes had reached this
keeper's own limit, a thinning says how much had grown. Kit errors are common practice, no source: about a fifth, and
the distance to the next step.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Ensemble
from lentic.engine.run import Records
from lentic.learn.smoother import Targets
from lentic.logbook.events import Event, Look, Reading, Scrape, Thin
from lentic.model.describe import Description
from lentic.model.jumps import thinned
from lentic.model.observers import grade, observe
from lentic.model.story import Seen, StillThere, Unscraped

Array = npt.NDArray[np.float64]
Rows = dict[str, Array]

FLOORS: Mapping[str, float] = {"nitrate": 0.1, "nitrite": 0.01, "ammonia": 0.02, "phosphate": 0.01}
"""Concentration at which a colour kit's error stops shrinking. [mg/L as the element]"""
COLOUR_SD = 0.22
LEAST_FILM = 0.05
"""Algae on the panes below which nobody sees a difference. [g dry/m2]"""
DAY_OF_GROWTH = 0.4
"""A film that is looked at every day is scraped within so much of the limit, as a logarithm; our estimate. [-]"""
FIRST_STEP = 0.7
"""A colour seen as less than the first step means less than this share of it. [-]"""
TAP = {"tap_nitrate": "tap_nitrate", "tap_phosphate": "tap_phosphate", "tap_kh": "tap_alkalinity"}
TAP_BASE = {"tap_nitrate": "tap_nitrate_base", "tap_alkalinity": "tap_alkalinity_base"}
MEQ_PER_DKH = 0.35665


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """One line of the log turned into a target: an interval, an error, and how a member would have shown it."""

    what: str
    day: float
    low: float
    high: float
    sd: float
    record: int
    predict: Callable[[Rows], Array]


def evidence_of(seen: Sequence[Seen], description: Description, on_chore_days: bool = False) -> list[Evidence]:
    """Return a target for every event that says something of the state.

    Parameters
    ----------
    seen : Sequence[Seen]
        Events with the number of the record taken at their moment. [-]
    description : Description
        The tank. [-]
    on_chore_days : bool
        Whether this keeper looks at the panes on days of water changes only; then a scraping says no more than that
        they had reached the limit some time before. [-]

    Returns
    -------
    list[Evidence]
        In log order; events the model has no observer for are left out. [-]
    """
    steps = _steps([s.event for s in seen])
    out: list[Evidence] = []
    for item in seen:
        event = item.event
        if isinstance(event, Reading):
            out += _of_reading(event, item, steps.get(event.quantity, ()))
        elif isinstance(event, Look):
            out.append(_graded(event.grade, item))
        elif isinstance(event, Scrape):
            out.append(_limit(item, 0.0, np.inf if on_chore_days else DAY_OF_GROWTH))
            if event.grade is not None:
                out.append(_graded(event.grade, item))
        elif isinstance(event, Unscraped):
            out.append(_limit(item, -np.inf, 0.0))
        elif isinstance(event, StillThere):
            out += _of_clumps(event, item)
        elif isinstance(event, Thin):
            out.append(_of_thinning(event, item, description.slot_of(event.species)))
    return out


def _steps(events: Sequence[Event]) -> dict[str, tuple[float, ...]]:
    """Return the values this keeper's kits ever showed, per quantity."""
    found: dict[str, set[float]] = {}
    for event in events:
        if isinstance(event, Reading) and event.value > 0.0:
            found.setdefault(event.quantity, set()).add(round(event.value, 6))
    return {quantity: tuple(sorted(values)) for quantity, values in found.items()}


def _of_reading(event: Reading, item: Seen, steps: Sequence[float]) -> list[Evidence]:
    quantity = event.quantity
    if quantity in FLOORS:
        return [_colour(event, item, steps)]
    if quantity == "kh":
        step = _drop(steps)
        return [_linear(event, item, "kh", event.value - step, event.value, 0.09, None)]
    if quantity == "ph":
        return [_linear(event, item, "ph", event.value - 0.1, event.value + 0.1, 0.15, "kit_ph")]
    if quantity == "temperature":
        return [_linear(event, item, "temperature", event.value, event.value, 0.35, "kit_temperature")]
    if quantity == "oxygen":
        return [_linear(event, item, "oxygen", event.value, event.value, 0.6, None)]
    if quantity in TAP:
        return [_of_tap(event, item, TAP[quantity])]
    return []


def _drop(steps: Sequence[float]) -> float:
    """Return what one drop of this keeper's KH test stands for: the finest difference seen, about 0.5 to 1 degree."""
    gaps = [b - a for a, b in pairwise(steps)]
    return float(np.clip(min(gaps, default=MEQ_PER_DKH), 0.45 * MEQ_PER_DKH, 1.2 * MEQ_PER_DKH))


def _colour(event: Reading, item: Seen, steps: Sequence[float]) -> Evidence:
    floor, kit = FLOORS[event.quantity], f"kit_{event.quantity}"

    def predict(rows: Rows) -> Array:
        return np.asarray(np.log(observe(event.quantity, rows) * rows[kit] + floor))

    value = event.value
    low, high = -np.inf, np.inf
    if event.below:
        first = value if value > 0.0 else 4.0 * floor
        high = np.log(FIRST_STEP * first + floor)
    elif event.above:
        low = np.log(value + floor)
    else:
        lower = max((s for s in steps if s < 0.99 * value), default=0.5 * value)
        upper = min((s for s in steps if s > 1.01 * value), default=1.6 * value)
        low = np.log(max(np.sqrt(lower * value), 0.65 * value) + floor)
        high = np.log(min(np.sqrt(upper * value), 1.45 * value) + floor)
    return Evidence(
        what=event.quantity,
        day=item.day,
        low=low,
        high=high,
        sd=COLOUR_SD,
        record=item.record,
        predict=predict,
    )


def _linear(event: Reading, item: Seen, quantity: str, low: float, high: float, sd: float, kit: str | None) -> Evidence:
    def predict(rows: Rows) -> Array:
        seen = observe(quantity, rows)
        return seen if kit is None else seen + rows[kit]

    return Evidence(what=event.quantity, day=item.day, low=low, high=high, sd=sd, record=item.record, predict=predict)


def _of_tap(event: Reading, item: Seen, row: str) -> Evidence:
    value = np.log(max(event.value, 1e-3))
    gap = 0.06 if row == "tap_alkalinity" else 0.2

    def predict(rows: Rows) -> Array:
        return np.asarray(np.log(rows[TAP_BASE.get(row, row)]))

    return Evidence(
        what=event.quantity, day=item.day, low=value - gap, high=value + gap, sd=0.5 * gap, record=item.record,
        predict=predict,
    )  # fmt: skip


def _film(rows: Rows) -> Array:
    return np.asarray(rows["algae_panes"] / rows["pane_area"])


def _graded(value: float, item: Seen) -> Evidence:
    return Evidence(
        what="grade", day=item.day, low=value - 0.5, high=value + 0.5, sd=0.4, record=item.record,
        predict=lambda rows: grade(_film(rows)),
    )  # fmt: skip


def _limit(item: Seen, low: float, high: float) -> Evidence:
    def predict(rows: Rows) -> Array:
        return np.asarray(np.log(_film(rows) + LEAST_FILM) - np.log(rows["scrape_threshold"] + LEAST_FILM))

    return Evidence(what="limit", day=item.day, low=low, high=high, sd=0.35, record=item.record, predict=predict)


def _of_thinning(event: Thin, item: Seen, slot: int) -> Evidence:
    said = np.log(event.grams)

    def predict(rows: Rows) -> Array:
        return np.asarray(np.log(thinned(rows, slot, event.grams) * rows["plant_gram"]))

    return Evidence(what="thin", day=item.day, low=said, high=said, sd=0.3, record=item.record, predict=predict)


def _of_clumps(event: StillThere, item: Seen) -> list[Evidence]:
    """Return the weak evidence that plants nobody reported lost are still there in good part."""

    def one(slot: int, grams: float) -> Evidence:
        def predict(rows: Rows) -> Array:
            wet = rows[f"plant_{slot}"] / rows[f"dry_{slot}"] * rows["plant_gram"]
            return np.asarray(np.log(wet / grams + 1e-3))

        return Evidence(
            what="clump", day=item.day, low=float(np.log(0.45)), high=np.inf, sd=0.3, record=item.record,
            predict=predict,
        )  # fmt: skip

    return [one(slot, grams) for slot, grams in event.clumps]


def targets_of(evidence: Sequence[Evidence]) -> Targets:
    """Return the targets of the smoother."""
    return Targets(
        low=np.array([e.low for e in evidence]),
        high=np.array([e.high for e in evidence]),
        sd=np.array([e.sd for e in evidence]),
        kind=np.array([e.what for e in evidence]),
    )


CONSTANT_ROWS = (
    "kit_nitrate",
    "kit_nitrite",
    "kit_ammonia",
    "kit_phosphate",
    "kit_ph",
    "kit_temperature",
    "tap_nitrate",
    "tap_phosphate",
    "tap_alkalinity",
    "tap_nitrate_base",
    "tap_alkalinity_base",
    "pane_area",
    "scrape_threshold",
    "plant_gram",
)
"""Rows of a member that do not change and that observers need."""


def predictions(evidence: Sequence[Evidence], records: Records, ensemble: Ensemble, slots: int) -> Array:
    """Return what each member would have shown, shape (target, member).

    Parameters
    ----------
    evidence : Sequence[Evidence]
        The targets. [-]
    records : Records
        Recorded rows of the run. [-]
    ensemble : Ensemble
        The members, for their constant numbers. [-]
    slots : int
        Plant slots. [-]

    Returns
    -------
    Array
        On the scale of each target. [-]
    """
    per_slot = [f"{name}_{j}" for name in ("dry", "clump") for j in range(1, slots + 1)]
    constant = {name: ensemble.gather(ensemble[name]) for name in (*CONSTANT_ROWS, *per_slot)}
    out = np.empty((len(evidence), ensemble.members))
    for number, item in enumerate(evidence):
        rows = constant | {name: records.values[item.record, k] for k, name in enumerate(records.rows)}
        with np.errstate(invalid="ignore", divide="ignore"):
            out[number] = item.predict(rows)
    return out
