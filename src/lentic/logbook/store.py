"""The database behind the logbook: what the keeper wrote is only ever added to; nothing else here speaks SQL.

SQLite in a file by default, PostgreSQL by URL, one schema for both. Triggers guard descriptions and events
against updates and deletions; a correction is a `Void`. The schema's history lives in `migrations`.
"""

from __future__ import annotations

import hashlib
import json
import shutil
from collections import Counter
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Self

import sqlalchemy as sa

from lentic import LenticError
from lentic.logbook.events import Event, Reading, Refused, body_of, event_from, what_of
from lentic.logbook.folder import Folder
from lentic.logbook.tables import ANSWERS, DESCRIPTIONS, EVENTS, METADATA, REVISION, TANKS
from lentic.logbook.tank import Tank
from lentic.logbook.tank_file import read_tank, tank_text

__all__ = ["METADATA", "REVISION", "Imported", "Store", "StoreError", "UnknownTankError", "digest_of"]

APPLICATION = 0x4C4E5443
"""What marks a SQLite file as this program's: the letters LNTC."""
WAIT_FOR_LOCK_MS = 15000
MIGRATION_LOCK = 7_664_331


class StoreError(LenticError):
    """The store cannot do what was asked; the message says what to do."""


class UnknownTankError(StoreError):
    """No tank of that name is in the store."""


@dataclass(frozen=True, kw_only=True)
class Imported:
    """What an import added, what was there already, and how many events the folder does not have."""

    added: int
    already: int
    refused: int
    absent: int
    described: bool


def digest_of(event: Event) -> str:
    """Return the fingerprint of what the keeper wrote, without what was assumed about it on the way in.

    A reading counts as written and a refused line by its text alone: the value of `5 drops` and the time of a
    line without one depend on the lines around it, and the line is not new when those change.
    """
    content: list[Any] = [event.kind, event.time.astimezone(UTC).isoformat(), event.note]
    if isinstance(event, Refused):
        content = [event.kind, event.text]
    elif isinstance(event, Reading) and event.written:
        content += [event.quantity, event.written]
    else:
        content.append(body_of(event))
    return hashlib.sha256(json.dumps(content, sort_keys=True, ensure_ascii=False).encode()).hexdigest()


