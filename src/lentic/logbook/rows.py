"""From the six cells of a line to an event and back: one small reader and one writer for each kind.

Longer than other files: what a line of a kind may say is looked up here, its reader and its writer in one place.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from lentic.catalogue import Record, normalise, resolve
from lentic.catalogue.hazards import hazards
from lentic.logbook.amounts import Line, RefusedCell, Row, Surroundings, plain
from lentic.logbook.cells import NUMBER, Unreadable, on_the_clock, read_time
from lentic.logbook.events import (
    EVENTS,
    KINDS,
    Change,
    Dose,
    Event,
    Flow,
    Leftovers,
    Look,
    Power,
    Reading,
    Refused,
    Scrape,
    Siphon,
    Void,
    what_of,
)
from lentic.logbook.problems import Problem, did_you_mean
from lentic.logbook.units import (
    COUNT,
    DOSE_VOLUME,
    DROPS,
    FLOW,
    FRACTION,
    GRADE,
    HOURS,
    LENGTH,
    MASS,
    QUANTITIES,
    SCOOP,
    TEMPERATURE,
    UNITS_OF_KIND,
    VOLUME,
    Unit,
    fold,
    units_for,
)

LOOKED_AT = ("panes", "plants", "water", "shell", "wood")
EXTENTS = ("half", "all", "floss")
LAMP_USES = ("plants", "basking", "uvb", "basking_uvb", "room")
# What no keeper's line can mean (common practice, no source): bounds catch slips, they judge nothing.
MOST_FOOD_G, MOST_PLANT_G, MOST_ANIMAL_G, MOST_LENGTH_CM = 5000.0, 50000.0, 200000.0, 200.0
COLDEST_REST_C, WARMEST_REST_C = -5.0, 30.0
MOST_LITRES, MOST_FLOW_L_H, MOST_DOSE, MOST_ANIMALS = 50000.0, 50000.0, 20000.0, 10000.0
MOST_CHANGE_OF_TANK = 1.5
"""A change empties a tank at most once; the half more leaves room for a volume that was only estimated."""
_MASS_IN_NOTE = re.compile(r"(?<![\d.,])(\d+(?:[.,]\d+)?)\s*(mg|kg|g)\b", re.IGNORECASE)
_TOGETHER = re.compile(r"\b(together|in all|total|altogether)\b", re.IGNORECASE)

Fields = dict[str, Any]


def _feed(line: Line) -> Fields:
    food = line.name("the id of the food")
    amount, unit = line.measured(UNITS_OF_KIND["feed"])
    if unit.name == SCOOP:
        unit = _scoop(line, food, amount.value)
    grams = line.within(amount, unit, 0.0, MOST_FOOD_G)
    return {"food": food, "grams": grams, "spread": line.row.note.strip().casefold().startswith("sum")}


def _scoop(line: Line, food: str, count: float) -> Unit:
    """Weigh a scoop as the tank's description says; a scoop nobody has weighed is asked about, never guessed."""
    packets = line.around.tank.foods if line.around.tank else ()
    wanted = {normalise(food)} | {record.id for record in (resolve("food", food),) if isinstance(record, Record)}
    scoop = next((each.scoop_g for each in packets if {normalise(each.id), each.id} & wanted and each.scoop_g), None)
    if scoop is None:
        raise RefusedCell(
            "unit", f"What a scoop of {food} weighs is not known.",
            f'Weigh ten scoops once, and write a tenth as scoop_g under [[food]] with id = "{food}" in tank.toml.',
            ask=True,
        )  # fmt: skip
    line.say("unit", f"{plain(count)} x {plain(scoop)} g of {food}: {plain(count * scoop)} g.", "", "note")
    return Unit(SCOOP, scoop)


def _leftovers(line: Line) -> Fields:
    food = line.name("the id of the food")
    amount, unit = line.measured(UNITS_OF_KIND["leftovers"])
    if unit.name in ("fraction", "%"):
        return {"food": food, "fraction": line.within(amount, unit, 0.0, 1.0)}
    return {"food": food, "grams": line.within(amount, unit, 0.0, MOST_FOOD_G)}


def _reading(line: Line) -> Fields:
    name = line.word(tuple(QUANTITIES))
    quantity = QUANTITIES[name]
    amount = line.number()
    unit = line.unit_of(amount, quantity.units, quantity.bare)
    unit = _drops(line, amount.value, unit) if unit.name == DROPS else unit
    value = line.within(amount, unit, quantity.low, quantity.high)
    if unit.name == "mg/L NH3":
        line.say(
            "unit", "mg/L NH3 is read as total ammonia expressed as NH3, not as the free share.",
            "Write mg/L NH4 or mg/L N if the kit says so.", "ask",
        )  # fmt: skip
    written_unit = line.row.unit.strip() or amount.rest
    return {
        "quantity": name, "value": value, "unit": quantity.unit,
        "below": amount.sign == "<" or (quantity.colour_kit and amount.value == 0),
        "above": amount.sign == ">",
        "written": f"{amount.sign}{amount.text.replace(',', '.')} {written_unit}".strip(),
    }  # fmt: skip


