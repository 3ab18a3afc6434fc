"""Measure the engine against other integrators on the whole process table: `python benchmarks/engine.py --json -`.

Both sides of a ratio run in one process on one core, alternating; the median of the ratios counts. Seconds are those
of the processor, so that other work on the machine disturbs little; only threads and starts go by the clock on the
wall. Slow peers do fewer members and days, which every row says. With `--cold` a compilation into an empty cache is
timed as well.
"""

from __future__ import annotations

import argparse
import itertools
import json
import os
import platform
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from world import ACCOUNTS, FAST, Array, Problem, merged, problem, refined, watched

from lentic.engine.ensemble import Ensemble
from lentic.engine.kernel import Kernel, array_kernel, load_kernel
from lentic.engine.reference import RateFunction, compiled_rate_function, packed
from lentic.engine.run import Outcome, Records, Timeline, guard, run

ALTERNATIONS = 5
DRAWS = 64


@dataclass(frozen=True, kw_only=True)
class Row:
    """One check: what is required, what came out, on what."""

    check: str
    require: str
    measured: str
    met: bool | None
    on: str


Clock = Callable[[], float]


def timed(action: Callable[[], Any], clock: Clock = time.process_time) -> float:
    """Return the seconds of one core an action takes, or with the other clock those on the wall."""
    begin = clock()
    action()
    return clock() - begin


def ratio(
    slow: Callable[[], Any], quick: Callable[[], Any], times: int = ALTERNATIONS, clock: Clock = time.process_time
) -> tuple[float, float, float]:
    """Return median, least and largest ratio of the times of two actions, taken in turn."""
    quick()
    found = [timed(slow, clock) / timed(quick, clock) for _ in range(times)]
    return float(np.median(found)), min(found), max(found)


@contextmanager
def undisturbed() -> Iterator[bool]:
    """Go before other work of the machine for a few seconds, where that is allowed; tell whether it is."""
    try:
        os.sched_setscheduler(0, os.SCHED_FIFO, os.sched_param(1))
    except (AttributeError, OSError):
        yield False
        return
    try:
        yield True
    finally:
        os.sched_setscheduler(0, os.SCHED_OTHER, os.sched_param(0))


def row(check: str, least: float, found: tuple[float, float, float], on: str, scale: float = 1.0) -> Row:
    """Return a row for a speed ratio that must reach a least value."""
    middle, low, high = (scale * value for value in found)
    text = f"{middle:.3g}x ({low:.3g} to {high:.3g})"
    return Row(check=check, require=f">= {least:g}x", measured=text, met=middle >= least, on=on)


def slow_rows(kernel: Kernel) -> list[str]:
    """Return the amounts that turn over in days."""
    return [n for n in kernel.layout.states if n not in (*FAST, *ACCOUNTS, "volume")]


def error(a: Mapping[str, Array], b: Mapping[str, Array], names: Sequence[str]) -> float:
    """Return the largest error, 95th percentile over members and rows, in per cent of the value or 5 % of the mean."""
    scaled = []
    for n in names:
        scale = np.maximum(np.abs(b[n]), 0.05 * np.abs(b[n]).mean(axis=0)) + 1e-12
        scaled.append(100.0 * (np.abs(a[n] - b[n]) / scale).max(axis=0))
    return float(np.percentile(scaled, 95))


def ph(a: Mapping[str, Array], b: Mapping[str, Array]) -> float:
    """Return the largest error in pH, 95th percentile over members."""
    return float(np.percentile(np.abs(np.log10(a["hydrogen"] / b["hydrogen"])).max(axis=0), 95))


