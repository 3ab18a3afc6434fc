"""The process table: components with composition, processes with stoichiometry, and what closes each row.

A table is data. Every expression is a line of ordinary arithmetic over names: components, parameters, drivers and
auxiliaries. Allowed are ``+ - * /``, powers with a small whole exponent, comparisons are not; functions are ``exp``,
``tanh``, ``sqrt``, ``minimum`` and ``maximum``. From one table come the compiled kernel, the array fallback, a plain
rate function for reference integrators, the closure test and the documentation.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

Kind = Literal["fast", "brisk", "slow", "signed"]


@dataclass(frozen=True, kw_only=True)
class Component:
    """One row of the state: an amount in the tank, with what it is made of.

    Parameters
    ----------
    name, unit, meaning : str
        Its name in expressions, its unit, and what it stands for in a few words.
    composition : Mapping[str, float]
        Amount of each conserved quantity (such as ``"COD"``, ``"C"``, ``"N"``, ``"P"``, ``"charge"``) per unit.
    kind : {"fast", "brisk", "slow", "signed"}
        How the middle of a step is predicted: fast amounts relax exponentially, slow ones go on as in the step before,
        brisk ones do the first for their own processes and the second for auxiliaries; signed ones may be negative.
    relaxation : str, optional
        Rate of return after a disturbance when it does not show as consumption (gas exchange); expression. [1/d]
    early : bool
        True for rows that nothing else feeds (temperature, volume): advanced first, the rest sees their midpoint.
    """

    name: str
    unit: str
    meaning: str
    composition: Mapping[str, float] = field(default_factory=dict)
    kind: Kind = "slow"
    relaxation: str | None = None
    early: bool = False


@dataclass(frozen=True, kw_only=True)
class Process:
    """One row of the matrix: what it makes and uses per unit of progress, how fast, and who says so.

    Parameters
    ----------
    name : str
        Name of the process.
    stoichiometry : Mapping[str, float | str]
        Given coefficients; a string is an expression of parameters alone.
    solve : Mapping[str, str]
        Conserved quantity -> component whose coefficient is solved so that the quantity closes, in this order.
    rate : str
        Expression of the rate. [unit/d]
    source : str
        Where the rate law comes from.
    """

    name: str
    stoichiometry: Mapping[str, float | str]
    solve: Mapping[str, str] = field(default_factory=dict)
    rate: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Auxiliary:
    """A named intermediate value; it is computed once per run, step or state, as its expression needs."""

    name: str
    expression: str
    unit: str
    meaning: str


@dataclass(frozen=True, kw_only=True)
class Implicit:
    """A positive unknown found by Newton sweeps in its logarithm (the hydrogen ion from the alkalinity balance).

    ``preparation`` lists local values, in order, as (name, expression); ``residual`` falls as the unknown grows and
    ``slope`` is minus its derivative with respect to the logarithm of the unknown (always positive).
    """

    name: str
    unit: str
    meaning: str
    start: float
    preparation: tuple[tuple[str, str], ...]
    residual: str
    slope: str


@dataclass(frozen=True, kw_only=True)
class Table:
    """Everything an integrator needs to know of a system.

    Names are unique over components, processes, auxiliaries, parameters, drivers and the implicit unknown; a name
    that no one defines is refused when the table is compiled.
    """

    name: str
    components: tuple[Component, ...]
    processes: tuple[Process, ...]
    auxiliaries: tuple[Auxiliary, ...] = ()
    parameters: tuple[str, ...] = ()
    drivers: tuple[str, ...] = ()
    implicit: Implicit | None = None
    conserved: tuple[str, ...] = ()
    stiffness: tuple[str, ...] = ()
    """Expressions of parameters alone whose largest value bounds the fastest rate of return. [1/d]"""
