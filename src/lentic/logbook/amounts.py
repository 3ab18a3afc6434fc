"""One line of a log under the reader's eye: its amount with its unit, and what has to be asked about it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from lentic.logbook.cells import Amount, Habits, Unreadable, read_amount
from lentic.logbook.problems import Problem, Severity, did_you_mean
from lentic.logbook.tank import Tank
from lentic.logbook.units import GALLONS, WORDLESS, Unit, fold, units_for


@dataclass(frozen=True, kw_only=True)
class Row:
    """The six cells of a line, where it stands and how it was written."""

    time: str
    kind: str
    what: str = ""
    amount: str = ""
    unit: str = ""
    note: str = ""
    line: int | None = None
    text: str = ""


@dataclass(frozen=True, kw_only=True)
class Surroundings:
    """What the rest of the file and the tank's description tell about a line."""

    tank: Tank | None = None
    habits: Habits = field(default_factory=lambda: Habits(dates={}))
    usual: Mapping[str, str] = field(default_factory=dict)
    """The one unit this keeper writes for a kind or quantity, folded; absent where there are several."""
    animals: frozenset[str] = frozenset()
    file: str = "log.csv"


class RefusedCell(Exception):
    """A cell that stops the line from being read; becomes a problem, never leaves this package."""

    def __init__(self, cell: str, message: str, remedy: str, *, ask: bool = False) -> None:
        super().__init__(message)
        self.cell, self.message, self.remedy, self.ask = cell, message, remedy, ask


def plain(value: float) -> str:
    """Write a number as a keeper would: no exponent for ordinary sizes, no trailing zeros."""
    return f"{value:.6g}"


