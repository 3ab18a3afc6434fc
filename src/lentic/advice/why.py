"""The balance as a page tells it: the headline, every flow with how it is known, and what would narrow it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from lentic.advice.balance import ELEMENTS, INPUTS, Balance
from lentic.advice.stages import ASSUMPTION, ESTIMATE, MATERIALS, OWN, Stages, stages_of
from lentic.advice.stages import NAMES as FLOW_NAMES
from lentic.advice.words import Spread, number
from lentic.logbook.events import Event, Look, Reading, Scrape, Weigh
from lentic.logbook.tank import Tank
from lentic.model.describe import Assumption

ORDER = ("food", "tap", "planted", "change", "thinning", "siphon", "rinse", "scraping", "gas", "growth", "stored")
SHARES: tuple[tuple[float, str], ...] = (
    (0.1, "a tenth"), (0.2, "a fifth"), (0.25, "a quarter"), (0.33, "a third"), (0.4, "two fifths"), (0.5, "half"),
    (0.6, "three fifths"), (0.67, "two thirds"), (0.75, "three quarters"), (0.8, "four fifths"), (0.9, "nine tenths"),
    (1.0, "nearly all"),
)  # fmt: skip
LEAVES: Mapping[str, str] = {
    "change": "leaves in your buckets", "thinning": "leaves with the plants you take out",
    "siphon": "leaves with the siphon", "rinse": "leaves with the rinsed filter", "gas": "goes into the air",
    "scraping": "leaves with scraped algae", "growth": "stays in the animals",
}  # fmt: skip
COMES: Mapping[str, str] = {
    "food": "comes in as food", "tap": "comes in with the tap water", "planted": "comes in with new plants",
}  # fmt: skip
NARROWS: Mapping[str, tuple[str, str, int]] = {
    "food": ("Weigh every feed for a week", "It checks the grams you write down.", 10),
    "tap": ("Read nitrate and phosphate of the tap", "Every litre of new water carries it.", 10),
    "change": ("Read nitrate just before a change", "It says what every bucket carries out.", 8),
    "thinning": ("Weigh the plants you take out, shaken dry", "It says what they carry out.", 3),
    "siphon": ("Note how much of the ground you siphon", "It says how much dirt leaves each time.", 1),
    "rinse": ("Note which media you rinse, half or all", "It says how much dirt leaves each time.", 1),
    "scraping": ("Grade the panes before you scrape", "It says how much algae comes off.", 1),
    "growth": ("Weigh and measure the animal once a month", "It says what stays in it.", 5),
    "stored": ("Read nitrate and phosphate twice, a week apart", "It says whether the tank stores or gives.", 16),
}  # fmt: skip
"""Flow -> what narrows it most, why, and minutes; common practice, no source."""


@dataclass(frozen=True, kw_only=True)
class Row:
    """One flow with its amounts and how they are known; `sign` is +1 where it comes in, -1 where it leaves."""

    key: str
    name: str
    material: str
    sign: int
    n: Spread
    p: Spread
    how: str
    word: str

    def amount(self, element: str) -> str:
        """The amount with its sign: plus comes in, minus leaves."""
        middle = (self.n if element == "N" else self.p).p50
        return "not known" if middle is None else _signed(self.sign * middle)

    def range(self, element: str) -> str:
        """The range in brackets; signs where it reaches both sides of zero."""
        spread = self.n if element == "N" else self.p
        if spread.p10 is None or spread.p90 is None or spread.p90 == spread.p10:
            return ""
        if spread.p10 < 0.0 < spread.p90:
            low, high = sorted((self.sign * spread.p10, self.sign * spread.p90))
            return f"({_signed(low)} to {_signed(high)})"
        low, high = sorted((abs(spread.p10), abs(spread.p90)))
        return f"({number(low)} to {number(high)})"


def _signed(value: float) -> str:
    said = number(abs(value))
    return said if said == "0" else f"{'+' if value > 0.0 else '−'}{said}"


@dataclass(frozen=True, kw_only=True)
class Narrow:
    """One thing worth measuring, why, and the minutes it takes."""

    title: str
    why: str
    minutes: int


@dataclass(frozen=True, kw_only=True)
class Why:
    """Where nitrogen and phosphorus come from and go, in two stages and in rows."""

    balance: Balance
    weeks: int | None
    sentence: str
    more: str
    stages: tuple[Stages, ...]
    rows: tuple[Row, ...]
    narrow: tuple[Narrow, ...]
    assumptions: tuple[Assumption, ...]

    def of(self, element: str) -> Stages:
        """Return the two stages of an element."""
        return next(s for s in self.stages if s.element == element)

    def row(self, key: str) -> Row:
        """Return the row of a flow."""
        return next(r for r in self.rows if r.key == key)


def why_of(
    balance: Balance, tank: Tank, events: Sequence[Event], weeks: int | None, assumptions: Sequence[Assumption]
) -> Why:
    """Return a balance as it is shown."""
    known = origins(tank, events)
    how = {key: origin[0] for key, origin in known.items()}
    animals = [turtle.id.capitalize() for turtle in tank.turtles] if not tank.fish else []
    sentence, more = headline(balance)
    rows = tuple(
        Row(key=key, name=_row_name(key, balance), material=MATERIALS[key], sign=1 if key in INPUTS else -1,
            n=balance.spread(key, "N"), p=balance.spread(key, "P"), how=known[key][0], word=known[key][1])
        for key in ORDER
        if any(balance.spread(key, element).p90 or balance.spread(key, element).p10 for element in ELEMENTS)
    )  # fmt: skip
    return Why(
        balance=balance, weeks=weeks, sentence=sentence, more=more, rows=rows, narrow=narrowing(rows),
        stages=tuple(stages_of(balance, element, animals, how) for element in ELEMENTS), assumptions=tuple(assumptions),
    )  # fmt: skip


def _row_name(key: str, balance: Balance) -> str:
    given = key == "stored" and (balance.spread("stored", "N").p50 or 0.0) < 0.0
    return FLOW_NAMES["given" if given else key][0]


def origins(tank: Tank, events: Sequence[Event]) -> dict[str, tuple[str, str]]:
    """Return how each flow is known: own log or reading, estimate or assumption, and that in a few words."""
    read = {e.quantity for e in events if isinstance(e, Reading)}
    tap = _tap(tank, read)
    graded = any((isinstance(e, Scrape) and e.grade is not None) or isinstance(e, Look) for e in events)
    weighed = sum(isinstance(e, Weigh) for e in events) >= 2
    return {
        "food": (ESTIMATE, "own grams × what the food holds"),
        "tap": tap,
        "planted": (ESTIMATE, "own grams × what the plant holds"),
        "change": (ESTIMATE, "own litres × estimated water"),
        "thinning": (ESTIMATE, "own grams × estimated plant"),
        "siphon": (ESTIMATE, "estimate"),
        "rinse": (ESTIMATE, "estimate"),
        "scraping": (ESTIMATE, "estimate from your grades" if graded else "estimate"),
        "gas": (ASSUMPTION, "assumption: no reading shows it"),
        "growth": (ESTIMATE, "estimate from weights") if weighed else (ASSUMPTION, "assumed growth"),
        "stored": (ASSUMPTION, "what is left over"),
    }


def _tap(tank: Tank, read: set[str]) -> tuple[str, str]:
    """Return how the tap's share is known; an assumed half makes the whole an assumption in the words."""
    water = tank.source_water
    nitrate = water.no3_mg_l is not None or "tap_nitrate" in read
    phosphate = water.po4_mg_l is not None or "tap_phosphate" in read
    if nitrate:
        return OWN, "own litres × own tap reading" if phosphate else "own tap reading; its phosphate assumed"
    return ASSUMPTION, "own litres × assumed tap"


