"""The basking place: its surface against the kind and the room, and the lamp's guard and fixings."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from lentic.advice.findings import Finding, ask, date_words, known_as, sorted_findings
from lentic.advice.words import counted, number
from lentic.catalogue import Animal
from lentic.logbook.events import Event, Reading
from lentic.logbook.tank import Fixture, Tank

USES = ("basking", "basking_uvb")
HOTTEST_C, BURNS_C, COLDEST_C = 40.0, 45.0, 28.0
"""Surface above which to act, above which it burns, and below which sliders did not bask (Crawford 1983, read)."""
RISE_SD_K = 2.0
"""Error of one pair of surface and room; common practice, no source. [K]"""
TOGETHER = timedelta(hours=12)
SUMMER_C = 33.0
"""Warmest room for which the place is reckoned; common practice, no source. [°C]"""
HOW = "Probe on a dry dark stone at shell height, after the lamp has burned for two hours: reading,surface_temperature."


def basking_of(tank: Tank, events: Sequence[Event], records: Sequence[Animal]) -> tuple[Finding, ...]:
    """Return how the basking place stands against each kind, today and in the warmest room."""
    if not any(lamp.use in USES for lamp in tank.lamps):
        return (ask("basking place", "Is there a warm dry place under a lamp? Describe its lamp as basking."),)
    read = [e for e in events if isinstance(e, Reading) and e.quantity == "surface_temperature"]
    if not read:
        return (ask("basking place", HOW),)
    last, day = read[-1].value, date_words(tank.local_date(read[-1].time))
    found = [_against(record, last, day) for record in records]
    if last > HOTTEST_C and not records:
        found.append(_hot(last, day, ""))
    return sorted_findings([*found, *_summer(tank, events, read)])


def _hot(last: float, day: str, band: str) -> Finding:
    burns = " It burns." if last > BURNS_C else ""
    return Finding(
        what="basking surface",
        state="act",
        sentence=f"{last:.0f} °C on {day} (own reading).{burns}{band}",
        do="Raise the lamp today, then measure again after two hours.",
        source="40 and 45 °C: common practice",
    )


def _against(record: Animal, last: float, day: str) -> Finding:
    fact = record.fact("bask_surface_C")
    if fact is None:
        return ask("basking surface", f"The catalogue does not know how warm {record.scientific} basks; ask a vet.")
    low, high = fact.bounds
    said = f"{last:.0f} °C on {day} (own reading); {record.scientific}: {fact.text} °C"
    source = known_as(fact)
    if last > HOTTEST_C:
        return _hot(last, day, f" {record.scientific}: {fact.text} °C.")
    if last < min(low, COLDEST_C):
        return Finding(
            what="basking surface",
            state="watch",
            sentence=f"{said}. Too cool to dry and digest.",
            source=source,
            do="Lower the lamp within its safe distance, or more watts; measure.",
        )
    if not low <= last <= high:
        side = "cooler" if last < low else "warmer"
        return Finding(what="basking surface", state="watch", sentence=f"{said}: a little {side}.", source=source,
                       do="Move the lamp in small steps; measure after two hours.")  # fmt: skip
    return Finding(what="basking surface", state="fine", sentence=f"{said}.", source=source)


def rises_of(tank: Tank, events: Sequence[Event], read: Sequence[Reading]) -> list[tuple[float, float]]:
    """Return pairs of room and rise of the surface over it; the described room where none was read the same day."""
    rooms = [(e.time, e.value) for e in events if isinstance(e, Reading) and e.quantity == "room_temperature"]
    pairs: list[tuple[float, float]] = []
    for each in read:
        room = _room_at(rooms, each.time)
        room = tank.room.temperature_c if room is None else room
        if room is not None:
            pairs.append((room, each.value - room))
    return pairs


def _room_at(rooms: Sequence[tuple[datetime, float]], moment: datetime) -> float | None:
    near = [(abs(time - moment), value) for time, value in rooms if abs(time - moment) <= TOGETHER]
    return min(near)[1] if near else None


def _summer(tank: Tank, events: Sequence[Event], read: Sequence[Reading]) -> list[Finding]:
    pairs = rises_of(tank, events, read)
    if not pairs:
        return [ask("warm days", "How warm was the room when the surface was read? reading,room_temperature.")]
    rise = float(np.mean([each for _, each in pairs]))
    sd = RISE_SD_K / float(np.sqrt(len(pairs)))
    room = HOTTEST_C - rise
    said = (
        f"The surface lies {rise:.0f} K above the room (±{1.28 * sd:.0f} K, {counted(len(pairs), 'own reading')}): it "
        f"passes {HOTTEST_C:.0f} °C in a room of {number(room)} °C."
    )
    if room < SUMMER_C:
        return [
            Finding(
                what="warm days",
                state="watch",
                sentence=said,
                source="surface follows the room: physics",
                do="On such days raise the lamp or switch it off for the hot hours; ultraviolet light stays.",
            )
        ]
    return [Finding(what="warm days", state="fine", sentence=said, source="surface follows the room: physics")]


def mounting_of(lamps: Sequence[Fixture]) -> list[Finding]:
    """Return whether the lamps over the water are fixed twice, and hot ones out of reach."""
    unknown = [lamp.use for lamp in lamps if lamp.fixings is None]
    asked = "How many fixings hold each lamp, each strong enough alone? Write fixings"
    found = [ask("fixings", f"{asked} ({', '.join(unknown)}).")] if unknown else []
    return [*found, *(each for lamp in lamps for each in _mounted(lamp))]


def _mounted(lamp: Fixture) -> list[Finding]:
    found: list[Finding] = []
    name = f"lamp, {lamp.use}"
    if lamp.fixings is not None and lamp.fixings < 2:
        found.append(
            Finding(
                what=name,
                state="stop",
                sentence="One fixing over water: it will fall one day.",
                do="Unplug it; a second fixing or a wire loop first.",
                source="common practice",
            )
        )
    if lamp.use in USES and lamp.guarded is not True and (lamp.shell_cm or lamp.height_cm or 0.0) < 20.0:
        found.append(
            Finding(
                what=name,
                state="stop",
                sentence="Within 20 cm of the animal and without a guard: burns.",
                do="A cage around the lamp, or more distance.",
                source="common practice",
            )
        )
    return found
