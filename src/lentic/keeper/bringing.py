"""Files brought to the pages: laid aside, read with every slip beside its line, mended there, then taken in or not."""

from __future__ import annotations

import io
import secrets
import shutil
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from lentic.keeper.desk import Desk
from lentic.keeper.logbook import Brought, import_folder
from lentic.keeper.opening import AskError
from lentic.logbook.folder import LOG, PLAN, TANK, read_folder, write_folder
from lentic.logbook.log_file import decode
from lentic.logbook.problems import Problem
from lentic.logbook.tank_file import tank_text

INBOX = "inbox"
KEPT = timedelta(days=2)
"""Files that were brought and not taken in are thrown away after so long."""
MOST_BYTES = 20 * 1024 * 1024
NAMES = (TANK, LOG, PLAN)
MOST_IN_ZIP = 60


@dataclass(frozen=True, kw_only=True)
class Trouble:
    """A line of a brought file with what has to be said about it."""

    file: str
    number: int
    text: str
    problems: tuple[Problem, ...]
    refused: bool
    """Whether it is not read as it stands."""


@dataclass(frozen=True, kw_only=True)
class Look:
    """What brought files hold before anything of them is taken in."""

    ticket: str
    tank: str | None
    known: bool
    events: int
    refused: int
    plan: int | None
    trouble: tuple[Trouble, ...]
    other: tuple[Problem, ...]


def lay_aside(desk: Desk, files: Mapping[str, bytes], into: str | None) -> str:
    """Keep brought files in the inbox; a log alone is meant for the tank that is shown."""
    found = _sorted_out(files)
    if not found:
        raise AskError("None of these is a tank.toml, a log.csv or a plan.csv, or a zip with them.")
    if TANK not in found:
        if into is None:
            raise AskError("A log needs its tank: bring tank.toml with it, or describe the tank first.")
        found[TANK] = tank_text(desk.held(into).tank).encode()
    _sweep(desk)
    ticket = secrets.token_hex(16)
    folder = desk.home / INBOX / ticket
    folder.mkdir(parents=True)
    for name, content in found.items():
        (folder / name).write_bytes(content)
    return ticket


def _sorted_out(files: Mapping[str, bytes]) -> dict[str, bytes]:
    found: dict[str, bytes] = {}
    for name, content in files.items():
        base = name.replace("\\", "/").rpartition("/")[2].casefold()
        if base.endswith(".zip"):
            found |= _unzipped(content)
        elif base in NAMES:
            found[base] = content
        elif base.endswith(".csv") and LOG not in found:
            found[LOG] = content
        elif base.endswith(".toml") and TANK not in found:
            found[TANK] = content
    return found


def _unzipped(content: bytes) -> dict[str, bytes]:
    """Return the files of an archive that are known by name, each read within bounds."""
    found: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            for each in archive.infolist()[:MOST_IN_ZIP]:
                base = each.filename.rpartition("/")[2].casefold()
                if base not in NAMES or base in found:
                    continue
                with archive.open(each) as opened:
                    data = opened.read(MOST_BYTES + 1)
                if len(data) > MOST_BYTES:
                    raise AskError(f"{base} in the zip is larger than 20 MB.")
                found[base] = data
    except (zipfile.BadZipFile, RuntimeError, NotImplementedError, OSError, EOFError) as error:
        raise AskError("The zip cannot be opened: it is damaged or needs a password.") from error
    return found


def _sweep(desk: Desk) -> None:
    """Throw away what was brought long ago and never taken in."""
    inbox = desk.home / INBOX
    if not inbox.is_dir():
        return
    oldest = (desk.now() - KEPT).timestamp()
    for folder in inbox.iterdir():
        if folder.is_dir() and folder.stat().st_mtime < oldest:
            shutil.rmtree(folder, ignore_errors=True)


def _folder(desk: Desk, ticket: str) -> Path:
    folder = desk.home / INBOX / ticket
    if len(ticket) != 32 or not all(sign in "0123456789abcdef" for sign in ticket) or not folder.is_dir():
        raise AskError("These files are no longer here. Bring them again.")
    return folder


def look(desk: Desk, ticket: str) -> Look:
    """Read brought files, with every slip beside its line."""
    folder = _folder(desk, ticket)
    read = read_folder(folder)
    lines = {name: _lines(folder / name) for name in NAMES if (folder / name).is_file()}
    by_line: dict[tuple[str, int], list[Problem]] = {}
    other: list[Problem] = []
    for problem in read.problems:
        if problem.line is not None and 0 < problem.line <= len(lines.get(problem.file, ())):
            by_line.setdefault((problem.file, problem.line), []).append(problem)
        else:
            other.append(problem)
    left_out = {(LOG, each.line) for each in read.refused}
    trouble = [
        Trouble(
            file=file, number=number, text=lines[file][number - 1], problems=tuple(found),
            refused=(file, number) in left_out or any(each.severity == "refused" for each in found),
        )
        for (file, number), found in by_line.items()
    ]  # fmt: skip
    name = read.tank.name if read.tank else None
    return Look(
        ticket=ticket, tank=name, known=name in desk.store.tanks(), events=len(read.events), refused=len(read.refused),
        plan=None if read.plan is None else len(read.plan), other=tuple(other),
        trouble=tuple(sorted(trouble, key=lambda each: (not each.refused, each.file, each.number))),
    )  # fmt: skip


def _lines(path: Path) -> list[str]:
    text, _ = decode(path.read_bytes())
    return text.replace("\r\n", "\n").replace("\r", "\n").split("\n")


def mend(desk: Desk, ticket: str, lines: Mapping[tuple[str, int], str]) -> None:
    """Write lines of brought files anew; the keeper's own files stay as they are."""
    folder = _folder(desk, ticket)
    for file in {name for name, _ in lines}:
        if file not in NAMES or not (folder / file).is_file():
            continue
        found = _lines(folder / file)
        for (name, number), text in lines.items():
            if name == file and 0 < number <= len(found):
                found[number - 1] = text.replace("\n", " ").replace("\r", " ")
        (folder / file).write_text("\n".join(found), encoding="utf-8")


def take_in(desk: Desk, ticket: str) -> Brought:
    """Take brought files into the store; lines that cannot be read are kept as they were written."""
    folder = _folder(desk, ticket)
    brought = import_folder(folder, desk.now(), desk.home)
    shutil.rmtree(folder, ignore_errors=True)
    return brought


def as_zip(desk: Desk, name: str) -> bytes:
    """Return a tank as the zip of its folder."""
    import tempfile

    found = desk.store.export_folder(name)
    out = io.BytesIO()
    with tempfile.TemporaryDirectory() as place, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        write_folder(found, place)
        for path in sorted(Path(place).iterdir()):
            archive.write(path, path.name)
    return out.getvalue()
