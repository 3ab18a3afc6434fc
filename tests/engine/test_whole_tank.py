"""The engine on the whole process table: balance, order, outside solver, same bits, stiff members."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from typing import Any

import numpy as np
import numpy.typing as npt
import pytest
from scipy.integrate import solve_ivp

from lentic.engine.ensemble import Ensemble
from lentic.engine.kernel import Kernel, array_kernel
from lentic.engine.reference import packed, rate_function
from lentic.engine.run import Outcome, Records, Timeline, guard, run

Array = npt.NDArray[np.float64]
QUANTITIES = ("COD", "C", "N", "P", "charge")


def totals(e: Ensemble, gross: bool = False) -> Array:
    """What all members hold of every conserved quantity, shape (quantity, block, lane)."""
    out = np.zeros((len(QUANTITIES), *e["volume"].shape))
    for component in e.kernel.layout.table.components:
        for row, quantity in enumerate(QUANTITIES):
            content = component.composition.get(quantity, 0.0)
            out[row] += abs(content * e[component.name]) if gross else content * e[component.name]
    return out


def audited(line: Timeline, added: list[Array]) -> Timeline:
    """The same life, with what every jump adds or takes noted."""

    def noting(jump: Callable[[Ensemble], None]) -> Callable[[Ensemble], None]:
        def operate(e: Ensemble) -> None:
            before = totals(e)
            jump(e)
            added.append(totals(e) - before)

        return operate

    jumps = {step: tuple(noting(jump) for jump in all_) for step, all_ in line.jumps.items()}
    return Timeline(dts=line.dts, starts=line.starts, drivers=line.drivers, jumps=jumps, records=line.records)


def errors(a: Records, b: Records, names: list[str]) -> Array:
    """Largest error over the run of each member and row, relative to the value or 5 % of the member's mean."""
    found = []
    for name in names:
        scale = np.maximum(np.abs(b[name]), 0.05 * np.abs(b[name]).mean(axis=0)) + 1e-12
        found.append((np.abs(a[name] - b[name]) / scale).max(axis=0))
    return np.array(found)


def ph_errors(a: Records, b: Records) -> Array:
    """Largest pH error over the run of each member."""
    found: Array = np.abs(np.log10(a["hydrogen"] / b["hydrogen"])).max(axis=0)
    return found


@pytest.mark.parametrize(("food", "longest"), [(1.0, 60.0), (30.0, 60.0), (30.0, 120.0)])
def test_half_a_year_closes(world: Any, kernel: Kernel, food: float, longest: float) -> None:
    """26 weeks with meals, changes, siphon, scrapes, thinning, rinses and a power cut close to 1e-9; all positive."""
    problem = world.problem(182, food)
    added: list[Array] = []
    line = audited(world.merged(problem.timeline(), longest), added)
    e = problem.members(kernel, 64)
    before = totals(e)
    records = run(e, line, ("nitrate",))
    assert records.outcome is Outcome.FINISHED
    missing = totals(e) - before - np.sum(added, axis=0)
    assert np.max(np.abs(missing) / totals(e, gross=True)) < 1e-9
    moved = np.abs(np.sum(added, axis=0))
    assert (moved > 0.0).all()
    for component in kernel.layout.table.components:
        if component.kind != "signed":
            assert (e[component.name] >= 0.0).all(), component.name


def test_errors_fall_fourfold(world: Any, kernel: Kernel) -> None:
    """Second order: an error a quarter for half the step (theory), and small enough with the steps in use."""
    problem = world.problem(14)
    line = problem.timeline(1.0)
    states = list(kernel.layout.states)
    slow = [n for n in states if n not in (*world.FAST, *world.ACCOUNTS, "volume")]
    rows = (*states, "hydrogen")

    def go(line: Timeline) -> Records:
        return run(problem.members(kernel, 32, seed=3), line, rows)

    exact = go(world.refined(line, 1.0))
    default, ten, five = go(line), go(world.refined(line, 10.0)), go(world.refined(line, 5.0))
    assert np.percentile(errors(default, exact, slow), 95) < 3e-3
    assert np.percentile(ph_errors(default, exact), 95) < 0.04
    ratio = np.percentile(errors(ten, exact, slow), 95) / np.percentile(errors(five, exact, slow), 95)
    assert 3.3 < ratio < 5.0
    assert 3.3 < np.percentile(ph_errors(ten, exact), 95) / np.percentile(ph_errors(five, exact), 95) < 5.5


def stepped_outside(problem: Any, e: Ensemble, line: Timeline) -> Array:
    """The last state of one member by SciPy's LSODA, restarted at every step."""
    table = problem.table
    rates = rate_function(table, 10)
    p = packed(table.parameters, {n: float(e[n][0, 0]) for n in table.parameters})
    states = len(table.components)
    stops = sorted({0, len(line.dts), *line.jumps})
    for begin, end in itertools.pairwise(stops):
        for jump in line.jumps.get(begin, ()):
            jump(e)
        p = packed(table.parameters, {n: float(e[n][0, 0]) for n in table.parameters})
        y = e.data[0, :states, 0].copy()
        for step in range(begin, end):
            d = line.drivers[step]
            answer = solve_ivp(
                lambda _, y, d=d, p=p: rates(y, p, d), (0.0, line.dts[step]), y, "LSODA", rtol=1e-8, atol=1e-11
            )
            assert answer.success
            y = answer.y[:, -1]
        e.data[0, :states, 0] = y
    return e.data[0, :states, 0].copy()


