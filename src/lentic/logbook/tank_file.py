"""Read and write tank.toml: each key has its place in a table; an unknown one is refused by name and line.

A little longer than other files, so that all keys stand in one place.
"""

from __future__ import annotations

import dataclasses
import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from lentic.logbook import told
from lentic.logbook.problems import Problem, Severity, did_you_mean
from lentic.logbook.tank import (
    SHAPES,
    Filter,
    Fish,
    Fixture,
    Glass,
    Heater,
    Home,
    Packet,
    Plant,
    Room,
    SourceWater,
    Tank,
    Turtle,
)

FORMAT = "lentic-tank-1"
FILE = "tank.toml"


class _Wrong(Exception):
    """A value that cannot stand where it stands; the text says why and what to write."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.remedy = remedy


Check = Callable[[Any], Any]


def _number(low: float, high: float) -> Check:
    def check(value: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise _Wrong(
                f"must be a number, not {_shown(value)}.", "Write it without quotes and unit, with a point."
            )
        if not low <= value <= high:
            raise _Wrong(f"cannot be {value:g}.", f"It lies between {low:g} and {high:g}.")
        return float(value)

    return check


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not 1 <= value <= 100000:
        raise _Wrong(f"must be a whole number from 1, not {_shown(value)}.", "Write a count, such as 2.")
    return value


def _storey(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int) or not -5 <= value <= 200:
        raise _Wrong(f"must be a whole number, not {_shown(value)}.", "Write 0 for the ground floor, 1 for the first.")
    return value


def _text(value: Any) -> str:
    if not isinstance(value, str) or not value.strip():
        raise _Wrong(f"must be a text, not {_shown(value)}.", "Write it in quotes.")
    return value.strip()


def _one_of(*words: str) -> Check:
    def check(value: Any) -> str:
        if value not in words:
            raise _Wrong(f"cannot be {_shown(value)}.", did_you_mean(str(value), words))
        return str(value)

    return check


def _yes_no(value: Any) -> bool:
    if not isinstance(value, bool):
        raise _Wrong(f"must be true or false, not {_shown(value)}.", "Write true or false without quotes.")
    return value


def _day(value: Any) -> date:
    if isinstance(value, datetime) or not isinstance(value, date):
        raise _Wrong(f"must be a date, not {_shown(value)}.", "Write it as 2026-03-01, without quotes.")
    return value


def _clock(value: Any) -> time:
    if isinstance(value, time):
        return value
    try:
        return time.fromisoformat(_text(value))
    except ValueError as error:
        raise _Wrong(f"must be a time of day, not {_shown(value)}.", 'Write it as "09:00".') from error


def _zone(value: Any) -> str:
    name = _text(value)
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise _Wrong(
            f"cannot be {_shown(value)}.", 'Write a zone of the IANA list, such as "Europe/Oslo".'
        ) from error
    return name


def _country(value: Any) -> str:
    code = _text(value)
    if not re.fullmatch(r"[A-Z]{2}", code):
        raise _Wrong(
            f"cannot be {_shown(value)}.", 'Write the two capital letters of ISO 3166-1, such as "NO".'
        )
    return code


def _shown(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value)


_CM = _number(1.0, 2000.0)
_LITRES = _number(0.0, 100000.0)
_SHARE = _number(0.0, 1.0)
_WATTS = _number(0.0, 5000.0)
_HOURS = _number(0.0, 24.0)
_MG_L = _number(0.0, 500.0)


@dataclass(frozen=True)
class Section:
    """One table of the file: where it goes in the tank, what it becomes, its keys, which it needs."""

    attribute: str
    becomes: type
    keys: Mapping[str, Check]
    many: bool = False
    needs: tuple[str, ...] = ()


TOP: dict[str, Check] = {
    "format": _text, "name": _text, "timezone": _zone, "country": _country, "latitude": _number(-90.0, 90.0),
    "as_of": _day,
}  # fmt: skip
# Bounds are wide on purpose (common practice, no source): they catch slips of the pen, nothing else.
SECTIONS: dict[str, Section] = {
    "tank": Section("glass", Glass, {
        "pane": _one_of("glass", "acrylic"), "length_cm": _CM, "width_cm": _CM, "water_depth_cm": _CM,
        "height_cm": _CM, "pane_mm": _number(1.0, 200.0), "braced": _yes_no, "solids_l": _LITRES,
        "water_l": _number(0.5, 100000.0), "lid_open_fraction": _SHARE,
        "shape": _one_of(*SHAPES), "bow_cm": _CM, "bottom_length_cm": _CM, "bottom_width_cm": _CM,
    }),
    "room": Section("room", Room, {
        "temperature_c": _number(-40.0, 60.0), "relative_humidity": _SHARE,
        "co2_ppm": _number(100.0, 50000.0),
        "window_sun_h": _HOURS,
    }),
    "home": Section("home", Home, {
        "rim_above_foothold_cm": _number(0.0, 500.0), "gap_cm": _number(0.0, 200.0), "grain_mm": _number(0.0, 500.0),
        "ramp_deg": _number(0.0, 90.0), "ramp_rough": _yes_no, "platform_carries_g": _number(0.0, 200000.0),
        "platform_tips": _yes_no, "climbing_path": _yes_no, "nest_box": _yes_no, "seams_made": _day,
        "seams_peel": _yes_no, "edge_chipped": _yes_no, "stand_kg": _number(0.0, 5000.0), "stand_length_cm": _CM,
        "stand_width_cm": _CM, "stand_slope_mm_m": _number(0.0, 200.0), "storey": _storey,
        "breaker_ma": _number(1.0, 1000.0), "breaker_tested": _day, "drip_loops": _yes_no,
        "sockets_above_rim": _yes_no, "vulnerable_person": _yes_no,
    }),
    "source_water": Section("source_water", SourceWater, {
        "ph": _number(2.0, 12.0), "kh_dkh": _number(0.0, 50.0), "gh_dgh": _number(0.0, 100.0),
        "no3_mg_l": _MG_L,
        "po4_mg_l": _number(0.0, 50.0), "tan_mgn_l": _number(0.0, 50.0), "chlorine_mg_l": _number(0.0, 20.0),
        "chloramine_mg_l": _number(0.0, 20.0), "temperature_c": _number(0.0, 60.0),
    }),
    "filter": Section("filter", Filter, {
        "type": _one_of("canister", "internal", "sponge", "trickle", "moving_bed", "none"),
        "media_l": _number(0.0, 2000.0), "medium": _text, "flow_l_h": _number(0.0, 100000.0),
    }),
    "heater": Section("heater", Heater, {"watts": _WATTS, "set_c": _number(0.0, 45.0)}),
    "turtle": Section("turtles", Turtle, {
        "id": _text, "species": _text, "sex": _one_of("female", "male", "unknown"),
        "mass_g": _number(1.0, 200000.0), "scl_cm": _number(1.0, 200.0), "hatched": _day,
        "shell_width_cm": _number(1.0, 200.0), "shell_height_cm": _number(1.0, 200.0), "vet_checked": _day,
    }, many=True, needs=("id",)),
    "fish": Section("fish", Fish, {
        "species": _text, "count": _whole, "mass_g": _number(0.001, 50000.0),
    }, many=True, needs=("species",)),
    "plant": Section("plants", Plant, {
        "species": _text, "wet_g": _number(0.0, 100000.0), "dry_fraction": _number(0.005, 0.95),
    }, many=True, needs=("species",)),
    "lamp": Section("lamps", Fixture, {
        "use": _one_of("plants", "basking", "uvb", "basking_uvb", "room"), "class": _text, "watts": _WATTS,
        "height_cm": _number(0.0, 500.0), "ppfd": _number(0.0, 3000.0), "hours": _HOURS, "on": _clock,
        "fitted": _day, "shell_cm": _number(0.0, 500.0), "through": _one_of("nothing", "mesh", "glass", "acrylic"),
        "mesh_wire_mm": _number(0.05, 20.0), "mesh_pitch_mm": _number(0.1, 100.0), "length_cm": _CM, "width_cm": _CM,
        "circuit": _text, "fixings": _whole, "guarded": _yes_no,
    }, many=True, needs=("use",)),
    "food": Section("foods", Packet, {
        "id": _text, "protein": _SHARE, "fat": _SHARE, "ash": _SHARE, "water": _SHARE, "fibre": _SHARE,
        "phosphorus": _SHARE, "calcium": _SHARE, "kcal_100g": _number(0.0, 900.0), "scoop_g": _number(0.001, 500.0),
    }, many=True, needs=("id",)),
}  # fmt: skip
RENAMED = {"class": "lamp_class"}
"""Keys of the file that are words of the language."""

Place = tuple[str, int, str]
_TABLE = re.compile(r"\s*\[(\[)?\s*([^\]]+?)\s*\]")
_KEY = re.compile(r"""\s*(?:"([^"]+)"|'([^']+)'|([A-Za-z0-9_-]+))\s*(?:=|\.)""")


