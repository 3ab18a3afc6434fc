"""The functions of the table language for compiled lanes; exponentials are polynomials so that lanes run abreast."""

from __future__ import annotations

from collections.abc import Callable
from math import ceil, sqrt
from typing import Any

from llvmlite import ir
from numba import njit, types
from numba.extending import intrinsic

__all__ = ["exp", "inlined", "kernel", "maximum", "minimum", "parts", "sqrt", "tanh"]

# No reassociation: the rounding trick of exp needs the order of its sums, and sums must not depend on the machine.
_FAST = {"nnan", "ninf", "nsz", "arcp", "contract"}


def kernel(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile an outer function once into the user's cache; it lets go of the interpreter while it runs."""
    compiled: Callable[..., Any] = njit(cache=True, nogil=True, error_model="numpy", fastmath=_FAST)(function)
    return compiled


def inlined(function: Callable[..., Any]) -> Callable[..., Any]:
    """Compile a function that is always put in place: a call left over keeps lanes from running abreast."""
    compiled: Callable[..., Any] = njit(nogil=True, error_model="numpy", fastmath=_FAST, forceinline=True)(function)
    return compiled


def _as_integer(typing_context: Any, x: Any) -> Any:
    """Reinterpret a double as an integer."""

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.bitcast(arguments[0], ir.IntType(64))

    return types.int64(types.float64), build


def _as_double(typing_context: Any, x: Any) -> Any:
    """Reinterpret an integer as a double."""

    def build(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        return builder.bitcast(arguments[0], ir.DoubleType())

    return types.float64(types.int64), build


_bits: Any = intrinsic(_as_integer)
_double: Any = intrinsic(_as_double)


@inlined
def minimum(a: float, b: float) -> float:
    """Return the smaller of two."""
    return a if a < b else b


@inlined
def maximum(a: float, b: float) -> float:
    """Return the larger of two."""
    return a if a > b else b


@inlined
def exp(x: float) -> float:
    """Return e to the power x to 1e-14 relative, without a branch; beyond ±700 it stays at its end value."""
    x = minimum(700.0, maximum(-700.0, x))
    t = x * 1.4426950408889634 + 6755399441055744.0  # 1.5 * 2**52 rounds to a whole number in the low bits
    k = t - 6755399441055744.0
    r = x - k * 0.6931471803691238 - k * 1.9082149292705877e-10
    p = 1.0 / 39916800.0
    p = p * r + 1.0 / 3628800.0
    p = p * r + 1.0 / 362880.0
    p = p * r + 1.0 / 40320.0
    p = p * r + 1.0 / 5040.0
    p = p * r + 1.0 / 720.0
    p = p * r + 1.0 / 120.0
    p = p * r + 1.0 / 24.0
    p = p * r + 1.0 / 6.0
    p = p * r + 0.5
    p = p * r + 1.0
    p = p * r + 1.0
    power: float = _double((_bits(t) << 52) + 4607182418800017408)
    return p * power


@inlined
def tanh(x: float) -> float:
    """Return the hyperbolic tangent to 1e-14 absolute."""
    square: float = exp(2.0 * x)
    return 1.0 - 2.0 / (square + 1.0)


@inlined
def parts(dt: float, longest: float) -> int:
    """Return into how many equal parts a step is cut so that none is longer."""
    return max(1, ceil(dt / longest - 1e-6))
