"""What a tank is, on one form: every fact with its unit, what is assumed where one is missing, and how to change it."""

from __future__ import annotations

import typing
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from functools import cache
from typing import Any

from lentic.keeper.desk import Desk
from lentic.logbook.problems import Problem
from lentic.logbook.tank import Tank
from lentic.logbook.tank_file import FORMAT, RENAMED, SECTIONS, TOP, read_tank
from lentic.model.describe import Assumption, describe

TITLES = {
    "": "The tank", "tank": "Glass and water", "room": "The room", "home": "Around the tank",
    "source_water": "Source water", "filter": "Filter", "heater": "Heater", "turtle": "Turtles",
    "fish": "Fish and others", "plant": "Plants", "lamp": "Lamps", "food": "Foods by their packet",
}  # fmt: skip
FIRST = ("", "tank", "turtle", "plant", "lamp", "source_water", "filter", "heater", "room", "fish", "food", "home")
_ENDINGS = (
    ("_mg_l", "mg/L"), ("_mgn_l", "mg/L as N"), ("_l_h", "L/h"), ("_dkh", "dKH"), ("_dgh", "dGH"), ("_ppm", "ppm"),
    ("_mm_m", "mm per m"), ("_cm", "cm"), ("_mm", "mm"), ("_kg", "kg"), ("_deg", "degrees"), ("_ma", "mA"),
    ("_c", "°C"), ("_g", "g"), ("_l", "L"), ("_h", "h"),
)  # fmt: skip
_UNITS = {
    "watts": "W", "ppfd": "µmol/m²/s", "hours": "h a day", "kcal_100g": "kcal/100 g", "window_sun_h": "h a day",
    "protein": "0 to 1", "fat": "0 to 1", "ash": "0 to 1", "water": "0 to 1", "fibre": "0 to 1", "phosphorus": "0 to 1",
    "calcium": "0 to 1", "relative_humidity": "0 to 1", "lid_open_fraction": "0 to 1", "dry_fraction": "0 to 1",
    "latitude": "degrees", "count": "animals", "no3_mg_l": "mg/L NO3", "po4_mg_l": "mg/L PO4",
}  # fmt: skip
_LABELS = {
    "water_l": "Real water, by counting buckets", "length_cm": "Inner length", "width_cm": "Inner width",
    "water_depth_cm": "Depth of the water", "height_cm": "Height", "pane": "Panes of",
    "pane_mm": "Thickness of the panes",
    "solids_l": "Stones and gravel displace", "lid_open_fraction": "Open share of the lid", "id": "Name",
    "mass_g": "Mass", "scl_cm": "Straight carapace length", "wet_g": "Wet mass, shaken dry", "no3_mg_l": "Nitrate",
    "po4_mg_l": "Phosphate", "kh_dkh": "KH", "gh_dgh": "GH", "ph": "pH", "tan_mgn_l": "Total ammonia",
    "set_c": "Set to", "media_l": "Volume of the media", "flow_l_h": "Measured flow", "ppfd": "Light at the water",
    "on": "Goes on at", "use": "Lamp for", "class": "Kind of lamp", "temperature_c": "Temperature", "co2_ppm": "CO2",
    "window_sun_h": "Sun on the panes", "as_of": "This description holds for the day", "timezone": "Time zone",
}  # fmt: skip
SPARE_ROWS = 1


@dataclass(frozen=True, kw_only=True)
class Field:
    """One fact on the form."""

    name: str
    label: str
    unit: str
    value: str
    kind: str
    """text, number, date, time or yes_no."""


@dataclass(frozen=True, kw_only=True)
class Group:
    """One section of the form; several rows where there can be several of a thing."""

    name: str
    title: str
    many: bool
    rows: tuple[tuple[Field, ...], ...]

    @property
    def known(self) -> tuple[Field, ...]:
        """What is filled in of a section there is only one of."""
        return tuple(field for row in self.rows for field in row if field.value)


def form_of(tank: Tank) -> tuple[Group, ...]:
    """Return everything that can be said of a tank, with what is said."""
    groups = {name: _group(name, tank) for name in SECTIONS}
    top = tuple(_field("", 0, key, getattr(tank, key, None), Tank) for key in TOP if key not in ("format", "name"))
    groups[""] = Group(name="", title=TITLES[""], many=False, rows=(top,))
    return tuple(groups[name] for name in (*FIRST, *(n for n in groups if n not in FIRST)) if name in groups)


