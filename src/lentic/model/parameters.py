"""Every parameter of the process table: default, spread, unit, meaning, and how we know it.

A number without a published source says so. Spreads of "LogNormal" are standard deviations of the natural
logarithm; "Share" and "Between" give a range that holds 95 %; "Normal" is for what may be zero or negative;
"Fixed" is never learned. Coefficients stand here; what they mean for a keeper's tank (areas, flow, lamp)
comes from its description.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

How = Literal["read", "memory", "practice", "tuned", "computed", "tank"]
"""read: a published page or source was read; memory: recalled from it, not re-read; practice: common
practice, no source; tuned: moved until trade facts came out; computed: follows from named published
relations; tank: comes from the keeper's description, the default is an example."""


@dataclass(frozen=True, kw_only=True)
class LogNormal:
    """Positive, spread by a factor: ``sd`` of the natural logarithm around the default."""

    sd: float


@dataclass(frozen=True, kw_only=True)
class Share:
    """Between 0 and 1; 95 % lie between ``low`` and ``high`` on the logit scale."""

    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Normal:
    """May be negative; standard deviation in the parameter's own unit."""

    sd: float


@dataclass(frozen=True, kw_only=True)
class Fixed:
    """Held at its default."""


Prior = LogNormal | Share | Normal | Fixed


@dataclass(frozen=True, kw_only=True)
class Parameter:
    """One number of the table.

    Parameters
    ----------
    name, unit, meaning : str
        Its name in expressions, its unit, and what it stands for.
    default : float
        Value where nothing better is known.
    prior : LogNormal, Share, Normal or Fixed
        Spread before any reading.
    source : str
        Where the default and its spread come from.
    how : str
        How well we know it, see ``How``.
    """

    name: str
    default: float
    unit: str
    prior: Prior
    meaning: str
    source: str
    how: How


def default_parameters(plant_slots: int, plant_classes: Sequence[str] = ()) -> dict[str, Parameter]:
    """All parameters of the table with as many plant slots.

    Parameters
    ----------
    plant_slots : int
        How many kinds of plant the tank can hold.
    plant_classes : sequence of str, optional
        Class of each slot; slots without one are fast stem plants.

    Returns
    -------
    dict of str to Parameter
        Name -> parameter, in the order of the table.
    """
    from lentic.model.parameters_life import LIFE
    from lentic.model.parameters_plants import COMMON, plant_parameters
    from lentic.model.parameters_tank import TANK
    from lentic.model.parameters_water import acid_parameters

    rows = [*TANK, *acid_parameters(), *LIFE]
    if plant_slots:
        rows += COMMON
    for slot in range(1, plant_slots + 1):
        chosen = plant_classes[slot - 1] if slot <= len(plant_classes) else "FS"
        rows += plant_parameters(slot, chosen)
    return {row.name: row for row in rows}


def parameter_names(plant_slots: int) -> tuple[str, ...]:
    """Names of all parameters, in the order of the table.

    Parameters
    ----------
    plant_slots : int
        How many kinds of plant the tank can hold.

    Returns
    -------
    tuple of str
        The names.
    """
    return tuple(default_parameters(plant_slots))


def default_values(parameters: Mapping[str, Parameter]) -> dict[str, float]:
    """Default of each parameter.

    Parameters
    ----------
    parameters : Mapping[str, Parameter]
        What ``default_parameters`` gives.

    Returns
    -------
    dict of str to float
        Name -> default, in its unit.
    """
    return {name: parameter.default for name, parameter in parameters.items()}


def row(name: str, default: float, unit: str, prior: Prior, meaning: str, source: str, how: How) -> Parameter:
    """One line of a parameter table, in the order of its columns.

    Parameters
    ----------
    name, default, unit, prior, meaning, source, how
        See ``Parameter``.

    Returns
    -------
    Parameter
        The same, named.
    """
    return Parameter(
        name=name, default=default, unit=unit, prior=prior, meaning=meaning, source=source, how=how
    )
