"""Readings in their meaning: each with its value, range, origin, whom it concerns, and whether to believe it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.ammonia_now import FILM_HARMED_MG_N, after_change, criteria, free_of, has_mussels, has_salmonids
from lentic.advice.buffer import kh_said
from lentic.advice.disinfected import NewWater, new_water
from lentic.advice.estimate import Estimate
from lentic.advice.habits import usual_litres
from lentic.advice.limits import has_fish
from lentic.advice.load import Load, load_of
from lentic.advice.present import Now, present
from lentic.advice.said import Said, judged, said
from lentic.advice.sanity import belief
from lentic.advice.words import amount, number
from lentic.catalogue import Record, resolve
from lentic.catalogue.targets import Inputs, targets_for
from lentic.logbook.doubts import doubt_of
from lentic.logbook.events import AnimalIn, Change, Dose, Event, Reading
from lentic.logbook.rows import write_row
from lentic.logbook.tank import Tank
from lentic.logbook.units import NITRATE, NITRITE, PHOSPHATE, QUANTITIES
from lentic.science.ammonia import salt_against_nitrite
from lentic.science.disinfectant import ammonia_from_chloramine
from lentic.science.hardness import HARDNESS_UNITS

CHANGE_SHARE: Final = 0.25
"""The change that is reckoned with where the log shows none; common practice, no source. [-]"""
LATE: Final = timedelta(days=1.5)
"""So long chloramine's ammonia and a binder still show in a test; common practice, no source."""
NOT_ON_ONE: Final = "Repeat it before anything is done about it."
CHLORIDE_RATIO: Final = (6.0, 10.0)
"""Chloride per nitrite by mass of ion that fish farms keep, read; it protects many fish, not all. [-]"""
_SHOWN: Final[Mapping[str, tuple[str, float]]] = {
    "nitrate": ("mg/L NO3", 1.0 / NITRATE["mg/lno3"].factor), "nitrite": ("mg/L NO2", 1.0 / NITRITE["mg/lno2"].factor),
    "phosphate": ("mg/L PO4", 1.0 / PHOSPHATE["mg/lpo4"].factor), "kh": ("dKH", 1.0 / HARDNESS_UNITS["°dH"]),
    "gh": ("dGH", 1.0 / HARDNESS_UNITS["°dH"]), "ammonia": ("mg/L N", 1.0), "chlorine": ("mg/L", 1.0),
}  # fmt: skip
_TARGET: Final[Mapping[str, str]] = {
    "temperature": "water_temperature", "carbon_dioxide": "co2", "ammonia": "ammonia_total",
}  # fmt: skip
_ORDER: Final = (
    "ammonia", "nitrite", "nitrate", "kh", "ph", "temperature", "oxygen", "phosphate", "gh", "carbon_dioxide",
    "chlorine",
)  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Meaning:
    """What the readings of a tank mean."""

    tank: str
    at: datetime
    fish: bool
    said: tuple[Said, ...]
    repeat: tuple[str, ...]
    asked: tuple[str, ...]
    change: NewWater | None
    odd_lines: tuple[str, ...] = ()
    """Lines of the whole log that do not fit their neighbours, where they were asked for."""


@dataclass(frozen=True, kw_only=True)
class Case:
    """All that the sentences about one tank are made from."""

    tank: Tank
    events: Sequence[Event]
    known: Mapping[str, Now]
    fish: bool
    load: Load | None
    change_l: float
    litres: float | None

    @property
    def fraction(self) -> float:
        """Share of the tank that a change replaces."""
        return min(self.change_l / self.litres, 1.0) if self.litres else CHANGE_SHARE

    @property
    def inputs(self) -> Inputs:
        """What a level may depend on."""
        found: dict[str, float | str] = {}
        for name, key in (("ph", "ph"), ("temperature", "water_C")):
            if name in self.known:
                found[key] = self.known[name].known.value
        species = self.tank.turtles[0].species if self.tank.turtles else None
        record = resolve("turtle", species) if species else None
        return {**found, "turtle.species": record.id} if isinstance(record, Record) else found


