"""Write the loops of a step: one body, for compiled lanes or for whole arrays.

The scheme is a conservative exponential midpoint with an ordered limiter. A step adds whole columns of the
matrix only, so what the matrix conserves is conserved; a column takes at most 99 % of what is there now, so every
amount stays positive for any length of step.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from lentic.engine.expressions import names_in, rendered
from lentic.engine.layout import Layout
from lentic.engine.table import Process

SWEEPS_BEGIN, SWEEPS_MIDDLE = 1, 2
_FLOOR, _SHARE, _CRUMB = "0.05", 0.99, "1e-190"


Cell = Callable[[int], str]


class Writer:
    """Collects the lines of one loop over lanes and loads every row just once."""

    def __init__(self, layout: Layout, cell: Cell) -> None:
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


def _phi_of_quotient(z: str, n: str) -> str:
    """Return phi(z / n) with one division."""
    return f"{n} * (6.0 * {n} + {z}) / (12.0 * {n} * {n} + {z} * (6.0 * {n} + {z}))"


def early_loop(layout: Layout, cell: Cell) -> list[str]:
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
    for name in layout.step_rows:
        w.store(name, f"a_{name}")
    return list(w.body())


def slow_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that carry slow amounts on to the middle and compute what follows from them alone."""
    w = Writer(layout, cell)
    for name in sorted(layout.early):
        w.names[name] = w.load(f"u_{name}")
    for name in layout.leaned:
        w.names[name] = _lean(w, name)
    for name in layout.slow_rows:
        w.names[name] = w.let(f"a_{name}", layout.expressions[name])
        w.store(name, f"a_{name}")
    return list(w.body())


def kept_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that compute the kept rates and what they make and use of predicted components."""
    w = Writer(layout, cell)
    _bind(w, layout, lambda name: f"u_{name}")
    for number, process in enumerate(layout.main_processes):
        if process.name in layout.kept:
            w.store(f"k_{process.name}", w.let(f"r_{number}", process.rate))
    for name in layout.predicted:
        w.lines.append(f"g_{name} = {_net(w, layout, name, layout.main_processes, 'r', kept=True)}")
        w.store(f"g_{name}", f"g_{name}")
        if _relaxes(layout, name):
            w.lines.append(f"z_{name} = {_consumption(w, layout, name, kept=True)}")
            w.store(f"z_{name}", f"z_{name}")
    return list(w.body())


def _lean(w: Writer, name: str) -> str:
    """Return a slow amount in the middle of the step, carried on as it moved in the step before.

    After a jump the row of what was there before holds what would have been, had it moved then as it does now.
    """
    y, before = w.load(name), w.load(f"o_{name}")
    w.lines.append(f"l_{name} = maximum({y} + lean * ({y} - {before}), {_FLOOR} * {y})")
    w.store(f"o_{name}", y)
    if name not in w.layout.predicted:
        w.store(f"u_{name}", f"l_{name}")
    return f"l_{name}"


def _relaxes(layout: Layout, name: str) -> bool:
    """Tell whether a predicted component relaxes at the rate at which it is used."""
    component = next(c for c in layout.table.components if c.name == name)
    return component.kind in ("fast", "brisk") and component.relaxation is None


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


def _net(
    w: Writer, layout: Layout, component: str, processes: tuple[Process, ...], mark: str, kept: bool | None = None
) -> str:
    terms = []
    for number, process in enumerate(processes):
        value = layout.stoichiometry[process.name].get(component)
        if value is not None and kept in (None, process.name in layout.kept):
            terms.append(f"{_coefficient(w, process.name, component, value)} * {mark}_{number}")
    return " + ".join(terms) or "0.0"


def _coefficient(w: Writer, process: str, component: str, value: str | float, part: str = "c") -> str:
    if isinstance(value, str):
        return w.load(f"{part}_{process}__{component}")
    if part == "m":
        return repr(max(0.0, -value))
    return f"({value!r})"


def _sweeps(w: Writer, layout: Layout, count: int, far: bool = False) -> None:
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
        w.lines.append(f"h{sweep} = {current} * {_grown(f'n{sweep}', far)}")
        current = f"h{sweep}"
    w.names[implicit.name] = current
    w.store(implicit.name, current)


def _grown(n: str, far: bool) -> str:
    """Return exp(n) of a sweep: positive whatever n is, and as good as exp where sweeps end."""
    if far:
        square = f"{n} * {n} * {1 / 12!r}"
        return f"(1.0 + 0.5 * {n} + {square}) / (1.0 - 0.5 * {n} + {square})"
    return f"(1.0 + {n} * (1.0 + 0.5 * {n}))"


def _rates(w: Writer, layout: Layout) -> None:
    """Compute the state auxiliaries and the rates that are not kept from the names the writer holds now."""
    for name in layout.order:
        if layout.level[name] == "state":
            w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    for number, process in enumerate(layout.main_processes):
        if process.name not in layout.kept:
            w.let(f"r_{number}", process.rate)


def _bind(w: Writer, layout: Layout, predicted: Callable[[str], str]) -> None:
    for name in layout.states:
        if name in layout.predicted:
            w.names[name] = w.load(predicted(name))
        elif name in layout.early or name in layout.leaned:
            w.names[name] = w.load(f"u_{name}")


def begin_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that solve the unknown at the beginning of the step."""
    w = Writer(layout, cell)
    _bind(w, layout, lambda name: name)
    _sweeps(w, layout, SWEEPS_BEGIN)
    return list(w.body())


