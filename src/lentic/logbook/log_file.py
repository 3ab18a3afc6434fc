"""Read and write log.csv and plan.csv: every line becomes an event or a refused line, and nothing is lost."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from lentic.logbook.amounts import Row, Surroundings
from lentic.logbook.cells import habits_of
from lentic.logbook.events import AnimalIn, Event, Reading, Refused, Void, is_ambiguous, void_target
from lentic.logbook.problems import Problem, did_you_mean
from lentic.logbook.rows import counted_unit, read_row, write_row
from lentic.logbook.tank import Tank
from lentic.logbook.units import QUANTITIES, fold, units_for

COLUMNS = ("time", "kind", "what", "amount", "unit", "note")
NEEDED = ("time", "kind")
DELIMITERS = (",", ";", "\t")
_STARTS_WITH_TIME = re.compile(r'\s*"?\s*(\d{4}-\d{1,2}-\d{1,2}|\d{1,2}[./-]\d{1,2}[./-]\d{4})')
_LONG_AGO = datetime(1970, 1, 1, tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class Log:
    """What a file of events holds: the events in order of time, the refused lines, and what is to be said."""

    events: tuple[Event, ...] = ()
    refused: tuple[Refused, ...] = ()
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class _Record:
    line: int
    text: str
    cells: list[str]
    unclosed: bool = False


def decode(data: bytes) -> tuple[str, str]:
    """Return the text of a file and, where it is not UTF-8, what it was taken for."""
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        return data.decode("utf-16"), "UTF-16"
    try:
        return data.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        return data.decode("cp1252", errors="replace"), "Windows-1252"


def read_log(source: bytes | str, tank: Tank | None, *, file: str = "log.csv") -> Log:
    """Read a file of events as bytes or text."""
    text, taken_for = decode(source) if isinstance(source, bytes) else (source.removeprefix("\ufeff"), "")
    problems = []
    if taken_for:
        problems.append(
            Problem(
                line=None, field="", file=file, severity="note",
                message=f"The file is not UTF-8; read as {taken_for}.",
                remedy="Save it as UTF-8.",
            )
        )  # fmt: skip
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    delimiter = _delimiter(lines)
    records = _records(lines, delimiter)
    columns, body, header_problems = _header(records, file)
    rows = [_row(record, columns, file) for record in body]
    around = _surroundings([row for row, _ in rows], tank, file)
    log = _read_rows(rows, around)
    everything = (*problems, *header_problems, *log.problems)
    return Log(events=log.events, refused=log.refused, problems=everything)


def _delimiter(lines: Sequence[str]) -> str:
    first = next((line for line in lines if line.strip()), "")
    return max(DELIMITERS, key=first.count)


def _records(lines: Sequence[str], delimiter: str) -> list[_Record]:
    """Split into records; a quote that is never closed stops at the next line that starts with a time."""
    records = []
    at = 0
    while at < len(lines):
        end = at + 1
        text = lines[at]
        unclosed = text.count('"') % 2 == 1
        while unclosed and end < len(lines) and not _STARTS_WITH_TIME.match(lines[end]):
            text += "\n" + lines[end]
            end += 1
            unclosed = text.count('"') % 2 == 1
        if unclosed:
            text, end = lines[at], at + 1
        if text.strip().strip(delimiter).strip():
            cells = [] if unclosed else next(csv.reader(io.StringIO(text, newline=""), delimiter=delimiter))
            records.append(_Record(at + 1, text, [cell.strip() for cell in cells], unclosed))
        at = end
    return records


def _header(records: list[_Record], file: str) -> tuple[list[str], list[_Record], list[Problem]]:
    if not records:
        return list(COLUMNS), [], []
    first = records[0]
    names = [cell.casefold() for cell in first.cells]
    if _STARTS_WITH_TIME.match(first.text):
        return list(COLUMNS), records, [
            Problem(
                line=first.line, field="header", file=file, severity="ask",
                message=f"There is no header line; the columns are taken as {', '.join(COLUMNS)}.",
                remedy=f"Put {','.join(COLUMNS)} on the first line.",
            )
        ]  # fmt: skip
    problems = [
        Problem(
            line=first.line, field=name, file=file, severity="refused",
            message=f"The column '{name}' is not known; what stands in it is not read.",
            remedy=did_you_mean(name, COLUMNS),
        )
        for name in names if name and name not in COLUMNS
    ]  # fmt: skip
    problems += [
        Problem(
            line=first.line, field=name, file=file, severity="refused",
            message=f"The column '{name}' is missing.",
            remedy=f"The first line must be {','.join(COLUMNS)}.",
        )
        for name in NEEDED if name not in names
    ]  # fmt: skip
    return names, records[1:], problems


def _row(record: _Record, columns: list[str], file: str) -> tuple[Row, Problem | None]:
    """Sort the cells under their columns; cells too many are taken as commas in the note."""
    row = Row(time="", kind="", line=record.line, text=record.text)
    if record.unclosed:
        return row, _problem(
            record, file, "note", "A quotation mark is opened and never closed.", 'Close it with ".'
        )
    cells = record.cells
    if len(cells) > len(columns) and any(cells[len(columns) :]):
        if columns[-1] != "note":
            return row, _problem(
                record,
                file,
                "",
                f"The line has {len(cells)} cells, the header {len(columns)}.",
                "Quote text with commas.",
            )
        cells = [*cells[: len(columns) - 1], ", ".join(cell for cell in cells[len(columns) - 1 :] if cell)]
    named = {name: cell for name, cell in zip(columns, cells, strict=False) if name in COLUMNS}
    return Row(**{"time": "", "kind": "", **named}, line=record.line, text=record.text), None


def _problem(record: _Record, file: str, field: str, message: str, remedy: str) -> Problem:
    return Problem(
        line=record.line, field=field, message=message, remedy=remedy, severity="refused", file=file
    )


def _surroundings(rows: Iterable[Row], tank: Tank | None, file: str) -> Surroundings:
    listed = list(rows)
    amounts = [row.amount for row in listed]
    times = [row.time for row in listed]
    animals = {turtle.id for turtle in tank.turtles} if tank else set()
    if animals:
        animals |= {row.what for row in listed if row.kind == AnimalIn.kind}
    return Surroundings(
        tank=tank,
        habits=habits_of(amounts, times),
        usual=usual_units(listed),
        animals=frozenset(animals),
        file=file,
    )


def usual_units(rows: Iterable[Row]) -> dict[str, str]:
    """Return for each kind and quantity the one unit this keeper writes; none where there are several."""
    seen: dict[str, set[str]] = {}
    for row in rows:
        counted = counted_unit(row)
        if counted:
            seen.setdefault(counted[0], set()).add(counted[1])
    return {key: next(iter(units)) for key, units in seen.items() if len(units) == 1}


def _read_rows(rows: list[tuple[Row, Problem | None]], around: Surroundings) -> Log:
    events: list[Event] = []
    refused: list[Refused] = []
    problems: list[Problem] = []
    nearest = _LONG_AGO
    for row, stop in rows:
        if stop:
            refused.append(Refused(time=nearest, line=row.line, text=row.text))
            problems.append(stop)
            continue
        event, said = read_row(row, around, nearest)
        problems += said
        if isinstance(event, Refused):
            refused.append(event)
            nearest = event.time
            continue
        if event.time < nearest:
            problems.append(_backwards(event, around.file))
        nearest = max(nearest, event.time)
        events.append(event)
    ordered = sorted(events, key=lambda event: event.time)
    problems += [
        *_odd_units(ordered, around.file),
        *_voids(ordered, around.file),
        *_twice(ordered, around.file),
    ]
    problems.sort(key=lambda problem: problem.line or 0)
    return Log(events=tuple(ordered), refused=tuple(refused), problems=tuple(problems))


def _backwards(event: Event, file: str) -> Problem:
    return Problem(
        line=event.line, field="time", file=file, severity="note",
        message="This line is earlier than the one before it; it is read in its place in time.",
        remedy="Check the date if that is not meant.",
    )  # fmt: skip


def _voids(events: list[Event], file: str) -> list[Problem]:
    problems = []
    for void in events:
        if not isinstance(void, Void):
            continue
        fits = [events[place] for place in void_target(void, events)]
        if fits and not is_ambiguous(void, fits):
            continue
        message = (
            "More than one line fits; nothing is taken back." if fits
            else f"There is no {void.of_kind} line at that time; nothing is taken back."
        )  # fmt: skip
        remedy = "Add what the line was about." if fits else "Copy time and kind from the line that is meant."
        problems.append(
            Problem(line=void.line, field="what", message=message, remedy=remedy, severity="ask", file=file)
        )
    return problems


def _twice(events: list[Event], file: str) -> list[Problem]:
    """Name a line that stands there twice, word for word: both are counted, but it may be a slip."""
    seen: dict[Event, int | None] = {}
    problems = []
    for event in events:
        if event in seen and not isinstance(event, Void):
            problems.append(
                Problem(
                    line=event.line, field="", file=file, severity="ask",
                    message=f"The same line stands already on line {seen[event]}; both are counted.",
                    remedy="Take one of them back if it happened once.",
                )
            )  # fmt: skip
        seen.setdefault(event, event.line)
    return problems


ENOUGH_TO_TELL = 4
FAR_OFF = 2.5


def _odd_units(events: list[Event], file: str) -> list[Problem]:
    """Ask about the one reading in another unit whose bare number fits the others, its value not."""
    by_quantity: dict[str, list[tuple[Reading, float, str]]] = {}
    for event in events:
        if isinstance(event, Reading) and event.value > 0 and not event.below:
            text, _, unit = event.written.partition(" ")
            folded = fold(unit)
            known = units_for("reading", event.quantity).get(folded)
            if known and len(QUANTITIES[event.quantity].units) > 1:
                number = float(text.lstrip("<>"))
                by_quantity.setdefault(event.quantity, []).append((event, number, known.name))
    problems = []
    for quantity, readings in by_quantity.items():
        names = [name for _, _, name in readings]
        usual = max(set(names), key=names.count)
        others = [(event, number) for event, number, name in readings if name == usual]
        odd = [(event, number, name) for event, number, name in readings if name != usual]
        if len(odd) != 1 or len(others) < ENOUGH_TO_TELL:
            continue
        event, number, name = odd[0]
        values = [other.value for other, _ in others]
        numbers = [written for _, written in others]
        far = not min(values) / FAR_OFF <= event.value <= max(values) * FAR_OFF
        if far and min(numbers) <= number <= max(numbers):
            problems.append(
                Problem(
                    line=event.line, field="unit", file=file, severity="ask",
                    message=f"This is your only {quantity} line in {name}, far from the others in {usual};"
                    " it is read as written.",
                    remedy=f"If {usual} is meant, take it back and write that.",
                )
            )  # fmt: skip
    return problems


def log_text(events: Iterable[Event], refused: Iterable[Refused], zone: ZoneInfo) -> str:
    """Write events and refused lines as the text of a log.csv, in order of time."""
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for event in sorted((*events, *refused), key=lambda each: each.time):
        if isinstance(event, Refused):
            out.write(event.text.rstrip("\n") + "\n")
        else:
            writer.writerow(write_row(event, zone))
    return out.getvalue()
