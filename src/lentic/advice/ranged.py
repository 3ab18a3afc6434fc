"""Estimates made of facts of the catalogue and of each other, their source kept; and what is said with a source."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from lentic.advice.estimate import Estimate, follows
from lentic.catalogue import Fact


def of_fact(fact: Fact, unit: str | None = None) -> Estimate:
    """Return what the catalogue, or the keeper in its place, says."""
    low, high = fact.bounds
    return Estimate(
        low=low, value=fact.middle, high=high, unit=fact.unit if unit is None else unit, origin=fact.origin,
        source=fact.source,
    )  # fmt: skip


def combined(work: Callable[..., float], *parts: Estimate, unit: str, origin: str, source: str = "") -> Estimate:
    """Return what follows from several numbers through `work`, which rises or falls steadily with each of them."""
    return replace(follows(work, *parts, unit=unit), origin=origin, source=source)


def multiplied(*parts: Estimate, factor: float = 1.0, unit: str, origin: str, source: str = "") -> Estimate:
    """Return the product of positive numbers with independent errors: logarithms of their widths add as squares."""
    middle = factor * math.prod(part.value for part in parts)
    below = math.sqrt(sum(_ratio(part.value, part.low) ** 2 for part in parts))
    above = math.sqrt(sum(_ratio(part.high, part.value) ** 2 for part in parts))
    return Estimate(
        low=middle * math.exp(-below), value=middle, high=middle * math.exp(above), unit=unit, origin=origin,
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