def errors(p: Problem, kernel: Kernel) -> list[Row]:
    """Return errors at four meshes, the order, and the stiff guard."""
    slow, line = slow_rows(kernel), watched(p.timeline(None))
    rows, out = (*kernel.layout.states, "hydrogen"), []

    def go(line: Timeline, **changed: float) -> dict[str, Array]:
        found = run(p.members(kernel, DRAWS, seed=3, **changed), line, rows)
        assert found.outcome is Outcome.FINISHED
        return {name: found[name] for name in rows}

    exact, on = go(refined(line, 0.5)), f"{DRAWS} draws, {p.days} d, against 0.5-min steps"
    found = {}
    for name, mesh in (("in use", 60.0), ("30 min", 30.0), ("10 min", 10.0), ("5 min", 5.0)):
        got = go(refined(line, mesh))
        found[mesh] = (error(got, exact, slow), ph(got, exact))
        text = f"slow p95 {found[mesh][0]:.3f} %, fast p95 {error(got, exact, FAST):.3f} %, pH p95 {found[mesh][1]:.4f}"
        met = bool(found[mesh][0] <= 0.3 and found[mesh][1] <= 0.04)
        out.append(Row(check=f"error, mesh {name}", require="slow <= .3 %, pH <= .04", measured=text, met=met, on=on))
    orders = [found[10.0][k] / found[5.0][k] for k in (0, 1)]
    text = f"slow {orders[0]:.2f}, pH {orders[1]:.2f}"
    out.append(Row(check="error(10 min)/error(5 min)", require=">= 3.3", measured=text, met=min(orders) >= 3.3, on=on))
    for factor in (10.0, 80.0):
        stiff = ph(go(line, gas_exchange=factor), go(refined(line, 0.5), gas_exchange=factor))
        parts = int(guard(p.members(kernel, DRAWS, seed=3, gas_exchange=factor)).max())
        out.append(
            Row(
                check=f"stiff guard: gas exchange x{factor:g}", require="pH p95 <= .03",
                measured=f"pH p95 {stiff:.4f}, steps cut into up to {parts}", met=stiff <= 0.03, on=on,
            )
        )  # fmt: skip
    return out


def closure(kernel: Kernel, food: float, longest: float) -> Row:
    """Return the balance of half a year, what jumps add and take counted."""
    p = problem(182, food)
    conserved = kernel.layout.table.conserved

    def totals(e: Ensemble, gross: bool = False) -> Array:
        found = np.zeros((len(conserved), *e["volume"].shape))
        for c in kernel.layout.table.components:
            for k, quantity in enumerate(conserved):
                part = c.composition.get(quantity, 0.0) * e[c.name]
                found[k] += abs(part) if gross else part
        return found

    added: list[Array] = []

    def noting(jump: Callable[[Ensemble], None]) -> Callable[[Ensemble], None]:
        def operate(e: Ensemble) -> None:
            before = totals(e)
            jump(e)
            added.append(totals(e) - before)

        return operate

    line = merged(p.timeline(), longest)
    jumps = {step: tuple(noting(j) for j in those) for step, those in line.jumps.items()}
    audited = Timeline(dts=line.dts, starts=line.starts, drivers=line.drivers, jumps=jumps, records=line.records)
    e = p.members(kernel, DRAWS)
    before = totals(e)
    sound = run(e, audited, ("nitrate",)).sound.all()
    missing = float(np.max(np.abs(totals(e) - before - np.sum(added, axis=0)) / totals(e, gross=True)))
    return Row(
        check=f"closure of {', '.join(conserved)}, {food:g}x food, steps <= {longest:g} min",
        require="<= 1e-10, all > 0", measured=f"{missing:.1e}, {'all' if sound else 'not all'} positive",
        met=bool(missing <= 1e-10 and sound), on=f"{DRAWS} draws, 182 d",
    )  # fmt: skip


def stops_of(line: Timeline) -> list[int]:
    """Return the steps before which lamp, pump or sun switch or something is done."""
    switched = np.flatnonzero((np.diff(line.drivers[:, [0, 1, 3]], axis=0) != 0.0).any(axis=1)) + 1
    return sorted({0, len(line.dts), *line.jumps, *(int(k) for k in switched)})


def outside(
    p: Problem, rates: RateFunction, kernel: Kernel, members: int, method: str, rtol: float
) -> tuple[float, dict[str, Array]]:
    """Return the seconds another integrator takes, restarted at every stop, and its amounts there; jumps not timed."""
    from scipy.integrate import odeint, solve_ivp

    line, table = p.timeline(None), p.table
    names, stops, ends = kernel.layout.states, stops_of(line), np.concatenate([[0.0], np.cumsum(line.dts)])
    drawn, spent = p.members(kernel, members, seed=3), 0.0
    values = np.empty((len(stops) - 1, len(names), members))
    for member in range(members):
        e = Ensemble(kernel, 1, list(drawn.rows)[len(kernel.layout.rows) :])
        for name in e.rows:
            e[name] = drawn.gather(drawn[name])[member]
        for number, (begin, end) in enumerate(itertools.pairwise(stops)):
            for jump in line.jumps.get(begin, ()):
                jump(e)
            parameters = packed(table.parameters, {n: float(e[n][0, 0]) for n in table.parameters})
            y, d, span = e.data[0, : len(names), 0].copy(), line.drivers[begin], ends[end] - ends[begin]
            start = time.process_time()
            if method == "odeint":
                y = odeint(lambda y, _, p=parameters, d=d: rates(y, p, d), y, [0.0, span], rtol=rtol, atol=1e-6)[-1]
            else:
                y = solve_ivp(
                    lambda _, y, p=parameters, d=d: rates(y, p, d), (0.0, span), y, "LSODA", rtol=rtol, atol=1e-6
                ).y[:, -1]
            spent += time.process_time() - start
            e.data[0, : len(names), 0] = values[number, :, member] = y
    return spent, {name: values[:, k] for k, name in enumerate(names)}


