"""The schema of the store: tanks and their logs, which are only added to, and what a household keeps beside them."""

from __future__ import annotations

from datetime import UTC, datetime

import sqlalchemy as sa
from sqlalchemy.engine.interfaces import Dialect

REVISION = "0004"
"""The newest revision of the schema; a test compares it with the migrations."""


class UtcDateTime(sa.TypeDecorator[datetime]):
    """Aware UTC moments: SQLite forgets the zone, PostgreSQL answers in its own; both are mended here."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn an aware moment into UTC; a naive one is a bug of the caller."""
        if value is not None and value.tzinfo is None:
            raise ValueError(f"a time without a zone cannot be stored: {value}")
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Return the moment as aware UTC."""
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


METADATA = sa.MetaData(
    naming_convention={
        "ix": "ix_%(table_name)s_%(column_0_N_name)s",
        "uq": "uq_%(table_name)s_%(column_0_N_name)s",
        "fk": "fk_%(table_name)s_%(column_0_name)s",
        "pk": "pk_%(table_name)s",
    }
)
TANKS = sa.Table(
    "tanks",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("name", sa.Text, nullable=False, unique=True),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
DESCRIPTIONS = sa.Table(
    "descriptions",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("tank_id", sa.ForeignKey("tanks.id"), nullable=False, index=True),
    sa.Column("toml", sa.Text, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
EVENTS = sa.Table(
    "events",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("tank_id", sa.ForeignKey("tanks.id"), nullable=False),
    sa.Column("time", UtcDateTime, nullable=False),
    sa.Column("kind", sa.Text, nullable=False),
    sa.Column("what", sa.Text, nullable=False),
    sa.Column("body", sa.JSON, nullable=False),
    sa.Column("note", sa.Text, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
    sa.Column("digest", sa.Text, nullable=False),
    sa.Column("occurrence", sa.Integer, nullable=False),
    sa.UniqueConstraint("tank_id", "digest", "occurrence"),
    sa.Index("ix_events_tank_id_time", "tank_id", "time"),
)
ANSWERS = sa.Table(
    "answers",
    METADATA,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("answer", sa.LargeBinary, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
SETTINGS = sa.Table(
    "settings",
    METADATA,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("value", sa.Text, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
RECEIPTS = sa.Table(
    "receipts",
    METADATA,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
JOBS = sa.Table(
    "jobs",
    METADATA,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("tank", sa.Text, nullable=False),
    sa.Column("ask", sa.Text, nullable=False),
    sa.Column("stamp", sa.Text, nullable=False),
    sa.Column("state", sa.Text, nullable=False),
    sa.Column("said", sa.Text, nullable=False),
    sa.Column("worker", sa.Text, nullable=True),
    sa.Column("beat", UtcDateTime, nullable=True),
    sa.Column("attempts", sa.Integer, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
DEVICES = sa.Table(
    "devices",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("name", sa.Text, nullable=False),
    sa.Column("digest", sa.Text, nullable=False, unique=True),
    sa.Column("paired", UtcDateTime, nullable=False),
    sa.Column("seen", UtcDateTime, nullable=False),
    sa.Column("ended", UtcDateTime, nullable=True),
)
PHOTOS = sa.Table(
    "photos",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("tank_id", sa.ForeignKey("tanks.id"), nullable=False),
    sa.Column("event_id", sa.ForeignKey("events.id"), nullable=False, index=True),
    sa.Column("digest", sa.Text, nullable=False),
    sa.Column("width", sa.Integer, nullable=False),
    sa.Column("height", sa.Integer, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
TRIALS = sa.Table(
    "trials",
    METADATA,
    sa.Column("id", sa.Integer, primary_key=True),
    sa.Column("tank_id", sa.ForeignKey("tanks.id"), nullable=False, index=True),
    sa.Column("begun", UtcDateTime, nullable=False),
    sa.Column("body", sa.JSON, nullable=False),
    sa.Column("closed", UtcDateTime, nullable=True),
    sa.Column("verdict", sa.JSON, nullable=True),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
SESSIONS = sa.Table(
    "sessions",
    METADATA,
    sa.Column("key", sa.Text, primary_key=True),
    sa.Column("tank_id", sa.ForeignKey("tanks.id"), nullable=False, index=True),
    sa.Column("body", sa.JSON, nullable=False),
    sa.Column("begun", UtcDateTime, nullable=False),
    sa.Column("ended", UtcDateTime, nullable=True),
)
MARKS = sa.Table(
    "marks",
    METADATA,
    sa.Column("session_key", sa.ForeignKey("sessions.key"), primary_key=True),
    sa.Column("number", sa.Integer, primary_key=True),
    sa.Column("body", sa.JSON, nullable=False),
    sa.Column("recorded", UtcDateTime, nullable=False),
)
