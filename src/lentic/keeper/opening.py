"""Open a tank, from the store by name or straight from a folder, with every problem of its log kept."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time, timedelta
from pathlib import Path

from lentic import LenticError
from lentic.logbook.events import Event, Feed, Reading, without_voided
from lentic.logbook.folder import read_events, read_folder
from lentic.logbook.household import Household
from lentic.logbook.problems import Problem
from lentic.logbook.store import Store
from lentic.logbook.tank import Tank

DATABASE = "lentic.sqlite"


class AskError(LenticError):
    """What was asked cannot be looked up as it was put; the message says what to do."""


@dataclass(frozen=True, kw_only=True)
class Where:
    """Which tank is meant: a folder, or a name in the store, and the moment that counts as now."""

    name: str | None = None
    folder: Path | None = None
    now_text: str | None = None
    clock: datetime
    home: Path | None = None
    """The folder of the store, where it is not the keeper's usual one."""


@dataclass(frozen=True, kw_only=True)
class NotYet:
    """There is no honest answer yet: why, and what would help most."""

    tank: str
    sentence: str
    wanted: tuple[str, ...]
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Opened:
    """A tank ready for questions; `begin` is the first local midnight that is not yet past."""

    tank: Tank
    events: tuple[Event, ...]
    plan: tuple[Event, ...] | None
    begin: datetime
    end: datetime
    problems: tuple[Problem, ...]
    cautions: tuple[str, ...] = ()

    def with_plan(self, plan: Sequence[Event], problems: Sequence[Problem]) -> Opened:
        """Return the same tank under another plan."""
        return replace(self, plan=tuple(plan), problems=(*self.problems, *problems))


def home_folder() -> Path:
    """Return the folder of the keeper's store: LENTIC_HOME, or the platform's place for user data."""
    home = os.environ.get("LENTIC_HOME")
    if home:
        return Path(home)
    from platformdirs import user_data_dir

    return Path(user_data_dir("lentic"))


def store_path(home: Path | None = None) -> Path:
    """Return the file of the keeper's store."""
    return (home or home_folder()) / DATABASE


def open_store(home: Path | None = None) -> Household:
    """Open the keeper's store; it is made if there is none."""
    return Household.open(store_path(home))


def open_record(where: Where) -> Opened | NotYet:
    """Return the tank for a question that rests on no balance: its animals, lamps, glass; an empty log will do."""
    return open_tank(where, balance=False)


def open_tank(where: Where, balance: bool = True) -> Opened | NotYet:
    """Return the tank that is meant, or why nothing can be said of it yet."""
    if where.folder is not None:
        if not where.folder.is_dir():
            raise AskError(f"There is no folder {where.folder}. Name the folder that holds tank.toml and log.csv.")
        found = read_folder(where.folder)
        return _ready(where, found.tank, found.events, found.plan, found.problems, where.folder.name, balance)
    with open_store(where.home) as store:
        name = where.name or _only(store)
        tank, events = store.read(name)
    return _ready(where, tank, events, None, (), name, balance)


def opened_from(where: Where, tank: Tank, events: Sequence[Event], balance: bool = True) -> Opened | NotYet:
    """Return a tank that was read before, ready for questions."""
    return _ready(where, tank, events, None, (), tank.name, balance)


def open_folder(folder: Path) -> Opened | NotYet:
    """Return the tank of a folder as it stands on the day after its last line."""
    return open_tank(Where(folder=folder, clock=datetime(1970, 1, 1, tzinfo=UTC)))


def _only(store: Store) -> str:
    """Return the name of the only tank in the store."""
    names = store.tanks()
    if len(names) == 1:
        return names[0]
    if not names:
        raise AskError("The store holds no tank yet. Use `lentic import DIR`, or `--folder DIR` without a store.")
    raise AskError(f"Which tank? The store holds: {', '.join(names)}.")


