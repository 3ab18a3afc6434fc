"""What the tests of the tank's process table share: draws of its parameters, and everything at one point."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import pytest

from lentic.engine.layout import Layout
from lentic.engine.table import Table
from lentic.model.expressions import evaluate
from lentic.model.parameters import (
    LogNormal,
    Normal,
    Parameter,
    Share,
    default_parameters,
)
from lentic.model.processes import build_table

CLASSES = ("FS", "FL", "EM")


@dataclass(frozen=True)
class Point:
    """Auxiliaries, the hydrogen ion and the rates of all processes at one state."""

    names: dict[str, float]
    rates: dict[str, float]


def drawn(parameter: Parameter, rng: np.random.Generator) -> float:
    """One draw from a prior, wide enough to find what only holds at the defaults."""
    prior, value = parameter.prior, parameter.default
    if isinstance(prior, LogNormal):
        return value * math.exp(prior.sd * rng.standard_normal())
    if isinstance(prior, Normal):
        return value + prior.sd * rng.standard_normal()
    if isinstance(prior, Share):
        return float(rng.uniform(prior.low, prior.high))
    return value


def solved_hydrogen(layout: Layout, names: Mapping[str, float]) -> float:
    """The hydrogen ion by bisection of the residual: slow, but a different method from the one in use."""
    implicit = layout.table.implicit
    assert implicit is not None
    low, high = math.log(1e-13), math.log(1e-3)
    for _ in range(80):
        middle = 0.5 * (low + high)
        local = dict(names) | {implicit.name: math.exp(middle)}
        for name, expression in implicit.preparation:
            local[name] = evaluate(expression, local)
        if evaluate(implicit.residual, local) > 0.0:
            low = middle
        else:
            high = middle
    return math.exp(0.5 * (low + high))


def at(table: Table, values: Mapping[str, float]) -> Point:
    """Everything the table computes, from parameters, drivers and states given by name."""
    layout = Layout(table)
    names = dict(values)
    if "hydrogen" not in names:
        for name in layout.order:
            if layout.level[name] in ("run", "step"):
                names[name] = evaluate(layout.expressions[name], names)
        names["hydrogen"] = solved_hydrogen(layout, names)
    for name in layout.order:
        names[name] = evaluate(layout.expressions[name], names)
    return Point(names, {process.name: evaluate(process.rate, names) for process in table.processes})


@pytest.fixture(scope="session")
def table() -> Table:
    """A table with three plant slots."""
    return build_table(3)


@pytest.fixture(scope="session")
def parameters() -> dict[str, Parameter]:
    """Its parameters: a stem plant, a floater and one with its leaves in the air."""
    return default_parameters(3, CLASSES)


@pytest.fixture(scope="session")
def draws(parameters: dict[str, Parameter]) -> list[dict[str, float]]:
    """Twenty draws of all parameters."""
    rng = np.random.default_rng(20250101)
    return [{name: drawn(p, rng) for name, p in parameters.items()} for _ in range(20)]


@pytest.fixture(scope="session")
def tank(parameters: dict[str, Parameter]) -> dict[str, float]:
    """An ordinary planted tank at noon, with all parameters at their defaults."""
    values = {name: p.default for name, p in parameters.items()}
    values |= {component.name: 0.5 for component in build_table(3).components}
    values |= {"temperature": 24.0, "volume": 0.28, "oxygen": 2.3, "ammonium": 0.04, "nitrite": 0.01}
    values |= {"nitrate": 0.8, "phosphate": 0.06, "carbon": 8.0, "alkalinity": 0.68}
    values |= {"plant_1": 40.0, "plant_n_1": 1.2, "plant_p_1": 0.16, "plant_2": 4.0, "plant_n_2": 0.15}
    values |= {"plant_p_2": 0.02, "plant_3": 20.0, "plant_n_3": 0.5, "plant_p_3": 0.06}
    return values | {"lamp": 1.0, "flow": 1.0, "room_temperature": 21.0, "sun": 0.2}


@pytest.fixture(scope="session")
def point() -> Callable[[Table, Mapping[str, float]], Point]:
    """The function that computes everything at one point."""
    return at
