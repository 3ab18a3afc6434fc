"""Sessions of upkeep and what was said of their steps; marks are only ever added."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"

MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Create the two tables."""
    op.create_table(
        "sessions",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("tank_id", sa.Integer, nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sa.Column("begun", MOMENT, nullable=False),
        sa.Column("ended", MOMENT, nullable=True),
        sa.PrimaryKeyConstraint("key", name="pk_sessions"),
        sa.ForeignKeyConstraint(["tank_id"], ["tanks.id"], name="fk_sessions_tank_id"),
    )
    op.create_index("ix_sessions_tank_id", "sessions", ["tank_id"])
    op.create_table(
        "marks",
        sa.Column("session_key", sa.Text, nullable=False),
        sa.Column("number", sa.Integer, nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("session_key", "number", name="pk_marks"),
        sa.ForeignKeyConstraint(["session_key"], ["sessions.key"], name="fk_marks_session_key"),
    )
