"""How much of an expected effect the readings after a change show, with the fitted tank as the control.

Every possible version of the tank is carried through the time of the trial twice: with what was really done, and with
the one change undone. Readings are compared with the second; where they leave it, and how far, is measured along the
first:

    reading = control + share x (changed - control) + error

The errors are those of the kit and those of the control, which are the same in neighbouring readings. Generalised
least squares gives the share and its error: 1 is as predicted, 0 is no effect at all.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.science.constants import RANGE_80

Array = npt.NDArray[np.float64]

ONE_SIDED_8, ONE_SIDED_2 = 1.405, 2.054
"""Normal deviates left out on one side in 8 and in 2 of 100 cases: a change is made because it is expected to work, so
most of the one in ten false alarms that are allowed are spent on that side. [-]"""
POWER_85 = 1.036
"""Normal deviate reached in 17 of 20 cases: a plan for more than the 8 of 10 that are wanted. [-]"""
LEAST_SEEN = 0.5
"""An effect that is surely smaller than this share of the expected one counts as none; ours to choose. [-]"""
LEAST_MEMBERS = 8


@dataclass(frozen=True, kw_only=True)
class Compared:
    """Readings of a goal and what the possible tanks would have shown, on a scale with even errors.

    Parameters
    ----------
    day : Array
        Days since the change, shape (reading,). [d]
    observed, sd : Array
        What was read and its error, shape (reading,). [scale of the goal]
    control, changed : Array
        What each version shows without and with the change, shape (reading, member). [scale of the goal]
    """

    day: Array
    observed: Array
    sd: Array
    control: Array
    changed: Array


@dataclass(frozen=True, kw_only=True)
class Effect:
    """The share of the expected effect that was seen.

    Parameters
    ----------
    share, sd : float
        Middle and error. [-]
    readings : int
        Readings it rests on. [-]
    """

    share: float
    sd: float
    readings: int

    @property
    def low(self) -> float:
        """Lower end of the range that holds 8 of 10 cases."""
        return self.share - RANGE_80 * self.sd

    @property
    def high(self) -> float:
        """Upper end of the range that holds 8 of 10 cases."""
        return self.share + RANGE_80 * self.sd

    @property
    def verdict(self) -> str:
        """One of: worked, worse, no effect, too early to say."""
        if self.share - ONE_SIDED_8 * self.sd > 0.0:
            return "worked"
        if self.share + ONE_SIDED_2 * self.sd < 0.0:
            return "worse"
        return "no effect" if self.high < LEAST_SEEN else "too early to say"


def effect_of(compared: Compared) -> Effect | None:
    """Return the share of the expected effect in the readings, or None where they cannot carry one.

    Parameters
    ----------
    compared : Compared
        Readings beside both runs of the possible tanks. [scale of the goal]

    Returns
    -------
    Effect or None
        None without a reading on a day on which an effect was expected. [-]
    """
    control, shift, cover = _moments(compared)
    if control is None or not np.any(np.abs(shift) > 0.0):
        return None
    weights = np.linalg.solve(cover, shift)
    information = float(shift @ weights)
    share = float(weights @ (compared.observed - control)) / information
    return Effect(share=share, sd=information**-0.5, readings=len(compared.observed))


def sd_of_share(compared: Compared) -> float | None:
    """Return the error that the share would have from readings on these days, whatever they will be.

    Parameters
    ----------
    compared : Compared
        Days, errors and both runs; what is observed is not looked at. [scale of the goal]

    Returns
    -------
    float or None
        None where no effect is expected on any of the days. [-]
    """
    control, shift, cover = _moments(compared)
    if control is None or not np.any(np.abs(shift) > 0.0):
        return None
    information = float(shift @ np.linalg.solve(cover, shift))
    return float(information**-0.5)


def times_too_small(sd: float | None) -> float | None:
    """Return how many times as large an effect would have to be to be called one in 17 of 20 cases.

    Parameters
    ----------
    sd : float or None
        Error of the share. [-]

    Returns
    -------
    float or None
        At most one where it can be seen as it is; None where nothing is expected at all. [-]
    """
    return None if sd is None else sd * (ONE_SIDED_8 + POWER_85)


def can_be_seen(sd: float | None) -> bool:
    """Tell whether an effect as expected would be called one in 17 of 20 cases.

    Parameters
    ----------
    sd : float or None
        Error of the share. [-]

    Returns
    -------
    bool
        Whether the error is small enough. [-]
    """
    short = times_too_small(sd)
    return short is not None and short <= 1.0


def _moments(compared: Compared) -> tuple[Array | None, Array, Array]:
    """Return the mean of the control, the mean shift, and the covariance of what is read around the control."""
    sound = np.isfinite(compared.control).all(axis=0) & np.isfinite(compared.changed).all(axis=0)
    control, changed = compared.control[:, sound], compared.changed[:, sound]
    nothing = np.zeros(len(compared.observed))
    if control.shape[1] < LEAST_MEMBERS or not len(compared.observed):
        return None, nothing, np.eye(len(nothing))
    cover = np.atleast_2d(np.cov(control)) + np.diag(compared.sd**2)
    return control.mean(axis=1), (changed - control).mean(axis=1), cover