def key_lines(text: str) -> dict[Place, int]:
    """Find the line of every key: (section, which of several, key); a section itself has the key ''."""
    lines: dict[Place, int] = {}
    section, count, inside = "", 0, ""
    for number, line in enumerate(text.split("\n"), start=1):
        fences = [fence for fence in ('"""', "'''") if line.count(fence) % 2]
        if inside:
            inside = "" if inside in fences else inside
            continue
        if table := _TABLE.match(line):
            section = table[2].strip("\"'")
            count = 1 + max((which for name, which, _ in lines if name == section), default=-1)
            lines[section, count, ""] = number
        elif key := _KEY.match(line):
            lines.setdefault((section, count if section else 0, key[1] or key[2] or key[3]), number)
        inside = fences[0] if fences else ""
    return lines


class _Reader:
    """Turns the plain data of the file into a tank, collecting what is wrong on the way."""

    def __init__(self, text: str) -> None:
        self.lines = key_lines(text)
        self.problems: list[Problem] = []

    def say(self, place: Place, message: str, remedy: str, severity: Severity = "refused") -> None:
        line = self.lines.get(place) or self.lines.get((place[0], place[1], ""))
        name = ".".join(part for part in (place[0], place[2]) if part)
        self.problems.append(
            Problem(line=line, field=name, message=message, remedy=remedy, severity=severity, file=FILE)
        )

    def keys(
        self, section: str, which: int, data: Mapping[str, Any], known: Mapping[str, Check]
    ) -> dict[str, Any]:
        """Return the values that hold, and name those that do not."""
        values = {}
        for key, value in data.items():
            place = (section, which, key)
            if key not in known:
                names = tuple(known) if section else (*known, *SECTIONS)
                whole = place if place in self.lines else (key, 0, "")
                self.say(whole, f"'{key}' is not a known key{_of(section)}.", did_you_mean(key, names))
                continue
            try:
                values[RENAMED.get(key, key)] = known[key](value)
            except _Wrong as wrong:
                self.say(place, f"'{key}'{_of(section)} {wrong}", wrong.remedy)
        return values

    def section(self, name: str, data: Any) -> Any:
        """Return the record, or the records, of one section."""
        section = SECTIONS[name]
        if isinstance(data, list) != section.many:
            shape = f"[[{name}]], one for each" if section.many else f"[{name}], only once"
            self.say((name, 0, ""), f"'{name}' is written the wrong way.", f"Write it as {shape}.")
            return () if section.many else None
        if not section.many:
            return section.becomes(**self.keys(name, 0, data, section.keys))
        return tuple(self._several(name, section, data))

    def _several(self, name: str, section: Section, data: list[Any]) -> list[Any]:
        found: list[Any] = []
        seen: set[str] = set()
        for which, item in enumerate(data):
            values = self.keys(name, which, item, section.keys)
            missing = [key for key in section.needs if key not in values]
            if missing:
                self.say(
                    (name, which, ""), f"This {name} has no usable '{missing[0]}' and is not read.", "Add it."
                )
                continue
            if section.needs == ("id",) and values["id"] in seen:
                self.say((name, which, "id"), f"Two have the id '{values['id']}'.", "Give each its own.")
                continue
            seen.add(values.get("id", ""))
            found.append(section.becomes(**values))
        return found


