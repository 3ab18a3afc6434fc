"""Write into the store: a typed line, a folder; and read a tank out of it again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from lentic.keeper.opening import AskError, Where, moment_of, open_store
from lentic.logbook.events import without_voided
from lentic.logbook.folder import read_folder, write_folder
from lentic.logbook.problems import Problem
from lentic.logbook.quick import parse_quick
from lentic.logbook.rows import write_row
from lentic.logbook.store import Imported


@dataclass(frozen=True, kw_only=True)
class Logged:
    """What a typed line added, what is still to be answered, and what could not be read."""

    tank: str
    added: tuple[str, ...]
    questions: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, kw_only=True)
class Brought:
    """What an import did."""

    tank: str
    result: Imported
    problems: tuple[Problem, ...]


def log(where: Where, text: str) -> Logged:
    """Add what a line says to a tank in the store; parts with an open question are not added."""
    if not where.name:
        raise AskError("Name the tank the line belongs to.")
    with open_store(where.home) as store:
        tank, events = store.read(where.name)
        moment = where.clock if where.now_text is None else moment_of(where.now_text, tank)
        quick = parse_quick(text, tank, without_voided(events), moment)
        if quick.events:
            store.append(where.name, quick.events, where.clock)
    added = tuple(" ".join(cell for cell in write_row(event, tank.zone) if cell) for event in quick.events)
    asked = tuple(
        f"{q.part}: {q.text}" + (f" Choices: {'; '.join(q.choices)}." if q.choices else "") for q in quick.questions
    )
    return Logged(tank=where.name, added=added, questions=asked, problems=quick.problems)


def import_folder(folder: Path, clock: datetime, home: Path | None = None) -> Brought:
    """Bring a folder into the store; what is there already is not added again."""
    if not folder.is_dir():
        raise AskError(f"There is no folder {folder}.")
    found = read_folder(folder)
    if found.tank is None:
        raise AskError(" ".join(["The folder has no readable tank.toml.", *(p.sentence for p in found.problems[:3])]))
    with open_store(home) as store:
        result = store.import_folder(found, clock)
    return Brought(tank=found.tank.name, result=result, problems=found.problems)


def export(name: str, folder: Path) -> int:
    """Write a tank of the store as a folder; return the number of events."""
    with open_store() as store:
        found = store.export_folder(name)
    try:
        write_folder(found, folder)
    except OSError as error:
        raise AskError(f"{folder} cannot be written: {error.strerror}.") from error
    return len(found.events)
