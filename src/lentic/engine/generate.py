"""Write the kernel of a process table as readable source, for compiled lanes or for whole arrays."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

from lentic.engine.layout import LANES, STRIDE, Layout
from lentic.engine.loops import STEP, Cell, present_loop, settle_loop, start_loop

SWEEPS_JUMP = 16


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
        Python source with the functions ``advance``, ``settle`` and ``start``. [-]
    """
    cell = _lane_cell if compiled else _array_cell
    out = [_HEAD.format(name=layout.table.name, flavour="lanes" if compiled else "arrays")]
    out += ["@kernel"] * compiled + _advance(layout, cell, compiled)
    out += ["", ""] + ["@kernel"] * compiled + _settle(layout, cell, compiled)
    out += ["", ""] + ["@kernel"] * compiled + _start(layout, cell, compiled)
    return "\n".join(out) + "\n"


def _advance(layout: Layout, cell: Cell, compiled: bool) -> list[str]:
    out = [
        "def advance(work, blocks, dts, drivers, first, last, longest):",
        "    for b in range(blocks):",
        "        w = work[b]",
        "        before = dts[max(first, 1) - 1]",
        "        before /= parts(before, longest[b])",
        "        for s in range(first, last):",
        "            count = parts(dts[s], longest[b])",
        "            dt = dts[s] / count",
        *_values(layout, 12),
        "            for _ in range(count):",
        "                lean = 0.5 * dt / before",
        "                before = dt",
    ]
    for mark, write in zip("abcdefgh", STEP, strict=True):
        out += _loop(write(layout, cell), compiled, 16, mark)
    return out


def _settle(layout: Layout, cell: Cell, compiled: bool) -> list[str]:
    return [
        "def settle(work, blocks, drivers, s):",
        *_values(layout, 4),
        "    for b in range(blocks):",
        "        w = work[b]",
        *_loop(present_loop(layout, cell), compiled, 8, "a"),
        f"        for _ in range({SWEEPS_JUMP}):",
        *_loop(settle_loop(layout, cell), compiled, 12, "b"),
    ]


def _start(layout: Layout, cell: Cell, compiled: bool) -> list[str]:
    return [
        "def start(work, blocks, dts, drivers, s, longest):",
        *_values(layout, 4),
        "    for b in range(blocks):",
        "        w = work[b]",
        "        dt = dts[max(s, 1) - 1]",
        "        dt /= parts(dt, longest[b])",
        *_loop(start_loop(layout, cell), compiled, 8, "a"),
    ]


def _values(layout: Layout, indent: int) -> list[str]:
    return [f"{' ' * indent}d_{name} = drivers[s, {n}]" for n, name in enumerate(layout.table.drivers)]


def _loop(lines: list[str], compiled: bool, indent: int, mark: str) -> list[str]:
    head = f"for i in range({LANES}):" if compiled else "if True:"
    body = [f"{' ' * (indent + 4)}{_marked(line, mark)}" for line in lines or ["pass"]]
    return [f"{' ' * indent}{head}", *body]


def fingerprint(layout: Layout) -> str:
    """Return a short name that changes whenever the generated source or the functions it calls do."""
    functions = Path(__file__).with_name("lanes.py").read_bytes()
    return hashlib.sha256(source(layout, compiled=True).encode() + functions).hexdigest()[:16]
