"""What a household keeps beside its logs: settings, receipts, work under way, devices, photos and trials."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

import sqlalchemy as sa

from lentic.logbook.events import Event, event_from
from lentic.logbook.store import Store, find_tank, insert_events
from lentic.logbook.tables import (
    ANSWERS,
    DESCRIPTIONS,
    DEVICES,
    EVENTS,
    JOBS,
    MARKS,
    PHOTOS,
    RECEIPTS,
    SESSIONS,
    SETTINGS,
    TANKS,
    TRIALS,
)

WAITING, WORKING, FAILED = "waiting", "working", "failed"
MOST_ATTEMPTS = 3
"""A piece of work that ended its worker so often is not tried again by itself."""


@dataclass(frozen=True, kw_only=True)
class Entry:
    """An event as it stands in the store, under the number by which a page can name it."""

    id: int
    event: Event
    recorded: datetime


@dataclass(frozen=True, kw_only=True)
class Job:
    """A piece of work: what is asked of which tank, how far it is, and how often it was begun."""

    key: str
    tank: str
    ask: str
    stamp: str
    state: str
    said: str
    attempts: int
    recorded: datetime


@dataclass(frozen=True, kw_only=True)
class Device:
    """A telephone or another machine that was let in; `ended` is None while it may come."""

    id: int
    name: str
    paired: datetime
    seen: datetime
    ended: datetime | None


@dataclass(frozen=True, kw_only=True)
class Photo:
    """A picture beside an event; the file is named by its digest."""

    id: int
    event_id: int
    digest: str
    width: int
    height: int


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One change on trial; `body` says what was changed and predicted, `verdict` how it ended."""

    id: int
    begun: datetime
    body: Mapping[str, Any]
    closed: datetime | None
    verdict: Mapping[str, Any] | None


@dataclass(frozen=True, kw_only=True)
class Session:
    """One session of upkeep: its steps as they were planned, and what was said of them so far, oldest first."""

    key: str
    begun: datetime
    ended: datetime | None
    body: Mapping[str, Any]
    marks: tuple[Mapping[str, Any], ...]


