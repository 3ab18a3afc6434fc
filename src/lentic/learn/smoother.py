"""Fit by repeated smoothing: an ensemble is moved towards the readings in several gentle passes.

Each pass runs all members through the log, compares what they would have read with what was read, and shifts the
numbers that go with the difference. Readings that are known only to lie in an interval (a colour step, below the
first step, panes that were due) pull a member only when it lies outside.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]
Predict = Callable[[Array], tuple[Array, npt.NDArray[np.bool_]]]

MISFIT_WEIGHT = 4.0
"""How gently a pass moves for the misfit that is left. [-]"""
ODD = 3.0
"""Distance in standard deviations beyond which a reading is taken less seriously. [-]"""


@dataclass(frozen=True, kw_only=True)
class Targets:
    """What was seen, on the scale on which its error is the same everywhere.

    Parameters
    ----------
    low, high : Array
        The value lies between them; equal where it is known to a point, infinite where open, shape (target,). [-]
    sd : Array
        Standard deviation of the error, shape (target,). [-]
    kind : NDArray[str]
        What was seen; a reading is odd among its own kind only, shape (target,). [-]
    """

    low: Array
    high: Array
    sd: Array
    kind: npt.NDArray[np.str_]

    @property
    def middle(self) -> Array:
        """A point within each interval, the finite end where the other is open."""
        low = np.where(np.isfinite(self.low), self.low, self.high)
        high = np.where(np.isfinite(self.high), self.high, self.low)
        return np.asarray(0.5 * (low + high), dtype=np.float64)


def shrink_spurious(covariance: Array, scale_z: Array, scale_g: Array, members: int) -> Array:
    """Return a covariance without what chance alone would show between so few members.

    Parameters
    ----------
    covariance : Array
        Between numbers and predictions, shape (number, target). [-]
    scale_z, scale_g : Array
        Their standard deviations, shapes (number,) and (target,). [-]
    members : int
        Size of the ensemble. [-]

    Returns
    -------
    Array
        Same shape; correlations near the noise level fade to nothing. [-]
    """
    correlation = covariance / np.maximum(np.outer(scale_z, scale_g), 1e-300)
    noise = 1.0 / np.sqrt(members)
    kept = np.clip((np.abs(correlation) - 1.0 * noise) / (2.0 * noise), 0.0, 1.0)
    shrunk: Array = covariance * kept
    return shrunk


def damp_odd(targets: Targets, predicted: Array, sd: Array) -> Array:
    """Return error bars widened for readings far off while others of their kind are not."""
    spread = np.sqrt(np.var(predicted, axis=1) + sd**2)
    centre = np.median(predicted, axis=1)
    away = np.abs(np.clip(centre, targets.low, targets.high) - centre) / spread
    usual = np.zeros_like(away)
    for kind in np.unique(targets.kind):
        same = targets.kind == kind
        usual[same] = np.median(away[same])
    return np.asarray(sd * np.maximum(1.0, away / (ODD + 2.0 * usual)) ** 2, dtype=np.float64)


def smooth(
    z: Array,
    predict: Predict,
    targets: Targets,
    most_passes: int,
    rng: np.random.Generator,
    progress: Callable[[float], None] | None = None,
) -> Array:
    """Return members moved towards what was seen, far members gently, until every reading has been used once.

    Parameters
    ----------
    z : Array
        Numbers of each member on their standard-normal scale, shape (number, member). [-]
    predict : Predict
        Runs the members and returns predictions, shape (target, member), and which members are sound. [-]
    targets : Targets
        What was seen. [-]
    most_passes : int
        Most passes to take; the inverse error inflations of all passes sum to one. [-]
    rng : Generator
        Source of chance. [-]
    progress : Callable[[float], None], optional
        Told the share done after each pass. [-]

    Returns
    -------
    Array
        Same shape as ``z``. [-]

    Notes
    -----
    Ensemble smoother with multiple data assimilation (Emerick & Reynolds 2013), inflation chosen by the misfit that
    is left (after Iglesias & Yang 2021); both from memory.
    """
    z = z.copy()
    used = 0.0
    for number in range(most_passes):
        g, sound = predict(z)
        if not sound.any():
            return z
        if not sound.all():
            chosen = rng.choice(np.flatnonzero(sound), size=int((~sound).sum()))
            z[:, ~sound], g[:, ~sound] = z[:, chosen], g[:, chosen]
        inflation = _inflation(g, targets, used, most_passes - number)
        used += 1.0 / inflation
        z = _one_pass(z, g, targets, inflation, rng)
        if progress:
            progress(used)
        if used >= 1.0 - 1e-9:
            break
    return z


def _inflation(g: Array, targets: Targets, used: float, left: int) -> float:
    """Return the error inflation of the next pass: as gentle as the misfit asks, as strong as the passes left allow."""
    sd = damp_odd(targets, g, targets.sd)
    away = (np.clip(g, targets.low[:, None], targets.high[:, None]) - g) / sd[:, None]
    misfit = float(np.mean(np.median(away**2, axis=1)))
    wanted = max(misfit * MISFIT_WEIGHT, 1.0)
    remaining = 1.0 - used
    if left == 1:
        return 1.0 / remaining
    return float(np.clip(wanted, 1.0 / remaining, 2.0 * left / remaining))


def _one_pass(z: Array, g: Array, targets: Targets, inflation: float, rng: np.random.Generator) -> Array:
    members = z.shape[1]
    sd = damp_odd(targets, g, targets.sd) * np.sqrt(inflation)
    seen = g + sd[:, None] * rng.standard_normal(g.shape)
    innovation = np.clip(seen, targets.low[:, None], targets.high[:, None]) - seen
    dz = z - z.mean(axis=1, keepdims=True)
    dg = g - g.mean(axis=1, keepdims=True)
    covariance = dz @ dg.T / (members - 1)
    covariance = shrink_spurious(covariance, dz.std(axis=1), dg.std(axis=1), members)
    total = dg @ dg.T / (members - 1) + np.diag(sd**2)
    moved: Array = z + covariance @ np.linalg.solve(total, innovation)
    return moved
