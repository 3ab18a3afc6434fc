"""What a reading is worth before it is taken: how far it would move a decision between two courses.

With the possible tanks as draws, ``gain`` is what the second course gains over the first in each of them. A reading
moves its expectation by an amount that is normal with mean nought and a standard deviation of ``|cov(gain, reading)| /
sqrt(var(reading) + error^2)``; the expected gain from deciding after it instead of now is the unit normal loss of that.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import erf, exp, pi, sqrt

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Candidate:
    """A reading that could be taken.

    Parameters
    ----------
    name : str
        What is read. [-]
    shows : Array
        What it would show in each possible tank, shape (member,). [scale with even errors]
    sd : float
        Error of the kit on that scale. [same]
    minutes : float
        Work. [min]
    price : float
        Cost of a test. [any currency, the same for all]
    """

    name: str
    shows: Array
    sd: float
    minutes: float
    price: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Worth:
    """What a reading is worth.

    Parameters
    ----------
    name : str
        What is read. [-]
    value : float
        Expected gain from deciding after it. [unit of the gain]
    a_minute : float
        The same for each minute, the price counted as minutes. [unit of the gain / min]
    turns : float
        Chance that it turns the decision. [-]
    """

    name: str
    value: float
    a_minute: float
    turns: float


def worth_of(
    gain: Array, candidates: Sequence[Candidate], weights: Array | None = None, minutes_per_price: float = 0.0
) -> tuple[Worth, ...]:
    """Return what each reading is worth for a decision, the best for its work first.

    Parameters
    ----------
    gain : Array
        What the second course gains in each possible tank, shape (member,). [any]
    candidates : Sequence[Candidate]
        Readings that could be taken. [-]
    weights : Array, optional
        Weights of the possible tanks, shape (member,); equal where none are given. [-]
    minutes_per_price : float
        How much work one unit of money is worth. [min]

    Returns
    -------
    tuple[Worth, ...]
        Ordered by gain a minute, then by name. [-]
    """
    share = np.full(gain.shape, 1.0 / gain.size) if weights is None else weights / weights.sum()
    mean = float(share @ gain)
    found = []
    for each in candidates:
        moved = _moved(gain - mean, each, share)
        effort = max(each.minutes + minutes_per_price * each.price, 1e-9)
        value = normal_loss(mean, moved)
        turns = _below(-abs(mean) / moved) if moved > 0.0 else 0.0
        found.append(Worth(name=each.name, value=value, a_minute=value / effort, turns=turns))
    return tuple(sorted(found, key=lambda w: (-w.a_minute, w.name)))


def after(shows: Array, sd: float, read: float, weights: Array | None = None) -> Array:
    """Return the weights of the possible tanks once a reading is known.

    Parameters
    ----------
    shows : Array
        What each possible tank would show, shape (member,). [scale with even errors]
    sd : float
        Error of the kit. [same]
    read : float
        What was read. [same]
    weights : Array, optional
        Weights before, shape (member,). [-]

    Returns
    -------
    Array
        Weights that add up to one, shape (member,). [-]
    """
    miss = -0.5 * ((shows - read) / sd) ** 2
    now = np.exp(miss - miss.max()) * (1.0 if weights is None else weights)
    return np.asarray(now / now.sum(), dtype=np.float64)


def normal_loss(mean: float, sd: float) -> float:
    """Return what is gained on average by choosing after a normal quantity is known instead of by its mean.

    Parameters
    ----------
    mean, sd : float
        Of the quantity; the choice is the second course where it is above nought. [any]

    Returns
    -------
    float
        Expected gain; nought where nothing is left to learn. [same]

    Notes
    -----
    ``sd (phi(z) - z (1 - Phi(z)))`` with ``z = |mean| / sd``: the unit normal loss integral
    (Raiffa and Schlaifer 1961, Applied Statistical Decision Theory, from memory).

    References
    ----------
    definition
    """
    if sd <= 0.0:
        return 0.0
    z = abs(mean) / sd
    return sd * (exp(-0.5 * z * z) / sqrt(2.0 * pi) - z * _below(-z))


def _moved(centred: Array, each: Candidate, share: Array) -> float:
    """Return the standard deviation of the expected gain after a reading."""
    off = each.shows - float(share @ each.shows)
    spread = float(share @ off**2) + each.sd**2
    return abs(float(share @ (centred * off))) / sqrt(spread) if spread > 0.0 else 0.0


def _below(z: float) -> float:
    return 0.5 * (1.0 + erf(z / sqrt(2.0)))
