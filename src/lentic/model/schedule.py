"""From what happened when to steps and drivers: the tank's own clock in slots of ten minutes.

The clock counts days from local midnight of the first day and takes no notice of daylight saving time: the lamp
timer does not either, and a feeding an hour off changes nothing that can be seen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta

import numpy as np
import numpy.typing as npt

from lentic.engine.run import Timeline, mesh
from lentic.model.jumps import Operator

Array = npt.NDArray[np.float64]

SLOTS_A_DAY = 144
DRIVERS = ("lamp", "flow", "room_temperature", "sun")
"""Plant lamp 0..1, pump 1 running or 0 off, room temperature [°C], direct sun on the panes 0..1."""
NOON_SUN_H = 13.0
"""Clock hour around which a window lets the sun in; common practice, no source. [h]"""
SEASON_K = 2.0
"""Half the swing of a heated room over the year; common practice, no source. [K]"""
WARMEST_DAY = 200
"""Day of the year on which a northern room is warmest; common practice, no source. [-]"""


@dataclass(frozen=True, kw_only=True)
class Lighting:
    """When the plant lamp burns: from ``on_h`` for the hours that hold from each day on."""

    on_h: float = 9.0
    changes: tuple[tuple[float, float], ...] = ((0.0, 0.0),)
    """(day, hours a day from then on), in order."""

    def hours(self, day: float) -> float:
        """Return the hours the lamp burns on a day."""
        return [hours for start, hours in self.changes if start <= day or start == self.changes[0][0]][-1]

    def switches(self, first: int, last: int) -> list[float]:
        """Return all moments of switching between two days. [d]"""
        found = []
        for day in range(first, last):
            hours = self.hours(day + self.on_h / 24.0)
            if hours > 0.0:
                found += [day + self.on_h / 24.0, day + min(self.on_h + hours, 24.0) / 24.0]
        return found

    def burning(self, times: Array) -> Array:
        """Return 1 where the lamp burns, else 0."""
        hours = np.array([self.hours(np.floor(t) + self.on_h / 24.0) for t in times])
        clock = (times % 1.0) * 24.0
        return ((clock >= self.on_h) & (clock < self.on_h + hours)).astype(np.float64)


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """The room, the window and the power, as drivers of the tank."""

    midnight: datetime
    room_c: float
    southern: bool = False
    sun_h: float = 0.0
    lighting: Lighting = field(default_factory=Lighting)
    outages: tuple[tuple[float, float], ...] = ()
    """(from, to) without power. [d]"""

    def season(self, times: Array) -> Array:
        """Return -1 in the coldest and 1 in the warmest week of the year."""
        first = self.midnight.timetuple().tm_yday
        phase = 2.0 * np.pi * (first + times - WARMEST_DAY) / 365.25
        season: Array = np.cos(phase) * (-1.0 if self.southern else 1.0)
        return season

    def half_sun_h(self, times: Array) -> Array:
        """Return half the hours for which the sun comes in, longest in summer."""
        return 0.5 * self.sun_h * (1.0 + 0.3 * self.season(times))

    def drivers(self, times: Array) -> Array:
        """Return the driver values at given times, shape (time, driver) in the order of ``DRIVERS``."""
        season = self.season(times)
        flow = np.ones_like(times)
        for begin, end in self.outages:
            flow[(times >= begin) & (times < end)] = 0.0
        clock = (times % 1.0) * 24.0
        sun = (np.abs(clock - NOON_SUN_H) < self.half_sun_h(times)).astype(np.float64)
        lamp = self.lighting.burning(times) * np.where(flow > 0.0, 1.0, 0.0)
        return np.stack([lamp, flow, self.room_c + SEASON_K * season, sun], axis=1)


@dataclass(frozen=True, kw_only=True)
class Task:
    """One thing at one moment: operators to apply, or a record to take."""

    day: float
    operators: tuple[Operator, ...] = ()
    record: int | None = None
    sudden: bool = True


def days_since(midnight: datetime, moment: datetime) -> float:
    """Return days on the tank's own clock since a local midnight, both naive local times."""
    return (moment - midnight) / timedelta(days=1)


def slotted(tasks: Sequence[Task]) -> list[tuple[int, Task]]:
    """Return tasks with their slot, so that order is kept: a record never slips behind the jump before it."""
    placed: list[tuple[int, Task]] = []
    slot, jumped = -(10**9), False
    for task in sorted(tasks, key=lambda t: t.day):
        wanted = int(np.floor(task.day * SLOTS_A_DAY + 1e-6))
        if wanted > slot:
            slot, jumped = wanted, False
        elif task.record is not None and jumped:
            slot, jumped = slot + 1, False
        jumped = jumped or bool(task.operators)
        placed.append((slot, task))
    return placed


def timeline(tasks: Sequence[Task], surroundings: Surroundings, first: float, last: float) -> Timeline:
    """Return steps, drivers, jumps and records between two moments.

    Parameters
    ----------
    tasks : Sequence[Task]
        What happens; tasks outside the span are left out. [-]
    surroundings : Surroundings
        Room, window, lamp and power. [-]
    first, last : float
        Begin and end on the tank's clock. [d]

    Returns
    -------
    Timeline
        For the engine. [-]
    """
    placed = [(slot, task) for slot, task in slotted(tasks) if first - 1e-9 <= slot / SLOTS_A_DAY <= last + 1e-9]
    switches = surroundings.lighting.switches(int(np.floor(first)), int(np.ceil(last)))
    switches += [moment for outage in surroundings.outages for moment in outage]
    if surroundings.sun_h > 0.0:
        days = range(int(np.floor(first)), int(np.ceil(last)))
        noons = np.array([day + NOON_SUN_H / 24.0 for day in days], dtype=np.float64)
        half = surroundings.half_sun_h(noons) / 24.0
        switches += [float(moment) for moment in (*(noons - half), *(noons + half))]
    sudden = {round(s * SLOTS_A_DAY) / SLOTS_A_DAY for s in switches if first < s < last}
    sudden |= {slot / SLOTS_A_DAY for slot, task in placed if task.operators and task.sudden}
    breaks = sorted({first, last} | sudden | {slot / SLOTS_A_DAY for slot, _ in placed})
    edges = mesh([b for b in breaks if first <= b <= last], [s for s in sudden if first <= s <= last])
    at = {round(edge * SLOTS_A_DAY * 1000): number for number, edge in enumerate(edges)}
    jumps: dict[int, list[Operator]] = {}
    records: dict[int, list[int]] = {}
    for slot, task in placed:
        step = at[slot * 1000]
        jumps.setdefault(step, []).extend(task.operators)
        if task.record is not None:
            records.setdefault(step, []).append(task.record)
    middle = 0.5 * (edges[:-1] + edges[1:])
    return Timeline(
        dts=np.diff(edges),
        starts=edges[:-1],
        drivers=surroundings.drivers(middle),
        jumps={step: tuple(operators) for step, operators in jumps.items() if operators},
        records={step: tuple(numbers) for step, numbers in records.items()},
    )


def every_day(first: float, last: float, hour: Callable[[int], float]) -> list[float]:
    """Return one moment a day between two moments, at the hour that belongs to each day. [d]"""
    days = range(int(np.floor(first)), int(np.ceil(last)) + 1)
    moments = [day + hour(day) / 24.0 for day in days]
    return [moment for moment in moments if first <= moment <= last]
