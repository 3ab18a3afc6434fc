"""One thing looked at: whether it holds, what was found with value, unit and origin, and what to do."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from lentic.advice.words import day_words
from lentic.catalogue.facts import Fact
from lentic.science.constants import YEAR_D

State = Literal["stop", "act", "watch", "ask", "fine"]
ORDER: tuple[State, ...] = ("stop", "act", "watch", "ask", "fine")
"""The most pressing first: not to be done, today, soon, one fact is missing, holds."""
HOW_WORDS = {
    "verified": "read", "derived": "worked out", "memory": "from memory", "common-practice": "common practice",
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Finding:
    """What was looked at and found; `source` says where the measure comes from."""

    what: str
    state: State
    sentence: str
    do: str = ""
    source: str = ""


def sorted_findings(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Return findings with the most pressing first, otherwise in their order."""
    return tuple(sorted(findings, key=lambda each: ORDER.index(each.state)))


def ask(what: str, question: str) -> Finding:
    """Return a finding that waits for one fact."""
    return Finding(what=what, state="ask", sentence=question)


def known_as(fact: Fact) -> str:
    """Say how a fact of the catalogue is known."""
    return f"catalogue, {HOW_WORDS.get(fact.how, fact.how)}"


@dataclass(frozen=True, kw_only=True)
class When:
    """A day with the range that holds 8 of 10 possible ones; None is later than can be said, perhaps never."""

    p10: date | None
    p50: date | None
    p90: date | None

    @property
    def sentence(self) -> str:
        """The day and its range in words."""
        if self.p50 is None:
            return "probably never" if self.p10 is None else f"perhaps, not before {month_words(self.p10)}"
        first, last = (month_words(day) if day else "perhaps never" for day in (self.p10, self.p90))
        middle = month_words(self.p50)
        return f"about {middle}" if first == middle == last else f"about {middle} (8 in 10: {first} to {last})"


FAR_YEARS = 60.0
"""Later than this nothing is said."""


def when_of(reference: date, years: tuple[float, ...]) -> When:
    """Return the days that lie so many years after a reference day."""
    days = [reference + timedelta(days=round(each * YEAR_D)) if abs(each) < FAR_YEARS else None for each in years]
    return When(p10=days[0], p50=days[1], p90=days[2])


def month_words(day: date) -> str:
    """Return a day as month and year, such as May 2027."""
    return f"{day:%B} {day.year}"


def date_words(day: date | datetime) -> str:
    """Return a day with its year, such as Sat 5 April 2026."""
    return f"{day_words(day)} {day.year}"