def _of(section: str) -> str:
    return f" of [{section}]" if section else ""


def read_tank(text: str) -> tuple[Tank | None, tuple[Problem, ...]]:
    """Read the text of a tank.toml; no tank comes back only if it has no name or is not TOML at all."""
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n")
    try:
        data = tomllib.loads(plain)
    except tomllib.TOMLDecodeError as error:
        return None, (_not_toml(error),)
    reader = _Reader(plain)
    top = {key: value for key, value in data.items() if key not in SECTIONS and key != told.SECTION}
    values = reader.keys("", 0, top, {**TOP})
    stated = values.pop("format", None)
    if stated != FORMAT:
        reader.say(("", 0, "format"), f"The format is {_shown(stated)}.", f'Write format = "{FORMAT}".')
    if "name" not in values:
        reader.say(("", 0, "name"), "The tank has no name.", 'Write name = "…" at the top.')
        return None, tuple(reader.problems)
    for name in SECTIONS:
        if name in data:
            record = reader.section(name, data[name])
            if record is not None:
                values[SECTIONS[name].attribute] = record
    if told.SECTION in data:
        values["facts"], refused = told.read_told(data[told.SECTION], plain, FILE)
        reader.problems += refused
    tank = Tank(**values)
    _ask_about(tank, reader)
    return tank, tuple(sorted(reader.problems, key=lambda problem: problem.line or 0))


