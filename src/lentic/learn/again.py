"""Live the log through once more with something left out: what would the panes have shown?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from lentic.learn.evidence import evidence_of, predictions
from lentic.learn.fit import HISTORY_D, Fit, Runner
from lentic.logbook.events import Event
from lentic.model.story import history, on_clock

Array = npt.NDArray[np.float64]


def panes_again(fit: Fit, events: Sequence[Event], since: datetime, end: datetime) -> Array:
    """Return the algae on the panes at this keeper's looks and scrapings, had the log been this one.

    Parameters
    ----------
    fit : Fit
        Versions that agree with the true log; their numbers are kept. [-]
    events : Sequence[Event]
        A log, the true one or one with something left out; scrapings must stay. [-]
    since : datetime
        Looks before are left out, aware. [-]
    end : datetime
        End of the log, aware. [-]

    Returns
    -------
    Array
        Logarithm of the film against this keeper's own limit, shape (look, member). [-]
    """
    begin = max(events[0].time, end - timedelta(days=HISTORY_D))
    story = history(fit.description, events, begin, end)
    first = on_clock(fit.description.tank, story.midnight, since)
    points = fit.numbers.drift_points
    runner = Runner(fit.ensemble.kernel, fit.description, story, fit.new_tank, points)
    members = fit.z.shape[1]
    ensemble, records = runner(fit.numbers.values(fit.z), members, fit.effort.threads)
    evidence = [e for e in evidence_of(story.seen, fit.description) if e.what == "limit" and e.day >= first]
    return predictions(evidence, records, ensemble, fit.description.plant_slots)
