"""Many members of one system, standing in blocks: their states, parameters and accounts by name."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from types import CodeType

import numpy as np
import numpy.typing as npt

from lentic import LenticError
from lentic.engine.expressions import rendered
from lentic.engine.kernel import Kernel
from lentic.engine.layout import STRIDE, Layout

Array = npt.NDArray[np.float64]


CACHE_LINE = 64
"""A row begins at a multiple of so many bytes: lanes that lie across two cache lines take half as long again. [B]"""


def _zeros(shape: tuple[int, ...]) -> Array:
    numbers = int(np.prod(shape))
    room = np.zeros(numbers * 8 + CACHE_LINE, dtype=np.uint8)
    begin = -room.ctypes.data % CACHE_LINE
    aligned: Array = room[begin : begin + numbers * 8].view(np.float64).reshape(shape)
    return aligned


class Ensemble:
    """States and parameters of all members, one array per name of shape (block, lane).

    Parameters
    ----------
    kernel : Kernel
        The compiled table. [-]
    members : int
        How many members there are; the last block is padded with copies of the first member. [-]
    extra : Sequence[str]
        Further rows that jumps and observers need: their own parameters and accounts. [-]
    """

    def __init__(self, kernel: Kernel, members: int, extra: Sequence[str] = ()) -> None:
        layout = kernel.layout
        clash = set(extra) & set(layout.rows)
        if clash:
            raise LenticError(f"rows defined twice: {', '.join(sorted(clash))}")
        self.kernel, self.members = kernel, members
        self.rows = layout.rows | {name: len(layout.rows) + n for n, name in enumerate(extra)}
        lanes = kernel.lanes or members
        self.blocks = -(-members // lanes)
        self._memory = _zeros((self.blocks, len(self.rows), STRIDE if kernel.lanes else members))
        self.data: Array = self._memory[:, :, :lanes]
        self.longest = np.full(self.blocks, np.inf)
        self._views: dict[str, Array] = {}
        self._run_rows = _compiled_run_rows(layout)

    def __getitem__(self, name: str) -> Array:
        """Return the row of a name for all members, shape (block, lane); writing to it changes the members."""
        view = self._views.get(name)
        if view is None:
            view = self._views[name] = self.data[:, self.rows[name], :]
        return view

    def __setitem__(self, name: str, values: Array | float) -> None:
        """Set the row of a name."""
        row = self[name]
        if values is not row:  # after `rows[name] += ...` it already holds the sum
            row[...] = values

    def __contains__(self, name: str) -> bool:
        """Tell whether there is a row of that name."""
        return name in self.rows

    def spread(self, values: npt.ArrayLike) -> Array:
        """Return one number per member laid out as (block, lane).

        Parameters
        ----------
        values : array_like
            Shape (member,) or a scalar. [as given]

        Returns
        -------
        Array
            Shape (block, lane). [as given]
        """
        lanes = self.data.shape[2]
        flat = np.broadcast_to(np.asarray(values, dtype=np.float64), (self.members,))
        padded = np.concatenate([flat, np.repeat(flat[:1], self.blocks * lanes - self.members)])
        return padded.reshape(self.blocks, lanes)

    def gather(self, rows: Array) -> Array:
        """Return what stands as (block, lane) as one number per member, shape (member,)."""
        return rows.reshape(-1)[: self.members].copy()

    def set_all(self, values: Mapping[str, npt.ArrayLike]) -> None:
        """Set many rows from numbers per member or scalars."""
        for name, value in values.items():
            self[name] = self.spread(value)

    def prepare(self) -> None:
        """Compute everything that depends on parameters alone; call it after any change of parameters."""
        self._run_rows(self)

    def stiffness(self) -> list[Array]:
        """Return the rates of return that may be the fastest, one array for each expression of the table. [1/d]"""
        return self._run_rows.fastest(self)

    @property
    def flat(self) -> Array:
        """The same memory as the kernel wants it."""
        if self.kernel.compiled:
            return self._memory.reshape(self.blocks, -1)
        return self._memory

    def part(self, first: int, last: int) -> Ensemble:
        """Return some of the blocks as an ensemble of their own on the same memory."""
        lanes = self.data.shape[2]
        members = min(self.members, last * lanes) - first * lanes
        other = object.__new__(Ensemble)
        other.kernel, other.members, other.rows = self.kernel, members, self.rows
        other.blocks, other._memory = last - first, self._memory[first:last]
        other.data = other._memory[:, :, :lanes]
        other.longest, other._run_rows, other._views = self.longest[first:last], self._run_rows, {}
        return other


class _RunRows:
    """What depends on parameters alone, compiled once for a layout."""

    def __init__(self, layout: Layout) -> None:
        names = {name: f"rows[{name!r}]" for name in layout.rows}
        self.lines = [(name, _compiled(text, names)) for name, text in layout.run_rows.items()]
        self.stiffness = [_compiled(text, names) for text in layout.table.stiffness]

    def __call__(self, rows: Ensemble) -> None:
        scope = _SCOPE | {"rows": rows}
        for name, code in self.lines:
            rows[name] = eval(code, scope)

    def fastest(self, rows: Ensemble) -> list[Array]:
        scope = _SCOPE | {"rows": rows}
        return [eval(code, scope) for code in self.stiffness]


_SCOPE = {"exp": np.exp, "tanh": np.tanh, "sqrt": np.sqrt, "minimum": np.minimum, "maximum": np.maximum}


def _compiled(expression: str, names: Mapping[str, str]) -> CodeType:
    text = rendered(expression, names)
    return compile(text, f"<{text}>", "eval")


_KNOWN: dict[int, tuple[Layout, _RunRows]] = {}


def _compiled_run_rows(layout: Layout) -> _RunRows:
    found = _KNOWN.get(id(layout))
    if found is None or found[0] is not layout:
        found = (layout, _RunRows(layout))
        _KNOWN[id(layout)] = found
    return found[1]
