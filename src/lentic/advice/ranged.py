"""A number of the tables or of the keeper with range, unit, origin and source; and what is said with a source."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from lentic.advice.words import number
from lentic.catalogue import Fact


@dataclass(frozen=True, kw_only=True)
class Ranged:
    """A number that leaves with its range and its origin; low, middle and high are equal where no range is known."""

    low: float
    middle: float
    high: float
    unit: str
    origin: str
    source: str = ""

    @property
    def amount(self) -> str:
        """The number and its range with the unit, without the origin."""
        shown = number(self.middle)
        ends = (number(self.low), number(self.high))
        ranged = "" if ends == (shown, shown) else f" ({ends[0]} to {ends[1]})"
        return f"{shown} {self.unit}{ranged}".replace("  ", " ").strip()

    @property
    def text(self) -> str:
        """The number, its range, its unit and its origin."""
        return f"{self.amount}, {self.origin}"

    def times(self, factor: float, unit: str) -> Ranged:
        """Return the number in another unit."""
        low, high = sorted((self.low * factor, self.high * factor))
        return Ranged(
            low=low, middle=self.middle * factor, high=high, unit=unit, origin=self.origin, source=self.source
        )


def exactly(value: float, unit: str, origin: str, source: str = "") -> Ranged:
    """Return a number without a range."""
    return Ranged(low=value, middle=value, high=value, unit=unit, origin=origin, source=source)


def of_fact(fact: Fact, unit: str | None = None) -> Ranged:
    """Return what the catalogue, or the keeper in its place, says."""
    low, high = fact.bounds
    return Ranged(
        low=low, middle=fact.middle, high=high, unit=fact.unit if unit is None else unit, origin=fact.origin,
        source=fact.source,
    )  # fmt: skip


def combined(work: Callable[..., float], *parts: Ranged, unit: str, origin: str, source: str = "") -> Ranged:
    """Return what follows from several numbers through `work`, which rises or falls steadily with each of them."""
    corners: list[tuple[float, ...]] = [()]
    for part in parts:
        ends = dict.fromkeys((part.low, part.high))
        corners = [(*corner, end) for corner in corners for end in ends]
    found = [work(*corner) for corner in corners]
    middle = work(*(part.middle for part in parts))
    return Ranged(low=min(found), middle=middle, high=max(found), unit=unit, origin=origin, source=source)


def multiplied(*parts: Ranged, factor: float = 1.0, unit: str, origin: str, source: str = "") -> Ranged:
    """Return the product of positive numbers with independent errors: logarithms of their widths add as squares."""
    middle = factor * math.prod(part.middle for part in parts)
    below = math.sqrt(sum(_ratio(part.middle, part.low) ** 2 for part in parts))
    above = math.sqrt(sum(_ratio(part.high, part.middle) ** 2 for part in parts))
    return Ranged(
        low=middle * math.exp(-below), middle=middle, high=middle * math.exp(above), unit=unit, origin=origin,
        source=source,
    )  # fmt: skip


def _ratio(larger: float, smaller: float) -> float:
    return math.log(max(larger, 1e-12) / max(smaller, 1e-12))


@dataclass(frozen=True, kw_only=True)
class Said:
    """Something the keeper should know, how it is known and who says so."""

    text: str
    origin: str
    source: str = ""

    @property
    def line(self) -> str:
        """The sentence with its origin."""
        return f"{self.text} [{self.origin}]"


def said(text: str, fact: Fact) -> Said:
    """Return a sentence that rests on a fact."""
    return Said(text=text, origin=fact.origin, source=fact.source)