def middle_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that solve the unknown in the middle of the step."""
    w = Writer(layout, cell)
    _bind(w, layout, lambda name: f"u_{name}")
    _sweeps(w, layout, SWEEPS_MIDDLE)
    return list(w.body())


def predictor_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that predict all components that are not slow at the middle from the rates at the beginning."""
    w = Writer(layout, cell)
    _bind(w, layout, lambda name: name)
    _rates(w, layout)
    components = {c.name: c for c in layout.table.components}
    for name in layout.predicted:
        component, y = components[name], w.names[name]
        made = _net(w, layout, name, layout.main_processes, "r", kept=False)
        w.lines.append(f"g_{name} = {w.load(f'g_{name}')} + {made}")
        share = "0.5"
        if component.relaxation is not None:
            w.lines.append(f"z_{name} = dt * ({w.text(component.relaxation)})")
            share = _phi(f"z_{name}")
        elif _relaxes(layout, name):
            used = f"{w.load(f'z_{name}')} + {_consumption(w, layout, name, kept=False)}"
            w.lines.append(f"z_{name} = dt * ({used})")
            w.lines.append(f"n_{name} = maximum({y}, 1e-30)")
            share = _phi_of_quotient(f"z_{name}", f"n_{name}")
        w.lines.append(f"u_{name} = {y} + dt * g_{name} * ({share})")
        floored = f"u_{name}" if component.kind == "signed" else f"maximum(u_{name}, {_FLOOR} * {y})"
        w.store(f"u_{name}", floored)
    return list(w.body())


def _consumption(w: Writer, layout: Layout, component: str, kept: bool) -> str:
    terms = []
    for number, process in enumerate(layout.main_processes):
        value = layout.stoichiometry[process.name].get(component)
        if value is None or kept is not (process.name in layout.kept):
            continue
        if isinstance(value, str) or value < 0:
            terms.append(f"{_coefficient(w, process.name, component, value, 'm')} * r_{number}")
    return " + ".join(terms) or "0.0"


def rates_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that compute the rates in the middle of the step that are not kept."""
    w = Writer(layout, cell)
    _bind(w, layout, lambda name: f"u_{name}")
    _rates(w, layout)
    for number, process in enumerate(layout.main_processes):
        if process.name not in layout.kept:
            w.store(f"k_{process.name}", f"r_{number}")
    return list(w.body())


def corrector_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that add the columns in order, each limited by what is there."""
    w = Writer(layout, cell)
    signed = {c.name for c in layout.table.components if c.kind == "signed"}
    now = {name: w.load(name, f"y_{name}") for name in layout.states if name not in layout.early}
    for number, process in enumerate(layout.main_processes):
        row = layout.stoichiometry[process.name]
        step = f"s_{number}"
        w.lines.append(f"{step} = dt * {w.load(f'k_{process.name}')}")
        for component, value in row.items():
            if component in signed or (not isinstance(value, str) and value > 0):
                continue
            if isinstance(value, str):
                # what is made (not used) has a bound of 1e200 a unit there; the crumb keeps an empty pool fillable
                most = f"({_SHARE} * y_{component} + {_CRUMB}) * {w.load(f'v_{process.name}__{component}')}"
            else:
                most = f"{_SHARE / -value!r} * y_{component}"
            w.lines.append(f"{step} = minimum({step}, {most})")
        for component, value in row.items():
            c = _coefficient(w, process.name, component, value)
            w.lines.append(f"y_{component} = y_{component} + {c} * {step}")
    touched = {name for row in layout.stoichiometry.values() for name in row}
    for name in now:
        if name in touched:
            w.store(name, f"y_{name}")
    return list(w.body())


def present_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that compute the step rows at the present state."""
    w = Writer(layout, cell)
    for name in layout.step_rows:
        w.names[name] = w.let(f"a_{name}", layout.expressions[name])
        w.store(name, f"a_{name}")
    return list(w.body())


def settle_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines of one sweep towards the unknown at the present state, from however far."""
    w = Writer(layout, cell)
    _sweeps(w, layout, 1, far=True)
    return list(w.body())


def start_loop(layout: Layout, cell: Cell) -> list[str]:
    """Return the lines that find how slow amounts move right after a jump, as if the step before had gone that way."""
    w = Writer(layout, cell)
    for name in (*layout.step_rows, *layout.slow_rows):
        w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    for name in layout.order:
        if layout.level[name] == "state":
            w.names[name] = w.let(f"a_{name}", layout.expressions[name])
    for number, process in enumerate(layout.main_processes):
        w.let(f"r_{number}", process.rate)
    for name in layout.leaned:
        w.lines.append(f"g_{name} = {_net(w, layout, name, layout.main_processes, 'r')}")
        w.store(f"o_{name}", f"{w.load(name)} - dt * g_{name}")
    return list(w.body())


STEP: tuple[Callable[[Layout, Cell], list[str]], ...] = (
    early_loop,
    slow_loop,
    kept_loop,
    begin_loop,
    predictor_loop,
    middle_loop,
    rates_loop,
    corrector_loop,
)
"""The loops of a step, in order. Short ones are faster than a long one: more of them is under way at a time."""