class Store:
    """An open logbook; close it when done."""

    def __init__(self, engine: sa.Engine) -> None:
        self._engine = engine

    @classmethod
    def open(cls, where: str | Path) -> Self:
        """Open the logbook in a file or at a database URL, and bring its schema up to date."""
        text = str(where)
        engine = _engine(text if "://" in text else f"sqlite:///{Path(text).expanduser()}")
        store = cls(engine)
        try:
            store._prepare()
        except BaseException:
            engine.dispose()
            raise
        return store

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        """Use the store in a `with` block."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it at the end of the block."""
        self.close()

    def tanks(self) -> tuple[str, ...]:
        """Return the names of all tanks in alphabetical order."""
        with self._reading() as connection:
            return tuple(sorted(connection.scalars(sa.select(TANKS.c.name))))

    def save_tank(self, tank: Tank, now: datetime) -> bool:
        """Keep a tank's description as its newest version; False if it is what was there already."""
        with self._writing() as connection:
            return _describe(connection, tank, now)

    def descriptions(self, name: str) -> tuple[tuple[datetime, Tank], ...]:
        """Return every version of a tank's description with the moment it was kept, oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(DESCRIPTIONS.c.recorded, DESCRIPTIONS.c.toml)
                .where(DESCRIPTIONS.c.tank_id == find_tank(connection, name))
                .order_by(DESCRIPTIONS.c.id)
            ).all()
        return tuple((recorded, _tank(toml)) for recorded, toml in rows)

    def append(self, name: str, events: Iterable[Event], now: datetime) -> int:
        """Add events to a tank's log, all of them or none; return how many."""
        listed = list(events)
        with self._writing() as connection:
            tank_id = find_tank(connection, name, lock=True)
            insert_events(connection, tank_id, listed, now)
        return len(listed)

    def read(self, name: str) -> tuple[Tank, tuple[Event, ...]]:
        """Return the newest description of a tank and its events in order of time, voids among them."""
        with self._reading() as connection:
            tank_id = find_tank(connection, name)
            toml = connection.scalar(_newest(tank_id))
            events = _events(connection, tank_id, EVENTS.c.kind != Refused.kind)
        return _tank(str(toml)), events

    def refused(self, name: str) -> tuple[Refused, ...]:
        """Return the lines that could not be read when they were imported, as they were written."""
        with self._reading() as connection:
            kept = _events(connection, find_tank(connection, name), EVENTS.c.kind == Refused.kind)
        return tuple(event for event in kept if isinstance(event, Refused))

    def import_folder(self, folder: Folder, now: datetime) -> Imported:
        """Add what a folder holds and the store does not; the same folder twice adds nothing."""
        if folder.tank is None:
            raise StoreError("The folder has no readable tank.toml with a name; mend that first.")
        with self._writing() as connection:
            described = _describe(connection, folder.tank, now)
            tank_id = find_tank(connection, folder.tank.name, lock=True)
            there = _counts(connection, tank_id)
            new, already = _not_there(folder.events, there)
            refused, _ = _not_there(folder.refused, there)
            insert_events(connection, tank_id, [*new, *refused], now)
        held = sum(count for (kind, _), count in there.items() if kind != Refused.kind)
        return Imported(
            added=len(new), already=already, refused=len(refused), absent=held - already, described=described
        )

    def export_folder(self, name: str) -> Folder:
        """Return a tank as a folder, ready to be written."""
        tank, events = self.read(name)
        return Folder(tank=tank, events=events, refused=self.refused(name))

    def cached(self, key: str) -> bytes | None:
        """Return a computed answer kept under a key, if there is one."""
        with self._reading() as connection:
            return connection.scalar(sa.select(ANSWERS.c.answer).where(ANSWERS.c.key == key))

    def keep(self, key: str, answer: bytes, now: datetime) -> None:
        """Keep a computed answer under a key; it can be thrown away at any time."""
        with self._writing() as connection:
            connection.execute(ANSWERS.delete().where(ANSWERS.c.key == key))
            connection.execute(ANSWERS.insert().values(key=key, answer=answer, recorded=now))

    def forget(self, before: datetime) -> int:
        """Throw away computed answers kept before a moment; return how many."""
        with self._writing() as connection:
            return connection.execute(ANSWERS.delete().where(ANSWERS.c.recorded < before)).rowcount

    @contextmanager
    def _reading(self) -> Iterator[sa.Connection]:
        with self._mending(), self._engine.connect().execution_options(reads=True) as connection:
            yield connection

    @contextmanager
    def _writing(self) -> Iterator[sa.Connection]:
        with self._mending(), self._engine.begin() as connection:
            yield connection

    @contextmanager
    def _mending(self) -> Iterator[None]:
        """Turn what the database complains about into a sentence for the keeper."""
        try:
            yield
        except sa.exc.DBAPIError as error:
            where = self._engine.url.render_as_string(hide_password=True)
            raise StoreError(
                f"The logbook {where} cannot be used: {error.orig}. {_remedy(str(error.orig))}"
            ) from error

    def _prepare(self) -> None:
        if self._engine.dialect.name == "sqlite":
            file = self._engine.url.database or ""
            Path(file).parent.mkdir(parents=True, exist_ok=True)
        with self._reading() as connection:
            _is_ours(connection)
            revision = _revision(connection)
        if revision != REVISION:
            self._back_up(revision)
            with self._mending():
                self._migrate()

    def _back_up(self, revision: str | None) -> None:
        """Copy a SQLite file that already holds something before its schema is changed."""
        if revision is None or self._engine.dialect.name != "sqlite":
            return
        file = Path(self._engine.url.database or "")
        shutil.copy2(file, file.with_name(f"{file.name}.revision-{revision}"))

    def _migrate(self) -> None:
        """Upgrade in one transaction; foreign keys are off meanwhile and checked before the commit."""
        from lentic.logbook import migrations

        with self._engine.connect() as connection:
            sqlite = connection.dialect.name == "sqlite"
            if sqlite:
                _pragma(connection, "foreign_keys = OFF")
            with connection.begin():
                if not sqlite:
                    connection.execute(sa.select(sa.func.pg_advisory_xact_lock(MIGRATION_LOCK)))
                migrations.upgrade(connection)
                if sqlite:
                    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
                    if broken:
                        raise StoreError(f"The upgrade would break {len(broken)} links; nothing was changed.")
                    connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION}")
            connection.detach()


def _pragma(connection: sa.Connection, text: str) -> None:
    """Set a pragma outside of any transaction, where SQLite heeds it."""
    driver: Any = connection.connection.driver_connection
    driver.execute(f"PRAGMA {text}")


def _engine(url: str) -> sa.Engine:
    engine = sa.create_engine(url)
    if engine.dialect.name == "sqlite":
        sa.event.listen(engine, "connect", _on_connect)
        sa.event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(driver: Any, _: object) -> None:
    """Leave transactions to us, keep foreign keys, wait for others, reach the disk before a commit ends."""
    driver.isolation_level = None
    for text in ("foreign_keys = ON", f"busy_timeout = {WAIT_FOR_LOCK_MS}", "synchronous = FULL"):
        driver.execute(f"PRAGMA {text}")


def _on_begin(connection: sa.Connection) -> None:
    """Take the write lock at once: a lock taken half-way can fail after work was done."""
    reads = connection.get_execution_options().get("reads", False)
    connection.exec_driver_sql("BEGIN" if reads else "BEGIN IMMEDIATE")


