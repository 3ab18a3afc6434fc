"""What a household keeps beside its logs: settings, receipts, work under way, devices, photos, trials."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"

MOMENT = sa.DateTime(timezone=True)


def upgrade() -> None:
    """Create the tables."""
    op.create_table(
        "settings",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("value", sa.Text, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_settings"),
    )
    op.create_table(
        "receipts",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_receipts"),
    )
    op.create_table(
        "jobs",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("tank", sa.Text, nullable=False),
        sa.Column("ask", sa.Text, nullable=False),
        sa.Column("stamp", sa.Text, nullable=False),
        sa.Column("state", sa.Text, nullable=False),
        sa.Column("said", sa.Text, nullable=False),
        sa.Column("worker", sa.Text, nullable=True),
        sa.Column("beat", MOMENT, nullable=True),
        sa.Column("attempts", sa.Integer, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_jobs"),
    )
    op.create_table(
        "devices",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("name", sa.Text, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("paired", MOMENT, nullable=False),
        sa.Column("seen", MOMENT, nullable=False),
        sa.Column("ended", MOMENT, nullable=True),
        sa.PrimaryKeyConstraint("id", name="pk_devices"),
        sa.UniqueConstraint("digest", name="uq_devices_digest"),
    )
    _of_a_tank()


def _of_a_tank() -> None:
    op.create_table(
        "photos",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("tank_id", sa.Integer, nullable=False),
        sa.Column("event_id", sa.Integer, nullable=False),
        sa.Column("digest", sa.Text, nullable=False),
        sa.Column("width", sa.Integer, nullable=False),
        sa.Column("height", sa.Integer, nullable=False),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_photos"),
        sa.ForeignKeyConstraint(["tank_id"], ["tanks.id"], name="fk_photos_tank_id"),
        sa.ForeignKeyConstraint(["event_id"], ["events.id"], name="fk_photos_event_id"),
    )
    op.create_index("ix_photos_event_id", "photos", ["event_id"])
    op.create_table(
        "trials",
        sa.Column("id", sa.Integer, nullable=False),
        sa.Column("tank_id", sa.Integer, nullable=False),
        sa.Column("begun", MOMENT, nullable=False),
        sa.Column("body", sa.JSON, nullable=False),
        sa.Column("closed", MOMENT, nullable=True),
        sa.Column("verdict", sa.JSON, nullable=True),
        sa.Column("recorded", MOMENT, nullable=False),
        sa.PrimaryKeyConstraint("id", name="pk_trials"),
        sa.ForeignKeyConstraint(["tank_id"], ["tanks.id"], name="fk_trials_tank_id"),
    )
    op.create_index("ix_trials_tank_id", "trials", ["tank_id"])
