"""Numbers and algae in a keeper's words: two digits, a unit, a range, and where the number comes from."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

GRADES = ("clean", "a thin film", "a visible coat", "a thick coat", "a mat")


@dataclass(frozen=True, kw_only=True)
class Spread:
    """Tenth, half and nine tenths of the possible tanks; None where nothing can be said."""

    p10: float | None
    p50: float | None
    p90: float | None

    @property
    def known(self) -> bool:
        """Whether there is a middle value."""
        return self.p50 is not None

    def as_json(self) -> dict[str, float | None]:
        """Return the three values under their names."""
        return {"p10": self.p10, "p50": self.p50, "p90": self.p90}


NOTHING = Spread(p10=None, p50=None, p90=None)


def spread_of(values: Array, digits: int = 4) -> Spread:
    """Return the spread of values over members; members without a number are left out."""
    kept = values[np.isfinite(values)]
    if kept.size == 0:
        return NOTHING
    low, middle, high = (rounded(float(x), digits) for x in np.quantile(kept, (0.1, 0.5, 0.9)))
    return Spread(p10=low, p50=middle, p90=high)


def rounded(value: float, digits: int) -> float:
    """Return a value with so many significant digits."""
    if value == 0.0 or not math.isfinite(value):
        return 0.0 if value == 0.0 else value
    return round(value, digits - 1 - math.floor(math.log10(abs(value))))


def number(value: float) -> str:
    """Return a value with two significant digits, without a trailing point; whole above ten."""
    short = rounded(value, 2)
    if abs(value) >= 99.5:
        short = rounded(value, 2 if abs(value) < 1000 else 3)
    if short == int(short) and abs(short) >= 1:
        return str(int(short))
    if abs(short) < 1e-4:
        return "0"
    return np.format_float_positional(short, trim="-")


def amount(value: float, unit: str) -> str:
    """Return a value with its unit."""
    return f"{number(value)} {unit}".strip()


def ranged(spread: Spread, unit: str) -> str:
    """Return the middle value with its unit and the range that holds 8 of 10 possible tanks."""
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "cannot be said"
    return f"{amount(spread.p50, unit)} (8 in 10: {number(spread.p10)} to {number(spread.p90)})"


def waiting(spread: Spread) -> str:
    """Return how long something is still to come, in whole days, with the range that holds 8 of 10 possible tanks."""
    if spread.p50 is None:
        return "not within this time"
    ends = [spread.p10, spread.p50, spread.p90]
    low, middle, high = ("later" if x is None else "within a day" if x < 1.0 else f"{x:.0f} days" for x in ends)
    return f"{middle} (8 in 10: {low} to {high})"


def precise(spread: Spread, unit: str) -> str:
    """Return the middle value and range with one decimal, for pH, temperature and hardness."""
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "cannot be said"
    return f"{spread.p50:.1f} {unit}".strip() + f" (8 in 10: {spread.p10:.1f} to {spread.p90:.1f})"


def chance(share: float) -> str:
    """Return a chance as a keeper would say it, never with false precision."""
    if not math.isfinite(share):
        return "not known"
    if share >= 0.95:
        return "nearly sure"
    if share <= 0.05:
        return "very unlikely"
    return f"about {max(1, min(9, round(share * 10)))} in 10"


def grade_words(grade: float) -> str:
    """Return what algae of a grade look like."""
    return GRADES[int(min(max(round(grade), 0), 4))]


def day_words(moment: datetime | date) -> str:
    """Return a day, such as Sat 5 April."""
    return f"{moment:%a} {moment.day} {moment:%B}"


def buckets(litres: float) -> str:
    """Return litres with the buckets of ten litres they make."""
    count = litres / 10.0
    whole = f"{count:.0f}" if abs(count - round(count)) < 0.15 else f"{count:.1f}"
    return f"{number(litres)} L ({whole} bucket{'' if whole == '1' else 's'} of 10 L)"


def counted(count: int, thing: str) -> str:
    """Return a count with its thing, such as 1 reading or 3 readings."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def listed(words: list[str] | tuple[str, ...]) -> str:
    """Return words as a list in a sentence."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
