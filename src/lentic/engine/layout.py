"""Where everything stands in a member's column, and in which order it is computed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from lentic.engine.expressions import TableError, full_stoichiometry, in_order, is_number, names_in
from lentic.engine.table import Component, Process, Table

LANES = 64
"""Members of one block; they stand side by side so that one instruction serves several of them."""
STRIDE = 72
"""Distance of two rows of a block. An odd number of cache lines, or all rows would crowd into the same few sets."""


@dataclass(frozen=True)
class Layout:
    """The rows of one block and the level at which every auxiliary is computed.

    Levels: ``run`` needs parameters alone, ``step`` needs early rows and drivers too, ``slow`` needs slow or brisk
    components too and is computed once a step, at those components as the step before carries them on to the middle of
    this one, ``state`` needs anything else and is computed at the beginning and in the middle.
    """

    table: Table

    def __post_init__(self) -> None:
        names = [*self.states, *self.table.parameters, *self.table.drivers, *(a.name for a in self.table.auxiliaries)]
        if self.table.implicit:
            names.append(self.table.implicit.name)
        doubled = sorted({name for name in names if names.count(name) > 1})
        if doubled:
            raise TableError(f"defined twice: {', '.join(doubled)}")
        _ = self.order

    @cached_property
    def states(self) -> tuple[str, ...]:
        """Names of the state rows, in order."""
        return tuple(c.name for c in self.table.components)

    @cached_property
    def expressions(self) -> dict[str, str]:
        """Auxiliary -> expression."""
        return {a.name: a.expression for a in self.table.auxiliaries}

    @cached_property
    def order(self) -> list[str]:
        """Auxiliaries in an order of computation."""
        known = {*self.states, *self.table.parameters, *self.table.drivers}
        if self.table.implicit:
            known.add(self.table.implicit.name)
        return in_order(self.expressions, known)

    @cached_property
    def level(self) -> dict[str, str]:
        """Name -> run, step, slow or state."""
        level = dict.fromkeys(self.table.parameters, "run") | dict.fromkeys(self.table.drivers, "step")
        level |= {c.name: "step" if c.early else "slow" if self._leans(c) else "state" for c in self.table.components}
        if self.table.implicit:
            level[self.table.implicit.name] = "state"
        for name in self.order:
            level[name] = self.level_of(self.expressions[name], level)
        return level

    def level_of(self, expression: str, level: dict[str, str] | None = None) -> str:
        """Return the level of an expression."""
        level = self.level if level is None else level
        found = {level[name] for name in names_in(expression)}
        return next((name for name in ("state", "slow", "step") if name in found), "run")

    @cached_property
    def stoichiometry(self) -> dict[str, dict[str, str | float]]:
        """Process -> component -> coefficient."""
        return full_stoichiometry(self.table)

    @cached_property
    def early(self) -> frozenset[str]:
        """Names of the rows that nothing else feeds."""
        return frozenset(c.name for c in self.table.components if c.early)

    @cached_property
    def early_processes(self) -> tuple[Process, ...]:
        """Processes that touch early rows alone."""
        return tuple(p for p in self.table.processes if set(self.stoichiometry[p.name]) <= self.early)

    @cached_property
    def main_processes(self) -> tuple[Process, ...]:
        """All other processes, in table order."""
        return tuple(p for p in self.table.processes if p not in self.early_processes)

    @cached_property
    def coefficients(self) -> dict[str, str]:
        """Name -> expression of every coefficient that is not a plain number.

        Three rows stand for each: the value ``c``, its consuming part ``m`` and what limits it, ``v``.
        """
        found: dict[str, str] = {}
        for process in self.table.processes:
            for component, value in self.stoichiometry[process.name].items():
                if not is_number(value):
                    found[f"c_{process.name}__{component}"] = str(value)
        return found

    @cached_property
    def run_rows(self) -> dict[str, str]:
        """Name -> expression of everything computed once a run: auxiliaries, then coefficients with their parts."""
        rows = {name: self.expressions[name] for name in self.order if self.level[name] == "run"}
        for name, expression in self.coefficients.items():
            rows[name] = expression
            rows["m" + name[1:]] = f"maximum(0.0, -{name})"
            rows["v" + name[1:]] = f"1.0 / maximum(1e-200, -{name})"
        return rows

    @cached_property
    def step_rows(self) -> tuple[str, ...]:
        """Auxiliaries computed once a step."""
        return tuple(name for name in self.order if self.level[name] == "step")

    @cached_property
    def slow_rows(self) -> tuple[str, ...]:
        """Auxiliaries computed once a step from slow components."""
        return tuple(name for name in self.order if self.level[name] == "slow")

    @cached_property
    def kept(self) -> frozenset[str]:
        """Main processes whose rate follows slow components alone; it is computed once a step."""
        brisk = {c.name for c in self.table.components if c.kind == "brisk"}
        rates = {p.name: p.rate for p in self.main_processes if not names_in(p.rate) & brisk}
        return frozenset(name for name, rate in rates.items() if self.level_of(rate) != "state")

    @cached_property
    def needed(self) -> frozenset[str]:
        """Components that any rate or auxiliary needs; the others are only added to."""
        texts = [p.rate for p in self.main_processes] + [self.expressions[n] for n in self.order]
        texts += [c.relaxation for c in self.table.components if c.relaxation]
        if self.table.implicit:
            texts += [e for _, e in self.table.implicit.preparation]
            texts += [self.table.implicit.residual, self.table.implicit.slope]
        used = {name for text in texts for name in names_in(text)}
        return frozenset(c.name for c in self.table.components if c.name in used)

    @cached_property
    def leaned(self) -> tuple[str, ...]:
        """Slow and brisk components that something needs; they are carried on to the middle of the step."""
        return tuple(c.name for c in self.table.components if self._leans(c) and c.name in self.needed)

    @cached_property
    def predicted(self) -> tuple[str, ...]:
        """Components, neither early nor slow, that something needs; their rates predict them for the middle."""
        found = (c for c in self.table.components if not c.early and c.kind != "slow")
        return tuple(c.name for c in found if c.name in self.needed)

    @staticmethod
    def _leans(component: Component) -> bool:
        return component.kind in ("slow", "brisk") and not component.early

    @cached_property
    def rows(self) -> dict[str, int]:
        """Name -> row number in a block.

        Beside states, parameters and auxiliaries: ``u_`` a state in the middle of the step, ``o_`` a slow state at the
        beginning of the step before, ``k_`` a rate in the middle of the step, ``g_`` and ``z_`` what kept rates make
        and use of a predicted component.
        """
        names = list(self.states)
        if self.table.implicit:
            names.append(self.table.implicit.name)
        names += [*self.table.parameters, *self.run_rows, *self.step_rows, *self.slow_rows]
        names += [f"u_{name}" for name in self.states if name in {*self.early, *self.leaned, *self.predicted}]
        names += [f"o_{name}" for name in self.leaned]
        names += [f"k_{p.name}" for p in self.main_processes]
        names += [f"{mark}_{name}" for mark in "gz" for name in self.predicted]
        return {name: number for number, name in enumerate(names)}
