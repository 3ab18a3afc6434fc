"""The same table as a plain rate function, for integrators made by others: tests and benchmarks only."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import numpy.typing as npt

from lentic.engine.expressions import rendered
from lentic.engine.layout import Layout
from lentic.engine.table import Table

Array = npt.NDArray[np.float64]
RateFunction = Callable[[Array, Array, Array], Array]


def rate_source(table: Table, sweeps: int = 16) -> str:
    """Return Python source of ``rates(y, p, d)``: states, parameters and drivers in, time derivatives out.

    Parameters
    ----------
    table : Table
        The process table. [-]
    sweeps : int
        Newton sweeps for the implicit unknown from its start value. [-]

    Returns
    -------
    str
        Source without imports; ``exp``, ``tanh``, ``sqrt``, ``minimum``, ``maximum`` and ``zeros`` are expected. [-]
    """
    layout = Layout(table)
    names = {n: f"x_{n}" for n in (*layout.states, *table.parameters, *table.drivers, *layout.order)}
    lines = [f"x_{n} = y[{k}]" for k, n in enumerate(layout.states)]
    lines += [f"x_{n} = p[{k}]" for k, n in enumerate(table.parameters)]
    lines += [f"x_{n} = d[{k}]" for k, n in enumerate(table.drivers)]
    before = [n for n in layout.order if layout.level[n] != "state"]
    lines += [f"x_{n} = {rendered(layout.expressions[n], names)}" for n in before]
    implicit = table.implicit
    if implicit is not None:
        names[implicit.name] = f"x_{implicit.name}"
        names |= {n: f"q_{n}" for n, _ in implicit.preparation}
        lines += [f"x_{implicit.name} = {implicit.start!r}", f"for _ in range({sweeps}):"]
        lines += [f"    q_{n} = {rendered(e, names)}" for n, e in implicit.preparation]
        quotient = f"({rendered(implicit.residual, names)}) / ({rendered(implicit.slope, names)})"
        lines += [
            f"    n = minimum(1.5, maximum(-1.5, {quotient}))",
            f"    x_{implicit.name} = x_{implicit.name} * exp(n)",
        ]
    lines += [f"x_{n} = {rendered(layout.expressions[n], names)}" for n in layout.order if layout.level[n] == "state"]
    lines += [f"f = zeros({len(layout.states)})"]
    number = {n: k for k, n in enumerate(layout.states)}
    for process in table.processes:
        lines.append(f"r = {rendered(process.rate, names)}")
        for component, value in layout.stoichiometry[process.name].items():
            text = rendered(value, names) if isinstance(value, str) else repr(value)
            lines.append(f"f[{number[component]}] += ({text}) * r")
    lines.append("return f")
    return "def rates(y, p, d):\n" + "\n".join("    " + line for line in lines) + "\n"


def rate_function(table: Table, sweeps: int = 16) -> RateFunction:
    """Return the plain Python rate function of a table: ``rates(y, p, d)`` with arrays in table order."""
    scope: dict[str, Any] = {
        "exp": np.exp,
        "tanh": np.tanh,
        "sqrt": np.sqrt,
        "minimum": min,
        "maximum": max,
        "zeros": np.zeros,
    }
    exec(compile(rate_source(table, sweeps), f"<rates of {table.name}>", "exec"), scope)
    function: RateFunction = scope["rates"]
    return function


def compiled_rate_function(table: Table, sweeps: int = 6) -> RateFunction:
    """Return the rate function compiled, as a fair opponent for the engine."""
    from numba import njit

    scope: dict[str, Any] = {
        "exp": np.exp,
        "tanh": np.tanh,
        "sqrt": np.sqrt,
        "minimum": min,
        "maximum": max,
        "zeros": np.zeros,
    }
    exec(compile(rate_source(table, sweeps), f"<rates of {table.name}>", "exec"), scope)
    function: RateFunction = njit(error_model="numpy")(scope["rates"])
    return function


def packed(names: tuple[str, ...], values: Mapping[str, float]) -> Array:
    """Return named numbers as an array in the order of the names."""
    return np.array([values[name] for name in names], dtype=np.float64)