def _ready(
    where: Where,
    tank: Tank | None,
    logged: Sequence[Event],
    plan: Sequence[Event] | None,
    problems: Sequence[Problem],
    called: str,
    balance: bool,
) -> Opened | NotYet:
    kept = tuple(problems)
    if tank is None:
        return NotYet(
            tank=called, problems=kept, sentence="Not yet: there is no readable description of the tank.",
            wanted=("a tank.toml with format, name and the water volume or the inner measures",),
        )  # fmt: skip
    events = without_voided(logged)
    cautions: list[str] = []
    end = _end(where, tank, events)
    later = [e for e in events if e.time > end]
    if later:
        events = tuple(e for e in events if e.time <= end)
        cautions.append(f"{len(later)} lines of the log lie after the given moment and were left aside.")
    missing = missing_for_balance(tank, events) if balance else None
    if missing is not None:
        return replace(missing, problems=kept)
    if balance:
        cautions += _thin_evidence(events)
    return Opened(
        tank=tank, events=events, plan=None if plan is None else without_voided(plan), begin=_midnight(tank, end),
        end=end, problems=kept, cautions=tuple(cautions),
    )  # fmt: skip


def _end(where: Where, tank: Tank, events: Sequence[Event]) -> datetime:
    """Return where the log ends: the moment given, the day after the last line of a folder, or the clock."""
    if where.now_text is not None:
        return moment_of(where.now_text, tank)
    if where.folder is not None and events:
        return tank.utc(tank.local_date(events[-1].time) + timedelta(days=1), time())
    return where.clock


def moment_of(text: str, tank: Tank) -> datetime:
    """Return a moment as written; without an offset it is the tank's own clock."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise AskError(f"{text!r} is not a time; write it like 2026-05-01 or 2026-05-01T08:00.") from None
    return moment.astimezone(UTC) if moment.tzinfo else tank.utc(moment.date(), moment.time())


def _midnight(tank: Tank, moment: datetime) -> datetime:
    day = tank.local_date(moment)
    first = tank.utc(day, time())
    return first if first >= moment else tank.utc(day + timedelta(days=1), time())


def missing_for_balance(tank: Tank, events: Sequence[Event]) -> NotYet | None:
    """Return what stands in the way of any balance: no volume, no log, no feeding."""
    wanted = (*wanted_readings(tank, events),)
    if not tank.water_litres:
        return NotYet(
            tank=tank.name, sentence="Not yet: the litres of real water in this tank are not known.",
            wanted=("water_l from counting buckets once, or length_cm, width_cm and water_depth_cm", *wanted),
        )  # fmt: skip
    if not events:
        return NotYet(
            tank=tank.name, wanted=("what is fed, in grams", *wanted),
            sentence="Not yet: nothing is logged, so neither what comes in nor what goes out is known.",
        )  # fmt: skip
    if not any(isinstance(e, Feed) for e in events):
        return NotYet(
            tank=tank.name, wanted=("what is fed, in grams: a week of feeds is enough to begin", *wanted),
            sentence="Not yet: no feeding is logged, and food is nearly all of what comes in.",
        )  # fmt: skip
    return None


def wanted_readings(tank: Tank, events: Sequence[Event]) -> tuple[str, ...]:
    """Return the two readings that would tell most of this tank now."""
    counts: dict[str, int] = {}
    for event in events:
        if isinstance(event, Reading):
            counts[event.quantity] = counts.get(event.quantity, 0) + 1
    wanted: list[str] = []
    nitrate = counts.get("nitrate", 0)
    if nitrate < 2:
        wanted.append(
            "two nitrate readings, a week apart" if nitrate == 0 else "one more nitrate reading, a week after the first"
        )
    if tank.source_water.no3_mg_l is None and not counts.get("tap_nitrate"):
        wanted.append("nitrate of the tap water")
    if not counts.get("kh"):
        wanted.append("a KH reading")
    if tank.source_water.kh_dkh is None and not counts.get("tap_kh"):
        wanted.append("KH of the tap water")
    if not counts.get("ph"):
        wanted.append("a pH reading")
    return tuple(wanted[:2])


def _thin_evidence(events: Sequence[Event]) -> list[str]:
    readings = [e for e in events if isinstance(e, Reading)]
    if len(readings) >= 2:
        return []
    said = "No reading is" if not readings else "Only one reading is"
    return [f"{said} in the log: the answer rests on what tanks of this kind do, with wide ranges."]


def read_plan(path: Path, tank: Tank) -> tuple[tuple[Event, ...], tuple[Problem, ...]]:
    """Return the events of a plan file and what is wrong with it."""
    if not path.is_file():
        raise AskError(f"There is no plan {path}. Name a file with the columns of log.csv and times to come.")
    log = read_events(path, tank)
    return without_voided(log.events), log.problems
