"""The invented keeper: what is done to the tank, what is written down of it, and how wrongly.

The keeper's scale, buckets and kits have a fixed error each; kits answer in colour steps; lines are
forgotten, tests fall out in busy weeks. Everything that is written goes into a `Book`, the log.csv to be.
"""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta

import numpy as np
from daily_tank import FLOWS, NH4, NO2, PO4, DailyTank

COLUMNS = ("time", "kind", "what", "amount", "unit", "note")
STEPS = {
    "nitrate": (5.0, 10.0, 20.0, 40.0, 80.0),
    "nitrite": (0.1, 0.25, 0.5, 1.0, 2.0),
    "ammonia": (0.25, 0.5, 1.0, 2.0, 4.0),
    "phosphate": (0.1, 0.25, 0.5, 1.0, 2.0),
}
UNITS = {"nitrate": "mg/L NO3", "nitrite": "mg/L NO2", "ammonia": "mg/L NH4", "phosphate": "mg/L PO4"}
GRADES = (0.2, 0.8, 2.0, 6.0)  # g/m2 at which a pane looks one grade worse
Feed = tuple[str, float]
Line = tuple[datetime, str, str, str, str, str]


def tidy(x: float) -> str:
    """Write a number the way a hand does."""
    return f"{x:.4g}"


@dataclass(frozen=True, kw_only=True)
class Hand:
    """The keeper's hidden errors and habits of the hand."""

    gram_bias: float = 1.0  # true grams per logged gram
    litre_bias: float = 1.0
    plant_bias: float = 1.0  # logged plant grams per true gram
    forget: float = 0.05
    siphon: float = 0.35
    threshold: float = 2.0  # g/m2 at which the panes annoy
    leaves: float = 0.15
    on_tool: float = 0.15
    kit_bias: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Routine:
    """What the keeper means to do; exchanged for another when habits change."""

    feeds: dict[int, tuple[Feed, ...]]  # weekday -> foods
    change_l: float
    chore_day: int = 6
    chore_every: int = 1  # weeks
    siphon: float | None = 0.4
    plant: str = "Egeria densa"
    keep_wet: float | None = None  # plant is cut back to this
    rinse_weeks: int | None = 5
    rinse_what: str = "half"
    top_up_days: float = 4.0
    look: float = 0.5
    tests: dict[str, float] = field(default_factory=dict)  # chance on a chore day
    notes: float = 0.1


class Book:
    """The log as it is written."""

    def __init__(self, rng: np.random.Generator, forget: float) -> None:
        """Open an empty book."""
        self.rng, self.forget = rng, forget
        self.lines: list[Line] = []

    def write(
        self,
        when: datetime,
        kind: str,
        what: str = "",
        amount: str = "",
        unit: str = "",
        note: str = "",
        sure: bool = False,
    ) -> None:
        """Write one line, or forget it."""
        if sure or self.rng.random() >= self.forget:
            self.lines.append((when, kind, what, amount, unit, note))

    def text(self) -> str:
        """Return the file."""
        out = io.StringIO()
        pen = csv.writer(out, lineterminator="\n")
        pen.writerow(COLUMNS)
        for when, *rest in sorted(self.lines, key=lambda line: line[0]):
            pen.writerow([when.strftime("%Y-%m-%dT%H:%M"), *rest])
        return out.getvalue()


class Truth:
    """What was really so: noon values of every day, and the nitrogen budget week by week."""

    NAMES = (
        "nitrate",
        "phosphate",
        "kh",
        "ammonia",
        "nitrite",
        "ph_dawn",
        "ph_dusk",
        "temperature",
        "plant_wet",
        "algae_panes",
    )

    def __init__(self, tank: DailyTank) -> None:
        """Begin with the tank as it stands."""
        self.dates: list[str] = []
        self.series: dict[str, list[float]] = {name: [] for name in self.NAMES}
        self.weekly: dict[str, list[float]] = {name: [] for name in (*FLOWS, "stored")}
        self.week_starts: list[str] = []
        self.scraped: list[str] = []
        self._mark(tank)

    def _mark(self, tank: DailyTank) -> None:
        self._flows, self._held = dict(tank.flows), tank.nitrogen()

    def noon(self, day: date, tank: DailyTank) -> None:
        """Note the values of one noon."""
        values = (
            tank.nitrate,
            tank.p / tank.volume * PO4,
            tank.kh,
            tank.ammonia,
            tank.nitrite,
            tank.ph(False),
            tank.ph(True),
            tank.temperature,
            tank.plant / 0.08,
            tank.pane,
        )
        self.dates.append(day.isoformat())
        for name, value in zip(self.NAMES, values, strict=True):
            self.series[name].append(round(value, 3))

    def week(self, start: date, tank: DailyTank) -> None:
        """Close one week of the budget, mg N."""
        self.week_starts.append(start.isoformat())
        for name in FLOWS:
            self.weekly[name].append(round(tank.flows[name] - self._flows[name], 2))
        self.weekly["stored"].append(round(tank.nitrogen() - self._held, 2))
        self._mark(tank)

    def as_dict(self) -> dict[str, object]:
        """Return it for writing."""
        budget = {"week_starts": self.week_starts, **self.weekly}
        series = {"dates": self.dates, **self.series}
        return {"series": series, "scraped": self.scraped, "n_budget_mg_per_week": budget}


