"""Numbers and times as keepers and spreadsheets write them, read only where they can mean one thing."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from typing import Literal
from zoneinfo import ZoneInfo

NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?|[+-]?[.,]\d+")
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}")
_AMOUNT = re.compile(rf"\s*([<>≤≥]?)\s*({NUMBER.pattern})\s*((?![-–\d.,]).*?)\s*", re.DOTALL)
_NUMERIC_DATE = re.compile(
    r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})(?:[ T,]+(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?\s*([ap]\.?m\.?)?)?",
    re.IGNORECASE,
)
EARLIEST, LATEST = 1970, 2100


@dataclass(frozen=True, kw_only=True)
class Habits:
    """What the whole file tells about how this keeper writes: the decimal mark, the order in a date."""

    decimal: Literal[".", ",", ""] = "."
    dates: dict[str, Literal["day", "month", ""]]


@dataclass(frozen=True)
class Amount:
    """A number with what stood before and after it in the cell."""

    sign: str
    value: float
    rest: str
    text: str


class Unreadable(ValueError):
    """A cell cannot be read: why, what to write, and whether an answer settles it (`ask`)."""

    def __init__(self, message: str, remedy: str, *, ask: bool = False) -> None:
        super().__init__(message)
        self.remedy = remedy
        self.ask = ask


def habits_of(amounts: Iterable[str], times: Iterable[str]) -> Habits:
    """Learn from all cells of a file what single cells leave open."""
    marks: set[str] = set()
    for cell in amounts:
        if ("," in cell or "." in cell) and (found := _AMOUNT.fullmatch(cell)):
            number = found[2]
            if not _THOUSANDS.fullmatch(number):
                marks.update(mark for mark in ",." if mark in number)
    decimal: Literal[".", ",", ""] = "."
    if marks == {","}:
        decimal = ","
    elif len(marks) == 2:
        decimal = ""
    return Habits(decimal=decimal, dates=_date_orders(times))


def _date_orders(times: Iterable[str]) -> dict[str, Literal["day", "month", ""]]:
    orders: dict[str, Literal["day", "month", ""]] = {}
    for cell in times:
        found = _NUMERIC_DATE.fullmatch(cell.strip())
        if not found:
            continue
        first, mark, second = int(found[1]), found[2], int(found[3])
        order: Literal["day", "month", ""]
        if first > 12 >= second:
            order = "day"
        elif second > 12 >= first:
            order = "month"
        else:
            continue
        orders[mark] = order if orders.get(mark, order) == order else ""
    return orders


def read_amount(cell: str, habits: Habits) -> Amount:
    """Read a number with an optional `<` or `>` before it and an optional unit after it."""
    found = _AMOUNT.fullmatch(cell)
    if not found:
        raise Unreadable(f"'{cell.strip()}' is not a number.", "Write one number, such as 1.4.")
    sign, number, rest = found[1], found[2], found[3]
    mark = next((mark for mark in ",." if mark in number), "")
    if (
        mark
        and _THOUSANDS.fullmatch(number)
        and (mark == "," or habits.decimal != ".")
        and habits.decimal != mark
    ):
        small, large = number.replace(mark, "."), number.replace(mark, "")
        raise Unreadable(
            f"'{number}' can mean {small} or {large}.", f"Write {float(small):g} or {large}.", ask=True
        )
    return Amount({"≤": "<", "≥": ">"}.get(sign, sign), float(number.replace(",", ".")), rest, number)


@dataclass(frozen=True)
class Moment:
    """A time read from a cell, with the assumption that was needed, if any."""

    utc: datetime
    assumed: str = ""
    remedy: str = "Write it as 2026-03-01T18:00."


def read_time(cell: str, zone: ZoneInfo, habits: Habits) -> Moment:
    """Read a time; without an offset it is the tank's own clock."""
    text = cell.strip()
    if not text:
        raise Unreadable("The time is missing.", "Write it as 2026-03-01T18:00.")
    assumed = ""
    moment = _iso(text)
    if moment is None:
        moment, assumed = _numeric_date(text, habits)
    if not EARLIEST <= moment.year <= LATEST:
        raise Unreadable(f"The year {moment.year} cannot be right.", "Write the time as 2026-03-01T18:00.")
    if len(text) <= 10 and ":" not in text:
        moment = datetime.combine(moment.date(), time(12, 0))
        assumed = (assumed + " No time of day is given; 12:00 is assumed.").strip()
    if moment.tzinfo is not None:
        return Moment(moment.astimezone(UTC), assumed)
    utc, told = on_the_clock(moment, zone)
    if told and not assumed:
        return Moment(utc, told, "Check the time; 2026-03-01T18:00+01:00, with its offset, leaves no doubt.")
    return Moment(utc, assumed)


def on_the_clock(naive: datetime, zone: ZoneInfo) -> tuple[datetime, str]:
    """Turn a reading of the tank's clock into UTC and say so where the clock was put forward or back."""
    local = naive.replace(tzinfo=zone, fold=0)
    utc = local.astimezone(UTC)
    if utc.astimezone(zone).replace(tzinfo=None) != naive:
        shown = utc.astimezone(zone)
        return (
            utc,
            f"The clock was put forward that night and never showed {naive:%H:%M}; read as {shown:%H:%M}.",
        )
    if local.utcoffset() != local.replace(fold=1).utcoffset():
        return utc, f"The clock was put back that night and showed {naive:%H:%M} twice; the first is assumed."
    return utc, ""


def _iso(text: str) -> datetime | None:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        pass
    found = re.fullmatch(r"(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[ T]+(\d{1,2}):(\d{2}))?", text)
    if not found:
        return None
    year, month, day, hour, minute = (int(part or 0) for part in found.groups())
    try:
        return datetime(year, month, day, hour, minute)  # noqa: DTZ001 - the zone is added by the caller
    except ValueError:
        return None


def _numeric_date(text: str, habits: Habits) -> tuple[datetime, str]:
    found = _NUMERIC_DATE.fullmatch(text)
    if not found:
        raise Unreadable(f"'{text}' is not a time.", "Write it as 2026-03-01T18:00.")
    first, mark, second, year = int(found[1]), found[2], int(found[3]), int(found[4])
    order, assumed = _order(first, mark, second, year, habits)
    day, month = (first, second) if order == "day" else (second, first)
    hour, minute, seconds = (int(part or 0) for part in found.groups()[4:7])
    if found[8]:
        hour = hour % 12 + (12 if found[8][0].casefold() == "p" else 0)
    try:
        return datetime(year, month, day, hour, minute, seconds), assumed  # noqa: DTZ001 - zone added by the caller
    except ValueError as error:
        raise Unreadable(f"'{text}' is not a time.", "Write it as 2026-03-01T18:00.") from error


def _order(first: int, mark: str, second: int, year: int, habits: Habits) -> tuple[str, str]:
    if first == second or first > 12:
        return "day", ""
    if second > 12:
        return "month", ""
    known = habits.dates.get(mark)
    if known:
        return known, ""
    if mark == "." and known is None:
        read = date(year, second, first)
        return "day", f"A date with dots is read day first: {read:%Y-%m-%d} is assumed."
    one, other = f"{year}-{second:02}-{first:02}", f"{year}-{first:02}-{second:02}"
    raise Unreadable(
        f"'{first}{mark}{second}{mark}{year}' can mean {one} or {other}.",
        "Write the one that is meant.",
        ask=True,
    )
