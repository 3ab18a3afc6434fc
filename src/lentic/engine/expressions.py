"""Read the arithmetic of a process table: names it needs, coefficients solved from composition, source to generate."""

from __future__ import annotations

import ast
from collections.abc import Iterable, Mapping

from lentic import LenticError
from lentic.engine.table import Process, Table

FUNCTIONS = frozenset({"exp", "tanh", "sqrt", "minimum", "maximum"})
_ALLOWED = (
    ast.Expression,
    ast.BinOp,
    ast.UnaryOp,
    ast.Call,
    ast.Name,
    ast.Constant,
    ast.Load,
    ast.Add,
    ast.Sub,
    ast.Mult,
    ast.Div,
    ast.Pow,
    ast.USub,
    ast.UAdd,
)


class TableError(LenticError):
    """A process table that cannot be compiled; the message names the row and the cause."""


def parse(expression: str, where: str = "expression") -> ast.expr:
    """Return the syntax tree of one line of arithmetic.

    Parameters
    ----------
    expression : str
        The line. [-]
    where : str
        What it belongs to, for the message. [-]

    Returns
    -------
    ast.expr
        Its tree. [-]

    Raises
    ------
    TableError
        If it holds anything but arithmetic and the functions of the table language.
    """
    try:
        tree = ast.parse(expression.strip(), mode="eval")
    except SyntaxError as error:
        raise TableError(f"{where}: cannot read {expression!r}: {error.msg}") from error
    for node in ast.walk(tree):
        if not isinstance(node, _ALLOWED):
            raise TableError(f"{where}: {type(node).__name__} is not part of the table language in {expression!r}")
        if isinstance(node, ast.Call) and not (isinstance(node.func, ast.Name) and node.func.id in FUNCTIONS):
            raise TableError(f"{where}: only {', '.join(sorted(FUNCTIONS))} may be called in {expression!r}")
    return tree.body


def names_in(expression: str, where: str = "expression") -> frozenset[str]:
    """Return the names an expression needs, functions left out."""
    return frozenset(node.id for node in ast.walk(parse(expression, where)) if isinstance(node, ast.Name)) - FUNCTIONS


class _Rename(ast.NodeTransformer):
    def __init__(self, names: Mapping[str, str]) -> None:
        self.names = names

    def visit_Name(self, node: ast.Name) -> ast.Name:
        return ast.Name(self.names.get(node.id, node.id), node.ctx)

    def visit_BinOp(self, node: ast.BinOp) -> ast.expr:
        node = ast.BinOp(self.visit(node.left), node.op, self.visit(node.right))
        if isinstance(node.op, ast.Pow):
            power = node.right
            if not (isinstance(power, ast.Constant) and isinstance(power.value, int) and power.value in (2, 3, 4)):
                raise TableError(f"only whole powers 2, 3 and 4 are allowed: {ast.unparse(node)}")
            product = node.left
            for _ in range(power.value - 1):
                product = ast.BinOp(product, ast.Mult(), node.left)
            return product
        return node


def rendered(expression: str, names: Mapping[str, str]) -> str:
    """Return the expression as source with its names replaced and small powers written as products."""
    return ast.unparse(ast.fix_missing_locations(_Rename(names).visit(parse(expression))))


def is_number(coefficient: str | float) -> bool:
    """Tell whether a coefficient is a plain number."""
    return not isinstance(coefficient, str)


def solved_row(process: Process, table: Table) -> dict[str, str | float]:
    """Return all coefficients of a process, the closing ones solved from composition.

    Parameters
    ----------
    process : Process
        The row with its given coefficients. [-]
    table : Table
        The table that holds the compositions. [-]

    Returns
    -------
    dict[str, str | float]
        Component -> coefficient, a number where everything is known, else an expression of parameters. [-]

    Raises
    ------
    TableError
        If a component is unknown, or the closing component does not hold what it shall close.
    """
    composition = {c.name: c.composition for c in table.components}
    row: dict[str, str | float] = dict(process.stoichiometry)
    for name in (*row, *process.solve.values()):
        if name not in composition:
            raise TableError(f"process {process.name}: no component is called {name!r}")
    for quantity, closing in process.solve.items():
        if not composition[closing].get(quantity):
            raise TableError(f"process {process.name}: {closing} holds no {quantity} and cannot close it")
        row[closing] = _close(row, composition, quantity, closing)
    return {name: value for name, value in row.items() if isinstance(value, str) or value != 0.0}


def _close(
    row: Mapping[str, str | float], composition: Mapping[str, Mapping[str, float]], quantity: str, closing: str
) -> str | float:
    number, terms = 0.0, []
    for name, coefficient in row.items():
        content = composition[name].get(quantity, 0.0)
        if not content or name == closing:
            continue
        if isinstance(coefficient, str):
            terms.append(f"({coefficient}) * {content!r}")
        else:
            number += coefficient * content
    held = composition[closing][quantity]
    if not terms:
        return -number / held
    return f"-({' + '.join([repr(number), *terms])}) / {held!r}"


def full_stoichiometry(table: Table) -> dict[str, dict[str, str | float]]:
    """Return the coefficients of every process of a table, solved ones included.

    Parameters
    ----------
    table : Table
        The process table. [-]

    Returns
    -------
    dict[str, dict[str, str | float]]
        Process -> component -> coefficient. [-]
    """
    return {process.name: solved_row(process, table) for process in table.processes}


def in_order(expressions: Mapping[str, str], known: Iterable[str]) -> list[str]:
    """Return names so that each comes after everything its expression needs.

    Parameters
    ----------
    expressions : Mapping[str, str]
        Name -> expression. [-]
    known : Iterable[str]
        Names that are given. [-]

    Returns
    -------
    list[str]
        The names in an order of computation. [-]

    Raises
    ------
    TableError
        If a name is unknown or two expressions need each other.
    """
    known = set(known)
    needs = {name: names_in(text, name) - known for name, text in expressions.items()}
    unknown = sorted({n for needed in needs.values() for n in needed} - set(expressions))
    if unknown:
        users = sorted(name for name, needed in needs.items() if needed & set(unknown))
        raise TableError(f"no one defines {', '.join(unknown)} (used in {', '.join(users)})")
    done: list[str] = []
    while needs:
        ready = [name for name, needed in needs.items() if needed <= set(done)]
        if not ready:
            raise TableError(f"these need each other: {', '.join(sorted(needs))}")
        done += ready
        for name in ready:
            del needs[name]
    return done