def share_words(share: float) -> str:
    """Return a share as a keeper would say it."""
    if share < 0.06:
        return "hardly any"
    return min(SHARES, key=lambda known: abs(known[0] - share))[1]


def headline(balance: Balance) -> tuple[str, str]:
    """Return where most of the nitrogen comes from and goes, in a sentence, and what stays open, in another."""
    middle = {f.flow: max(f.mg_per_week.p50 or 0.0, 0.0) for f in balance.flows if f.element == "N"}
    total = sum(middle[flow] for flow in INPUTS)
    if total <= 0.0:
        return "No nitrogen was booked in this span.", "Log feeds and changes, and the balance begins."
    source = max(COMES, key=lambda flow: middle[flow])
    drain = max(LEAVES, key=lambda flow: middle[flow])
    came, went = share_words(middle[source] / total), share_words(min(middle[drain] / total, 1.0))
    sentence = (
        f"{came[0].upper()}{came[1:]} of the nitrogen {COMES[source]}. {went[0].upper()}{went[1:]} {LEAVES[drain]}."
    )
    return sentence, _left_open(balance.spread("stored", "N"), total)


def _left_open(stored: Spread, total: float) -> str:
    if stored.p10 is None or stored.p50 is None or stored.p90 is None:
        return ""
    share = f"{number(abs(stored.p50))} mg a week, {100.0 * abs(stored.p50) / total:.0f} % of what comes in"
    if stored.p10 > 0.0:
        return f"{share}, stays in the tank or goes where the log cannot say."
    if stored.p90 < 0.0:
        return f"More leaves than comes in: {share}, is given up by what the tank held before."
    return "Whether the tank stores or gives up nitrogen cannot be told yet."


def narrowing(rows: Sequence[Row], most: int = 3) -> tuple[Narrow, ...]:
    """Return what would narrow the balance most: the flows whose nitrogen is known least, in mg."""
    doubt = {r.key: (r.n.p90 or 0.0) - (r.n.p10 or 0.0) for r in rows if r.key in NARROWS}
    order = sorted(doubt, key=lambda key: -doubt[key])[:most]
    return tuple(Narrow(title=NARROWS[k][0], why=NARROWS[k][1], minutes=NARROWS[k][2]) for k in order)


def span_words(begin: datetime, end: datetime) -> str:
    """Return a span of days in words."""
    same = begin.year == end.year
    first = f"{begin.day} {begin:%B}" + ("" if same else f" {begin.year}")
    return f"{first} to {end.day} {end:%B} {end.year}"
