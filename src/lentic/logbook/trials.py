"""One change on trial: what was turned, from what to what, what was expected, and how it ended; as it is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

FACTORS: Mapping[str, str] = {
    "litres": "L a change",
    "interval_d": "days between changes",
    "ration": "of the food given before",
    "plants_g": "g of plants put in",
    "light_h": "h of plant light a day",
}
"""What can be tried, one at a time -> its unit."""
VERDICTS = ("worked", "no effect", "worse", "spoiled", "too early to say", "ended for the animal")


@dataclass(frozen=True, kw_only=True)
class Expected:
    """What one quantity was expected to do, day by day: with the change, and had all gone on as before."""

    quantity: str
    unit: str
    days: tuple[date, ...]
    with_change: tuple[tuple[float, float, float], ...]
    """Tenth, half and nine tenths of the possible tanks."""
    without: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One change, written down before it is made."""

    begun: datetime
    factor: str
    before: float
    after: float
    do: str
    """What is done, in a sentence."""
    goal: str
    """The quantity it is judged by."""
    wanted: int
    """-1 where less of it is wanted, 1 where more."""
    seen_from: date | None
    """The first day on which the readings can show it; None where they cannot within the time looked at."""
    readings: int
    """How many readings of the goal that takes."""
    ends: date
    still: tuple[str, ...]
    """What is kept as it is meanwhile."""
    stop: tuple[str, ...]
    """When to end it at once."""
    expected: tuple[Expected, ...]
    would_take: float | None = None
    """Where it cannot be seen: how many times as large an effect would be. [-]"""


@dataclass(frozen=True, kw_only=True)
class Ended:
    """How a trial ended: one of `VERDICTS`, in words, and what of the expected effect was seen."""

    verdict: str
    sentence: str
    share: float | None = None
    """Effect seen as a share of the one expected; 1 is as predicted. [-]"""
    low: float | None = None
    high: float | None = None
    readings: int = 0


def body_of(trial: Trial) -> dict[str, Any]:
    """Return a trial ready for JSON; its beginning is kept beside it."""
    body = asdict(trial)
    del body["begun"]
    body["seen_from"] = None if trial.seen_from is None else trial.seen_from.isoformat()
    body["ends"] = trial.ends.isoformat()
    for expected in body["expected"]:
        expected["days"] = [day.isoformat() for day in expected["days"]]
    return body


def trial_from(begun: datetime, body: Mapping[str, Any]) -> Trial:
    """Return a trial as it was kept."""
    expected = tuple(
        Expected(
            quantity=e["quantity"], unit=e["unit"], days=tuple(date.fromisoformat(d) for d in e["days"]),
            with_change=_three(e["with_change"]), without=_three(e["without"]),
        )
        for e in body["expected"]
    )  # fmt: skip
    seen = body["seen_from"]
    return Trial(
        begun=begun, factor=body["factor"], before=body["before"], after=body["after"], do=body["do"],
        goal=body["goal"],
        wanted=body["wanted"], seen_from=None if seen is None else date.fromisoformat(seen), readings=body["readings"],
        ends=date.fromisoformat(body["ends"]), still=tuple(body["still"]), stop=tuple(body["stop"]),
        expected=expected, would_take=body.get("would_take"),
    )  # fmt: skip


def ended_from(body: Mapping[str, Any]) -> Ended:
    """Return a verdict as it was kept."""
    return Ended(**dict(body))


def _three(rows: Any) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(a), float(b), float(c)) for a, b, c in rows)
