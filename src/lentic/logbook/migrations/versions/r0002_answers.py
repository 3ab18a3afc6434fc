"""A place for computed answers, which can be thrown away at any time."""

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Create the table of computed answers."""
    op.create_table(
        "answers",
        sa.Column("key", sa.Text, nullable=False),
        sa.Column("answer", sa.LargeBinary, nullable=False),
        sa.Column("recorded", sa.DateTime(timezone=True), nullable=False),
        sa.PrimaryKeyConstraint("key", name="pk_answers"),
    )
