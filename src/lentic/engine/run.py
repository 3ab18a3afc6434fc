"""Carry an ensemble through its timeline: steps between breaks, jumps at breaks, records where asked."""

from __future__ import annotations

import enum
import itertools
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from lentic.engine.ensemble import Array, Ensemble

Jump = Callable[[Ensemble], None]

STEP_D = 60.0 / 1440.0
"""Longest step. [d]"""
RAMP_D = (10.0 / 1440.0,)
"""Steps after anything sudden. [d]"""
STIFFEST = 4.0
"""Largest product of step and fastest rate of return at which the scheme is still accurate. [-]"""
MOST_PARTS = 1024
"""Into so many parts at most a step is cut. [-]"""


class Outcome(enum.Enum):
    """How a run ended, as a sentence."""

    FINISHED = "The run reached its end with every amount finite and positive."
    PARTLY = "Some of the possible tanks gave impossible amounts and were set aside; the others are shown."
    FAILED = "None of the possible tanks gave possible amounts: the description of the tank contradicts itself."


@dataclass(frozen=True, kw_only=True)
class Timeline:
    """Steps with their drivers, and the step at which each thing happens.

    Parameters
    ----------
    dts : Array
        Lengths of the steps, shape (step,). [d]
    starts : Array
        When each step begins, shape (step,). [d]
    drivers : Array
        Driver values, shape (step, driver). [as the table says]
    jumps : Mapping[int, tuple[Jump, ...]]
        Step before which these jumps are made, in order. [-]
    records : Mapping[int, tuple[int, ...]]
        Step before which these records are taken, before the jumps of that moment. [-]
    """

    dts: Array
    starts: Array
    drivers: Array
    jumps: Mapping[int, tuple[Jump, ...]] = field(default_factory=dict)
    records: Mapping[int, tuple[int, ...]] = field(default_factory=dict)


def mesh(breaks: Sequence[float], sudden: Sequence[float], longest: float = STEP_D) -> Array:
    """Return step boundaries that meet every break and are short after anything sudden.

    Parameters
    ----------
    breaks : Sequence[float]
        Sorted times that a step must not cross. [d]
    sudden : Sequence[float]
        Those of them after which something changes at once. [d]
    longest : float
        Longest step. [d]

    Returns
    -------
    Array
        Boundaries, shape (step + 1,). [d]
    """
    shaken = set(sudden)
    edges = [breaks[0]]
    for begin, end in itertools.pairwise(breaks):
        at = begin
        if begin in shaken:
            for short in RAMP_D:
                if at + short < end - 1e-9:
                    at += short
                    edges.append(at)
        left = end - at
        count = max(1, int(np.ceil(left / longest - 1e-6)))
        edges += [at + left * k / count for k in range(1, count)]
        edges.append(end)
    return np.asarray(edges)


def guard(ensemble: Ensemble, longest: float = STEP_D) -> npt.NDArray[np.int64]:
    """Return into how many parts every member must cut the longest step so that fast exchange stays accurate.

    Parameters
    ----------
    ensemble : Ensemble
        Members with their parameters set. [-]
    longest : float
        Longest step of the mesh; shorter ones are cut into fewer parts. [d]

    Returns
    -------
    NDArray[int64]
        A power of two per member, shape (member,). [-]
    """
    fastest = np.zeros(ensemble.members)
    for row in ensemble.stiffness():
        fastest = np.maximum(fastest, ensemble.gather(np.broadcast_to(row, ensemble.data[:, 0, :].shape)))
    # an impossible member takes plain steps: it is set aside at the end, not refined without limit
    wanted = np.nan_to_num(fastest * longest / STIFFEST, nan=1.0, posinf=1.0)
    parts = np.clip(wanted, 1.0, MOST_PARTS)
    return np.asarray(2 ** np.ceil(np.log2(parts) - 1e-9), dtype=np.int64)


@dataclass(frozen=True, kw_only=True)
class Records:
    """What was recorded on the way, and how the run ended.

    Parameters
    ----------
    rows : Sequence[str]
        Recorded rows. [-]
    values : Array
        Shape (record, row, member). [as the rows]
    outcome : Outcome
        How it ended. [-]
    sound : NDArray[bool]
        Members whose amounts stayed finite and positive, shape (member,). [-]
    """

    rows: Sequence[str]
    values: Array
    outcome: Outcome
    sound: npt.NDArray[np.bool_]

    def __getitem__(self, row: str) -> Array:
        """Return one row over all records, shape (record, member)."""
        values: Array = self.values[:, list(self.rows).index(row), :]
        return values


