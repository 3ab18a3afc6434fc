"""The plain steps of a relation: each line of its own code with names, then with numbers, then its value.

The steps are read from the code that computes, so they cannot say anything else than what is computed.
"""

from __future__ import annotations

import ast
import inspect
import textwrap
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import FunctionType, ModuleType
from typing import Any

import numpy as np

DEPTH = 2
"""So many relations inside a relation are opened; deeper ones only give their value."""
UNSAID = "…"
"""Stands for what is no single number."""
_SILENT = frozenset({"as_array", "asarray", "float", "array"})
_NAMED = {
    "exp": "exp", "log": "ln", "log10": "log10", "sqrt": "sqrt", "cbrt": "cube root of ", "minimum": "min",
    "maximum": "max", "sin": "sin", "cos": "cos", "tan": "tan", "arcsin": "arcsin", "arccos": "arccos",
    "arctan": "arctan", "tanh": "tanh", "abs": "abs", "ceil": "round up ", "radians": "radians",
}  # fmt: skip
_SIGN: dict[type[ast.operator], str] = {
    ast.Add: " + ", ast.Sub: " - ", ast.Mult: " · ", ast.Div: " / ", ast.Pow: "^", ast.FloorDiv: " // ",
    ast.Mod: " mod ", ast.BitAnd: " and ", ast.BitOr: " or ",
}  # fmt: skip
_RANK = {
    ast.Add: 1,
    ast.Sub: 1,
    ast.Mult: 2,
    ast.Div: 2,
    ast.FloorDiv: 2,
    ast.Mod: 2,
    ast.Pow: 4,
    ast.BitAnd: 0,
    ast.BitOr: 0,
}
_COMPARED = {ast.Lt: "<", ast.Gt: ">", ast.LtE: "≤", ast.GtE: "≥", ast.Eq: "=", ast.NotEq: "≠"}


@dataclass(frozen=True, kw_only=True)
class Step:
    """One line: what is worked out, with names, with numbers, and what comes out."""

    name: str
    formula: str
    filled: str
    value: str


def shown(value: Any) -> str:
    """Write a number with six digits; a text or truth as it is."""
    if isinstance(value, str | bool):
        return str(value)
    if getattr(value, "dtype", None) == np.bool_:
        return "yes" if np.all(value) else "no"
    try:
        number = float(np.asarray(value, dtype=np.float64).reshape(()))
    except (TypeError, ValueError):
        return UNSAID
    return f"{number:.6g}"


def steps_of(function: Callable[..., Any], inputs: Mapping[str, Any], depth: int = DEPTH) -> tuple[Step, ...]:
    """Return the steps of a relation for given inputs; one whose code has loops or branches gives only its value."""
    if not isinstance(function, FunctionType):
        return ()
    tree = ast.parse(textwrap.dedent(inspect.getsource(function))).body[0]
    assert isinstance(tree, ast.FunctionDef)
    work = _Work(function, inputs, depth)
    for statement in tree.body:
        if isinstance(statement, ast.Expr):
            continue
        if not work.take(statement):
            return ()
    return tuple(step for step in work.steps if UNSAID not in step.value)


class _Work:
    """One function being followed; private because it changes from statement to statement."""

    def __init__(self, function: FunctionType, inputs: Mapping[str, Any], depth: int) -> None:
        self.scope: dict[str, Any] = {**function.__globals__}
        self.local: dict[str, Any] = dict(inputs)
        self.name, self.depth = function.__name__.lstrip("_"), depth
        self.steps: list[Step] = []
        self.known = set(inputs)
        self.names = {name: name for name in inputs}
        """What a name of the code is called in the steps: one that only stands for another is called like it."""

    def take(self, statement: ast.stmt) -> bool:
        """Follow one statement; return whether it could be followed."""
        if isinstance(statement, ast.Return) and statement.value is not None:
            self._add(self.name, statement.value)
            return True
        if isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name) and statement.value:
            self._add(statement.target.id, statement.value)
            return True
        if isinstance(statement, ast.Assign) and len(statement.targets) == 1:
            return self._assign(statement.targets[0], statement.value)
        if isinstance(statement, ast.With):
            return all([self.take(each) for each in statement.body])
        return False

    def _assign(self, target: ast.expr, value: ast.expr) -> bool:
        if isinstance(target, ast.Name):
            self._add(target.id, value)
            return True
        if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple) and len(target.elts) == len(value.elts):
            return all([self._assign(one, other) for one, other in zip(target.elts, value.elts, strict=True)])
        if isinstance(target, ast.Tuple) and all(isinstance(each, ast.Name) for each in target.elts):
            for each, part in zip(target.elts, self.value_of(value), strict=True):
                assert isinstance(each, ast.Name)
                self.local[each.id] = part
                self.names[each.id] = each.id
            return True
        return False

    def value_of(self, node: ast.expr) -> Any:
        """Evaluate a part of the code with the numbers of this sum."""
        code = compile(ast.Expression(body=node), "<step>", "eval")
        with np.errstate(all="ignore"):
            return eval(code, self.scope, self.local)

    def _add(self, name: str, node: ast.expr) -> None:
        value = self.value_of(node)
        plain = _Writer(self, False).write(node)
        last = bool(self.steps) and self.steps[-1].name == plain
        self.local[name] = value
        if last or (plain in self.known and name != self.name):
            self.names[name] = plain
            return
        self.names[name] = self.name if name == "result" else name
        self.known.add(self.names[name])
        for call in self._relations_in(node):
            self._open(call)
        filled = _Writer(self, True).write(node)
        values = value if isinstance(value, tuple) else (value,)
        self.steps.append(
            Step(name=self.names[name], formula=plain, filled=filled, value=", ".join(shown(each) for each in values))
        )

    def _relations_in(self, node: ast.expr) -> list[ast.Call]:
        """Return calls of relations inside, innermost first."""
        found = [each for each in ast.walk(node) if isinstance(each, ast.Call) and self.relation(each) is not None]
        return found[::-1]

    def relation(self, call: ast.Call) -> FunctionType | None:
        """Return the relation that is called, if it is one of ours and worth opening."""
        found = self.value_of(call.func) if isinstance(call.func, ast.Name | ast.Attribute) else None
        ours = isinstance(found, FunctionType) and (found.__module__ or "").startswith("lentic.science")
        return found if ours and isinstance(found, FunctionType) and found.__name__ not in _SILENT else None

    def _open(self, call: ast.Call) -> None:
        function = self.relation(call)
        assert function is not None
        if self.depth <= 0:
            return
        bound = inspect.signature(function).bind(
            *(self.value_of(each) for each in call.args),
            **{each.arg: self.value_of(each.value) for each in call.keywords if each.arg},
        )
        bound.apply_defaults()
        self.steps += [step for step in steps_of(function, bound.arguments, self.depth - 1) if step not in self.steps]