def _drops(line: Line, count: float, drops: Unit) -> Unit:
    """Say what a drop is taken to stand for; a count no kit reaches is in the keeper's other unit."""
    quantity = QUANTITIES[line.row.what.strip()]
    usual = line.around.usual.get(line.key)
    other = quantity.units.get(usual) if usual else None
    if drops.convert(count) > quantity.high and other and other.convert(count) <= quantity.high:
        line.say(
            "unit",
            f"{plain(count)} drops is beyond any water; {other.name} is assumed, as in your other lines.",
            f"Write {other.name} if that is right.", "ask",
        )  # fmt: skip
        return other
    line.say(
        "unit", "What one drop stands for depends on the kit; 1 German degree is assumed.",
        "Write dKH or dGH, or the unit the kit's leaflet gives.", "ask",
    )  # fmt: skip
    return drops


def _look(line: Line) -> Fields:
    return {"where": line.word(LOOKED_AT), "grade": line.exactly(GRADE, 0.0, 4.0)}


def _scrape(line: Line) -> Fields:
    where = line.word(LOOKED_AT) if line.row.what.strip() else "panes"
    if not line.row.amount.strip():
        return {"where": where, "grade": None}
    return {"where": where, "grade": line.exactly(GRADE, 0.0, 4.0)}


def _change(line: Line) -> Fields:
    line.nothing_in("what")
    amount, unit = line.measured(UNITS_OF_KIND["change"])
    if unit.name == "%":
        return {"percent": line.within(amount, unit, 0.0, 100.0)}
    return {"litres": _litres_of_tank(line, line.within(amount, unit, 0.0, MOST_LITRES), "changed")}


def _top_up(line: Line) -> Fields:
    if not line.row.what.strip():
        line.say(
            "what", "The top-up does not say with which water; source water is assumed.",
            "Write source or demineralised.", "ask",
        )  # fmt: skip
        water = "source"
    else:
        water = line.word(("source", "demineralised"))
    return {
        "water": water,
        "litres": _litres_of_tank(line, line.exactly(VOLUME, 0.0, MOST_LITRES), "topped up"),
    }


def _litres_of_tank(line: Line, litres: float, done: str) -> float:
    tank = line.around.tank
    whole = tank.water_litres if tank else None
    if whole is not None and litres > MOST_CHANGE_OF_TANK * whole:
        raise RefusedCell(
            "amount", f"{plain(litres)} L {done} is more than this tank of {plain(whole)} L holds.",
            "Check the number, its unit and the tank's water_l.",
        )  # fmt: skip
    return litres


def _siphon(line: Line) -> Fields:
    line.nothing_in("what")
    if not line.row.amount.strip():
        return {"fraction": None}
    return {"fraction": line.exactly(FRACTION, 0.0, 1.0)}


def _plant(line: Line) -> Fields:
    return {"species": line.name("the species"), "grams": line.exactly(MASS, 0.0, MOST_PLANT_G)}


def _rinse(line: Line) -> Fields:
    line.nothing_in("amount", "unit")
    extent = line.word(EXTENTS)
    note = line.row.note.casefold()
    from_tank, from_tap = "tank water" in note, re.search(r"\btap\b", note) is not None
    if from_tank != from_tap:
        return {"extent": extent, "water": "tank" if from_tank else "tap"}
    line.say(
        "note", "The note does not say in which water the media were rinsed; tank water is assumed.",
        "Write 'in tank water' or 'under the tap' in the note.", "ask",
    )  # fmt: skip
    return {"extent": extent, "water": None}


def _lamp(line: Line) -> Fields:
    return {"use": line.word(LAMP_USES), "hours": line.exactly(HOURS, 0.0, 24.0)}


def _power(line: Line) -> Fields:
    line.nothing_in("amount", "unit")
    return {"on": line.word(("off", "on")) == "on"}


def _flow(line: Line) -> Fields:
    line.nothing_in("what")
    return {"litres_per_hour": line.exactly(FLOW, 0.0, MOST_FLOW_L_H)}


