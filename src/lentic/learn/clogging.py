"""When a filter is due, learned from how its flow fell in earlier cycles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log, sqrt

import numpy as np
import numpy.typing as npt

from lentic.science.constants import RANGE_80

Array = npt.NDArray[np.float64]

PRIOR_D, PRIOR_SD = 35.0, 0.6
"""Days in which a filter falls to the share that counts as clogged, and their error as a logarithm; common practice."""
FLOW_SD = 0.05
"""Error of a flow measured with jug and watch, as a logarithm; common practice, no source. [-]"""
CLEAN_SD = 0.05
"""How evenly cleanings restore the flow, as a logarithm; common practice, no source. [-]"""
SUDDEN_SD = 4.0
"""A last reading so many errors below the line is no clogging. [-]"""


@dataclass(frozen=True, kw_only=True)
class Cycle:
    """Readings between two cleanings.

    Parameters
    ----------
    days : Array
        Since the cleaning, shape (reading,). [d]
    flow : Array
        Flow at the outlet, shape (reading,). [L/h]
    """

    days: Array
    flow: Array


@dataclass(frozen=True, kw_only=True)
class Clogging:
    """How a filter clogs.

    Parameters
    ----------
    clean : float
        Flow of the clean filter. [L/h]
    p10, p50, p90 : float
        Days after a cleaning at which the flow has fallen to the share that counts as clogged. [d]
    sudden : bool
        Whether the last reading fell off the line: a leaf or the rotor, not dirt. [-]
    readings : int
        Readings it rests on. [-]
    """

    clean: float
    p10: float
    p50: float
    p90: float
    sudden: bool
    readings: int


def clogging_of(cycles: Sequence[Cycle], clogged: float, sd: float = FLOW_SD) -> Clogging | None:
    """Return when a filter is due after a cleaning, from all cycles together.

    Parameters
    ----------
    cycles : Sequence[Cycle]
        Oldest first; the last may still run. [-]
    clogged : float
        Share of the clean flow that counts as clogged. [-]
    sd : float
        Error of a flow reading, as a logarithm. [-]

    Returns
    -------
    Clogging or None
        None without any reading. [-]

    Notes
    -----
    ``ln F = ln F0 - b t`` with the same slope in every cycle; each cleaning restores a flow of its own near ``F0``.
    Bayes with a normal prior on the slope, from the days a filter usually takes: linear, so exact.

    References
    ----------
    common_practice
    """
    used = [cycle for cycle in cycles if len(cycle.days)]
    if not used:
        return None
    last, sudden = used[-1], False
    if len(last.days) >= 2:
        earlier = [*used[:-1], Cycle(days=last.days[:-1], flow=last.flow[:-1])]
        sudden = _falls_off(earlier, last, sd, clogged)
        used = earlier if sudden else used
    slope, slope_sd = _slope(used, sd, clogged)
    drop = -log(clogged)
    width = slope_sd / slope
    clean = float(np.median([cycle.flow[0] * exp(slope * cycle.days[0]) for cycle in used]))
    return Clogging(
        clean=clean, p10=drop / (slope * (1.0 + RANGE_80 * width)), p50=drop / slope,
        p90=drop / (slope * max(1.0 - RANGE_80 * width, 0.2)), sudden=sudden,
        readings=sum(len(cycle.days) for cycle in used),
    )  # fmt: skip


def _slope(cycles: Sequence[Cycle], sd: float, clogged: float) -> tuple[float, float]:
    """Return the posterior mean and error of the slope, positive. [1/d]"""
    expected = -log(clogged) / PRIOR_D
    normal, pull = np.zeros((2, 2)), np.zeros(2)
    normal[1, 1] = (expected * PRIOR_SD) ** -2
    pull[1] = expected * normal[1, 1]
    for cycle in cycles:
        design = np.column_stack([np.ones_like(cycle.days), -cycle.days])
        cover = sd**2 * np.eye(len(cycle.days)) + CLEAN_SD**2
        weighed = np.linalg.solve(cover, np.column_stack([design, np.log(cycle.flow)]))
        normal += design.T @ weighed[:, :2]
        pull += design.T @ weighed[:, 2]
    inverse = np.linalg.inv(normal)
    return max(float((inverse @ pull)[1]), 0.1 * expected), sqrt(float(inverse[1, 1]))


def _falls_off(earlier: Sequence[Cycle], last: Cycle, sd: float, clogged: float) -> bool:
    """Tell whether the last reading lies far below what the readings before it lead to."""
    slope, slope_sd = _slope([c for c in earlier if len(c.days)], sd, clogged)
    step = last.days[-1] - last.days[-2]
    expected = log(last.flow[-2]) - slope * step
    error = sqrt(2.0 * sd**2 + (slope_sd * step) ** 2)
    return bool(log(last.flow[-1]) < expected - SUDDEN_SD * error)