class _Writer:
    """Writes an expression as a person would, with names or with numbers."""

    def __init__(self, work: _Work, numbers: bool) -> None:
        self.work, self.numbers = work, numbers

    def write(self, node: ast.expr, rank: int = 0) -> str:
        """Write a part; `rank` says how tightly its surroundings bind."""
        match node:
            case ast.BinOp():
                return self._binary(node, rank)
            case ast.UnaryOp(op=ast.USub()):
                text = f"-{self.write(node.operand, 3)}"
                return f"({text})" if rank else text
            case ast.UnaryOp(op=ast.Invert()):
                return f"not {self.write(node.operand, 3)}"
            case ast.Call():
                return self._call(node, rank)
            case ast.Constant():
                return shown(node.value)
            case ast.Name() | ast.Attribute() | ast.Subscript():
                return self._leaf(node, rank)
            case ast.Tuple():
                return ", ".join(self.write(each) for each in node.elts)
            case ast.Compare(left=left, ops=[op], comparators=[right]):
                return f"{self.write(left)} {_COMPARED.get(type(op), '?')} {self.write(right)}"
        return shown(self.work.value_of(node)) if self.numbers else ast.unparse(node)

    def _leaf(self, node: ast.expr, rank: int) -> str:
        value = self.work.value_of(node)
        if not self.numbers and not isinstance(value, ModuleType):
            text = node.attr if isinstance(node, ast.Attribute) else ast.unparse(node)
            text = self.work.names.get(text, text)
            return text.lower() if text.isupper() else text
        text = shown(value)
        return f"({text})" if text.startswith("-") and rank else text

    def _binary(self, node: ast.BinOp, rank: int) -> str:
        own = _RANK.get(type(node.op), 0)
        tight = type(node.op) in (ast.Sub, ast.Div)
        left = self.write(node.left, own + (1 if isinstance(node.op, ast.Pow) else 0))
        right = self.write(node.right, own + (1 if tight else 0))
        text = f"{left}{_SIGN.get(type(node.op), ' ? ')}{right}"
        return f"({text})" if own < rank else text

    def _call(self, node: ast.Call, rank: int) -> str:
        name = node.func.attr if isinstance(node.func, ast.Attribute) else ast.unparse(node.func)
        if name in _SILENT and node.args:
            return self.write(node.args[0], rank)
        if name == "power":
            text = f"{self.write(node.args[0], 5)}^{self.write(node.args[1], 5)}"
            return f"({text})" if rank > 4 else text
        if name == "log1p":
            return f"ln(1 + {self.write(node.args[0], 1)})"
        if name == "expm1":
            text = f"exp({self.write(node.args[0])}) - 1"
            return f"({text})" if rank > 1 else text
        if name == "where":
            return self._chosen(node, rank)
        if self.numbers and self.work.relation(node) is not None:
            return self._leaf_value(node, rank)
        inside = ", ".join(self.write(each) for each in node.args)
        return f"{_NAMED.get(name, name.lstrip('_'))}({inside})"

    def _leaf_value(self, node: ast.Call, rank: int) -> str:
        text = shown(self.work.value_of(node))
        return f"({text})" if text.startswith("-") and rank else text

    def _chosen(self, node: ast.Call, rank: int) -> str:
        """Write a choice; with numbers only the side that is taken."""
        condition, yes, no = node.args
        if self.numbers:
            taken = bool(np.all(self.work.value_of(condition)))
            return self.write(yes if taken else no, rank)
        return f"[{self.write(yes)} if {self.write(condition)}, else {self.write(no)}]"