class Line:
    """A row being read: hands out checked values and collects what has to be said about them."""

    def __init__(self, row: Row, around: Surroundings) -> None:
        self.row = row
        self.around = around
        self.problems: list[Problem] = []

    def say(self, cell: str, message: str, remedy: str, severity: Severity) -> None:
        """Note something about a line that is read all the same."""
        self.problems.append(
            Problem(
                line=self.row.line,
                field=cell,
                message=message,
                remedy=remedy,
                severity=severity,
                file=self.around.file,
            )
        )

    def nothing_in(self, *cells: str) -> None:
        """Refuse a line that says something in a cell its kind does not use: it would be lost silently."""
        for cell in cells:
            text = getattr(self.row, cell).strip()
            if text:
                raise RefusedCell(
                    cell,
                    f"A {self.row.kind} line has nothing in the column {cell}, but '{text}' stands there.",
                    "Move it to the note.",
                )

    def word(self, known: Mapping[str, str] | tuple[str, ...], cell: str = "what") -> str:
        """Return the cell, which must be one of the known words."""
        text: str = getattr(self.row, cell).strip()
        words = known if isinstance(known, tuple) else tuple(known)
        if text in words:
            return text if isinstance(known, tuple) else known[text]
        if not text:
            raise RefusedCell(
                cell,
                f"The column {cell} of this {self.row.kind} is empty.",
                f"Write one of: {', '.join(words)}.",
            )
        raise RefusedCell(
            cell, f"'{text}' is not known in a {self.row.kind} line.", did_you_mean(text, words)
        )

    def name(self, of: str) -> str:
        """Return the `what` cell, which must not be empty."""
        text = self.row.what.strip()
        if not text:
            raise RefusedCell("what", f"A {self.row.kind} needs {of}.", f"Write {of} in the column what.")
        return text

    def number(self) -> Amount:
        """Return the amount cell as a number."""
        if not self.row.amount.strip():
            raise RefusedCell(
                "amount",
                f"The amount of this {self.row.kind} is missing.",
                "Write how much; nothing is assumed.",
            )
        try:
            return read_amount(self.row.amount, self.around.habits)
        except Unreadable as error:
            raise RefusedCell("amount", str(error), error.remedy, ask=error.ask) from error

    def measured(self, units: Mapping[str, Unit]) -> tuple[Amount, Unit]:
        """Return the amount with its unit; `<` and `>` are not for such an amount."""
        amount = self.number()
        if amount.sign:
            raise RefusedCell(
                "amount",
                f"'{amount.sign}' stands before the amount.",
                "Only a reading may be < or >; write a number.",
            )
        return amount, self.unit_of(amount, units)

    def exactly(self, units: Mapping[str, Unit], low: float, high: float) -> float:
        """Return the amount in the unit used inside, between two bounds."""
        return self.within(*self.measured(units), low, high)

    def within(self, amount: Amount, unit: Unit, low: float, high: float) -> float:
        """Return the converted amount, refused where no tank can show it."""
        written = amount.text if unit.name in WORDLESS else f"{amount.text} {unit.name}"
        what = self.row.what.strip() if self.row.kind == "reading" else f"A {self.row.kind}"
        if unit.reciprocal and amount.value <= 0:
            raise RefusedCell("amount", f"{what} cannot be {written}.", "Write the seconds one litre takes.")
        value = unit.convert(amount.value)
        if low - 1e-9 <= value <= high + 1e-9:
            return value
        remedy = self._other_unit(unit) or "Check the number and its unit."
        raise RefusedCell("amount", f"{what} cannot be {written}.", remedy)

    def _other_unit(self, unit: Unit) -> str:
        usual = self.around.usual.get(self.key)
        known = units_for(self.row.kind, self.row.what.strip())
        if usual not in known or usual == fold(unit.name):
            return ""
        others = f"Your other {self.key.removeprefix('reading ')} lines are in {known[str(usual)].name}"
        return f"{others}; if this one is too, write that."

    @property
    def key(self) -> str:
        """Under what this line's unit is counted among the keeper's habits."""
        return f"reading {self.row.what.strip()}" if self.row.kind == "reading" else self.row.kind

    def unit_of(
        self, amount: Amount, units: Mapping[str, Unit], bare: frozenset[str] = frozenset({""})
    ) -> Unit:
        """Return the unit of the line; what it leaves open is taken from the other lines, and said."""
        written = self.row.unit.strip() or amount.rest
        if self.row.unit.strip() and amount.rest and fold(self.row.unit) != fold(amount.rest):
            raise RefusedCell(
                "unit",
                f"The amount says {amount.rest}, the unit says {self.row.unit.strip()}.",
                "Write one of them.",
            )
        folded = fold(written)
        if folded in units:
            return units[folded]
        names = list(dict.fromkeys(unit.name for unit in units.values()))
        if folded in GALLONS and "usgal" in units:
            return self._gallon(units, written)
        if folded in bare or not folded:
            return self._usual(units, written, names)
        raise RefusedCell("unit", f"'{written}' is not a unit for this line.", did_you_mean(written, names))

    def _usual(self, units: Mapping[str, Unit], written: str, names: list[str]) -> Unit:
        about = self.row.what.strip() if self.row.kind == "reading" else self.row.kind
        lacks = f"'{written}' does not say which unit is meant" if written else "The unit is missing"
        usual = self.around.usual.get(self.key)
        if usual is not None and usual in units:
            unit = units[usual]
            self.say(
                "unit",
                f"{lacks}; {unit.name} is assumed, as in your other {about} lines.",
                "Write the unit.",
                "ask",
            )
            return unit
        shown = ", ".join(names[:-1]) + f" or {names[-1]}" if len(names) > 1 else names[0]
        raise RefusedCell("unit", f"{lacks}.", f"Write {shown}.", ask=True)

    def _gallon(self, units: Mapping[str, Unit], written: str) -> Unit:
        usual = self.around.usual.get(self.key)
        country = self.around.tank.country if self.around.tank else None
        if usual in ("usgal", "impgal"):
            unit, why = units[usual], "as in your other lines"
        elif country == "US":
            unit, why = units["usgal"], "as the tank stands in the US"
        else:
            raise RefusedCell(
                "unit", f"'{written}' does not say which gallon.", "Write US gal or imp gal.", ask=True
            )
        self.say(
            "unit",
            f"'{written}' does not say which gallon; {unit.name} is assumed, {why}.",
            "Write it.",
            "ask",
        )
        return unit
