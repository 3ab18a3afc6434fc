"""Lines of arithmetic in the language of a process table: their value, and the curves rates are built of."""

from __future__ import annotations

import ast
import math
import operator
from collections.abc import Callable, Mapping

from lentic.engine.expressions import TableError, parse

_BINARY: dict[type[ast.operator], Callable[[float, float], float]] = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
    ast.Pow: operator.pow,
}
_FUNCTIONS: dict[str, Callable[..., float]] = {
    "exp": math.exp,
    "tanh": math.tanh,
    "sqrt": math.sqrt,
    "minimum": min,
    "maximum": max,
}


def evaluate(expression: str | float, names: Mapping[str, float]) -> float:
    """Value of a line of arithmetic.

    Parameters
    ----------
    expression : str or float
        A line of arithmetic, or a plain number.
    names : Mapping[str, float]
        What each name in it is worth.

    Returns
    -------
    float
        The value, in the unit the expression has.
    """
    if not isinstance(expression, str):
        return float(expression)
    return _value(parse(expression), names)


def _value(node: ast.expr, names: Mapping[str, float]) -> float:
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float):
        return float(node.value)
    if isinstance(node, ast.Name):
        if node.id not in names:
            raise TableError(f"the name {node.id!r} is not defined; give it a value")
        return names[node.id]
    if isinstance(node, ast.BinOp) and type(node.op) in _BINARY:
        return _BINARY[type(node.op)](_value(node.left, names), _value(node.right, names))
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.USub):
        return -_value(node.operand, names)
    if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in _FUNCTIONS:
        return _FUNCTIONS[node.func.id](*(_value(argument, names) for argument in node.args))
    raise TableError(f"{ast.unparse(node)!r} is not part of the table language")


def monod(amount: str, half: str) -> str:
    """Saturating response c/(c + K) (Monod 1949) as an expression.

    Parameters
    ----------
    amount, half : str
        Concentration and half-saturation, same unit.

    Returns
    -------
    str
        The response, 0 to 1. [-]
    """
    return f"{amount}/({amount} + {half})"


def cardinal(temperature: str, low: str, best: str, high: str) -> str:
    """Temperature response with three cardinal points (Rosso et al. 1993) as an expression.

    Parameters
    ----------
    temperature, low, best, high : str
        Temperature and the lowest, best and highest temperature of growth. [°C]

    Returns
    -------
    str
        The response: 1 at the best temperature, 0 at and outside the lowest and highest. [-]

    Notes
    -----
    (T - Tx)(T - Tn)^2 / {(To - Tn)[(To - Tn)(T - To) - (To - Tx)(To + Tn - 2T)]} for Tn < T < Tx, here with T
    held inside the limits, where the numerator is 0. Needs To > (Tn + Tx)/2. The formula is from memory.
    """
    t = f"minimum(maximum({temperature}, {low}), {high})"
    rise = f"({best} - {low})"
    fall = f"({best} - {high})*({best} + {low} - 2.0*{t})"
    return f"({t} - {high})*({t} - {low})**2/({rise}*({rise}*({t} - {best}) - {fall}))"


def light_curve(ratio: str) -> str:
    """Photosynthesis against light, as an expression: a member carries one of three curves by its weights.

    Parameters
    ----------
    ratio : str
        Light over the onset of saturation, I/Ik. [-]

    Returns
    -------
    str
        Share of the light-saturated rate. [-]

    Notes
    -----
    tanh(I/Ik) (Jassby & Platt 1976), I/sqrt(I^2 + Ik^2) (Smith 1936), (I/Io) exp(1 - I/Io) (Steele 1962, with
    inhibition). Io = e Ik gives all three the same first slope and the same maximum, which is what Ik means.
    """
    return (
        f"curve_tanh*tanh({ratio}) + curve_smith*{ratio}/sqrt(1.0 + {ratio}*{ratio})"
        f" + curve_steele*{ratio}*exp(-{1.0 / math.e!r}*{ratio})"
    )