def _animal(line: Line) -> str:
    known = line.around.animals
    if line.row.what.strip() or len(known) != 1:
        name = line.name("the id of the turtle")
        if known and name not in known:
            raise RefusedCell(
                "what", f"No animal with the id '{name}' is known.", did_you_mean(name, sorted(known))
            )
        return name
    (only,) = known
    line.say("what", f"The animal is not named; {only}, the only one, is assumed.", f"Write {only}.", "ask")
    return only


def _weigh(line: Line) -> Fields:
    return {
        "animal": _animal(line),
        "grams": _more_than_nothing(line, line.exactly(MASS, 0.0, MOST_ANIMAL_G)),
    }


def _measure(line: Line) -> Fields:
    length = line.exactly(LENGTH, 0.0, MOST_LENGTH_CM)
    return {"animal": _animal(line), "centimetres": _more_than_nothing(line, length)}


def _more_than_nothing(line: Line, value: float) -> float:
    if value <= 0:
        raise RefusedCell(
            "amount", f"An animal cannot {line.row.kind} 0.", "Leave the line out, or write the number."
        )
    return value


def _dose(line: Line) -> Fields:
    substance = line.name("what was dosed")
    amount, unit = line.measured(UNITS_OF_KIND["dose"])
    value = line.within(amount, unit, 0.0, MOST_DOSE)
    return {"substance": substance, "amount": value, "unit": "mL" if unit in DOSE_VOLUME.values() else "g"}


def _animals(line: Line) -> Fields:
    what = line.name("the species or id")
    count = line.exactly(COUNT, 1.0, MOST_ANIMALS)
    if count != int(count):
        raise RefusedCell("amount", f"{plain(count)} animals cannot be right.", "Write a whole number.")
    return {"what": what, "count": int(count), "mass_g": _mass_each(line.row.note, int(count))}


def _mass_each(note: str, count: int) -> float | None:
    found = _MASS_IN_NOTE.search(note)
    if not found:
        return None
    grams = MASS[found[2].casefold()].convert(float(found[1].replace(",", ".")))
    return grams / count if _TOGETHER.search(note) else grams


def _sign(line: Line) -> Fields:
    line.nothing_in("amount", "unit")
    if not line.row.note.strip():
        raise RefusedCell("note", "The sign itself is missing.", "Write what you saw in the note.")
    return {"animal": _animal(line)}


def _rest(line: Line) -> Fields:
    animal = _animal(line)
    if not line.row.amount.strip():
        return {"animal": animal, "celsius": None}
    return {"animal": animal, "celsius": line.exactly(TEMPERATURE, COLDEST_REST_C, WARMEST_REST_C)}


def _wake(line: Line) -> Fields:
    line.nothing_in("amount", "unit")
    return {"animal": _animal(line)}


def _overrule(line: Line) -> Fields:
    line.nothing_in("amount", "unit")
    rule = line.name("the rule").upper()
    if rule not in hazards():
        raise RefusedCell("what", f"{rule} is no rule of `lentic check`.", "Write its name as the check shows it.")
    if not line.row.note.strip():
        raise RefusedCell("note", "The reason is missing.", "Write in the note why you go against the rule.")
    return {"rule": rule}


def _void(line: Line) -> Fields:
    line.nothing_in("amount", "unit")
    parts = line.row.what.strip().split(maxsplit=2)
    if len(parts) < 2:
        raise RefusedCell(
            "what", f"'{line.row.what.strip()}' does not name a line to take back.",
            "Write its time and kind, such as 2026-03-01T18:35 change.",
        )  # fmt: skip
    if parts[1] not in KINDS:
        raise RefusedCell("what", f"'{parts[1]}' is not a kind of line.", did_you_mean(parts[1], KINDS))
    try:
        moment = read_time(parts[0], _zone(line.around), line.around.habits)
    except Unreadable as error:
        raise RefusedCell("what", str(error), error.remedy, ask=error.ask) from error
    return {
        "of_time": moment.utc,
        "of_kind": parts[1],
        "of_what": parts[2].strip() if len(parts) > 2 else None,
    }


READERS: dict[str, Callable[[Line], Fields]] = {
    "feed": _feed, "leftovers": _leftovers, "reading": _reading, "look": _look, "scrape": _scrape,
    "change": _change, "top_up": _top_up, "siphon": _siphon, "thin": _plant, "plant": _plant,
    "lost_plant": _plant,
    "rinse": _rinse, "lamp": _lamp, "power": _power, "flow": _flow, "weigh": _weigh, "measure": _measure,
    "dose": _dose, "animal_in": _animals, "animal_out": _animals, "sign": _sign, "rest": _rest, "wake": _wake,
    "overrule": _overrule, "void": _void,
}  # fmt: skip


def _zone(around: Surroundings) -> ZoneInfo:
    return around.tank.zone if around.tank else ZoneInfo("UTC")


