"""What can be said of a tank on its first day: sums that are certain within their ranges, and what would help most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from lentic.advice.load import load_of
from lentic.advice.words import number
from lentic.logbook.events import Change, Event, Reading
from lentic.logbook.tank import Tank
from lentic.logbook.units import NITRATE


@dataclass(frozen=True, kw_only=True)
class Said:
    """One thing that can be said already: a number with its range, how it is known, and what it means."""

    name: str
    value: str
    range: str
    how: str
    word: str
    meaning: str


@dataclass(frozen=True, kw_only=True)
class First:
    """The first answer: one sentence, what stands behind it, what is missing for it."""

    sentence: str
    said: tuple[Said, ...]
    missing: tuple[str, ...]


def first_of(tank: Tank, events: Sequence[Event], now: datetime) -> First:
    """Return what follows from the litres, the food and the changes of one remembered week."""
    said: list[Said] = []
    missing: list[str] = []
    litres = tank.water_litres
    if litres is None:
        missing.append("the litres of real water: count buckets at the next change, or measure the glass inside")
    else:
        said.append(_litres(tank, litres))
    load = load_of(tank, events, now)
    if load is None:
        if litres is not None:
            missing.append("what is fed, in grams: a kitchen scale and one feeding are enough")
        one = len(missing) == 1
        sentence = f"{'One fact is' if one else 'Two facts are'} still missing for a first answer."
        return First(sentence=sentence, said=tuple(said), missing=tuple(missing))
    rise = load.nitrate_rise
    reach = f"({number(rise.low)}–{number(rise.high)})"
    said.append(
        Said(
            name="Nitrate from the food", value=f"{number(rise.value)} mg/L as NO₃ a week", range=reach, how="asm",
            word="worked out from the food",
            meaning="So much more each week, if neither plants nor water changes took any out.",
        )
    )  # fmt: skip
    tap = tank.source_water.no3_mg_l if tank.source_water.no3_mg_l is not None else _tap(events)
    settles = load.nitrate_before_change(tap or 0.0)
    sentence = f"Your food adds about {number(rise.value)} mg/L of nitrate a week {reach}."
    if settles is not None:
        there = f"{number(settles.value)} mg/L as NO₃"
        around = f"({number(settles.low)}–{number(settles.high)})"
        sentence = f"With these changes nitrate settles near {there} {around} before a change, less what plants take."
        base = "" if tap is not None else " The tap is taken as free of nitrate until you test it."
        said.append(
            Said(name="Nitrate before a change, in the long run", value=there, range=around, how="asm",
                 word="worked out", meaning=f"Plants and algae make it less.{base}")
        )  # fmt: skip
    elif not any(isinstance(each, Change) for each in events):
        missing.append("how much water is changed, and how often")
    use = load.kh_use
    said.append(
        Said(
            name="KH used up", value=f"{number(use.value)} dKH a week", range=f"({number(use.low)}–{number(use.high)})",
            how="asm", word="worked out", meaning="Turning food into nitrate uses it; water changes bring it back.",
        )
    )  # fmt: skip
    if load.unknown:
        missing.append(f"the protein on the packet of {', '.join(load.unknown)}: without it this food is not counted")
    return First(sentence=sentence, said=tuple(said), missing=tuple(missing))


def _litres(tank: Tank, litres: float) -> Said:
    counted = tank.glass.water_l is not None
    word = "counted in buckets" if counted else "from your measures"
    meaning = "Every dose and every change is reckoned on this." if counted else (
        "Stones and filter take some of it; counting buckets once gives the real figure."
    )  # fmt: skip
    return Said(name="Water", value=f"{number(litres)} L", range="", how="own", word=word, meaning=meaning)


def _tap(events: Sequence[Event]) -> float | None:
    found = [e.value for e in events if isinstance(e, Reading) and e.quantity == "tap_nitrate"]
    return found[-1] / NITRATE["mg/lno3"].convert(1.0) if found else None
