"""Tickets that let a telephone in: each opens the door once, and for ten minutes at most."""

from __future__ import annotations

import secrets
import threading
from datetime import datetime, timedelta

GOOD_FOR = timedelta(minutes=10)


class Tickets:
    """The tickets that are out; they live in this process alone and are never written down."""

    def __init__(self) -> None:
        self._out: dict[str, datetime] = {}
        self._lock = threading.Lock()

    def issue(self, now: datetime) -> str:
        """Return a new ticket."""
        ticket = secrets.token_urlsafe(24)
        with self._lock:
            self._out = {each: until for each, until in self._out.items() if until > now}
            self._out[ticket] = now + GOOD_FOR
        return ticket

    def holds(self, ticket: str, now: datetime) -> bool:
        """Tell whether a ticket would open the door."""
        with self._lock:
            return self._out.get(ticket, now) > now

    def use(self, ticket: str, now: datetime) -> bool:
        """Take a ticket; it opens the door this once."""
        with self._lock:
            return self._out.pop(ticket, now) > now
