"""Tables small enough to follow by hand: what is refused and why, the mesh, and a decay with a known solution."""

from __future__ import annotations

import dataclasses
import math
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from lentic.engine.ensemble import CACHE_LINE, Ensemble
from lentic.engine.expressions import TableError, names_in, parse, rendered
from lentic.engine.kernel import Kernel, array_kernel, cache_folder, compiled_kernel, is_compiled, load_kernel
from lentic.engine.layout import Layout
from lentic.engine.run import RAMP_D, STEP_D, Outcome, Timeline, mesh, run
from lentic.engine.table import Auxiliary, Component, Process, Table


def chain(rate: str = "k*a", solve: str = "N", auxiliaries: tuple[Auxiliary, ...] = ()) -> Table:
    """Return a table in which `a` turns into `b`."""
    return Table(
        name="chain",
        components=(
            Component(name="a", unit="g", meaning="what decays", composition={"N": 1.0}),
            Component(name="b", unit="g", meaning="what it becomes", composition={"N": 2.0}),
        ),
        processes=(Process(name="decay", stoichiometry={"a": -1.0}, solve={solve: "b"}, rate=rate, source="textbook"),),
        auxiliaries=auxiliaries,
        parameters=("k",),
        drivers=("lamp",),
        conserved=("N",),
    )


def aux(name: str, expression: str) -> Auxiliary:
    """Return an auxiliary without words."""
    return Auxiliary(name=name, expression=expression, unit="-", meaning="")


def test_unknown_name_is_refused_by_name() -> None:
    """The sentence names what is missing and who uses it."""
    with pytest.raises(TableError, match=r"no one defines speed \(used in pace\)"):
        Layout(chain(auxiliaries=(aux("pace", "2.0*speed"),)))


def test_circular_auxiliaries_are_refused() -> None:
    """Both are named."""
    with pytest.raises(TableError, match="these need each other: one, two"):
        Layout(chain(auxiliaries=(aux("one", "two + 1.0"), aux("two", "one + 1.0"))))


def test_what_cannot_close_is_refused() -> None:
    """The closing component must hold the quantity."""
    with pytest.raises(TableError, match="process decay: b holds no C and cannot close it"):
        _ = Layout(chain(solve="C")).stoichiometry


def test_a_name_given_twice_is_refused() -> None:
    """An auxiliary called like a component."""
    with pytest.raises(TableError, match="defined twice: a"):
        Layout(chain(auxiliaries=(aux("a", "1.0"),)))


def test_extra_rows_must_be_new() -> None:
    """A jump's own row may not stand on one of the table."""
    with pytest.raises(Exception, match="rows defined twice: k"):
        Ensemble(array_kernel(chain()), 2, ["k"])


@pytest.mark.parametrize(
    "text",
    ["__import__('os')", "a.real", "a[0]", "a if b else c", "lambda: 1", "a < b", "print(a)", "a := 1", "a and b"],
)
def test_only_arithmetic_is_read(text: str) -> None:
    """Everything else is refused before it can be run."""
    with pytest.raises(TableError):
        parse(text)


def test_powers_become_products() -> None:
    """Small whole powers alone; others are refused."""
    assert rendered("x**3", {"x": "y"}) == "y * y * y"
    assert names_in("exp(x)*k") == {"x", "k"}
    for text in ("x**0.5", "x**5", "x**k"):
        with pytest.raises(TableError, match="only whole powers"):
            rendered(text, {})


def test_solved_coefficient_closes() -> None:
    """One gram of `a` makes half a gram of `b`, which holds twice as much."""
    assert Layout(chain()).stoichiometry == {"decay": {"a": -1.0, "b": 0.5}}


def decayed(step: float, lines: int = 1) -> tuple[float, float]:
    """Return `a` and `b` after one day of decay at 2 per day from 1 g."""
    e = Ensemble(array_kernel(chain()), lines)
    e.set_all({"a": 1.0, "k": 2.0})
    count = round(1.0 / step)
    line = Timeline(dts=np.full(count, step), starts=np.linspace(0.0, 1.0 - step, count), drivers=np.zeros((count, 1)))
    assert run(e, line, ("a",)).outcome is Outcome.FINISHED
    return float(e["a"][0, 0]), float(e["b"][0, 0])


def test_decay_against_the_exponential() -> None:
    """Second order against exp(-k t), and nothing lost."""
    errors = [abs(decayed(step)[0] - math.exp(-2.0)) for step in (0.1, 0.05, 0.025)]
    assert errors[0] / errors[1] == pytest.approx(4.0, rel=0.25)
    assert errors[1] / errors[2] == pytest.approx(4.0, rel=0.15)
    a, b = decayed(0.1)
    assert a + 2.0 * b == pytest.approx(1.0, abs=1e-14)