def lsoda(kernel: Kernel) -> list[Row]:
    """Return speed and error against LSODA, with the steps in use and with shorter ones."""
    long, short, members = problem(60), problem(5), 8
    rates, line, own, out = compiled_rate_function(short.table, 6), long.timeline(), short.timeline(None), []
    ends = np.array([own.starts[s - 1] + own.dts[s - 1] for s in stops_of(own)[1:]])
    names, slow, quick = kernel.layout.states, slow_rows(kernel), [n for n in FAST if n != "temperature"]

    def at_stops(line: Timeline) -> dict[str, Array]:
        found = run(short.members(kernel, members, seed=3), watched(line), names)
        at = np.searchsorted(line.starts, ends - 1e-9)
        return {name: found[name][at] for name in names}

    exact = at_stops(refined(own, 0.5))

    def errors_of(amounts: Mapping[str, Array]) -> str:
        return f"{error(amounts, exact, slow):.3f} and {error(amounts, exact, quick):.3f} %"

    outside(problem(1), rates, kernel, 1, "odeint", 1e-2)
    for name, rtol, mesh, least in (
        ("solve_ivp", 1e-2, 60.0, 150.0), ("odeint", 1e-2, 60.0, 45.0), ("solve_ivp", 1e-2, 30.0, None),
        ("odeint", 1e-2, 30.0, None), ("odeint", 1e-3, 10.0, None), ("odeint", 1e-4, 5.0, 5.0),
    ):  # fmt: skip
        steps, found = refined(line, mesh), []
        with undisturbed():
            for _ in range(ALTERNATIONS):
                theirs, amounts = outside(short, rates, kernel, members, name, rtol)
                ours = _engine_seconds(kernel, long, steps) / (256 * long.days)
                found.append(theirs / (members * short.days) / ours)
        on = f"p95 error of slow and quick: peer {errors_of(amounts)}, engine {errors_of(at_stops(refined(own, mesh)))}"
        of_all = float(np.median(found)), min(found), max(found)
        made = row(f"speed against {name} LSODA, rtol {rtol:g}; steps <= {mesh:g} min", least or 0.0, of_all, on)
        out.append(made if least else replace(made, require="-", met=None))
    return out


def _engine_seconds(kernel: Kernel, p: Problem, line: Timeline) -> float:
    """Return the seconds of the engine without its jumps, as those of the other integrators are not timed either."""
    members, spent = p.members(kernel, 256, seed=3), [0.0]

    def apart(jump: Callable[[Ensemble], None]) -> Callable[[Ensemble], None]:
        def act(e: Ensemble) -> None:
            begin = time.process_time()
            jump(e)
            spent[0] += time.process_time() - begin

        return act

    jumps = {at: tuple(apart(jump) for jump in chain) for at, chain in line.jumps.items()}
    return timed(lambda: run(members, replace(line, jumps=jumps), ("nitrate",))) - spent[0]


def peers(kernel: Kernel) -> list[Row]:
    """Return speed against the array fallback, and what was not compared."""
    out = [Row(check="speed against numbalsoda", require=">= 30x", measured="not installed", met=None, on="no wheel")]
    brief = problem(1)
    arrays, brief_line = array_kernel(brief.table), brief.timeline(None)

    def by(kernel: Kernel) -> Callable[[], None]:
        e = brief.members(kernel, 1000, seed=3)
        return lambda: run(e, brief_line, ()) and None

    out.append(row("speed against the array fallback", 10.0, ratio(by(arrays), by(kernel), 3), "1000 draws, 1 d"))
    out.append(Row(check="f32 against f64", require=">= 1.6x", measured="f32 kernel not built", met=None, on="-"))
    return out