class Household(Store):
    """The store with what stands beside the logs; only the logs are never changed."""

    def settings(self) -> dict[str, str]:
        """Return every setting that was made."""
        with self._reading() as connection:
            rows = connection.execute(sa.select(SETTINGS.c.key, SETTINGS.c.value)).all()
        return {key: value for key, value in rows}

    def set(self, values: Mapping[str, str], now: datetime) -> None:
        """Make settings; others stay as they are."""
        with self._writing() as connection:
            connection.execute(SETTINGS.delete().where(SETTINGS.c.key.in_(list(values))))
            rows = [{"key": key, "value": value, "recorded": now} for key, value in values.items()]
            if rows:
                connection.execute(SETTINGS.insert(), rows)

    def append_once(self, name: str, events: Iterable[Event], receipt: str, now: datetime) -> bool:
        """Add events under a receipt, all of them or none; False where the same receipt was used before."""
        listed = list(events)
        with self._writing() as connection:
            tank_id = find_tank(connection, name, lock=True)
            if connection.scalar(sa.select(RECEIPTS.c.key).where(RECEIPTS.c.key == receipt)) is not None:
                return False
            connection.execute(RECEIPTS.insert().values(key=receipt, recorded=now))
            insert_events(connection, tank_id, listed, now)
        return True

    def tidy(self, before: datetime) -> None:
        """Throw away computed answers and receipts from before a moment; what the keeper wrote stays."""
        self.forget(before)
        with self._writing() as connection:
            connection.execute(RECEIPTS.delete().where(RECEIPTS.c.recorded < before))

    def entries(self, name: str) -> tuple[Entry, ...]:
        """Return all events of a tank with their numbers, oldest first, refused lines and voids among them."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(EVENTS.c.id, EVENTS.c.kind, EVENTS.c.time, EVENTS.c.note, EVENTS.c.body, EVENTS.c.recorded)
                .where(EVENTS.c.tank_id == find_tank(connection, name))
                .order_by(EVENTS.c.time, EVENTS.c.id)
            ).all()
        return tuple(
            Entry(id=number, event=event_from(kind, time, note, body), recorded=recorded)
            for number, kind, time, note, body, recorded in rows
        )

    def stamp(self, name: str) -> str:
        """Return what changes whenever something is added to a tank's log or description."""
        newest = sa.select(
            TANKS.c.id,
            sa.select(sa.func.max(DESCRIPTIONS.c.id)).where(DESCRIPTIONS.c.tank_id == TANKS.c.id).scalar_subquery(),
            sa.select(sa.func.max(EVENTS.c.id)).where(EVENTS.c.tank_id == TANKS.c.id).scalar_subquery(),
        ).where(TANKS.c.name == name)
        with self._reading() as connection:
            row = connection.execute(newest).first()
            if row is None:
                find_tank(connection, name)
        return ".".join(str(each or 0) for each in row or ())

    def answers_like(self, prefix: str) -> dict[str, bytes]:
        """Return the computed answers whose key begins so."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(ANSWERS.c.key, ANSWERS.c.answer).where(ANSWERS.c.key.startswith(prefix, autoescape=True))
            ).all()
        return {key: answer for key, answer in rows}

    def enqueue(self, key: str, tank: str, ask: str, stamp: str, now: datetime) -> None:
        """Put a piece of work into the queue; asked again after the log changed it begins anew."""
        with self._writing() as connection:
            found = connection.execute(sa.select(JOBS.c.stamp).where(JOBS.c.key == key)).scalar()
            if found == stamp:
                return
            connection.execute(JOBS.delete().where(JOBS.c.key == key))
            connection.execute(
                JOBS.insert().values(
                    key=key, tank=tank, ask=ask, stamp=stamp, state=WAITING, said="", attempts=0, recorded=now
                )
            )

    def claim(self, worker: str, now: datetime) -> Job | None:
        """Take the oldest piece of waiting work for a worker."""
        with self._writing() as connection:
            row = connection.execute(
                sa.select(JOBS).where(JOBS.c.state == WAITING).order_by(JOBS.c.recorded).limit(1).with_for_update()
            ).first()
            if row is None:
                return None
            connection.execute(
                JOBS.update()
                .where(JOBS.c.key == row.key)
                .values(state=WORKING, worker=worker, beat=now, attempts=row.attempts + 1)
            )
        return _job(row)

    def tell(self, key: str, worker: str, said: str, now: datetime) -> bool:
        """Note how far a worker is; False where the work is no longer wanted as it was asked."""
        with self._writing() as connection:
            mine = (JOBS.c.key == key) & (JOBS.c.worker == worker) & (JOBS.c.state == WORKING)
            return connection.execute(JOBS.update().where(mine).values(said=said, beat=now)).rowcount == 1

    def finish(self, key: str, worker: str, stamp: str) -> None:
        """Take a piece of work that is done out of the queue."""
        with self._writing() as connection:
            mine = (JOBS.c.key == key) & (JOBS.c.worker == worker) & (JOBS.c.stamp == stamp)
            connection.execute(JOBS.delete().where(mine))

    def give_up(self, key: str, worker: str, said: str) -> None:
        """Keep why a piece of work cannot be done; it is not tried again until the log changes or someone asks."""
        with self._writing() as connection:
            mine = (JOBS.c.key == key) & (JOBS.c.worker == worker)
            connection.execute(JOBS.update().where(mine).values(state=FAILED, said=said, worker=None))

    def stop(self, key: str, said: str) -> None:
        """Have a piece of work ended; whoever is at it hears so at the next word."""
        with self._writing() as connection:
            connection.execute(JOBS.update().where(JOBS.c.key == key).values(state=FAILED, said=said, worker=None))

    def pick_up(self, before: datetime, worker: str | None = None) -> int:
        """Put back the work of a worker that ended, or of any not heard of since a moment; return how much."""
        lost = JOBS.c.beat < before if worker is None else JOBS.c.worker == worker
        again = (JOBS.c.state == WORKING) & lost
        said = "The work ended half-way several times. The log is untouched."
        with self._writing() as connection:
            connection.execute(
                JOBS.update().where(again & (JOBS.c.attempts >= MOST_ATTEMPTS)).values(
                    state=FAILED, said=said, worker=None
                )
            )  # fmt: skip
            return connection.execute(JOBS.update().where(again).values(state=WAITING, worker=None)).rowcount

    def drop(self, key: str) -> None:
        """Take a piece of work out of the queue, done or not."""
        with self._writing() as connection:
            connection.execute(JOBS.delete().where(JOBS.c.key == key))

    def job(self, key: str) -> Job | None:
        """Return a piece of work that is waiting, under way or given up."""
        with self._reading() as connection:
            row = connection.execute(sa.select(JOBS).where(JOBS.c.key == key)).first()
        return None if row is None else _job(row)

    def jobs(self) -> tuple[Job, ...]:
        """Return all work in the queue, oldest first."""
        with self._reading() as connection:
            return tuple(_job(row) for row in connection.execute(sa.select(JOBS).order_by(JOBS.c.recorded)))

    def pair(self, name: str, digest: str, now: datetime) -> None:
        """Let a device in, known by the digest of its secret."""
        with self._writing() as connection:
            connection.execute(DEVICES.insert().values(name=name, digest=digest, paired=now, seen=now))

    def device(self, digest: str) -> Device | None:
        """Return the device of a secret, if it may still come."""
        with self._reading() as connection:
            row = connection.execute(
                sa.select(DEVICES).where(DEVICES.c.digest == digest, DEVICES.c.ended.is_(None))
            ).first()
        return None if row is None else _device(row)

    def devices(self) -> tuple[Device, ...]:
        """Return all devices that may come, the newest first."""
        query = sa.select(DEVICES).where(DEVICES.c.ended.is_(None)).order_by(DEVICES.c.id.desc())
        with self._reading() as connection:
            return tuple(_device(row) for row in connection.execute(query))

    def seen(self, number: int, now: datetime) -> None:
        """Note that a device came."""
        with self._writing() as connection:
            connection.execute(DEVICES.update().where(DEVICES.c.id == number).values(seen=now))

    def unpair(self, number: int, now: datetime) -> None:
        """Let a device in no more."""
        with self._writing() as connection:
            connection.execute(DEVICES.update().where(DEVICES.c.id == number).values(ended=now))

    def attach(self, name: str, event_id: int, digest: str, size: tuple[int, int], now: datetime) -> None:
        """Note a picture beside an event of a tank."""
        with self._writing() as connection:
            connection.execute(
                PHOTOS.insert().values(
                    tank_id=find_tank(connection, name), event_id=event_id, digest=digest, width=size[0],
                    height=size[1], recorded=now,
                )
            )  # fmt: skip

    def photos(self, name: str) -> tuple[Photo, ...]:
        """Return the pictures of a tank, oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(PHOTOS).where(PHOTOS.c.tank_id == find_tank(connection, name)).order_by(PHOTOS.c.id)
            )
            return tuple(
                Photo(id=r.id, event_id=r.event_id, digest=r.digest, width=r.width, height=r.height) for r in rows
            )

    def detach(self, number: int) -> str | None:
        """Take a picture away; return the digest of its file where no other event shows it."""
        with self._writing() as connection:
            digest = connection.scalar(sa.select(PHOTOS.c.digest).where(PHOTOS.c.id == number))
            connection.execute(PHOTOS.delete().where(PHOTOS.c.id == number))
            left = connection.scalar(sa.select(sa.func.count()).where(PHOTOS.c.digest == digest))
        return None if left else digest

    def begin_trial(self, name: str, begun: datetime, body: Mapping[str, Any], now: datetime) -> int:
        """Write down one change with what is expected of it; return its number."""
        with self._writing() as connection:
            values = {"tank_id": find_tank(connection, name), "begun": begun, "body": dict(body), "recorded": now}
            key = connection.execute(TRIALS.insert().values(**values)).inserted_primary_key
            return int(key[0]) if key else 0

    def close_trial(self, number: int, verdict: Mapping[str, Any], now: datetime) -> None:
        """Write down how a trial ended; a verdict is given once."""
        with self._writing() as connection:
            still = (TRIALS.c.id == number) & TRIALS.c.closed.is_(None)
            connection.execute(TRIALS.update().where(still).values(verdict=dict(verdict), closed=now))

    def trials(self, name: str) -> tuple[Trial, ...]:
        """Return the trials of a tank, oldest first."""
        with self._reading() as connection:
            rows = connection.execute(
                sa.select(TRIALS).where(TRIALS.c.tank_id == find_tank(connection, name)).order_by(TRIALS.c.id)
            )
            return tuple(Trial(id=r.id, begun=r.begun, body=r.body, closed=r.closed, verdict=r.verdict) for r in rows)

    def begin_session(self, name: str, key: str, body: Mapping[str, Any], now: datetime) -> bool:
        """Keep a session that begins; False where one of that key is there already."""
        with self._writing() as connection:
            tank_id = find_tank(connection, name, lock=True)
            if connection.scalar(sa.select(SESSIONS.c.key).where(SESSIONS.c.key == key)) is not None:
                return False
            values = {"key": key, "tank_id": tank_id, "body": dict(body), "begun": now, "ended": None}
            connection.execute(SESSIONS.insert().values(**values))
        return True

    def add_mark(
        self, name: str, key: str, number: int, mark: Mapping[str, Any], events: Iterable[Event], now: datetime
    ) -> bool:
        """Keep the next mark of a session with the events it gives, all or nothing; False if that number is taken."""
        listed = list(events)
        with self._writing() as connection:
            tank_id = find_tank(connection, name, lock=True)
            there = sa.select(MARKS.c.number).where(MARKS.c.session_key == key, MARKS.c.number == number)
            if connection.scalar(there) is not None:
                return False
            values = {"session_key": key, "number": number, "body": dict(mark), "recorded": now}
            connection.execute(MARKS.insert().values(**values))
            insert_events(connection, tank_id, listed, now)
        return True

    def end_session(self, key: str, now: datetime) -> None:
        """Note that a session is over."""
        with self._writing() as connection:
            still = (SESSIONS.c.key == key) & SESSIONS.c.ended.is_(None)
            connection.execute(SESSIONS.update().where(still).values(ended=now))

    def sessions(self, name: str, only_open: bool = False) -> tuple[Session, ...]:
        """Return the sessions of a tank with their marks, oldest first."""
        with self._reading() as connection:
            which = SESSIONS.c.tank_id == find_tank(connection, name)
            if only_open:
                which &= SESSIONS.c.ended.is_(None)
            rows = connection.execute(sa.select(SESSIONS).where(which).order_by(SESSIONS.c.begun)).all()
            marks = connection.execute(
                sa.select(MARKS)
                .where(MARKS.c.session_key.in_([row.key for row in rows]))
                .order_by(MARKS.c.session_key, MARKS.c.number)
            ).all()
        of = {row.key: tuple(m.body for m in marks if m.session_key == row.key) for row in rows}
        return tuple(Session(key=r.key, begun=r.begun, ended=r.ended, body=r.body, marks=of[r.key]) for r in rows)


def _job(row: Any) -> Job:
    return Job(
        key=row.key, tank=row.tank, ask=row.ask, stamp=row.stamp, state=row.state, said=row.said,
        attempts=row.attempts, recorded=row.recorded,
    )  # fmt: skip


def _device(row: Any) -> Device:
    return Device(id=row.id, name=row.name, paired=row.paired, seen=row.seen, ended=row.ended)