def test_second_order_across_a_jump() -> None:
    """What is there doubles at noon; the step after the jump is as good as the others (theory: a quarter for half)."""

    def double(rows: Ensemble) -> None:
        rows["a"] *= 2.0

    found = []
    for count in (10, 20, 40):
        e = Ensemble(array_kernel(chain()), 1)
        e.set_all({"a": 1.0, "k": 2.0})
        step = 1.0 / count
        jumps = {count // 2: (double,)}
        line = Timeline(dts=np.full(count, step), starts=np.zeros(count), drivers=np.zeros((count, 1)), jumps=jumps)
        run(e, line, ())
        found.append(abs(float(e["a"][0, 0]) - 2.0 * math.exp(-2.0)))
    assert found[0] / found[1] == pytest.approx(4.0, rel=0.25)
    assert found[1] / found[2] == pytest.approx(4.0, rel=0.15)


def test_a_brisk_amount_decays_as_well_as_a_quick_one() -> None:
    """Steps of half a life span: within 1 % of the exponential, where a slow amount is off by several."""
    found = {}
    for kind in ("slow", "brisk", "fast"):
        table = chain()
        first = dataclasses.replace(table.components[0], kind=kind)
        table = dataclasses.replace(table, components=(first, table.components[1]))
        e = Ensemble(array_kernel(table), 1)
        e.set_all({"a": 1.0, "k": 5.0})
        run(e, Timeline(dts=np.full(10, 0.1), starts=np.zeros(10), drivers=np.zeros((10, 1))), ())
        found[kind] = abs(float(e["a"][0, 0]) / math.exp(-5.0) - 1.0)
    assert found["brisk"] == found["fast"] < 0.01 < found["slow"]


def test_steps_are_cut_only_where_they_are_too_long() -> None:
    """A member that stands steps of half a day at most: a step of one is cut in two, shorter ones are left whole."""
    whole, cut = (Ensemble(array_kernel(chain()), 1) for _ in range(2))
    for e in (whole, cut):
        e.set_all({"a": 1.0, "k": 1.0})
    cut.longest[:] = 0.5
    for e, dts in ((cut, [0.25, 1.0]), (whole, [0.25, 0.5, 0.5])):
        steps = np.array(dts)
        e.kernel.start(e.flat, e.blocks, steps, np.zeros((3, 1)), 0, e.longest)
        e.kernel.advance(e.flat, e.blocks, steps, np.zeros((3, 1)), 0, len(dts), e.longest)
    assert float(cut["a"][0, 0]) == float(whole["a"][0, 0])


def test_rows_begin_at_cache_lines() -> None:
    """Whatever the allocator gives: rows lie so that no group of lanes crosses a cache line."""
    for members in (1, 3, 64, 65, 200):
        e = Ensemble(array_kernel(chain()), members)
        assert e.data.ctypes.data % CACHE_LINE == 0


def test_the_fingerprint_is_the_same_in_every_process() -> None:
    """Sets change their order from process to process; the source must not, or the kernel is compiled again."""
    code = (
        "from lentic.engine.generate import fingerprint; from lentic.engine.layout import Layout; "
        "from lentic.model.processes import build_table; print(fingerprint(Layout(build_table(2))))"
    )
    names = {
        subprocess.run(
            [sys.executable, "-c", code], check=True, capture_output=True, env=os.environ | {"PYTHONHASHSEED": seed}
        ).stdout
        for seed in ("1", "2", "3")
    }
    assert len(names) == 1


def test_no_step_takes_more_than_there_is() -> None:
    """Even a step of five life spans leaves a positive amount and loses nothing."""
    e = Ensemble(array_kernel(chain()), 1)
    e.set_all({"a": 1.0, "k": 50.0})
    run(e, Timeline(dts=np.full(3, 0.1), starts=np.zeros(3), drivers=np.zeros((3, 1))), ())
    assert float(e["a"][0, 0]) > 0.0
    assert float(e["a"][0, 0] + 2.0 * e["b"][0, 0]) == pytest.approx(1.0, abs=1e-14)


def test_records_come_before_the_jumps_of_their_moment() -> None:
    """A weighing at the moment of a planting sees what was there before."""
    e = Ensemble(array_kernel(chain()), 3)
    e.set_all({"a": [1.0, 2.0, 3.0], "k": 0.0})

    def double(rows: Ensemble) -> None:
        rows["a"] *= 2.0

    line = Timeline(
        dts=np.full(2, 0.5), starts=np.array([0.0, 0.5]), drivers=np.zeros((2, 1)),
        jumps={1: (double,), 2: (double,)}, records={1: (0,), 2: (1,)},
    )  # fmt: skip
    records = run(e, line, ("a",))
    np.testing.assert_array_equal(records["a"], [[1.0, 2.0, 3.0], [2.0, 4.0, 6.0]])
    np.testing.assert_array_equal(e.gather(e["a"]), [4.0, 8.0, 12.0])


def test_mesh_meets_every_break_and_never_crosses_one() -> None:
    """Random breaks: each is a boundary, none is longer than the longest, and short ones follow anything sudden."""
    rng = np.random.default_rng(8)
    for _ in range(50):
        breaks = np.unique(np.round(np.sort(rng.uniform(0.0, 3.0, 20)) * 144) / 144)
        sudden = [float(b) for b in breaks[::3]]
        edges = mesh([float(b) for b in breaks], sudden)
        assert np.isin(np.round(breaks * 1440), np.round(edges * 1440)).all()
        steps = np.diff(edges)
        assert (steps > 0.0).all()
        assert steps.max() <= STEP_D + 1e-9
        for moment in sudden[:-1]:
            after = int(np.argmin(abs(edges - moment)))
            assert steps[after] <= RAMP_D[0] + 1e-9


def test_a_broken_cache_is_made_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Corrupt compiled files lead to a new compilation, missing ones are noticed."""
    monkeypatch.setenv("LENTIC_CACHE", str(tmp_path))
    table = chain()
    assert not is_compiled(table)
    compiled_kernel(table)
    assert is_compiled(table)
    files = [p for p in (tmp_path / "__pycache__").iterdir() if p.suffix in (".nbi", ".nbc")]
    assert files
    for path in files:
        path.write_bytes(path.read_bytes()[:40] + b"rubbish")
    kernel = compiled_kernel(table)
    e = Ensemble(kernel, 2)
    e.set_all({"a": 1.0, "k": 2.0})
    run(e, Timeline(dts=np.full(10, 0.1), starts=np.zeros(10), drivers=np.zeros((10, 1))), ())
    assert float(e["a"][0, 0]) == pytest.approx(decayed(0.1)[0], rel=1e-12)
    for path in (tmp_path / "__pycache__").iterdir():
        path.unlink()
    assert not is_compiled(table)


def test_where_nothing_compiles_arrays_do_the_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The keeper is told why and what it costs; the answer is the same."""

    def broken(layout: Layout) -> Kernel:
        raise OSError("no room left")

    monkeypatch.setenv("LENTIC_CACHE", str(tmp_path))
    monkeypatch.setattr("lentic.engine.kernel._compiled", broken)
    said: list[str] = []
    kernel = load_kernel(chain(), said.append)
    assert not kernel.compiled
    assert "no room left" in said[-1] and "many minutes" in said[-1]
    e = Ensemble(kernel, 2)
    e.set_all({"a": 1.0, "k": 2.0})
    run(e, Timeline(dts=np.full(10, 0.1), starts=np.zeros(10), drivers=np.zeros((10, 1))), ())
    assert float(e["a"][0, 0]) == decayed(0.1)[0]


def test_a_folder_that_cannot_be_written_is_passed_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A file stands where the folder should be: the kernel goes to a temporary folder of this user."""
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("LENTIC_CACHE", str(blocked / "cache"))
    assert cache_folder().name.startswith("lentic-cache")


def test_two_processes_may_compile_at_once(tmp_path: Path) -> None:
    """Both finish, and what they leave behind runs."""
    code = (
        "from lentic.engine.kernel import compiled_kernel; from lentic.engine.table import *\n"
        "c = tuple(Component(name=n, unit='g', meaning=n, composition={'N': 1.0}) for n in 'ab')\n"
        "p = Process(name='decay', stoichiometry={'a': -1.0}, solve={'N': 'b'}, rate='a', source='textbook')\n"
        "compiled_kernel(Table(name='pair', components=c, processes=(p,), drivers=('lamp',)))"
    )
    environment = {"LENTIC_CACHE": str(tmp_path), "PATH": "", "HOME": str(tmp_path)}
    for _ in range(2):
        both = [subprocess.Popen([sys.executable, "-W", "error", "-c", code], env=environment) for _ in range(2)]
        assert [process.wait(120) for process in both] == [0, 0]
    assert len(list(tmp_path.glob("*.ready"))) == 1