def costs(kernel: Kernel) -> list[Row]:
    """Return how cost grows with threads, days and members; identical bits."""
    p = problem(10)
    line, rows = p.timeline(None), ("nitrate",)
    many, few = p.members(kernel, 1024, seed=3), p.members(kernel, 64, seed=3)
    many.prepare(), few.prepare()

    def advance(e: Ensemble, days: Timeline) -> Callable[[], None]:
        steps = len(days.dts)
        return lambda: kernel.advance(e.flat, e.blocks, days.dts, days.drivers, 0, steps, e.longest)

    def through(threads: int) -> Callable[[], Records]:
        return lambda: run(many, line, rows, threads)

    load = f"{os.getloadavg()[0]:.1f} on {os.cpu_count()} cores" if hasattr(os, "getloadavg") else "unknown"
    with undisturbed() as first:
        found = ratio(through(1), through(2), clock=time.perf_counter)
    on = f"1024 draws, 10 d, with jumps; wall time, load {load}" + ", before all other work" * first
    out = [row("two threads against one", 1.6, found, on)]
    kernel.settle(few.flat, few.blocks, line.drivers, 0)
    kernel.settle(many.flat, many.blocks, line.drivers, 0)
    year, month = problem(365).timeline(None), problem(30).timeline(None)
    share = len(month.dts) / len(year.dts)
    for name, found, on in (
        ("365 d against 30 d, a step", [share * x for x in ratio(advance(few, year), advance(few, month))], "64 draws"),
        (
            "1024 members in blocks against 64, a member-step",
            [x / 16 for x in ratio(advance(many, line), advance(few, line))],
            "10 d",
        ),
    ):
        text = f"{found[0]:.2f} ({found[1]:.2f} to {found[2]:.2f})"
        out.append(Row(check=name, require="<= 1.15", measured=text, met=found[0] <= 1.15, on=on))
    seconds = [timed(advance(few, month)) for _ in range(9)]
    nanoseconds = float(np.median(seconds)) / len(month.dts) / 64 * 1e9
    text = f"{nanoseconds:.0f} ns, {min(seconds) / len(month.dts) / 64 * 1e9:.0f} at best"
    out.append(Row(check="one member-step, jumps left out", require="-", measured=text, met=None, on="64 draws, 30 d"))
    records = [run(p.members(kernel, 256, seed=3), line := p.timeline(), rows, threads).values for threads in (1, 2)]
    order = np.random.default_rng(0).permutation(256)
    mixed, straight = p.members(kernel, 256, seed=3), p.members(kernel, 256, seed=3)
    for name in mixed.rows:
        mixed[name] = mixed.spread(straight.gather(straight[name])[order])
    same = np.array_equal(*records) and np.array_equal(run(mixed, line, rows).values, records[0][:, :, order])
    text = "identical" if same else "different"
    out.append(
        Row(check="bits: 1 and 2 threads, any order", require="exact", measured=text, met=same, on="256 draws, 10 d")
    )
    return out


def start() -> Row:
    """Return the time of a first result with an empty cache against one that is filled."""
    code = (
        "import sys; sys.path.insert(0, sys.argv[1]); from world import problem; "
        "from lentic.engine.kernel import load_kernel; load_kernel(problem(1).table)"
    )
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-c", code, str(Path(__file__).parent)]
        environment = os.environ | {"LENTIC_CACHE": folder}

        def first_result() -> None:
            subprocess.run(command, check=True, env=environment)

        cold, warm = (timed(first_result, time.perf_counter) for _ in range(2))
    text = f"{cold / warm:.1f} ({cold:.0f} s cold, {warm:.2f} s warm)"
    return Row(check="cold start against warm start", require=">= 8", measured=text, met=cold / warm >= 8.0, on="-")


def main() -> None:
    """Run all checks and print them as a table or as JSON."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", metavar="FILE", help="write JSON, - for standard output")
    parser.add_argument("--cold", action="store_true", help="time a compilation into an empty cache as well")
    arguments = parser.parse_args()
    p = problem(21)
    kernel = load_kernel(p.table, lambda text: print(text, file=sys.stderr))
    rows = errors(p, kernel)
    rows += [closure(kernel, food, mesh) for food, mesh in ((1.0, 60.0), (30.0, 60.0), (30.0, 120.0))]
    rows += [*lsoda(kernel), *peers(kernel), *costs(kernel)]
    if arguments.cold:
        rows.append(start())
    answer = {"machine": platform.machine(), "python": platform.python_version(), "rows": [asdict(r) for r in rows]}
    if arguments.json:
        text = json.dumps(answer, indent=1, default=str)
        print(text) if arguments.json == "-" else Path(arguments.json).write_text(text + "\n", encoding="utf-8")
        return
    print("| check | require | measured | on |\n|---|---|---|---|")
    for r in rows:
        mark = "" if r.met is None else " yes" if r.met else " **no**"
        print(f"| {r.check} | {r.require} | {r.measured}{mark} | {r.on} |")


if __name__ == "__main__":
    main()
