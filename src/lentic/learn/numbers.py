"""The numbers that are fitted, on a scale where each is standard normal before any reading."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.model.describe import Description
from lentic.model.members import DRIFTS, drift_values
from lentic.model.parameters import Fixed, LogNormal, Normal, Parameter, Share

Array = npt.NDArray[np.float64]

STRUCTURE, CURVE = "structure", "light_curve"
"""Names of the two discrete choices that are carried along and never decided."""

SUPPRESSED_HALF_N, SUPPRESSED_PH_MAX = 0.20, 9.5
"""Structure without suppression: half-saturation of algae for nitrogen [mg/L], alkaline end of plants [-]; tuned."""


@dataclass(frozen=True, kw_only=True)
class Numbers:
    """Which numbers are fitted and how to turn the normal scale into values.

    Parameters
    ----------
    fitted : tuple[Parameter, ...]
        Parameters with a spread, in the order of the rows of ``z``. [-]
    drift_points : int
        Points of each drift; their steps follow the parameters. [-]
    """

    fitted: tuple[Parameter, ...]
    drift_points: int

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the rows of ``z``."""
        drifts = [f"{name}_{k}" for name in DRIFTS for k in range(self.drift_points)]
        return (*(p.name for p in self.fitted), *drifts, STRUCTURE, CURVE)

    def draw(self, members: int, rng: np.random.Generator) -> Array:
        """Return standard-normal draws, shape (number, member)."""
        return rng.standard_normal((len(self.names), members))

    def values(self, z: Array) -> dict[str, Array]:
        """Return every fitted number as values, shape (member,) each.

        Parameters
        ----------
        z : Array
            Shape (number, member). [-]

        Returns
        -------
        dict[str, Array]
            Row name -> values. [as the rows]
        """
        out = {p.name: to_value(p, z[k]) for k, p in enumerate(self.fitted)}
        at = len(self.fitted)
        for name in DRIFTS:
            logs = drift_values(name, z[at : at + self.drift_points])
            out |= {f"{name}_{k}": logs[k] for k in range(self.drift_points)}
            at += self.drift_points
        return _with_structure(out, z[at], z[at + 1])


def _with_structure(values: dict[str, Array], structure: Array, curve: Array) -> dict[str, Array]:
    """Apply the two structural choices: how plants hold algae down, and the shape of the light curve."""
    without = structure > 0.0
    values["suppression_inverse"] = np.where(without, 0.0, values["suppression_inverse"])
    values["algae_half_n"] = values["algae_half_n"] * np.where(without, SUPPRESSED_HALF_N / 0.06, 1.0)
    for name in [n for n in values if n.startswith("h_max_")]:
        values[name] = np.where(without, values[name] * 10.0 ** -(SUPPRESSED_PH_MAX - 9.4), values[name])
    values["curve_smith"] = ((curve > -0.43) & (curve < 0.43)).astype(np.float64)
    values["curve_steele"] = (curve >= 0.43).astype(np.float64)
    return values


def to_value(parameter: Parameter, z: Array) -> Array:
    """Return values of a parameter from its standard-normal scale.

    Parameters
    ----------
    parameter : Parameter
        Default and prior. [-]
    z : Array
        Any shape. [-]

    Returns
    -------
    Array
        Same shape. [unit of the parameter]
    """
    prior = parameter.prior
    if isinstance(prior, LogNormal):
        return np.asarray(parameter.default * np.exp(prior.sd * z))
    if isinstance(prior, Normal):
        return np.asarray(parameter.default + prior.sd * z)
    if isinstance(prior, Share):
        logit = [np.log(x / (1.0 - x)) for x in (parameter.default, prior.low, prior.high)]
        spread = (logit[2] - logit[1]) / 3.92
        return np.asarray(1.0 / (1.0 + np.exp(-(logit[0] + spread * z))))
    return np.full_like(z, parameter.default)


def numbers_of(description: Description, drift_points: int) -> Numbers:
    """Return the numbers of a tank that have a spread; fixed ones keep their default."""
    parameters: Mapping[str, Parameter] = description.parameters
    used = len(description.slots)
    fitted = [
        p
        for p in parameters.values()
        if not isinstance(p.prior, Fixed) and not _of_empty_slot(p.name, used, description.plant_slots)
    ]
    return Numbers(fitted=tuple(fitted), drift_points=drift_points)


def _of_empty_slot(name: str, used: int, slots: int) -> bool:
    return any(name.endswith(f"_{slot}") for slot in range(used + 1, slots + 1))
