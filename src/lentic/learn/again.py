"""Live the log through once more with something left out: what would panes and kits have shown?"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from lentic.learn.evidence import evidence_of, predictions
from lentic.learn.fit import HISTORY_D, Fit, Runner
from lentic.logbook.events import Event
from lentic.model.describe import Description
from lentic.model.members import KNOT_D
from lentic.model.story import history, looks_on_chore_days, on_clock

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Without:
    """What is taken out beside events.

    Parameters
    ----------
    held : tuple[str, ...]
        Drifts that stay as they were, keys of ``lentic.model.members.DRIFTS``. [-]
    since : datetime, optional
        From when they stay, aware. [-]
    sun : bool
        Whether the sun stays off the panes. [-]
    chloramine : bool
        Whether the tap is without chloramine. [-]
    """

    held: tuple[str, ...] = ()
    since: datetime | None = None
    sun: bool = False
    chloramine: bool = False


@dataclass(frozen=True, kw_only=True)
class Shown:
    """What the versions would have shown at the keeper's own readings and looks.

    Parameters
    ----------
    days : Array
        Days on the tank's clock, shape (target,). [d]
    values : Array
        On the scale of the evidence, shape (target, member). [-]
    """

    days: Array
    values: Array


def shown_again(
    fit: Fit, events: Sequence[Event], end: datetime, what: Collection[str], without: Without | None = None
) -> Shown:
    """Return what the keeper would have read and seen, had the log been this one.

    Parameters
    ----------
    fit : Fit
        Versions that agree with the true log; their numbers are kept. [-]
    events : Sequence[Event]
        A log, the true one or one with something left out; readings and scrapings must stay. [-]
    end : datetime
        End of the log, aware. [-]
    what : Collection[str]
        Kinds of evidence, such as ``limit`` for the panes or ``nitrate``. [-]
    without : Without, optional
        What is taken out beside events. [-]

    Returns
    -------
    Shown
        In log order. [mixed]
    """
    without = without or Without()
    begin = max(events[0].time, end - timedelta(days=HISTORY_D))
    description = _described(fit.description, without)
    story = history(description, events, begin, end)
    if without.sun:
        story = replace(story, surroundings=replace(story.surroundings, sun_h=0.0))
    values = fit.numbers.values(fit.z)
    if without.since is not None:
        turn = on_clock(description.tank, story.midnight, without.since)
        values |= held_drifts(values, without.held, turn, fit.numbers.drift_points)
    runner = Runner(fit.ensemble.kernel, description, story, fit.new_tank, fit.numbers.drift_points)
    ensemble, records = runner(values, fit.z.shape[1], fit.effort.threads)
    evidence = [e for e in evidence_of(story.seen, description, looks_on_chore_days(events)) if e.what in what]
    shown = predictions(evidence, records, ensemble, description.plant_slots)
    return Shown(days=np.array([e.day for e in evidence]), values=shown)


def held_drifts(values: dict[str, Array], drifts: Sequence[str], turn: float, points: int) -> dict[str, Array]:
    """Return drifts that stay what they were at a turn from then on.

    Parameters
    ----------
    values : dict[str, Array]
        Numbers of the versions, shape (member,) each. [as the rows]
    drifts : Sequence[str]
        Names of drifts. [-]
    turn : float
        Day on the tank's clock. [d]
    points : int
        Points of each drift. [-]

    Returns
    -------
    dict[str, Array]
        The points from the turn on. [as the rows]
    """
    last = min(max(int(turn / KNOT_D), 0), points - 1)
    return {f"{name}_{k}": values[f"{name}_{last}"] for name in drifts for k in range(last, points)}


def _described(description: Description, without: Without) -> Description:
    if not without.chloramine:
        return description
    tank = description.tank
    return replace(description, tank=replace(tank, source_water=replace(tank.source_water, chloramine_mg_l=0.0)))