def _remedy(message: str) -> str:
    for sign, remedy in (
        ("locked", "Another program is writing; try again."),
        ("not a database", "It is no logbook; choose another file."),
        ("malformed", "The file is damaged; go back to a copy of it."),
        ("full", "Make room on the disk and try again."),
        ("readonly", "Allow writing to the file and its folder."),
        ("unable to open", "Check that the folder exists and may be written."),
    ):
        if sign in message:
            return remedy
    return "Check the database and try again."


def _is_ours(connection: sa.Connection) -> None:
    if connection.dialect.name != "sqlite":
        return
    mark = connection.exec_driver_sql("PRAGMA application_id").scalar()
    empty = not connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar()
    if mark != APPLICATION and not empty:
        raise StoreError("The file is a database of another program; choose another file for the logbook.")


def _revision(connection: sa.Connection) -> str | None:
    if not sa.inspect(connection).has_table("alembic_version"):
        return None
    revision = connection.exec_driver_sql("SELECT version_num FROM alembic_version").scalar()
    if revision is not None and str(revision) > REVISION:
        raise StoreError("The logbook was written by a newer version of this program; update the program.")
    return None if revision is None else str(revision)


def find_tank(connection: sa.Connection, name: str, *, lock: bool = False) -> int:
    """Return the number of a tank, or say which are known."""
    query = sa.select(TANKS.c.id).where(TANKS.c.name == name)
    found = connection.scalar(query.with_for_update() if lock else query)
    if found is None:
        known = sorted(connection.scalars(sa.select(TANKS.c.name)))
        told = f"Known are: {', '.join(known)}." if known else "There is no tank yet; import one first."
        raise UnknownTankError(f"There is no tank '{name}'. {told}")
    return int(found)


def _newest(tank_id: int) -> sa.Select[Any]:
    return (
        sa.select(DESCRIPTIONS.c.toml)
        .where(DESCRIPTIONS.c.tank_id == tank_id)
        .order_by(DESCRIPTIONS.c.id.desc())
        .limit(1)
    )


def _tank(toml: str) -> Tank:
    tank, problems = read_tank(toml)
    if tank is None:
        raise StoreError(f"A kept description cannot be read: {problems[0].sentence}")
    return tank


def _describe(connection: sa.Connection, tank: Tank, now: datetime) -> bool:
    query = sa.select(TANKS.c.id).where(TANKS.c.name == tank.name).with_for_update()
    tank_id = connection.scalar(query)
    if tank_id is None:
        connection.execute(TANKS.insert().values(name=tank.name, recorded=now))
        tank_id = connection.execute(query).scalar_one()
    toml = tank_text(tank)
    if connection.execute(_newest(tank_id)).scalar() == toml:
        return False
    connection.execute(DESCRIPTIONS.insert().values(tank_id=tank_id, toml=toml, recorded=now))
    return True


def _counts(connection: sa.Connection, tank_id: int) -> Counter[tuple[str, str]]:
    rows = connection.execute(
        sa.select(EVENTS.c.kind, EVENTS.c.digest, sa.func.count())
        .where(EVENTS.c.tank_id == tank_id)
        .group_by(EVENTS.c.kind, EVENTS.c.digest)
    ).all()
    return Counter({(kind, digest): count for kind, digest, count in rows})


def _not_there(events: Iterable[Event], there: Counter[tuple[str, str]]) -> tuple[list[Event], int]:
    """Split events into those the store lacks, counting equal ones, and the number it has."""
    left = Counter(there)
    new: list[Event] = []
    already = 0
    for event in events:
        key = (event.kind, digest_of(event))
        if left[key]:
            left[key] -= 1
            already += 1
        else:
            new.append(event)
    return new, already


def insert_events(connection: sa.Connection, tank_id: int, events: list[Event], now: datetime) -> None:
    """Add events to a log, counting those that are equal."""
    if not events:
        return
    counts = _counts(connection, tank_id)
    rows = []
    for event in events:
        key = (event.kind, digest_of(event))
        rows.append(
            {
                "tank_id": tank_id, "time": event.time, "kind": event.kind, "what": what_of(event),
                "body": body_of(event), "note": event.note, "recorded": now, "digest": key[1],
                "occurrence": counts[key],
            }
        )  # fmt: skip
        counts[key] += 1
    connection.execute(EVENTS.insert(), rows)


def _events(connection: sa.Connection, tank_id: int, which: sa.ColumnElement[bool]) -> tuple[Event, ...]:
    rows = connection.execute(
        sa.select(EVENTS.c.kind, EVENTS.c.time, EVENTS.c.note, EVENTS.c.body)
        .where(EVENTS.c.tank_id == tank_id, which)
        .order_by(EVENTS.c.time, EVENTS.c.id)
    )
    return tuple(event_from(kind, time, note, body) for kind, time, note, body in rows)