def meaning_of(
    tank: Tank,
    events: Sequence[Event],
    typed: Sequence[Reading],
    now: datetime,
    change_l: float | None = None,
    asked: Sequence[str] = (),
) -> Meaning:
    """Return what readings mean; without typed ones those of the last days of the log."""
    case = case_of(tank, events, typed, now, change_l)
    shown = [q for q in _ORDER if q in case.known and case.known[q].reading is not None]
    repeats: list[str] = []
    found: list[Said] = []
    for quantity in shown:
        reading = case.known[quantity].reading
        assert reading is not None
        trust = belief(reading, tank, events, case.load)
        lines = _about(quantity, case)
        if not trust.believed:
            lines = [replace(line, believe="repeat") for line in lines]
            lines[0] = replace(lines[0], sentence=f"{lines[0].sentence} {NOT_ON_ONE}")
            repeats.append(f"{_name(quantity)}: {trust.why}")
        elif trust.why:
            lines = [*lines, said(quantity, trust.why)]
        found += lines
    missing = _missing(case, shown)
    water = _new_water(case)
    return Meaning(
        tank=tank.name, at=tank.local_time(now), fish=case.fish, said=tuple(found), repeat=tuple(repeats),
        asked=(*asked, *missing), change=water,
    )  # fmt: skip


def odd_lines(tank: Tank, events: Sequence[Event]) -> tuple[str, ...]:
    """Return every line of a log that does not fit those before it, with what it may have been."""
    found = []
    for place, event in enumerate(events):
        doubt = doubt_of(event, tank, events[:place])
        if doubt is not None:
            where = f"line {event.line}, " if event.line is not None else ""
            row = write_row(event, tank.zone)
            said_ = " ".join(cell for cell in row[1:5] if cell)
            found.append(f"{where}{tank.local_time(event.time):%Y-%m-%d %H:%M} {said_}: {doubt.why}")
    return tuple(found)


def case_of(
    tank: Tank, events: Sequence[Event], typed: Sequence[Reading], now: datetime, change_l: float | None = None
) -> Case:
    """Gather what is known of a tank and its water."""
    known = present(tank, events, typed, now)
    litres = tank.water_litres
    usual = usual_litres(tank, events) or CHANGE_SHARE * (litres or 0.0)
    return Case(
        tank=tank, events=events, known=known, fish=fish_here(tank, events), load=load_of(tank, events, now),
        change_l=change_l if change_l is not None else usual, litres=litres,
    )  # fmt: skip


def fish_here(tank: Tank, events: Sequence[Event]) -> bool:
    """Tell whether fish or other tankmates live here: described, or moved in by the log."""
    turtles = {turtle.id for turtle in tank.turtles}
    return has_fish(tank) or any(isinstance(e, AnimalIn) and e.what not in turtles for e in events)


def _about(quantity: str, case: Case) -> list[Said]:
    match quantity:
        case "ammonia":
            return _ammonia(case)
        case "nitrite":
            return _nitrite(case)
        case "nitrate":
            return [_plain("nitrate", case), *_settled(case)]
        case "kh":
            return [_plain("kh", case), *kh_said(case.known, case.load, case.litres, case.fraction)]
    return [_plain(quantity, case)]


def _settled(case: Case) -> list[Said]:
    """Hold nitrate against where food and changes of the last weeks would settle it, without plants."""
    load, tap = case.load, case.known.get("tap_nitrate")
    if load is None or tap is None:
        return []
    in_shown = _in_shown_unit("nitrate", case.known["nitrate"].known)
    settled = load.nitrate_before_change(_in_shown_unit("nitrate", tap.known).value)
    rise = load.nitrate_rise
    text = f"Your food ({load.eaten.text}) makes {rise.text}"
    if settled is None:
        return [said("nitrate", f"{text}; without changes it only rises.", rise)]
    text += (
        f"; changing {100.0 * load.fraction:.0f} % a week settles it at {settled.text} before a change, without plants"
    )
    if in_shown.value > settled.high:
        text += ". Yours is higher: more is fed or rots than is logged, less is changed, or the reading is off"
    elif in_shown.value < settled.low:
        plants = (
            "plants and algae take the rest" if case.tank.plants else "something takes the rest, or it is still rising"
        )
        text += f". Yours is lower: {plants}"
    else:
        text += ". Yours fits: the log is consistent"
    return [said("nitrate", f"{text}.", settled)]


def _name(quantity: str) -> str:
    return {"kh": "KH", "gh": "GH", "ph": "pH"}.get(quantity, quantity.replace("_", " "))


def _in_shown_unit(quantity: str, known: Estimate) -> Estimate:
    unit, factor = _SHOWN.get(quantity, (QUANTITIES[quantity].unit, 1.0))
    return known.times(factor, unit)


