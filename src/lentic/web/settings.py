"""What a server is told when it starts: where the store is, what time it is, and who may come in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

PORT = 8420
LOOPBACK_NAMES = ("127.0.0.1", "localhost", "[::1]")


def wall_clock() -> datetime:
    """Return the time of this machine."""
    return datetime.now(UTC)


@dataclass(frozen=True, kw_only=True)
class Settings:
    """How the pages are served; `hosts` are the names beside loopback under which they may be asked for."""

    home: Path
    clock: Callable[[], datetime] = wall_clock
    lan: bool = False
    hosts: tuple[str, ...] = ()
    port: int = PORT
    works: bool = True
    """Whether this server starts a worker for long answers."""

    @property
    def names(self) -> frozenset[str]:
        """Every name under which the pages may be asked for."""
        return frozenset((*LOOPBACK_NAMES, *self.hosts))
