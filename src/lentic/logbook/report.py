"""A water report, pasted or from a file, as numbers of the tap: what it says, and what has to be asked.

Rows are read one by one: a name the suppliers use, numbers, a unit. A unit that leaves open what is meant (nitrate in
mg/L, hardness in ppm) is asked about, never guessed; so is a row whose numbers could be two things.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from lentic.logbook.report_words import ALKALINITY, ASKED, COLUMNS, DEGREES, HARDNESS, NAMES
from lentic.logbook.units import AMMONIA, NITRATE, NITRITE, PHOSPHATE, Unit

FORMS: Final = {
    "nitrate": (NITRATE, {"no3": "mg/lno3", "n": "mg/lno3n"}),
    "nitrite": (NITRITE, {"no2": "mg/lno2", "n": "mg/lno2n"}),
    "ammonia": (AMMONIA, {"nh4": "mg/lnh4", "nh3": "mg/lnh3", "n": "mg/lnh4n"}),
    "phosphate": (PHOSPHATE, {"po4": "mg/lpo4", "p": "mg/lpo4p", "p2o5": ""}),
}  # fmt: skip
INSIDE: Final = {"nitrate": "mg/L N", "nitrite": "mg/L N", "ammonia": "mg/L N", "phosphate": "mg/L P", "gh": "meq/L",
                 "kh": "meq/L", "ph": "", "conductivity": "µS/cm", "temperature": "°C"}  # fmt: skip
PLAIN_MG: Final = "mg/L"
_NUMBER = re.compile(r"^[<>≤≥]?\s*\d+(?:[.,' ]\d+)*$")
_NONE = frozenset({"", "-", "–", "—", "n/a", "na", "nd", "n.d.", "n.n.", "not detected", "nicht nachweisbar", "bdl"})
_SPAN = re.compile(r"^([<>≤≥]?\s*\d[\d.,]*)\s*(?:-|–|—|to|bis|à|a)\s*(\d[\d.,]*)$", re.IGNORECASE)


@dataclass(frozen=True, kw_only=True)
class TapValue:
    """One quantity of the report in the unit used inside; `below` where the report says less than."""

    quantity: str
    low: float
    value: float
    high: float
    unit: str
    written: str
    below: bool = False


@dataclass(frozen=True, kw_only=True)
class TapQuestion:
    """A row that leaves open what it means, and the answers that would settle it."""

    written: str
    text: str
    choices: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Report:
    """What a report says of the tap."""

    values: tuple[TapValue, ...] = ()
    questions: tuple[TapQuestion, ...] = ()
    passed_over: tuple[str, ...] = ()

    def get(self, quantity: str) -> TapValue | None:
        """Return one quantity, if the report holds it."""
        return next((each for each in self.values if each.quantity == quantity), None)


class _Ask(Exception):
    def __init__(self, text: str, choices: Sequence[str] = ()) -> None:
        super().__init__(text)
        self.text, self.choices = text, tuple(choices)


def read_report(text: str) -> Report:
    """Read a report; the first row of a quantity counts, a second that differs is asked about."""
    lines = [" ".join(line.split(" ")) for line in text.replace("\u00a0", " ").splitlines() if line.strip()]
    comma = _decimal_comma(text)
    columns: dict[str, int] = {}
    values: dict[str, TapValue] = {}
    questions: list[TapQuestion] = []
    passed: list[str] = []
    for line in lines:
        cells = _cells(line)
        if (found := _columns(cells)) and not _quantity(cells[0]):
            columns = found
            continue
        quantity = next((q for cell in cells if (q := _quantity(cell))), None)
        if quantity is None:
            passed += [line.strip()] if any(_NUMBER.match(cell) for cell in cells) else []
            continue
        try:
            value = _value(quantity, cells, columns, comma, line.strip())
        except _Ask as ask:
            questions.append(TapQuestion(written=line.strip(), text=ask.text, choices=ask.choices))
            continue
        if value is None:
            continue
        if (before := values.get(quantity)) and abs(before.value - value.value) > 0.02 * max(before.value, 1e-9):
            text_ = f"{quantity} stands twice and differs: {before.written!r} and {value.written!r}. Which one?"
            questions.append(TapQuestion(written=line.strip(), text=text_, choices=(before.written, value.written)))
            continue
        values.setdefault(quantity, value)
    return Report(values=tuple(values.values()), questions=tuple(questions), passed_over=tuple(passed))


def _cells(line: str) -> list[str]:
    """Split a row: by tabs, bars or semicolons, else by two spaces or a colon, else before its first number."""
    for sign in ("\t", "|", ";"):
        if sign in line:
            return [cell.strip() for cell in line.strip(" |").split(sign)]
    if '"' in line or re.search(r"[^\d\s],|,[^\d]", line):
        import csv

        return [cell.strip() for cell in next(csv.reader([line]))]
    wide = [cell.strip() for cell in re.split(r"\s{2,}|:\s+", line.strip()) if cell.strip()]
    if len(wide) > 1:
        return [part for cell in wide for part in _number_and_unit(cell)]
    found = re.match(r"^(.*?[^\d\s<>≤≥.,])\s+([<>≤≥]?\s*\d.*)$", line.strip())
    return [found[1], *_number_and_unit(found[2])] if found else [line.strip()]


def _number_and_unit(cell: str) -> list[str]:
    """Split `8.2 mg/L as N` into its number and its unit; other cells stay whole."""
    found = re.match(r"^([<>≤≥]?\s*\d[\d.,]*(?:\s*(?:-|–|to|bis)\s*\d[\d.,]*)?)\s+([^\d\s<>].*)$", cell)
    return [found[1], found[2]] if found else [cell]


def _plain(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())


def _columns(cells: Sequence[str]) -> dict[str, int]:
    """Return which column is which, if this row is a header."""
    found: dict[str, int] = {}
    for place, cell in enumerate(cells):
        word = re.sub(r"[()\[\]:*]", " ", _plain(cell)).strip()
        for role, words in COLUMNS.items():
            if word in words or any(word.startswith(f"{each} ") for each in words):
                found.setdefault(role if role != "other" else f"other{place}", place)
                break
    useful = [role for role in found if role in ("low", "value", "high", "unit")]
    return found if len(found) >= 2 and useful else {}


def _quantity(cell: str) -> str | None:
    """Return the quantity a cell names: the longest name it begins with."""
    word = re.sub(r"[\[(*].*", "", _plain(cell)).strip(" :,.-")
    best: tuple[int, str] | None = None
    for quantity, names in NAMES.items():
        for name in names:
            starts = word == name or re.match(rf"{re.escape(name)}(?:[ ,/:-]|$)", word)
            if starts and (best is None or len(name) > best[0]):
                best = (len(name), quantity)
    if best is not None and best[1] == "chlorine" and re.search(r"\btotal|gesamt", word):
        return "total_chlorine"
    return best[1] if best else None


def _decimal_comma(text: str) -> bool | None:
    """Tell whether this report writes decimals with a comma; None where no number tells."""
    if re.search(r"\d\.\d{1,2}(?!\d)|\d\.\d{4,}|\b0\.\d", text):
        return False
    if re.search(r"\d,\d{1,2}(?!\d)|\d,\d{4,}|\b0,\d", text):
        return True
    return None


def _number(text: str, comma: bool | None) -> float:
    bare = text.lstrip("<>≤≥ ").replace("'", "").replace(" ", "")
    if re.fullmatch(r"[1-9]\d{0,2},\d{3}", bare) and comma is None:
        whole, part = bare.replace(",", ""), bare.replace(",", ".")
        raise _Ask(f"{text}: is the comma a decimal sign or does it part thousands?", (whole, part))
    bare = bare.replace(".", "").replace(",", ".") if comma else bare.replace(",", "")
    try:
        return float(bare)
    except ValueError:
        raise _Ask(f"{text} is not a number that can be read.") from None


def _value(
    quantity: str, cells: Sequence[str], columns: Mapping[str, int], comma: bool | None, written: str
) -> TapValue | None:
    """Return the value of a row, None where it holds none."""
    numbers = _numbers(cells, columns)
    if not numbers:
        return None
    unit = _unit(quantity, cells, columns)
    below = numbers.get("value", "").startswith(("<", "≤"))
    read = {role: unit.convert(_number(each, comma)) for role, each in numbers.items()}
    middle = read.get("value", (read.get("low", 0.0) + read.get("high", 0.0)) / 2.0)
    low, high = read.get("low", 0.0 if below else middle), read.get("high", middle)
    if low > middle * (1 + 1e-9) or high < middle * (1 - 1e-9):
        raise _Ask("The numbers of this row are out of order. Which is lowest, mean and highest?")
    inside = INSIDE.get(quantity, PLAIN_MG)
    return TapValue(quantity=quantity, low=low, value=middle, high=high, unit=inside, written=written, below=below)


def _numbers(cells: Sequence[str], columns: Mapping[str, int]) -> dict[str, str]:
    """Return the numbers of a row by what they are: by the header, else by how many there are."""
    if columns:
        found = {
            role: cells[place]
            for role in ("low", "value", "high")
            if (place := columns.get(role, len(cells))) < len(cells) and _plain(cells[place]) not in _NONE
        }
        spans = {role: _SPAN.match(cell) for role, cell in found.items()}
        if (span := spans.get("value")) is not None:
            return {"low": span[1], "high": span[2]}
        if len(cells) > max(columns.values()) or found:
            return {role: cell for role, cell in found.items() if _NUMBER.match(cell)}
    rest = [cell for cell in cells[1:] if _NUMBER.match(cell) or _SPAN.match(cell)]
    if len(rest) == 1 and (span := _SPAN.match(rest[0])):
        return {"low": span[1], "high": span[2]}
    if len(rest) <= 1:
        return {"value": rest[0]} if rest else {}
    if len(rest) == 3:
        return dict(zip(("low", "value", "high"), rest, strict=True))
    raise _Ask(f"Which of these is the value of the water: {', '.join(rest)}?", rest)


def _unit(quantity: str, cells: Sequence[str], columns: Mapping[str, int]) -> Unit:
    """Return the unit of a row, or ask which is meant."""
    place = columns.get("unit", len(cells))
    said = cells[place] if place < len(cells) else ""
    named = [cell for cell in cells if not _NUMBER.match(cell)]
    texts = [_plain(text) for text in (said, *named[1:], *re.findall(r"[\[(]([^\])]*)[\])]", named[0]), named[0])]
    everything = " ".join(texts)
    if quantity in ("gh", "kh"):
        return _hardness(quantity, texts, everything)
    if quantity in FORMS:
        return _nutrient(quantity, everything)
    if quantity == "ph":
        return Unit("pH")
    if quantity == "conductivity":
        return _conductivity(everything)
    if quantity == "temperature":
        return Unit("°C") if "°f" not in everything else Unit("°F", 5 / 9, -160 / 9)
    return Unit(PLAIN_MG, _milligrams(quantity, everything))


def _milligrams(quantity: str, text: str) -> float:
    """Return what turns the mass unit of a row into mg/L, or ask."""
    if re.search(r"[µμu]g\s*/\s*l|\bppb\b|mcg/l", text):
        return 0.001
    if re.search(r"mg\s*/\s*l|mg/dm3|g/m3|g/m³|\bppm\b|mg\s?\(?\w+\)?\s*/\s*l", text):
        return 1.0
    raise _Ask(f"The unit of {quantity.replace('_', ' ')} is missing.", ("mg/L", "µg/L"))


def _nutrient(quantity: str, text: str) -> Unit:
    table, forms = FORMS[quantity]
    if "mmol" in text:
        raise _Ask(f"{quantity} in mmol/L: write it in mg/L.", ())
    mass = _milligrams(quantity, text)
    nitrogen = re.search(
        r"\bas n\b|\bals n\b|\ben n\b|\bcomo n\b|[-‐–]\s?n\b|\bn[-‐–]?no[23]\b|/l n\b|mg n\b|\(n\)|as nitrogen|"
        r"measured as n", text,
    )  # fmt: skip
    phosphorus = re.search(r"\bas p\b|\bals p\b|[-‐–]\s?p\b|/l p\b|mg p\b|\(p\)|as phosphorus", text)
    marker = phosphorus if quantity == "phosphate" else nitrogen
    short = "p" if quantity == "phosphate" else "n"
    form = next((f for f in forms if len(f) > 1 and forms[f] and re.search(rf"{f}(?!\d)", text)), None)
    if marker:
        return Unit(table[forms[short]].name, table[forms[short]].factor * mass)
    if form is not None and "p2o5" not in text:
        return Unit(table[forms[form]].name, table[forms[form]].factor * mass)
    raise _Ask(f"{quantity} in mg/L: {' or '.join(ASKED[quantity])}?", ASKED[quantity])


def _conductivity(text: str) -> Unit:
    if re.search(r"[µμu]s\s*/\s*cm", text):
        return Unit("µS/cm")
    if re.search(r"ms\s*/\s*m\b", text):
        return Unit("mS/m", 10.0)
    if re.search(r"ms\s*/\s*cm", text):
        return Unit("mS/cm", 1000.0)
    raise _Ask("The unit of the conductivity is missing.", ASKED["conductivity"])


def _hardness(quantity: str, texts: Sequence[str], everything: str) -> Unit:
    """Return the unit of a hardness; every way of writing it that leaves two meanings is asked about."""
    table = HARDNESS if quantity == "gh" else ALKALINITY
    for text in texts:
        word = text.strip(" .()")
        if word in DEGREES and DEGREES[word] in table:
            return table[DEGREES[word]]
        inner = re.search(r"°\s?(dh|d|fh|f|e|clark)\b|\b(dkh|dgh|gpg)\b|degrees? (clark|german|french)", text)
        if inner:
            key = DEGREES.get(f"°{inner[1]}" if inner[1] else inner[2] or f"degrees {inner[3]}", "")
            if key not in table:
                raise _Ask("Which degree of hardness is meant?", ASKED[quantity])
            return table[key]
    acid = re.search(r"säurekapazität|saeurekapazitaet|acid capacity", everything)
    bicarbonate = re.search(r"hydrog[eé]n\s?o?carbonat|bicarbonat|hco3|waterstofcarbonaat", everything)
    lime = re.search(r"caco3|calcium carbonate|calciumcarbonat", everything)
    if re.search(r"mmol\s*/\s*l|mol/m3|mol/m³", everything):
        if quantity == "gh":
            return table["mmol/lcaco3"]
        if acid or bicarbonate:
            return table["mmol/lhco3"]
        raise _Ask("Carbonate hardness in mmol/L: acid capacity or lime?", ("acid capacity, mmol/L", "mmol/L as CaCO3"))
    what = "Hardness" if quantity == "gh" else "Alkalinity"
    if not re.search(r"g\s*\(?\w*\)?\s*/\s*l|ppm|ppb|g/m", everything):
        raise _Ask(f"{what}: the unit is missing.", ASKED[quantity])
    mass = _milligrams(what, everything)
    form: str | None = "mg/lcaco3" if lime else "mg/lhco3" if bicarbonate and quantity == "kh" else None
    if form is None and quantity == "gh":
        form = (
            "mg/lcao" if re.search(r"\bcao\b", everything) else "mg/lca" if re.search(r"as ca\b", everything) else None
        )
    if form is None:
        raise _Ask(f"{what} in mg/L of what?", ASKED[quantity])
    return Unit(table[form].name, table[form].factor * mass)