def test_an_outside_solver_agrees(world: Any, kernel: Kernel) -> None:
    """SciPy's LSODA, rtol 1e-8, over seven lamp days with the change at the end of the week."""
    problem = world.problem(7)
    line = problem.timeline(None)
    exact = stepped_outside(problem, problem.members(array_kernel(problem.table), 1, seed=5), line)
    for longest, allowed in ((30.0, 1e-2), (2.5, 1e-4)):
        e = problem.members(kernel, 1, seed=5)
        run(e, world.refined(line, longest), ("nitrate",))
        ours = e.data[0, : len(exact), 0]
        error = np.abs(ours - exact) / (np.abs(exact) + 1e-6)
        assert error.max() < allowed, kernel.layout.states[int(np.argmax(error))]


def test_same_bits_for_any_threads_and_order(world: Any, kernel: Kernel) -> None:
    """One or two threads, members as drawn or shuffled: not one bit differs."""
    problem = world.problem(5)
    line, rows = problem.timeline(), (*kernel.layout.states, "hydrogen")
    one = run(problem.members(kernel, 150), line, rows, threads=1)
    two = run(problem.members(kernel, 150), line, rows, threads=2)
    assert np.array_equal(one.values, two.values)
    order = np.random.default_rng(0).permutation(150)
    straight, shuffled = problem.members(kernel, 150), problem.members(kernel, 150)
    for name in shuffled.rows:
        shuffled[name] = shuffled.spread(shuffled.gather(straight[name])[order])
    assert np.array_equal(run(shuffled, line, rows).values, one.values[:, :, order])
    assert not np.array_equal(one.values[-1], one.values[-1][:, order])


def test_arrays_do_the_same_as_the_compiled_kernel(world: Any, kernel: Kernel) -> None:
    """The fallback differs by rounding alone."""
    problem = world.problem(3)
    line, rows = problem.timeline(), (*kernel.layout.states, "hydrogen")
    lanes = run(problem.members(kernel, 20), line, rows)
    arrays = run(problem.members(array_kernel(problem.table), 20), line, rows)
    np.testing.assert_allclose(arrays.values, lanes.values, rtol=1e-10, atol=1e-18)


@pytest.mark.parametrize(("factor", "finer"), [(2.0, False), (10.0, True), (80.0, True)])
def test_stiff_members_are_stepped_finer_of_themselves(world: Any, kernel: Kernel, factor: float, finer: bool) -> None:
    """Much stronger gas exchange: the pH error stays below 0.03 without anybody asking for shorter steps."""
    problem = world.problem(5)
    line = problem.timeline(1.0)
    stiff = problem.members(kernel, 32, seed=4, gas_exchange=factor)
    assert guard(problem.members(kernel, 32, seed=4)).max() == 1
    assert bool(guard(stiff).max() > 1) is finer
    ours = run(stiff, line, ("hydrogen",))
    fine = problem.members(kernel, 32, seed=4, gas_exchange=factor)
    exact = run(fine, world.refined(line, 1.0), ("hydrogen",))
    assert ours.outcome is Outcome.FINISHED
    assert np.percentile(ph_errors(ours, exact), 95) < 0.03


def test_impossible_members_are_set_aside(world: Any, kernel: Kernel) -> None:
    """A member with an impossible number is named, the others go on; all of them impossible is said as well."""
    problem = world.problem(2)
    line = problem.timeline()
    whole = run(problem.members(kernel, 5), line, ("nitrate",))
    broken = problem.members(kernel, 5)
    broken["gas_exchange"][0, 2] = np.nan
    partly = run(broken, line, ("nitrate",))
    assert partly.outcome is Outcome.PARTLY
    assert partly.sound.tolist() == [True, True, False, True, True]
    assert np.array_equal(partly["nitrate"][:, partly.sound], whole["nitrate"][:, partly.sound])
    broken = problem.members(kernel, 5)
    broken["gas_exchange"] = np.nan
    assert run(broken, line, ("nitrate",)).outcome is Outcome.FAILED
    assert "contradicts" in Outcome.FAILED.value


def test_a_record_holds_the_settled_hydrogen_ion(world: Any, kernel: Kernel) -> None:
    """What is recorded solves the charge balance of the recorded amounts, it is no value of a mid-step."""
    problem = world.problem(1)
    e = problem.members(kernel, 3)
    line = problem.timeline(6.0)
    recorded = run(e, line, ("hydrogen",))["hydrogen"][-1]
    kernel.settle(e.flat, e.blocks, line.drivers, len(line.dts) - 1)
    np.testing.assert_allclose(recorded, e.gather(e["hydrogen"]), rtol=1e-12)
