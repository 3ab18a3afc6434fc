"""A fact: a value or a range, its unit, how it is known and who says so."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final

from lentic import LenticError

HOW: Final = ("verified", "derived", "memory", "common-practice")
"""Ways a fact can be known, the most trusted first."""

OWN: Final = "own"
"""How a keeper's own value is known: a packet, a scale, a meter at this tank; no catalogue file may say so."""

HOW_WORDS: Final = {
    OWN: "your own value",
    "verified": "source read",
    "derived": "worked out",
    "memory": "from memory of the source",
    "common-practice": "common practice, no source",
}
"""What a keeper reads beside a value."""

Value = float | str | bool | tuple[str, ...]


class CatalogueError(LenticError):
    """A catalogue file breaks its own rules, or a caller asks a fact for something it does not hold."""


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One thing the catalogue says: a value, or a range from `low` to `high`, never both."""

    value: Value | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    how: str
    source: str
    note: str = ""

    @property
    def is_number(self) -> bool:
        """Whether the fact can be reckoned with: a single number or a range."""
        return self.low is not None or (isinstance(self.value, float) and not isinstance(self.value, bool))

    @property
    def middle(self) -> float:
        """The number itself, or the middle of the range."""
        low, high = self.bounds
        return (low + high) / 2

    @property
    def bounds(self) -> tuple[float, float]:
        """The range; a single number bounds itself."""
        if self.low is not None and self.high is not None:
            return self.low, self.high
        if isinstance(self.value, float):
            return self.value, self.value
        raise CatalogueError(f"{self.value!r} from {self.source} is not a number; read `value` instead")

    @property
    def origin(self) -> str:
        """How the fact is known, in a keeper's words."""
        return HOW_WORDS[self.how]

    @property
    def text(self) -> str:
        """The fact as words; several statements are joined with semicolons."""
        if isinstance(self.value, tuple):
            return "; ".join(self.value)
        if self.low is not None and self.high is not None:
            return f"{self.low:g} to {self.high:g}"
        return f"{self.value:g}" if isinstance(self.value, float) else str(self.value)

    def scaled(self, factor: float, unit: str) -> Fact:
        """Give the same fact in another unit, `factor` times the number."""
        if isinstance(self.value, float):
            return replace(self, value=self.value * factor, unit=unit)
        low, high = self.bounds
        return replace(self, low=low * factor, high=high * factor, unit=unit)


def weakest(*facts: Fact) -> str:
    """Say how a value derived from `facts` is known: no better than the least trusted of them."""
    return max((fact.how for fact in facts), key=(OWN, *HOW).index)


def combine(work: Callable[..., float], *facts: Fact, unit: str, note: str) -> Fact:
    """Derive a fact from others through `work`, which must rise or fall steadily with each of them."""
    corners = [()] if not facts else _corners(facts)
    results = [work(*corner) for corner in corners]
    low, high = min(results), max(results)
    source = " + ".join(dict.fromkeys(fact.source for fact in facts))
    ranged = any(fact.low is not None for fact in facts)
    note = f"{note}; known as: {weakest(*facts)}"
    if ranged:
        return Fact(low=low, high=high, unit=unit, how="derived", source=source, note=note)
    return Fact(value=low, unit=unit, how="derived", source=source, note=note)


def _corners(facts: tuple[Fact, ...]) -> list[tuple[float, ...]]:
    corners: list[tuple[float, ...]] = [()]
    for fact in facts:
        ends = dict.fromkeys(fact.bounds)
        corners = [(*corner, end) for corner in corners for end in ends]
    return corners
