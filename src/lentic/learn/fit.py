"""Fit the possible versions of one tank to its log and carry them to the end of it."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Ensemble
from lentic.engine.kernel import Kernel, load_kernel
from lentic.engine.run import Outcome, Records, Timeline, run
from lentic.learn.evidence import Evidence, evidence_of, predictions, targets_of
from lentic.learn.numbers import Numbers, numbers_of
from lentic.learn.smoother import smooth
from lentic.logbook.events import Event, Reading
from lentic.logbook.tank import Tank
from lentic.model.describe import Description, describe, plants_since
from lentic.model.members import (
    DRIFTS,
    KNOT_D,
    drift_tasks,
    first_day,
    knots,
    open_books,
    populate,
    table_for,
)
from lentic.model.observers import recorded_rows
from lentic.model.schedule import Task, timeline
from lentic.model.story import Story, history, looks_on_chore_days, on_clock

Array = npt.NDArray[np.float64]
Say = Callable[[str], None]

MEMBERS = 384
PASSES = 8
HISTORY_D = 280.0
"""A longer log is fitted from so many days before its end on: what was before tells little of today. [d]"""
RECENT_D = 56.0
"""The last days that decide which versions to go on with. [d]"""
LEAST_SHARE = 0.35
"""Share of the versions that must still count after choosing. [-]"""
HORIZON_D = 182.0
"""Drifts reach so far beyond the log. [d]"""
NEW_TANK_D = 30.0
NEW_TANK_AMMONIA, NEW_TANK_NITRITE = 0.35, 0.6
"""Highest ammonia and nitrite of the first month in a settled tank; above both or far above one: new. [mg/L N]"""


@dataclass(frozen=True, kw_only=True)
class Effort:
    """How hard to try: members, passes and the seed of chance."""

    members: int = MEMBERS
    passes: int = PASSES
    seed: int = 1
    threads: int = 2


@dataclass(frozen=True, kw_only=True)
class Fit:
    """The versions of a tank that agree with its log, standing at its end.

    Parameters
    ----------
    description : Description
        The tank as the model sees it. [-]
    story : Story
        Its logged life. [-]
    numbers : Numbers
        What was fitted. [-]
    z : Array
        Normal scale of each version, shape (number, member). [-]
    ensemble : Ensemble
        The versions at the end of the log. [-]
    evidence : tuple[Evidence, ...]
        What the log said. [-]
    predicted : Array
        What each version would have shown, shape (target, member). [-]
    outcome : Outcome
        How the last run ended. [-]
    new_tank : bool
        Whether the log shows a filter that had yet to grow. [-]
    """

    description: Description
    story: Story
    numbers: Numbers
    z: Array
    ensemble: Ensemble
    evidence: tuple[Evidence, ...]
    predicted: Array
    outcome: Outcome
    new_tank: bool
    effort: Effort


def is_new_tank(events: Sequence[Event], tank: Tank, midnight: datetime) -> bool:
    """Tell whether the first month shows ammonia and nitrite of a filter that has yet to grow."""
    early = [e for e in events if isinstance(e, Reading) and on_clock(tank, midnight, e.time) < NEW_TANK_D]
    peak = {
        quantity: sorted([e.value for e in early if e.quantity == quantity and not e.below], reverse=True)
        for quantity in ("ammonia", "nitrite")
    }
    # the second highest counts: one odd reading makes no new tank
    second = {quantity: (values[1] if len(values) > 1 else 0.0) for quantity, values in peak.items()}
    return second["nitrite"] > NEW_TANK_NITRITE or (second["ammonia"] > 2.0 * NEW_TANK_AMMONIA)


def believable(
    evidence: Sequence[Evidence],
    predicted: Array,
    sound: npt.NDArray[np.bool_],
    last: float,
    rng: np.random.Generator,
) -> npt.NDArray[np.int64]:
    """Return which versions to go on with: those that tell the last weeks well, more than once if need be.

    Parameters
    ----------
    evidence : Sequence[Evidence]
        What was seen. [-]
    predicted : Array
        What each version would have shown, shape (target, member). [-]
    sound : NDArray[bool]
        Versions whose amounts stayed possible. [-]
    last : float
        End of the log. [d]
    rng : Generator
        Source of chance. [-]

    Returns
    -------
    NDArray[int64]
        Chosen members, as many as before. [-]

    Notes
    -----
    Importance resampling with the likelihood flattened until at least ``LEAST_SHARE`` of the versions still count; one
    reading adds at most what three standard deviations would.
    """
    members = predicted.shape[1]
    recent = [k for k, e in enumerate(evidence) if e.day > last - RECENT_D]
    targets = targets_of([evidence[k] for k in recent])
    g = predicted[recent]
    away = (np.clip(g, targets.low[:, None], targets.high[:, None]) - g) / targets.sd[:, None]
    with np.errstate(invalid="ignore"):
        cost = 0.5 * np.minimum(away**2, 9.0).sum(axis=0)
    cost = np.where(sound & np.isfinite(cost), cost, np.inf)
    if not np.isfinite(cost).any():
        return np.arange(members)
    low, high = 0.0, 1.0
    for _ in range(40):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if _effective(cost, middle) >= LEAST_SHARE * members else (low, middle)
    weights = _weights(cost, low)
    places = (rng.random() + np.arange(members)) / members
    return np.asarray(np.minimum(np.searchsorted(np.cumsum(weights), places), members - 1), dtype=np.int64)


def _weights(cost: Array, power: float) -> Array:
    weights = np.where(np.isfinite(cost), np.exp(-power * (np.where(np.isfinite(cost), cost, 0.0) - cost.min())), 0.0)
    return np.asarray(weights / weights.sum())


def _effective(cost: Array, power: float) -> float:
    return float(1.0 / np.sum(_weights(cost, power) ** 2))


def _with_new_future(z: Array, numbers: Numbers, last: float, rng: np.random.Generator) -> Array:
    """Draw the drifts beyond the log afresh, so that versions chosen twice part ways."""
    z = z.copy()
    now = int(last / KNOT_D) + 1
    for row, name in enumerate(numbers.names):
        stem, _, point = name.rpartition("_")
        if stem in DRIFTS and int(point) > now:
            z[row] = rng.standard_normal(z.shape[1])
    return z


def keep(ensemble: Ensemble, chosen: npt.NDArray[np.int64]) -> None:
    """Replace the members by chosen ones, in place."""
    for name in ensemble.rows:
        ensemble[name] = ensemble.spread(ensemble.gather(ensemble[name])[chosen])


class Runner:
    """Runs versions of one tank through its log; the timeline is made once."""

    def __init__(
        self,
        kernel: Kernel,
        description: Description,
        story: Story,
        new_tank: bool,
        points: int,
        books_from: float = 0.0,
    ) -> None:
        self.kernel, self.description, self.points = kernel, description, points
        begin = Task(day=0.0, operators=(first_day(description, new_tank),))
        books = Task(day=max(0.0, books_from), operators=(open_books,), sudden=False)
        tasks = [begin, books, *story.tasks, *drift_tasks(0.0, story.last)]
        self.timeline: Timeline = timeline(tasks, story.surroundings, story.first, story.last)
        self.rows = recorded_rows(description.plant_slots)

    def __call__(self, values: dict[str, Array], members: int, threads: int) -> tuple[Ensemble, Records]:
        """Return versions with these numbers at the end of the log, and what was recorded on the way."""
        ensemble = populate(self.kernel, self.description, values, members, self.points)
        return ensemble, run(ensemble, self.timeline, self.rows, threads)


def threads_here() -> int:
    """Return how many threads to use on this machine."""
    return max(1, min(4, os.cpu_count() or 1))


def fit(
    tank: Tank,
    events: Sequence[Event],
    plan: Sequence[Event],
    end: datetime,
    effort: Effort | None = None,
    books_d: float = 56.0,
    say: Say | None = None,
    z: Array | None = None,
) -> Fit:
    """Return the versions of a tank that agree with its log.

    Parameters
    ----------
    tank : Tank
        The keeper's description. [-]
    events : Sequence[Event]
        The log without voided lines, oldest first. [-]
    plan : Sequence[Event]
        What is meant to happen; it names further foods and plants. [-]
    end : datetime
        Where the log ends and a forecast begins, aware. [-]
    effort : Effort, optional
        Members, passes, seed and threads. [-]
    books_d : float
        Flows are booked over so many last days of the log. [d]
    say : callable, optional
        Told what goes on. [-]
    z : Array, optional
        Versions of an earlier fit to the same log: they are run once, not fitted again. [-]

    Returns
    -------
    Fit
        The versions at the end of the log. [-]
    """
    effort = effort or Effort(threads=threads_here())
    begin = max(events[0].time, end - timedelta(days=HISTORY_D)) if events else end
    tank = plants_since(tank, events, begin)
    description = describe(tank, [*events, *plan], tank.local_date(begin))
    story = history(description, events, begin, end)
    new_tank = is_new_tank(events, tank, story.midnight)
    points = knots(story.last + HORIZON_D)
    numbers = numbers_of(description, points)
    evidence = evidence_of(story.seen, description, looks_on_chore_days(events))
    runner = Runner(
        load_kernel(table_for(description), say), description, story, new_tank, points, story.last - books_d
    )
    rng = np.random.default_rng(effort.seed)
    fitted = z is not None
    z = numbers.draw(effort.members, rng) if z is None else z
    slots = description.plant_slots

    def predict(z: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
        ensemble, records = runner(numbers.values(z), effort.members, effort.threads)
        seen = predictions(evidence, records, ensemble, slots)
        return seen, records.sound & np.isfinite(seen).all(axis=0)

    if evidence and not fitted:
        report = (lambda share: say(f"Fitting this tank: {100 * share:.0f} %")) if say else None
        z = smooth(z, predict, targets_of(evidence), effort.passes, rng, report)
    ensemble, records = runner(numbers.values(z), effort.members, effort.threads)
    predicted = predictions(evidence, records, ensemble, slots)
    if evidence and not fitted:
        chosen = believable(evidence, predicted, records.sound, story.last, rng)
        z, predicted = _with_new_future(z[:, chosen], numbers, story.last, rng), predicted[:, chosen]
        keep(ensemble, chosen)
        values = numbers.values(z)
        ensemble.set_all({name: values[name] for name in values if name.rpartition("_")[0] in DRIFTS})
    return Fit(
        description=description,
        story=story,
        numbers=numbers,
        z=z,
        ensemble=ensemble,
        evidence=tuple(evidence),
        predicted=predicted,
        outcome=records.outcome,
        new_tank=new_tank,
        effort=effort,
    )