def run(ensemble: Ensemble, timeline: Timeline, rows: Sequence[str], threads: int = 1) -> Records:
    """Carry all members through the timeline and record rows on the way.

    Parameters
    ----------
    ensemble : Ensemble
        The members; they stand at the end of the timeline afterwards. [-]
    timeline : Timeline
        Steps, drivers, jumps and records. [-]
    rows : Sequence[str]
        What to record. [-]
    threads : int
        Blocks are shared among so many threads; the result does not depend on it. [-]

    Returns
    -------
    Records
        The recorded rows of every member and how the run ended. [-]
    """
    ensemble.prepare()
    count = 1 + max((max(numbers) for numbers in timeline.records.values()), default=-1)
    values = np.full((count, len(rows), ensemble.members), np.nan)
    longest = float(np.max(timeline.dts, initial=0.0))
    parts = guard(ensemble, longest)
    for share in np.unique(parts):
        members = np.flatnonzero(parts == share)
        group = ensemble if len(members) == ensemble.members else _pick(ensemble, members)
        group.longest[:] = longest / share
        values[:, :, members] = _in_threads(group, timeline, rows, count, threads)
        if group is not ensemble:
            _put_back(ensemble, group, members)
    sound = _sound(ensemble) & np.isfinite(values).all(axis=(0, 1))
    outcome = Outcome.FINISHED if sound.all() else Outcome.PARTLY if sound.any() else Outcome.FAILED
    return Records(rows=tuple(rows), values=values, outcome=outcome, sound=sound)


def _sound(ensemble: Ensemble) -> npt.NDArray[np.bool_]:
    sound = np.ones(ensemble.members, dtype=bool)
    for component in ensemble.kernel.layout.table.components:
        row = ensemble.gather(ensemble[component.name])
        sound &= np.isfinite(row)
        if component.kind != "signed":
            sound &= row >= 0.0
    return sound


def _pick(ensemble: Ensemble, members: npt.NDArray[np.int64]) -> Ensemble:
    extra = list(ensemble.rows)[len(ensemble.kernel.layout.rows) :]
    group = Ensemble(ensemble.kernel, len(members), extra)
    for name in ensemble.rows:
        group[name] = group.spread(ensemble.gather(ensemble[name])[members])
    return group


def _put_back(ensemble: Ensemble, group: Ensemble, members: npt.NDArray[np.int64]) -> None:
    for name in ensemble.rows:
        row = ensemble.gather(ensemble[name])
        row[members] = group.gather(group[name])
        ensemble[name] = ensemble.spread(row)


def _in_threads(group: Ensemble, timeline: Timeline, rows: Sequence[str], count: int, threads: int) -> Array:
    """Advance blocks side by side between stops; jumps are made for all of them at once."""
    threads = max(1, min(threads, group.blocks))
    cuts = np.linspace(0, group.blocks, threads + 1).astype(int)
    shares = [group.part(a, b) for a, b in itertools.pairwise(cuts)]
    if threads == 1:
        return _through(group, timeline, rows, count, lambda *span: _advance(shares[0], timeline, *span))
    with ThreadPoolExecutor(threads - 1) as pool:

        def abreast(first: int, last: int, fresh: bool) -> None:
            others = [pool.submit(_advance, share, timeline, first, last, fresh) for share in shares[1:]]
            _advance(shares[0], timeline, first, last, fresh)
            for other in others:
                other.result()

        return _through(group, timeline, rows, count, abreast)


def _advance(share: Ensemble, timeline: Timeline, first: int, last: int, fresh: bool) -> None:
    """Advance some blocks; fresh where a jump came before."""
    kernel, flat, blocks = share.kernel, share.flat, share.blocks
    if fresh:
        at = min(first, len(timeline.dts) - 1)
        kernel.settle(flat, blocks, timeline.drivers, at)
        kernel.start(flat, blocks, timeline.dts, timeline.drivers, at, share.longest)
    kernel.advance(flat, blocks, timeline.dts, timeline.drivers, first, last, share.longest)


def _through(
    group: Ensemble, timeline: Timeline, rows: Sequence[str], count: int, advance: Callable[[int, int, bool], None]
) -> Array:
    """Advance between the steps at which something is to be done, and do it."""
    steps = len(timeline.dts)
    numbers = np.array([group.rows[row] for row in rows], dtype=np.intp)
    values = np.full((count, len(rows), group.members), np.nan)
    stops = sorted({0, steps, *timeline.jumps, *timeline.records})
    for stop, following in zip(stops, [*stops[1:], steps], strict=True):
        wanted = timeline.records.get(stop, ())
        if wanted and steps:
            group.kernel.settle(group.flat, group.blocks, timeline.drivers, min(stop, steps - 1))
        for record in wanted:
            taken = group.data[:, numbers, :].transpose(1, 0, 2).reshape(len(rows), -1)
            values[record] = taken[:, : group.members]
        jumps = timeline.jumps.get(stop, ())
        for jump in jumps:
            jump(group)
        if steps:
            advance(stop, following, bool(jumps) or stop == 0)
    return values
