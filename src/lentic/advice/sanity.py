"""Whether to believe a reading: against the last ones, and against what food and changes can have done since."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from lentic.advice.estimate import Estimate, between
from lentic.advice.load import Load
from lentic.advice.present import EIGHT_IN_TEN
from lentic.advice.words import number
from lentic.learn.evidence import COLOUR_SD
from lentic.logbook.doubts import doubt_of
from lentic.logbook.events import Change, Event, Reading
from lentic.logbook.tank import Tank
from lentic.logbook.units import NITRATE
from lentic.science.change import mixed
from lentic.science.constants import WEEK_D
from lentic.science.hardness import nitrogen_from_nitrate

REPEAT: Final = (
    "Before it counts, repeat it: shake the bottles as the leaflet says (the second nitrate bottle half a minute), "
    "keep to its minutes, look at the date on the kit."
)
PLANT_GROWTH_D: Final = 0.04
"""Fastest growth of a planted tank as a share of the wet mass a day; common practice, no source. [1/d]"""
WET_N: Final = 0.0032
"""Nitrogen in fresh stems, 9 % dry of which 3.5 %; from memory of tissue tables. [g/g]"""
SAME_KIT: Final = math.exp(EIGHT_IN_TEN * math.sqrt(2.0) * COLOUR_SD)
"""Two readings of one true value by the same colour kit differ by no more than this factor in 8 of 10 cases. [-]"""
ONE_STEP: Final = 15.0
"""A difference of less is one step of an ordinary nitrate chart; common practice, no source. [mg/L NO3]"""
LONGEST: Final = timedelta(days=35)


@dataclass(frozen=True, kw_only=True)
class Belief:
    """Whether a reading is believed, and why not."""

    believed: bool
    why: str = ""


def belief(reading: Reading, tank: Tank, events: Sequence[Event], load: Load | None) -> Belief:
    """Return whether a reading fits the log and the balance; one that does not is to be repeated."""
    doubt = doubt_of(reading, tank, [e for e in events if e.time < reading.time or e is not reading])
    if doubt is not None:
        return Belief(believed=False, why=f"{doubt.why[0].upper()}{doubt.why[1:]} {REPEAT}")
    if reading.quantity == "nitrate" and load is not None:
        return _nitrate(reading, tank, events, load)
    return Belief(believed=True)


def nitrate_expected(
    reading: Reading, tank: Tank, events: Sequence[Event], load: Load
) -> tuple[Reading, Estimate] | None:
    """Return the nitrate before and what food and changes can have made of it by now. [mg/L N]"""
    earlier = [e for e in events if isinstance(e, Reading) and e.quantity == "nitrate" and not e.above]
    earlier = [e for e in earlier if e.time < reading.time]
    if not earlier or reading.time - earlier[-1].time > LONGEST or not tank.water_litres:
        return None
    start, tap = earlier[-1], tank.source_water.nitrate_mgn_l or 0.0
    low, middle, high = 0.0 if start.below else start.value, start.value, start.value
    for event in events:
        if isinstance(event, Change) and earlier[-1].time <= event.time < reading.time:
            share = event.share_of(tank.water_litres) or 0.0
            low, middle, high = (float(mixed(each, tap, min(share, 1.0))) for each in (low, middle, high))
    days = (reading.time - earlier[-1].time).total_seconds() / 86400.0
    rise = load.weekly.times(1.0 / load.litres / WEEK_D * days)
    taken = plant_uptake(tank) / load.litres * days
    known = between(
        max(low + rise.low - taken, 0.0), max(middle + rise.value - taken / 2.0, 0.0), high + rise.high, "mg/L N",
        "worked out from the reading before, the food and the changes since",
    )  # fmt: skip
    return earlier[-1], known


def plant_uptake(tank: Tank) -> float:
    """Return the most nitrogen that the plants of a tank take up in a day. [mg/d]"""
    return sum(1000.0 * (plant.wet_g or 0.0) * PLANT_GROWTH_D * WET_N for plant in tank.plants)


def _nitrate(reading: Reading, tank: Tank, events: Sequence[Event], load: Load) -> Belief:
    found = nitrate_expected(reading, tank, events, load)
    if found is None:
        return Belief(believed=True)
    before, expected = found
    as_ion = NITRATE["mg/lno3"].factor
    said = f"from {number(before.value / as_ion)} mg/L NO3 on {before.time:%Y-%m-%d}"
    can = f"{number(expected.low / as_ion)} to {number(expected.high / as_ion)} mg/L NO3"
    step = float(nitrogen_from_nitrate(ONE_STEP))
    could = f"Food and changes can have brought it {said} to {can};"
    if reading.value * SAME_KIT < expected.low and expected.low - reading.value > step:
        return Belief(believed=False, why=f"{could} nothing in the log takes so much away. {REPEAT}")
    if not reading.below and reading.value > expected.high * SAME_KIT + step:
        why = f"{could} more than that came from somewhere, or the reading is off. {REPEAT}"
        return Belief(believed=False, why=why)
    return Belief(believed=True, why=f"Food and changes since then lead {said} to {can}: it fits.")
