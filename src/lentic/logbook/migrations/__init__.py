"""The history of the store's schema: numbered one-way revisions, run inside the caller's transaction."""

from __future__ import annotations

from pathlib import Path

import sqlalchemy as sa
from alembic import command
from alembic.config import Config


def config() -> Config:
    """Return the settings that find the revisions inside this package, wherever it is installed."""
    settings = Config()
    settings.set_main_option("script_location", str(Path(__file__).parent).replace("%", "%%"))
    settings.set_main_option("path_separator", "os")
    return settings


def upgrade(connection: sa.Connection, revision: str = "head") -> None:
    """Bring the schema behind a connection to a revision."""
    settings = config()
    settings.attributes["connection"] = connection
    command.upgrade(settings, revision)