def _not_toml(error: tomllib.TOMLDecodeError) -> Problem:
    found = re.search(r"at line (\d+)", str(error))
    return Problem(
        line=int(found[1]) if found else None, field="", file=FILE, severity="refused",
        message=f"The file is not TOML: {str(error).split(' (at')[0]}.",
        remedy='Texts stand in quotes, decimals have a point: name = "Loft tank", length_cm = 100.5.',
    )  # fmt: skip


def _ask_about(tank: Tank, reader: _Reader) -> None:
    if tank.timezone is None:
        reader.say(
            ("", 0, "timezone"),
            "The time zone is not known; UTC is assumed.",
            'Write timezone = "Europe/Oslo".',
            "ask",
        )
    if tank.water_litres is None:
        reader.say(
            ("tank", 0, ""), "The volume of the water is not known.",
            "Write water_l, or length_cm, width_cm and water_depth_cm, under [tank].", "ask",
        )  # fmt: skip
    box, glass = tank.measured_litres, tank.glass
    if box is not None and glass.water_l is not None and not 0.4 <= glass.water_l / box <= 1.25:
        reader.say(
            ("tank", 0, "water_l"),
            f"The bucket gives {glass.water_l:g} L, the measures {box:.0f} L; the bucket wins.",
            "Check both.", "ask",
        )  # fmt: skip


def tank_text(tank: Tank) -> str:
    """Write a tank as the text of a tank.toml; what is unknown is left out."""
    import tomlkit

    document = tomlkit.document()
    document["format"] = FORMAT
    for key in TOP:
        value = getattr(tank, key, None)
        if value is not None:
            document[key] = value
    for name, section in SECTIONS.items():
        record = getattr(tank, section.attribute)
        if section.many and record:
            several = tomlkit.aot()
            for each in record:
                several.append(_table_of(each))
            document[name] = several
        elif not section.many and record is not None and (written := _table_of(record)):
            document[name] = written
        elif not section.many and record is not None and name in ("filter", "heater"):
            document[name] = tomlkit.table()
    if tank.facts:
        document[told.SECTION] = told.written(tank.facts)
    return tomlkit.dumps(document)


def _table_of(record: Any) -> Any:
    import tomlkit

    written = {name: key for key, name in RENAMED.items()}
    table = tomlkit.table()
    for field in dataclasses.fields(record):
        value = getattr(record, field.name)
        if value is not None:
            plain = (
                value.isoformat("minutes" if not value.second else "auto")
                if isinstance(value, time)
                else value
            )
            table[written.get(field.name, field.name)] = plain
    return table
