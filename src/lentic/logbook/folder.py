"""A tank as a folder of plain files: read it with every slip named, write it back the same in meaning."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from lentic.logbook.events import Event, Refused
from lentic.logbook.log_file import Log, decode, log_text, read_log
from lentic.logbook.problems import Problem
from lentic.logbook.tank import Tank
from lentic.logbook.tank_file import read_tank, tank_text

TANK, LOG, PLAN = "tank.toml", "log.csv", "plan.csv"


@dataclass(frozen=True, kw_only=True)
class Folder:
    """What a folder holds; `plan` is None where there is no plan.csv, which is no empty plan."""

    tank: Tank | None
    events: tuple[Event, ...] = ()
    plan: tuple[Event, ...] | None = None
    problems: tuple[Problem, ...] = ()
    refused: tuple[Refused, ...] = ()


def read_folder(path: Path | str) -> Folder:
    """Read a tank's folder; whatever is wrong comes back as problems and whatever can be read is read."""
    root = Path(path)
    tank: Tank | None = None
    problems: list[Problem] = []
    if (root / TANK).is_file():
        text, _ = decode((root / TANK).read_bytes())
        tank, found = read_tank(text)
        problems += found
    else:
        problems.append(_missing(TANK))
    log = Log()
    if (root / LOG).is_file():
        log = read_log((root / LOG).read_bytes(), tank)
    else:
        problems.append(_missing(LOG))
    plan = read_log((root / PLAN).read_bytes(), tank, file=PLAN) if (root / PLAN).is_file() else None
    return Folder(
        tank=tank, events=log.events, plan=None if plan is None else plan.events,
        problems=(*problems, *log.problems, *(plan.problems if plan else ())), refused=log.refused,
    )  # fmt: skip


def _missing(name: str) -> Problem:
    return Problem(
        line=None, field="", file=name, severity="refused", message=f"There is no {name} in the folder.",
        remedy=f"Add a {name}.",
    )  # fmt: skip


def read_events(source: Path | str, tank: Tank | None) -> Log:
    """Read any file of events, such as a plan; a text with a line break is the content itself."""
    if isinstance(source, str) and ("\n" in source or not source.strip()):
        return read_log(source, tank, file=PLAN)
    path = Path(source)
    return read_log(path.read_bytes(), tank, file=path.name)


def write_folder(folder: Folder, path: Path | str) -> None:
    """Write a tank's folder; refused lines are written as they stood."""
    root = Path(path)
    root.mkdir(parents=True, exist_ok=True)
    zone = folder.tank.zone if folder.tank else ZoneInfo("UTC")
    if folder.tank is not None:
        (root / TANK).write_text(tank_text(folder.tank), encoding="utf-8", newline="\n")
    (root / LOG).write_text(log_text(folder.events, folder.refused, zone), encoding="utf-8", newline="")
    if folder.plan is not None:
        (root / PLAN).write_text(log_text(folder.plan, (), zone), encoding="utf-8", newline="")
