"""Tanks, their descriptions and their events; what the keeper wrote is added to, never changed or removed."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None

MOMENT = sa.DateTime(timezone=True)
APPEND_ONLY = ("descriptions", "events")


def upgrade() -> None:
    """Create the three tables and the triggers that guard two of them."""
    op.create_table(
        "tanks",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_tanks"),
        sa.UniqueConstraint("name", name="uq_tanks_name"),
    )
    op.create_table(
        "descriptions",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("tank_id", sa.Integer, nullable=False),
        sa.Column("toml", sa.Text, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_descriptions"),
        sa.ForeignKeyConstraint(["tank_id"], ["tanks.id"], name="fk_descriptions_tank_id"),
    )
    op.create_index("ix_descriptions_tank_id", "descriptions", ["tank_id"])
    op.create_table(
        "events",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("tank_id", sa.Integer, nullable=False),
        sa.Column("time", MOMENT, nullable=False),
        sa.Column("kind", sa.Text, nullable=False),
        sa.Column("what", sa.Text, nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("occurrence", sa.Integer, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_events"),
        sa.ForeignKeyConstraint(["tank_id"], ["tanks.id"], name="fk_events_tank_id"),
        sa.UniqueConstraint("tank_id", "digest", "occurrence", name="uq_events_tank_id_digest_occurrence"),
    )
    op.create_index("ix_events_tank_id_time", "events", ["tank_id", "time"])
    if op.get_bind().dialect.name == "postgresql":
        _guard_postgresql()
    else:
        _guard_sqlite()


def _guard_sqlite() -> None:
    for table in APPEND_ONLY:
        for deed in ("UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_refuse_{deed.lower()} BEFORE {deed} ON {table} "
                "BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END"
            )


def _guard_postgresql() -> None:
    op.execute(
        "CREATE FUNCTION refuse_change() RETURNS trigger LANGUAGE plpgsql AS "
        "$$ BEGIN RAISE EXCEPTION 'the log is only ever added to'; END $$"
    )
    for table in APPEND_ONLY:
        op.execute(
            f"CREATE TRIGGER {table}_refuse_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {table} "
            "FOR EACH STATEMENT EXECUTE FUNCTION refuse_change()"
        )