def _plain(quantity: str, case: Case) -> Said:
    """Say a reading with its range and the level it stands at."""
    known = _in_shown_unit(quantity, case.known[quantity].known)
    rows = targets_for(_TARGET.get(quantity, quantity), fish=case.fish)
    return judged(quantity, f"{_name(quantity)} {known.text}", known, rows, case.inputs, case.fish)


def _ammonia(case: Case) -> list[Said]:
    known = case.known["ammonia"].known
    free = free_of(case.known, case.fish)
    if free is None:
        needed = [_name(q) for q in ("ph", "temperature") if q not in case.known]
        text = f"Total ammonia {known.text}; the share that harms gills cannot be said without {' and '.join(needed)}"
        return [said("ammonia", f"{text}.", known)]
    total = (
        f"Total ammonia {known.text}: at pH {free.ph:.1f} and {free.temperature:.1f} °C {_percent(free.share)} of it "
    )
    total += f"is free ammonia, {free.free_nh3.text}"
    lines = [_free_line(case, total)]
    if case.fish:
        lines.append(_criteria_line(case, known.value, free.ph, free.temperature))
    lines.append(_film_line(free.free_n))
    lines += _what_else_shows(case)
    changed = _change_line(case, free.free_nh3.value, bad=lines[0].level in ("act", "emergency"))
    return [*lines, *([changed] if changed else [])]


def _percent(share: Estimate) -> str:
    return f"{number(100.0 * share.value)} % ({number(100.0 * share.low)} to {number(100.0 * share.high)})"


def _free_line(case: Case, text: str) -> Said:
    free = free_of(case.known, case.fish)
    assert free is not None
    if case.fish:
        return judged("ammonia", text, free.free_nh3, targets_for("ammonia_free", fish=True), case.inputs)
    line = judged("ammonia", text, free.total, targets_for("ammonia_total", fish=False), case.inputs, fish=False)
    more = "Only turtles live here; they breathe air, so this is no alarm for fish: it tells how the filter keeps up."
    return replace(line, sentence=f"{line.sentence} {more}", known=free.free_nh3)


def _criteria_line(case: Case, total: float, ph: float, temperature: float) -> Said:
    """Hold total ammonia against the lines of 2013: judged by those with mussels, the others told beside them."""
    trout, mussels = has_salmonids(case.tank), has_mussels(case.tank)
    lines = criteria(ph, temperature, trout)
    place = "above the one-hour line" if total > lines.acute else "below the thirty-day line"
    place = "between the lines" if lines.chronic < total <= lines.acute else place
    fish = "with trout or salmon" if lines.salmonids else "without trout or salmon"
    text = (
        f"Lines of the United States for total ammonia in fresh water, at this pH and temperature, {fish}, mussels "
        f"taken into account: {amount(lines.acute, 'mg/L N')} for an hour, {amount(lines.four_days, 'mg/L N')} over "
        f"four days, {amount(lines.chronic, 'mg/L N')} over thirty. This reading is {place}."
    )
    if not mussels:
        fewer = criteria(ph, temperature, trout, mussels=False)
        text += f" Without mussels, as here: {amount(fewer.acute, 'mg/L N')} and {amount(fewer.chronic, 'mg/L N')}."
    level = "emergency" if total > lines.acute else "act" if total > lines.chronic else "good"
    outside = not (6.5 <= ph <= 9.0 and 0.0 <= temperature <= 30.0)
    text += " They hold for pH 6.5 to 9 and up to 30 °C; this water lies outside." if outside else ""
    return said("ammonia", text, None, level=level, protects="fish", source="US EPA 2013, EPA-822-R-13-001, read")


def _film_line(free_n: Estimate) -> Said:
    low, high = FILM_HARMED_MG_N
    span = f"from {low:g} to {high:g} mg/L N free ammonia holds the nitrite bacteria back"
    text = f"The filter film: {span}; here {free_n.text}{', too little for that' if free_n.value < low else ''}."
    text += " Plants take ammonium up first and are not harmed by it at this level." if free_n.value < low else ""
    return said("ammonia", text, free_n, protects="filter", source="Anthonisen 1976, from memory")


