"""A measured or estimated number with unit, range and origin; and what follows from several of them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import product

from lentic.advice.words import amount, number


@dataclass(frozen=True, kw_only=True)
class Estimate:
    """A value between its ends; where a kit's error made them they hold about 8 of 10 such readings."""

    value: float
    low: float
    high: float
    unit: str
    origin: str
    source: str = ""

    @property
    def text(self) -> str:
        """The value with its unit and range."""
        if number(self.low) == number(self.high):
            return amount(self.value, self.unit)
        return f"{amount(self.value, self.unit)} ({number(self.low)} to {number(self.high)})"

    @property
    def told(self) -> str:
        """The same with its origin."""
        return f"{self.text}, {self.origin}"

    def times(self, factor: float, unit: str | None = None) -> Estimate:
        """Return the value in another unit, or a fixed multiple of it."""
        ends = sorted((self.low * factor, self.high * factor))
        unit = self.unit if unit is None else unit
        return replace(self, value=self.value * factor, low=ends[0], high=ends[1], unit=unit)


def exactly(value: float, unit: str, origin: str) -> Estimate:
    """Return a number without a range, such as litres counted once."""
    return Estimate(value=value, low=value, high=value, unit=unit, origin=origin)


def between(low: float, value: float, high: float, unit: str, origin: str) -> Estimate:
    """Return a number with its ends."""
    return Estimate(value=value, low=low, high=high, unit=unit, origin=origin)


def follows(work: Callable[..., float], *known: Estimate, unit: str) -> Estimate:
    """Return what follows from several numbers; `work` must rise or fall steadily with each of them."""
    ends = [work(*corner) for corner in product(*((each.low, each.high) for each in known))]
    middle = work(*(each.value for each in known))
    origins = "; ".join(dict.fromkeys(each.origin for each in known))
    return between(min(*ends, middle), middle, max(*ends, middle), unit, origins)
