"""Write the kernel of a process table as readable source: one body, for compiled lanes or for whole arrays.

The scheme is a conservative exponential midpoint with an ordered limiter. A step adds whole columns of the
matrix only, so what the matrix conserves is conserved; a column takes at most 99 % of what is there now, so every
amount stays positive for any length of step.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from lentic.engine.expressions import names_in, rendered
from lentic.engine.layout import LANES, STRIDE, Layout
from lentic.engine.table import Process

SWEEPS_BEGIN, SWEEPS_MIDDLE, SWEEPS_JUMP = 2, 3, 16
_FLOOR, _SHARE, _CRUMB = "0.05", "0.99", "1e-190"


class Writer:
    """Collects the lines of one loop over lanes and loads every row just once."""

    def __init__(self, layout: Layout, cell: Callable[[int], str]) -> None:
        self.layout, self.cell = layout, cell
        self.loads: dict[str, str] = {}
        self.lines: list[str] = []
        self.names: dict[str, str] = {}

    def load(self, row: str, variable: str | None = None) -> str:
        """Return the variable that holds a row, loading it at the head of the loop."""
        variable = variable or f"x_{row}"
        self.loads.setdefault(variable, f"{variable} = {self.cell(self.layout.rows[row])}")
        return variable

    def let(self, variable: str, expression: str) -> str:
        """Compute a variable from an expression in table names."""
        self.lines.append(f"{variable} = {self.text(expression)}")
        return variable

    def text(self, expression: str) -> str:
        """Return an expression as source."""
        for name in sorted(names_in(expression)):  # sorted, or the source changes from run to run
            if name not in self.names:
                self.names[name] = self._find(name)
        return rendered(expression, self.names)

    def _find(self, name: str) -> str:
        return f"d_{name}" if name in self.layout.table.drivers else self.load(name)

    def store(self, row: str, variable: str) -> None:
        """Write a variable back to its row."""
        self.lines.append(f"{self.cell(self.layout.rows[row])} = {variable}")

    def body(self) -> Iterator[str]:
        """Yield all lines, loads first."""
        yield from self.loads.values()
        yield from self.lines


def _phi(z: str) -> str:
    return f"(6.0 + {z}) / (12.0 + {z} * (6.0 + {z}))"


def early_loop(layout: Layout, cell: Callable[[int], str]) -> list[str]:
    """Return the lines that advance the early rows and compute everything that belongs to a step."""
    w = Writer(layout, cell)
    early = [c for c in layout.table.components if c.early]
    before = {c.name: w.load(c.name) for c in early}
    w.names |= before
    _step_auxiliaries(w, [p.rate for p in layout.early_processes] + [c.relaxation or "0.0" for c in early], "b")
    for number, process in enumerate(layout.early_processes):
        w.let(f"rb_{number}", process.rate)
    for component in early:
        slope = _net(w, layout, component.name, layout.early_processes, "rb")
        w.lines.append(f"g_{component.name} = {slope}")
        z = w.let(f"z_{component.name}", f"({component.relaxation})") if component.relaxation else None
        if z:
            w.lines.append(f"{z} = dt * {z}")
        share = _phi(z) if z else "0.5"
        w.lines.append(f"u_{component.name} = {before[component.name]} + dt * g_{component.name} * ({share})")
    w.names = {c.name: f"u_{c.name}" for c in early}
    for name in layout.step_rows:
        w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    for number, process in enumerate(layout.early_processes):
        w.let(f"rm_{number}", process.rate)
    for component in early:
        w.store(f"u_{component.name}", f"u_{component.name}")
        slope = _net(w, layout, component.name, layout.early_processes, "rm")
        w.store(component.name, f"{before[component.name]} + dt * ({slope})")
    for name in layout.slow_rows:
        for needed in sorted(names_in(layout.expressions[name])):
            if needed in layout.leaned and needed not in w.names:
                w.names[needed] = _lean(w, needed)
        w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    for name in (*layout.step_rows, *layout.slow_rows):
        w.store(name, f"a_{name}")
    return list(w.body())


def _lean(w: Writer, name: str) -> str:
    """Return a slow amount in the middle of the step, carried on as it moved in the step before.

    The predictor's row still holds the middle of the step before, so that the way from there to here is half a step.
    A jump sets it to the amount itself: the first step after a jump starts from rest.
    """
    y, u = w.load(name), w.load(f"u_{name}", f"o_{name}")
    w.lines.append(f"l_{name} = maximum({y} + lean * ({y} - {u}), {_FLOOR} * {y})")
    return f"l_{name}"


def _step_auxiliaries(w: Writer, expressions: Iterable[str], mark: str) -> None:
    """Compute, at the beginning of the step, those step auxiliaries that the early rows themselves need."""
    needed: set[str] = set()
    queue = list(expressions)
    while queue:
        for name in sorted(names_in(queue.pop())):
            if name in w.layout.step_rows and name not in needed:
                needed.add(name)
                queue.append(w.layout.expressions[name])
    for name in w.layout.step_rows:
        if name in needed:
            w.names[name] = w.let(f"{mark}_{name}", w.layout.expressions[name])


def _net(w: Writer, layout: Layout, component: str, processes: tuple[Process, ...], mark: str) -> str:
    terms = []
    for number, process in enumerate(processes):
        value = layout.stoichiometry[process.name].get(component)
        if value is not None:
            terms.append(f"{_coefficient(w, process.name, component, value)} * {mark}_{number}")
    return " + ".join(terms) or "0.0"


def _coefficient(w: Writer, process: str, component: str, value: str | float, part: str = "c") -> str:
    if isinstance(value, str):
        return w.load(f"{part}_{process}__{component}")
    if part == "m":
        return repr(max(0.0, -value))
    return f"({value!r})"


def _sweeps(w: Writer, layout: Layout, count: int) -> None:
    implicit = layout.table.implicit
    if implicit is None:
        return
    current = w.load(implicit.name)
    local = [n for n, _ in implicit.preparation]
    for sweep in range(count):
        w.names[implicit.name] = current
        for name in local:
            w.names[name] = f"q{sweep}_{name}"
        for name, expression in implicit.preparation:
            w.let(f"q{sweep}_{name}", expression)
        w.lines.append(f"n{sweep} = ({w.text(implicit.residual)}) / ({w.text(implicit.slope)})")
        w.lines.append(f"n{sweep} = minimum(1.5, maximum(-1.5, n{sweep}))")
        w.lines.append(f"e{sweep} = n{sweep} * n{sweep} * {1 / 12!r}")
        w.lines.append(
            f"h{sweep} = {current} * (1.0 + 0.5 * n{sweep} + e{sweep}) / (1.0 - 0.5 * n{sweep} + e{sweep})"
        )
        current = f"h{sweep}"
    w.names[implicit.name] = current
    w.store(implicit.name, current)


def _rates(w: Writer, layout: Layout) -> None:
    """Compute the state auxiliaries and all main rates from the names the writer holds now."""
    for name in layout.order:
        if layout.level[name] == "state":
            w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    for number, process in enumerate(layout.main_processes):
        w.let(f"r_{number}", process.rate)


def _bind(w: Writer, layout: Layout, state: Callable[[str], str]) -> None:
    for component in layout.table.components:
        w.names[component.name] = w.load(f"u_{component.name}") if component.early else state(component.name)


def predictor_loop(layout: Layout, cell: Callable[[int], str]) -> list[str]:
    """Return the lines that solve the unknown, compute all rates and predict the state at the middle of the step."""
    w = Writer(layout, cell)
    _bind(w, layout, w.load)
    _sweeps(w, layout, SWEEPS_BEGIN)
    _rates(w, layout)
    for component in layout.table.components:
        if component.early:
            continue
        y, name = w.names[component.name], component.name
        w.lines.append(f"g_{name} = {_net(w, layout, name, layout.main_processes, 'r')}")
        share = "0.5"
        if component.relaxation is not None:
            w.lines.append(f"z_{name} = dt * ({w.text(component.relaxation)})")
            share = _phi(f"z_{name}")
        elif component.kind == "fast":
            w.lines.append(f"z_{name} = dt * ({_consumption(w, layout, name)}) / maximum({y}, 1e-30)")
            share = _phi(f"z_{name}")
        w.lines.append(f"u_{name} = {y} + dt * g_{name} * ({share})")
        floored = f"u_{name}" if component.kind == "signed" else f"maximum(u_{name}, {_FLOOR} * {y})"
        w.store(f"u_{name}", floored)
    return list(w.body())


def _consumption(w: Writer, layout: Layout, component: str) -> str:
    terms = []
    for number, process in enumerate(layout.main_processes):
        value = layout.stoichiometry[process.name].get(component)
        if value is not None and (isinstance(value, str) or value < 0):
            terms.append(f"{_coefficient(w, process.name, component, value, 'm')} * r_{number}")
    return " + ".join(terms) or "0.0"


def corrector_loop(layout: Layout, cell: Callable[[int], str]) -> list[str]:
    """Return the lines that compute all rates at the middle and add the columns in order, limited by what is there."""
    w = Writer(layout, cell)
    _bind(w, layout, lambda name: w.load(f"u_{name}"))
    _sweeps(w, layout, SWEEPS_MIDDLE)
    _rates(w, layout)
    signed = {c.name for c in layout.table.components if c.kind == "signed"}
    now = {name: w.load(name, f"y_{name}") for name in layout.states if name not in layout.early}
    for number, process in enumerate(layout.main_processes):
        row = layout.stoichiometry[process.name]
        step = f"s_{number}"
        w.lines.append(f"{step} = dt * r_{number}")
        for component, value in row.items():
            if component in signed or (not isinstance(value, str) and value > 0):
                continue
            most = (
                w.load(f"v_{process.name}__{component}") if isinstance(value, str) else repr(1.0 / -value)
            )
            # what is made (not used) has a bound of 1e200 for each unit there; the crumb keeps an empty pool fillable
            crumb = f" + {_CRUMB}" if isinstance(value, str) else ""
            w.lines.append(f"{step} = minimum({step}, ({_SHARE} * y_{component}{crumb}) * {most})")
        for component, value in row.items():
            c = _coefficient(w, process.name, component, value)
            w.lines.append(f"y_{component} = y_{component} + {c} * {step}")
    touched = {name for row in layout.stoichiometry.values() for name in row}
    for name in now:
        if name in touched:
            w.store(name, f"y_{name}")
    return list(w.body())


def settle_loop(layout: Layout, cell: Callable[[int], str]) -> list[str]:
    """Return the lines that solve the unknown afresh after a jump, with the step rows at the present state."""
    w = Writer(layout, cell)
    for component in layout.table.components:
        w.names[component.name] = w.load(component.name)
    for name in layout.step_rows:
        w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    _sweeps(w, layout, SWEEPS_JUMP)
    for name in layout.step_rows:
        w.store(name, f"a_{name}")
    return list(w.body())


def _lane_cell(row: int) -> str:
    return f"w[i + {row * STRIDE}]"


def _marked(line: str, mark: str) -> str:
    """Return a line whose variables belong to one loop alone: a name shared by two keeps lanes from running abreast."""
    return re.sub(r"\b(?!(?:w|i|dt|lean|pass|exp|tanh|sqrt|minimum|maximum)\b|d_)([A-Za-z_]\w*)", rf"{mark}_\1", line)


def _array_cell(row: int) -> str:
    return f"w[{row}]"


_HEAD = '''"""Generated from the process table {name!r}; do not edit: change the table and it is written anew."""
from lentic.engine.{flavour} import *
'''


def source(layout: Layout, compiled: bool) -> str:
    """Return the module source of a kernel.

    Parameters
    ----------
    layout : Layout
        The compiled table. [-]
    compiled : bool
        True for lanes and numba, False for arrays of members and numpy. [-]

    Returns
    -------
    str
        Python source with the functions ``advance`` and ``settle``. [-]
    """
    cell = _lane_cell if compiled else _array_cell
    out = [_HEAD.format(name=layout.table.name, flavour="lanes" if compiled else "arrays")]
    loops = [early_loop(layout, cell), predictor_loop(layout, cell), corrector_loop(layout, cell)]
    drivers = [f"d_{name}" for name in layout.table.drivers]
    head = "@kernel\n" if compiled else ""
    block = f"for i in range({LANES}):" if compiled else "if True:"
    out.append(f"{head}def advance(work, blocks, dts, drivers, first, last, substeps):\n    for b in range(blocks):")
    out.append("        w = work[b]\n        parts = substeps[b]\n        for s in range(first, last):")
    out.append("            dt = dts[s] / parts")
    out += [f"            {d} = drivers[s, {n}]" for n, d in enumerate(drivers)]
    out.append("            lean = dts[s] / dts[s - 1] if s > 0 else 1.0")
    out.append("            for _ in range(parts):")
    for mark, lines in zip("abc", loops, strict=True):
        out.append(f"                {block}")
        out += [f"                    {_marked(line, mark)}" for line in lines or ["pass"]]
    out.append("                lean = 1.0")
    out.append(f"\n\n{head}def settle(work, blocks, drivers, s):")
    out += [f"    {d} = drivers[s, {n}]" for n, d in enumerate(drivers)]
    out.append("    for b in range(blocks):\n        w = work[b]")
    out.append(f"        {block}")
    out += [f"            {line}" for line in settle_loop(layout, cell) or ["pass"]]
    return "\n".join(out) + "\n"


def fingerprint(layout: Layout) -> str:
    """Return a short name that changes whenever the generated source or the functions it calls do."""
    functions = Path(__file__).with_name("lanes.py").read_bytes()
    return hashlib.sha256(source(layout, compiled=True).encode() + functions).hexdigest()[:16]