def _what_else_shows(case: Case) -> list[Said]:
    """Say what a kit shows besides the tank's own ammonia: split chloramine of a late change, a binder in the water."""
    reading = case.known["ammonia"].reading
    lines: list[Said] = []
    if reading is None:
        return lines
    late = [e for e in case.events if reading.time - LATE <= e.time <= reading.time]
    change = next((e for e in reversed(late) if isinstance(e, Change)), None)
    chloramine = case.known["tap_chloramine"].known if "tap_chloramine" in case.known else None
    if change is not None and case.litres and chloramine is not None and chloramine.value > 0.0:
        litres = change.litres_of(case.litres) or 0.0
        left = chloramine.times(float(ammonia_from_chloramine(1.0)) * min(litres / case.litres, 1.0), "mg/L N")
        text = f"The change of {litres:.0f} L on {change.time:%Y-%m-%d} brought chloramine: {left.text} of this comes "
        text += "from it, and the filter takes it in a day."
        lines.append(said("ammonia", text, left, source="stoichiometry"))
    for dose in (e for e in late if isinstance(e, Dose)):
        record = resolve("conditioner", dose.substance)
        effect = record.words("test_effect") if isinstance(record, Record) else ""
        if effect and isinstance(record, Record):
            lines.append(said("ammonia", f"{record.name} was dosed: {effect}.", source="from memory of its chemistry"))
    return lines


def _change_line(case: Case, free_now: float, bad: bool) -> Said | None:
    after = after_change(case.known, case.fraction)
    if after is None:
        return None
    text = (
        f"A change of {100.0 * case.fraction:.0f} % in one go would bring pH to {after.ph:.1f}, total ammonia to "
        f"{amount(after.total_n, 'mg/L N')} and free ammonia to {amount(after.free_nh3, 'mg/L NH3')}"
    )
    rises = after.free_nh3 > 1.5 * free_now and after.free_nh3 > 0.005
    text += (
        "; it rises although there is less ammonia, because the pH rises: change little and often." if rises else "."
    )
    if bad and not rises and after.free_nh3 < free_now:
        text += " Harmless in any case: no food today, such a change with conditioner, and a test tomorrow."
    source = "alkalinity and inorganic carbon mixed, pH solved (Plummer & Busenberg 1982); the tap's pH as you gave it"
    return said("ammonia", text, None, source=source)


def _nitrite(case: Case) -> list[Said]:
    line = _plain("nitrite", case)
    if not case.fish:
        more = "Turtles take no harm from this that is known; it marks a young or failing filter film."
        return [replace(line, sentence=f"{line.sentence} {more}")]
    nitrite = _in_shown_unit("nitrite", case.known["nitrite"].known)
    low, high = CHLORIDE_RATIO
    wanted = f"{number(low * nitrite.value)} to {number(high * nitrite.value)} mg/L of chloride"
    text = f"Chloride shields the gills of many fish, not of all: against this nitrite fish farms keep {wanted}."
    litres = case.litres
    if litres and nitrite.value > 0.1:
        grams = float(salt_against_nitrite(nitrite.value, 0.0, litres, low))
        text += (
            f" In a water without any, that would be {amount(grams, 'g')} of common salt in {litres:.0f} L; ask the "
        )
        text += (
            "water supplier for the chloride of the tap first, it is often enough. Many plants and snails mind salt."
        )
    return [line, said("nitrite", text, None, protects="fish", source="practice of fish farms, read; Tomasso 1986")]


def _missing(case: Case, shown: Sequence[str]) -> list[str]:
    """Ask for what would decide most."""
    found = []
    if "ammonia" in shown and ("ph" not in case.known or "temperature" not in case.known):
        found.append("pH and temperature at the same hour: without them ammonia cannot be judged.")
    if "ammonia" in shown and "tap_ph" not in case.known:
        found.append("pH and KH of the tap, aired for a day: then what a change does to the ammonia can be worked out.")
    if "kh" in shown and "tap_kh" not in case.known:
        found.append("KH of the tap: then the days until the KH is used up can be said.")
    if case.litres is None:
        found.append("The litres of real water in the tank.")
    return found


def _new_water(case: Case) -> NewWater | None:
    if not case.litres or not case.change_l or math.isclose(case.change_l, 0.0):
        return None
    chlorine, chloramine, ammonia = (
        case.known[name].known if name in case.known else None for name in ("tap_chlorine", "tap_chloramine", "ammonia")
    )
    return new_water(case.change_l, case.litres, chlorine, chloramine, ammonia)
