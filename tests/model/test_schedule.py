"""From events to steps: slots, lamp hours, power cuts and the season."""

from __future__ import annotations

from datetime import datetime

import numpy as np
import pytest

from lentic.engine.ensemble import Ensemble
from lentic.engine.run import STEP_D
from lentic.model.schedule import (
    DRIVERS,
    Lighting,
    Surroundings,
    Task,
    days_since,
    every_day,
    slotted,
    timeline,
)

MIDNIGHT = datetime(2025, 3, 1)  # noqa: DTZ001 - the tank's own clock has no offset
ROOM = Surroundings(midnight=MIDNIGHT, room_c=21.0, sun_h=1.5, lighting=Lighting(on_h=8.0, changes=((0.0, 10.0),)))


def nothing(rows: Ensemble) -> None:
    """Do nothing to the tank."""


def test_a_record_after_a_jump_goes_to_the_next_slot() -> None:
    """Within one slot records come first: what is read after a change must not be taken before it."""
    tasks = [Task(day=1.0, operators=(nothing,)), Task(day=1.001, record=0), Task(day=1.002, operators=(nothing,))]
    assert [slot for slot, _ in slotted(tasks)] == [144, 145, 145]


def test_tasks_are_put_in_order_of_time() -> None:
    """Slots are ten minutes."""
    placed = slotted([Task(day=0.5, record=1), Task(day=0.25, record=0)])
    assert [(slot, task.record) for slot, task in placed] == [(36, 0), (72, 1)]


def test_steps_meet_switches_tasks_and_the_end() -> None:
    """Lamp at eight and eighteen, a change at 11:20, a power cut, a record at the end."""
    room = Surroundings(
        midnight=MIDNIGHT, room_c=21.0, lighting=Lighting(on_h=8.0, changes=((0.0, 10.0),)), outages=((1.25, 1.75),)
    )  # fmt: skip
    moment = 11.0 / 24.0 + 20.0 / 1440.0
    line = timeline([Task(day=moment, operators=(nothing,)), Task(day=3.0, record=0)], room, 0.0, 3.0)
    edges = np.concatenate([line.starts, [line.starts[-1] + line.dts[-1]]])
    assert edges[-1] == pytest.approx(3.0)
    for wanted in (8.0 / 24.0, 18.0 / 24.0, moment, 1.25, 1.75):
        assert np.min(np.abs(edges - wanted)) < 1e-9
    assert [edges[step] for step in line.jumps] == pytest.approx([moment])
    assert line.records == {len(line.dts): (0,)}
    assert line.dts.max() <= STEP_D + 1e-9
    middle = line.starts + 0.5 * line.dts
    flow, lamp = line.drivers[:, DRIVERS.index("flow")], line.drivers[:, DRIVERS.index("lamp")]
    np.testing.assert_array_equal(flow, np.where((middle > 1.25) & (middle < 1.75), 0.0, 1.0))
    clock = middle % 1.0 * 24.0
    np.testing.assert_array_equal(lamp, ((clock > 8.0) & (clock < 18.0) & (flow > 0.0)).astype(float))


def test_tasks_outside_the_span_are_left_out() -> None:
    """A plan for next week does nothing this week."""
    line = timeline([Task(day=9.0, operators=(nothing,)), Task(day=-1.0, record=0)], ROOM, 0.0, 2.0)
    assert not line.jumps
    assert not line.records


def test_lamp_hours_change_from_a_day_on() -> None:
    """Ten hours, then six from the fifth day."""
    lamp = Lighting(on_h=8.0, changes=((0.0, 10.0), (5.0, 6.0)))
    assert (lamp.hours(4.9), lamp.hours(5.0)) == (10.0, 6.0)
    assert lamp.switches(4, 6) == pytest.approx([4 + 8 / 24, 4 + 18 / 24, 5 + 8 / 24, 5 + 14 / 24])
    assert Lighting(changes=((0.0, 0.0),)).switches(0, 9) == []


def test_the_room_is_warmest_in_july_and_the_south_is_turned_round() -> None:
    """Day 200 of the year is the warmest in the north, the coldest in the south."""
    days = np.arange(0.0, 365.0)
    room = Surroundings(midnight=MIDNIGHT, room_c=21.0).drivers(days)[:, DRIVERS.index("room_temperature")]
    warmest = int(np.argmax(room)) + MIDNIGHT.timetuple().tm_yday
    assert warmest == 200
    assert room.max() - room.min() == pytest.approx(4.0, abs=0.01)
    south = Surroundings(midnight=MIDNIGHT, room_c=21.0, southern=True)
    np.testing.assert_allclose(south.season(days), -ROOM.season(days))


def test_days_since_midnight_and_one_moment_a_day() -> None:
    """Six in the morning is a quarter of a day."""
    assert days_since(MIDNIGHT, MIDNIGHT.replace(hour=6)) == 0.25
    assert every_day(0.5, 2.5, lambda _: 6.0) == pytest.approx([1.25, 2.25])