def read_row(row: Row, around: Surroundings, nearest: datetime) -> tuple[Event, list[Problem]]:
    """Read one line; what cannot be read comes back as a `Refused` event with the problem beside it."""
    line = Line(row, around)
    time: datetime | None = None
    try:
        try:
            moment = read_time(row.time, _zone(around), around.habits)
        except Unreadable as error:
            raise RefusedCell("time", str(error), error.remedy, ask=error.ask) from error
        time = moment.utc
        if moment.assumed:
            line.say("time", moment.assumed, moment.remedy, "ask")
        kind = row.kind
        if kind not in READERS:
            raise RefusedCell(
                "kind",
                f"'{kind}' is not a known kind." if kind else "The kind is missing.",
                did_you_mean(kind, KINDS),
            )
        return EVENTS[kind](time=time, note=row.note, line=row.line, **READERS[kind](line)), line.problems
    except RefusedCell as stop:
        problem = Problem(
            line=row.line, field=stop.cell, message=stop.message, remedy=stop.remedy,
            severity="ask" if stop.ask else "refused", file=around.file,
        )  # fmt: skip
        return Refused(time=time or nearest, line=row.line, text=row.text), [*_standing(line), problem]


def _standing(line: Line) -> list[Problem]:
    """Keep what was said about the time of a line refused for another cell; the rest fell with it."""
    return [problem for problem in line.problems if problem.field == "time"]


def write_time(moment: datetime, zone: ZoneInfo) -> str:
    """Write a moment on the tank's clock; with its offset only where the clock showed that time twice."""
    local = moment.astimezone(zone)
    naive = local.replace(tzinfo=None)
    seconds = "minutes" if not (naive.second or naive.microsecond) else "auto"
    if on_the_clock(naive, zone)[0] == moment.astimezone(UTC):
        return naive.isoformat(timespec=seconds)
    return local.isoformat(timespec=seconds)


def number_text(value: float) -> str:
    """Write a number so that it reads back as the same number."""
    return repr(int(value)) if value == int(value) and abs(value) < 1e15 else repr(float(value))


def write_row(event: Event, zone: ZoneInfo) -> list[str]:
    """Write an event as the six cells of a line."""
    if isinstance(event, Refused):
        raise ValueError("a refused line is written as it stood, not as cells")
    what, amount, unit = what_of(event), "", ""
    if isinstance(event, Void):
        what = " ".join(
            part for part in (write_time(event.of_time, zone), event.of_kind, event.of_what) if part
        )
    elif isinstance(event, Reading):
        amount, unit = _reading_cells(event)
    elif (cells := _amount_cells(event)) is not None:
        amount, unit = number_text(cells[0]), cells[1]
    return [write_time(event.time, zone), event.kind, what, amount, unit, event.note]


def _reading_cells(event: Reading) -> tuple[str, str]:
    if event.written:
        amount, _, unit = event.written.partition(" ")
        return amount, unit
    sign = "<" if event.below and event.value else ">" if event.above else ""
    return f"{sign}{number_text(event.value)}", event.unit


def _amount_cells(event: Event) -> tuple[float, str] | None:
    match event:
        case Leftovers(fraction=float(part)) | Siphon(fraction=float(part)):
            return part, "fraction"
        case Change(percent=float(part)):
            return part, "%"
        case Look(grade=grade) | Scrape(grade=float(grade)):
            return grade, "grade"
        case Flow():
            return event.litres_per_hour, "L/h"
        case Dose():
            return event.amount, event.unit
        case Power():
            return None
    units = {"grams": "g", "litres": "L", "hours": "h", "centimetres": "cm", "celsius": "°C", "count": ""}
    for name, unit in units.items():
        value = getattr(event, name, None)
        if value is not None:
            return value, unit
    return None


def counted_unit(row: Row) -> tuple[str, str] | None:
    """Return under which key and unit a line counts towards the keeper's habits; a slip counts for none."""
    written = row.unit.strip()
    folded = fold(written) if written else ""
    units = units_for(row.kind, row.what.strip())
    if not folded or folded not in units or units[folded].name == DROPS:
        return None
    if row.kind == "reading" and not _holds(row, units[folded]):
        return None
    key = f"reading {row.what.strip()}" if row.kind == "reading" else row.kind
    return key, fold(units[folded].name)


def _holds(row: Row, unit: Unit) -> bool:
    """Tell whether a reading is possible in the unit it is written in."""
    found = NUMBER.search(row.amount)
    if not found or (unit.reciprocal and not float(found[0].replace(",", "."))):
        return False
    quantity = QUANTITIES[row.what.strip()]
    return quantity.low <= unit.convert(float(found[0].replace(",", "."))) <= quantity.high
