"""The logged life of a fitted tank once more, day by day: what its water most likely was between the readings."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

from lentic.learn.fit import Fit, Runner
from lentic.learn.forecast import values_of
from lentic.model.schedule import Task

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Past:
    """What every version of the tank was on the days of its log.

    Parameters
    ----------
    days : tuple[date, ...]
        Days of the values. [-]
    values : Mapping[str, Array]
        Quantity -> shape (day, member). [unit as in ``QUANTITIES``]
    sound : NDArray[bool]
        Versions that stayed possible. [-]
    """

    days: tuple[date, ...]
    values: Mapping[str, Array]
    sound: npt.NDArray[np.bool_]


def past(fit: Fit) -> Past:
    """Return what the versions of a fitted tank were, day by day, over the log they were fitted to.

    Parameters
    ----------
    fit : Fit
        Versions at the end of the log; they are not touched. [-]

    Returns
    -------
    Past
        Values per day and version. [as named]
    """
    story = fit.story
    days = int(np.floor(story.last))
    lighting = story.surroundings.lighting
    tasks = [task for task in story.tasks if task.operators]
    tasks += [Task(day=d + 0.5, record=d) for d in range(days)]
    tasks += [Task(day=d + lighting.on_h / 24.0, record=days + d) for d in range(days)]
    lit = [min(lighting.on_h + lighting.hours(d + 0.5), 24.0) for d in range(days)]
    tasks += [Task(day=d + lit[d] / 24.0, record=2 * days + d) for d in range(days)]
    runner = Runner(
        fit.ensemble.kernel, fit.description, replace(story, tasks=tuple(tasks)), fit.new_tank, fit.numbers.drift_points
    )
    ensemble, records = runner(fit.numbers.values(fit.z), fit.z.shape[1], fit.effort.threads)
    first = story.midnight.date()
    return Past(
        days=tuple(first + timedelta(days=d) for d in range(days)),
        values=values_of(records.values, records.rows, ensemble, fit, days),
        sound=records.sound,
    )