def _group(name: str, tank: Tank) -> Group:
    section = SECTIONS[name]
    held = getattr(tank, section.attribute)
    records: Sequence[Any] = (*held, *[None] * SPARE_ROWS) if section.many else (held,)
    rows = tuple(
        tuple(
            _field(name, place, key, getattr(each, RENAMED.get(key, key), None) if each else None, section.becomes)
            for key in section.keys
        )
        for place, each in enumerate(records)
    )
    return Group(name=name, title=TITLES.get(name, name.replace("_", " ").capitalize()), many=section.many, rows=rows)


def _field(section: str, place: int, key: str, value: Any, record: type) -> Field:
    return Field(
        name=f"{section}.{place}.{key}", label=label_of(key), unit=unit_of(key), value=_shown(value),
        kind=_kind(record, RENAMED.get(key, key)),
    )  # fmt: skip


def label_of(key: str) -> str:
    """Return what a fact is called."""
    if key in _LABELS:
        return _LABELS[key]
    plain = next((key.removesuffix(ending) for ending, _ in _ENDINGS if key.endswith(ending)), key)
    words = plain.replace("_", " ").replace("uvb", "UVB")
    return words[:1].upper() + words[1:]


def unit_of(key: str) -> str:
    """Return the unit of a fact, empty for words, days and yes or no."""
    if key in _UNITS:
        return _UNITS[key]
    return next((unit for ending, unit in _ENDINGS if key.endswith(ending)), "")


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.10g}"
    if isinstance(value, time):
        return value.isoformat("minutes")
    return str(value)


@cache
def _types(record: type) -> dict[str, Any]:
    return typing.get_type_hints(record)


def _kind(record: type, name: str) -> str:
    named = _types(record).get(name, str)
    inner = [each for each in typing.get_args(named) if each is not type(None)] or [named]
    for kind, word in ((bool, "yes_no"), (float, "number"), (int, "number"), (time, "time"), (date, "date")):
        if kind in inner:
            return word
    return "text"


def described(name: str, values: Mapping[str, str]) -> tuple[Tank | None, tuple[Problem, ...]]:
    """Return the tank that a filled form describes and what is wrong with it; empty fields are not known."""
    import tomlkit

    content: dict[str, Any] = {"format": FORMAT, "name": name}
    rows: dict[str, dict[int, dict[str, Any]]] = {}
    for field, text in values.items():
        parts = field.split(".")
        if len(parts) != 3 or not text.strip() or not parts[1].isdigit():
            continue
        section, place, key = parts[0], int(parts[1]), parts[2]
        if section == "" and key in TOP:
            content[key] = _typed(Tank, key, text)
        elif section in SECTIONS and key in SECTIONS[section].keys:
            record = SECTIONS[section].becomes
            rows.setdefault(section, {}).setdefault(place, {})[key] = _typed(record, RENAMED.get(key, key), text)
    for section, found in rows.items():
        content[section] = [found[place] for place in sorted(found)] if SECTIONS[section].many else found[min(found)]
    return read_tank(tomlkit.dumps(content))


def _typed(record: type, name: str, text: str) -> Any:
    """Return a typed value; one that is not what it should be goes on as text, and the reader says why not."""
    text = text.strip()
    try:
        match _kind(record, name):
            case "number":
                value = float(text.replace(",", "."))
                whole = int in typing.get_args(_types(record)[name])
                return int(value) if whole and value == int(value) else value
            case "yes_no":
                return {"yes": True, "no": False, "true": True, "false": False}.get(text.casefold(), text)
            case "date":
                return date.fromisoformat(text)
    except ValueError:
        return text
    return text


def keep(desk: Desk, tank: Tank) -> bool:
    """Keep a description as the newest; False where nothing changed."""
    return desk.store.save_tank(tank, desk.now())


def assumptions(desk: Desk, name: str) -> tuple[Assumption, ...]:
    """Return what had to be assumed about a tank because nobody said it."""
    held = desk.held(name)
    begin = min((event.time for event in held.events), default=desk.now())
    return describe(held.tank, held.events, held.tank.local_date(begin)).assumptions


def since(desk: Desk, name: str) -> datetime:
    """Return when the newest description was written."""
    return desk.store.descriptions(name)[-1][0]
