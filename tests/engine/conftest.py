"""The benchmark's tank for the engine's tests: the whole process table with a keeper's routine."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from typing import Any

import pytest

from lentic.engine.kernel import Kernel, load_kernel


@pytest.fixture(scope="session")
def world() -> Any:
    """The module that describes the benchmark's tank."""
    path = Path(__file__).parents[2] / "benchmarks" / "world.py"
    spec = importlib.util.spec_from_file_location("benchmark_world", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["benchmark_world"] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def kernel(world: Any) -> Kernel:
    """The compiled kernel of its table."""
    return load_kernel(world.problem(1).table)