class Keeper:
    """One pair of hands: does the routine on the tank and writes it down."""

    clean_flow = 500.0  # L/h

    def __init__(
        self, tank: DailyTank, hand: Hand, routine: Routine, rng: np.random.Generator, start: date
    ) -> None:
        """Take over the tank on the first morning."""
        self.tank, self.hand, self.routine, self.rng, self.start = tank, hand, routine, rng, start
        self.book = Book(rng, hand.forget)
        self.truth = Truth(tank)
        self.clock = datetime.combine(start, datetime.min.time())
        self.busy, self.away, self.skip_scrape = False, False, False
        self._chores_done = 0

    def begin_log(self, start: date) -> None:
        """Forget what was before and begin the book on this morning."""
        self.start, self.book, self.truth = start, Book(self.rng, self.hand.forget), Truth(self.tank)

    def at(self, hour: int, minute: int = 0) -> None:
        """Set the clock, a few minutes about."""
        wanted = datetime.combine(self.clock.date(), datetime.min.time())
        wanted += timedelta(minutes=60 * hour + minute + int(self.rng.integers(-9, 10)))
        self.clock = max(wanted, self.clock + timedelta(minutes=1))

    def write(
        self, kind: str, what: str = "", amount: str = "", unit: str = "", note: str = "", sure: bool = False
    ) -> None:
        """Write a line now and let some minutes pass."""
        self.book.write(self.clock, kind, what, amount, unit, note, sure)
        self.clock += timedelta(minutes=int(self.rng.integers(2, 7)))

    def day(self, day: date) -> None:
        """Live through one day: morning feed, noon, evening chores, night."""
        self.clock = datetime.combine(day, datetime.min.time())
        self.tank.weather()
        self.tank.step(0.25)
        if not self.away:
            self.feeds(day)
        self.tank.step(0.25)
        self.truth.noon(day, self.tank)
        self.tank.step(0.25)
        if not self.away:
            self.evening(day)
        self.tank.step(0.25)
        if ((day - self.start).days + 1) % 7 == 0:
            self.truth.week(day - timedelta(days=6), self.tank)

    def feeds(self, day: date) -> None:
        """Feed what the weekday says."""
        self.at(8, 5)
        for food, grams in self.routine.feeds.get(day.weekday(), ()):
            logged = float(f"{grams * np.exp(0.09 * self.rng.normal()):.2g}")
            self.tank.feed(food, logged * self.hand.gram_bias * np.exp(0.05 * self.rng.normal()))
            self.write("feed", food, tidy(logged), "g")

    def evening(self, day: date) -> None:
        """Look at the panes, top up, and on the chore day do the chores."""
        weeks = (day - self.start).days // 7
        chores = day.weekday() == self.routine.chore_day and weeks % self.routine.chore_every == 0
        self.at(18, 0)
        if chores and not self.busy:
            self.test()
        if self.rng.random() < self.routine.look:
            self.panes(chores)
        if chores and not (self.busy and self.rng.random() < 0.5):
            self.chores()
        elif self.rng.random() < max(1.0 / self.routine.top_up_days, 0.03 * self.lacking):
            self.top_up()

    @property
    def lacking(self) -> float:
        """Litres below the mark."""
        return self.tank.c.water_l - self.tank.volume

    def top_up(self) -> None:
        """Fill to the mark from the can, in half litres."""
        litres = round(2.0 * self.lacking / self.hand.litre_bias) / 2.0
        if litres >= 1.0:
            self.tank.top_up(litres * self.hand.litre_bias)
            self.write("top_up", "source", tidy(litres), "L")

    def grade(self) -> int:
        """Say how the panes look, with an eye that is not always the same."""
        seen = self.tank.pane * np.exp(0.2 * self.rng.normal())
        return int(sum(seen > limit for limit in GRADES))

    def panes(self, chores: bool) -> None:
        """Look; scrape if the panes annoy."""
        annoyed = self.tank.pane * np.exp(0.2 * self.rng.normal()) > self.hand.threshold
        if annoyed and not self.skip_scrape:
            grade = str(max(self.grade(), 2)) if self.rng.random() < 0.7 else ""
            self.write("scrape", "panes", grade, "grade")
            self.tank.scrape(self.hand.leaves, self.hand.on_tool)
            self.truth.scraped.append(self.clock.date().isoformat())
        elif chores and self.rng.random() < 0.4:
            self.write("look", "panes", str(self.grade()), "grade")

    def chores(self) -> None:
        """Thin, siphon, change, and rinse when it is due."""
        routine, tank = self.routine, self.tank
        self._chores_done += 1
        wet = tank.plant / 0.08
        if routine.keep_wet is not None and wet > 1.12 * routine.keep_wet:
            cut = round((wet - routine.keep_wet) * np.exp(0.1 * self.rng.normal()) / 10.0) * 10.0
            tank.thin(cut)
            self.write("thin", routine.plant, tidy(round(cut * self.hand.plant_bias / 5.0) * 5.0), "g", "wet")
        if routine.siphon is not None:
            tank.siphon(self.hand.siphon * np.exp(0.15 * self.rng.normal()))
            share = tidy(routine.siphon) if self.rng.random() < 0.4 else ""
            self.write("siphon", "", share, "fraction" if share else "")
        litres = routine.change_l
        tank.change(litres * self.hand.litre_bias * np.exp(0.03 * self.rng.normal()))
        self.write("change", "", tidy(litres), "L")
        if routine.rinse_weeks and self._chores_done % routine.rinse_weeks == 0:
            tank.rinse({"half": 0.45, "all": 0.8, "floss": 0.3}[routine.rinse_what])
            self.write("rinse", routine.rinse_what, "", "", "in tank water", sure=True)

    def step_of(self, kit: str, value: float) -> str:
        """Read a colour: the nearest step of the chart, or `<` and the first."""
        seen = value * self.hand.kit_bias.get(kit, 1.0) * np.exp(0.16 * self.rng.normal())
        steps = STEPS[kit]
        if seen < 0.5 * steps[0]:
            return f"<{tidy(steps[0])}" if self.rng.random() < 0.85 else "0"
        return tidy(min(steps, key=lambda step: abs(np.log(seen / step))))

    def read(self, what: str, note: str = "") -> None:
        """Take one reading now."""
        tank = self.tank
        colour = {
            "nitrate": tank.nitrate,
            "nitrite": tank.nitrite * NO2,
            "ammonia": tank.ammonia * NH4,
            "phosphate": tank.p / tank.volume * PO4,
        }
        tap = {"tap_nitrate": ("nitrate", tank.c.tap_no3), "tap_phosphate": ("phosphate", tank.c.tap_po4)}
        if what in colour:
            self.write("reading", what, self.step_of(what, colour[what]), UNITS[what], note)
        elif what in tap:
            kit, value = tap[what]
            self.write("reading", what, self.step_of(kit, value), UNITS[kit], note)
        elif what in ("kh", "tap_kh"):
            kh = tank.kh if what == "kh" else tank.c.tap_kh
            self.write("reading", what, str(max(round(kh + 0.3 + 0.25 * self.rng.normal()), 1)), "dKH", note)
        elif what == "ph":
            self.write("reading", what, f"{tank.ph(True) + 0.1 * self.rng.normal():.1f}", "", note)
        elif what == "flow":
            litres = tank.flow * self.clean_flow * np.exp(0.05 * self.rng.normal())
            self.write("flow", "", tidy(round(litres / 10.0) * 10.0), "L/h", note)
        else:
            seen = tank.temperature + 0.15 * self.rng.normal()
            self.write("reading", "temperature", f"{seen:.1f}", "°C", note)

    def test(self) -> None:
        """Do the tests of a chore day, those that get done."""
        for what, chance in self.routine.tests.items():
            if self.rng.random() < chance:
                noted = what == "nitrate" and self.rng.random() < self.routine.notes
                self.read(what, "before the change" if noted else "")


def toml_text(table: dict[str, object], comment: str = "") -> str:
    """Write a tank.toml: plain keys first, then tables, then arrays of tables."""
    plain = {k: v for k, v in table.items() if not isinstance(v, dict | list)}
    lines = [f"# {comment}"] if comment else []
    lines += [f"{key} = {_value(value)}" for key, value in plain.items()]
    for key, value in table.items():
        for part in value if isinstance(value, list) else [value]:
            if isinstance(part, dict):
                lines += ["", f"[[{key}]]" if isinstance(value, list) else f"[{key}]"]
                lines += [f"{name} = {_value(x)}" for name, x in part.items()]
    return "\n".join(lines) + "\n"


def _value(x: object) -> str:
    if isinstance(x, bool):
        return "true" if x else "false"
    if isinstance(x, str):
        return f'"{x}"'
    return x.isoformat() if isinstance(x, date) else str(x)
