"""Turn a process table into functions that run: compiled once into the user's cache, arrays until that is there."""

from __future__ import annotations

import contextlib
import importlib.util
import os
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np

from lentic import LenticError
from lentic.engine.generate import fingerprint, source
from lentic.engine.layout import LANES, STRIDE, Layout
from lentic.engine.table import Table

Say = Callable[[str], None]


class CompileError(LenticError):
    """The compiled kernel could not be made; the message says why and what runs instead."""


@dataclass(frozen=True)
class Kernel:
    """A table made runnable.

    ``advance(work, blocks, dts, drivers, first, last, longest)`` moves all blocks through steps ``first`` to
    ``last``; ``settle(work, blocks, drivers, step)`` solves the implicit unknown afresh after a jump, and
    ``start(work, blocks, dts, drivers, step, longest)`` then finds how slow amounts move.
    """

    layout: Layout
    compiled: bool
    advance: Callable[..., None]
    settle: Callable[..., None]
    start: Callable[..., None]

    @property
    def lanes(self) -> int | None:
        """Members of a block, or None where all members stand in one array."""
        return LANES if self.compiled else None


def cache_folder() -> Path:
    """Return the folder that holds compiled kernels, made if need be."""
    home = os.environ.get("LENTIC_CACHE")
    if home:
        folder = Path(home)
    else:
        from platformdirs import user_cache_dir

        folder = Path(user_cache_dir("lentic"))
    owner = os.getuid() if hasattr(os, "getuid") else 0
    for candidate in (folder, Path(tempfile.gettempdir()) / f"lentic-cache-{owner}"):
        try:
            candidate.mkdir(mode=0o700, parents=True, exist_ok=True)
            if hasattr(os, "getuid") and candidate.stat().st_uid != owner:
                continue  # compiled code is run as it is found: never from a folder of somebody else
            probe = candidate / f".write-{os.getpid()}"
            probe.touch()
            probe.unlink()
        except OSError:
            continue
        return candidate
    raise CompileError("No folder can be written for the compiled engine: set LENTIC_CACHE to one that can.")


def _stamp(layout: Layout) -> str:
    import llvmlite.binding as llvm
    import numba

    python = f"{sys.version_info.major}{sys.version_info.minor}"
    return f"{fingerprint(layout)}-{llvm.get_host_cpu_name()}-{numba.__version__}-{python}"


def _write(layout: Layout, compiled: bool) -> Path:
    name = f"kernel_{fingerprint(layout)}" + ("" if compiled else "_arrays")
    path = cache_folder() / f"{name}.py"
    text = source(layout, compiled)
    if not path.exists() or path.read_bytes() != text.encode():
        fresh = path.with_suffix(f".{os.getpid()}")
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(path)
    return path


def _module(path: Path) -> ModuleType:
    spec = importlib.util.spec_from_file_location(path.stem, path)
    if spec is None or spec.loader is None:
        raise CompileError(f"{path} cannot be read as a module.")
    module = importlib.util.module_from_spec(spec)
    sys.modules[path.stem] = module
    spec.loader.exec_module(module)
    return module


def is_compiled(table: Table) -> bool:
    """Tell whether the kernel of a table lies compiled in the cache of this machine."""
    layout = Layout(table)
    ready = (cache_folder() / f"{_stamp(layout)}.ready").exists()
    return ready and any(path.suffix == ".nbc" for path in _compiled_files(layout))


def _compiled_files(layout: Layout) -> list[Path]:
    return list((cache_folder() / "__pycache__").glob(f"kernel_{fingerprint(layout)}.*"))


def compiled_kernel(table: Table) -> Kernel:
    """Return the compiled kernel, compiling it here and now if it is not in the cache.

    Raises
    ------
    CompileError
        If it cannot be compiled even with an empty cache.
    """
    layout = Layout(table)
    try:
        return _compiled(layout)
    except Exception:  # a broken cache file may raise anything: start once more from an empty cache
        for path in _compiled_files(layout):
            with contextlib.suppress(OSError):
                path.unlink()
    try:
        return _compiled(layout)
    except Exception as error:
        raise CompileError(f"The engine cannot be compiled here ({error}); arrays can do its work.") from error


def _compiled(layout: Layout) -> Kernel:
    table = layout.table
    module = _module(_write(layout, compiled=True))
    kernel = Kernel(layout, True, module.advance, module.settle, module.start)
    work = np.ones((1, len(layout.rows) * STRIDE))
    drivers = np.ones((1, len(table.drivers)))
    longest = np.full(1, np.inf)
    kernel.settle(work, 1, drivers, 0)
    kernel.start(work, 1, np.full(1, 1e-9), drivers, 0, longest)
    kernel.advance(work, 1, np.full(1, 1e-9), drivers, 0, 1, longest)
    (cache_folder() / f"{_stamp(layout)}.ready").touch()
    return kernel


def array_kernel(table: Table) -> Kernel:
    """Return the same scheme on arrays of members: nothing to compile, about twenty to two hundred times slower."""
    layout = Layout(table)
    scope: dict[str, Any] = {}
    exec(compile(source(layout, compiled=False), f"<kernel {table.name}>", "exec"), scope)
    return Kernel(layout, False, scope["advance"], scope["settle"], scope["start"])


def load_kernel(table: Table, say: Say | None = None) -> Kernel:
    """Return the compiled kernel, arrays where it cannot be compiled, and tell the keeper when either takes a while."""
    tell = say or (lambda _: None)
    if is_compiled(table):
        return compiled_kernel(table)
    tell("Preparing the engine for this machine: once, about a minute. The next start is immediate.")
    began = time.perf_counter()
    try:
        kernel = compiled_kernel(table)
    except CompileError as error:
        tell(f"{error} It goes on with them: an answer takes many minutes instead of seconds.")
        return array_kernel(table)
    tell(f"The engine is ready after {time.perf_counter() - began:.0f} s.")
    return kernel
