"""60 seeded slips into realistic logs, ten-fold, unit, swapped kit and wrong day: asked about; good lines are not.

The logs are the invented example and tanks of the invented bank, written by `examples/make_bank.py`, each line typed
again as its keeper would have typed it at that moment. A slip is only drawn where it changes what the line says: kits
are swapped where their numbers differ by more than the steps of the kits, and a line has two of its kind before it.
"""

import subprocess
import sys
from collections import Counter
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from lentic.logbook.doubts import SURE
from lentic.logbook.events import Change, Event, Feed, Lamp, Measure, Reading, Thin, TopUp, Weigh, what_of
from lentic.logbook.folder import read_folder
from lentic.logbook.quick import Quick, parse_quick
from lentic.logbook.rows import write_row
from lentic.logbook.tank import Tank
from lentic.logbook.units import fold, units_for

ROOT = Path(__file__).parents[2]
SLIPS, SEED = 60, 4110
SWAPPED = (("kh", "gh"), ("nitrate", "kh"), ("nitrate", "phosphate"), ("ph", "kh"), ("nitrate", "nitrite"))
OTHER_UNIT = {
    "mg/L NO3": "mg/L NO3-N", "dKH": "mg/L CaCO3", "dGH": "mg/L CaCO3", "mg/L PO4": "mg/L PO4-P", "L": "US gal",
    "°C": "°F", "g": "oz",
}  # fmt: skip


@dataclass(frozen=True)
class Typed:
    """A line as typed: its cells, its moment, and what stood in the log before it."""

    tank: Tank
    before: tuple[Event, ...]
    time: datetime
    cells: tuple[str, str, str, str]
    now: datetime

    def read(self, note: str = "") -> Quick:
        """Read the line as the program does."""
        kind, what, amount, unit = self.cells
        verb = what if kind == "reading" else f"{kind.replace('_', ' ')} {what}"
        said = f"{self.tank.local_time(self.time):%Y-%m-%d %H:%M} {verb} {amount} {unit}" + (
            f" ({note})" if note else ""
        )
        return parse_quick(said, self.tank, self.before, self.now)

    @property
    def asked(self) -> bool:
        """Whether the keeper is asked, or the line not taken at all."""
        found = self.read()
        return bool(found.questions) or not found.events


@pytest.fixture(scope="module")
def lines(tmp_path_factory: pytest.TempPathFactory) -> list[Typed]:
    """Return every line with an amount of eight logs, with what stood before it."""
    place = tmp_path_factory.mktemp("bank")
    subprocess.run([sys.executable, str(ROOT / "examples" / "make_bank.py"), str(place)], check=True)
    folders = [ROOT / "examples" / "loft-tank", *sorted(place.glob("T*"))[::8]]
    return [line for folder in folders for line in typed_again(folder)]


def typed_again(folder: Path) -> list[Typed]:
    """Return the lines of a log from its third week on, as typed a quarter of an hour after they happened."""
    found = read_folder(folder)
    assert found.tank is not None
    begin = found.events[0].time + timedelta(days=14)
    kinds = (Reading, Feed, Change, TopUp, Thin, Weigh, Measure, Lamp)
    return [
        Typed(
            found.tank, found.events[:at], event.time, (row[1], row[2], row[3], row[4]),
            event.time + timedelta(minutes=15),
        )
        for at, event in enumerate(found.events)
        if isinstance(event, kinds) and event.time > begin and (row := write_row(event, found.tank.zone))[3]
    ]  # fmt: skip


def like(line: Typed, quantity: str) -> list[Event]:
    """Return the earlier readings of a quantity."""
    return [e for e in line.before if isinstance(e, Reading) and e.quantity == quantity]


def ten_fold(line: Typed, draw: np.random.Generator) -> Typed | None:
    """Put the decimal point in the wrong place."""
    kind, what, amount, unit = line.cells
    if amount[0] in "<>" or what in ("ph", "temperature") or float(amount) == 0.0:
        return None
    return replace(line, cells=(kind, what, f"{float(amount) * (10.0, 0.1)[draw.integers(2)]:.6g}", unit))


def other_unit(line: Typed, draw: np.random.Generator) -> Typed | None:
    """Write the number of another unit beside the usual one, or the number under the other unit."""
    kind, what, amount, unit = line.cells
    other = OTHER_UNIT.get(unit)
    if other is None or amount[0] in "<>" or float(amount) == 0.0:
        return None
    units = units_for(kind, what)
    if draw.integers(2):
        return replace(line, cells=(kind, what, amount, other))
    theirs = units[fold(other)]
    inside = units[fold(unit)].convert(float(amount))
    return replace(line, cells=(kind, what, f"{(inside - theirs.offset) / theirs.factor:.3g}", unit))


def other_kit(line: Typed, draw: np.random.Generator) -> Typed | None:
    """Write the number of one kit under the name of another that was read before."""
    kind, what, amount = line.cells[:3]
    pairs = [pair for pair in SWAPPED if what in pair]
    if kind != "reading" or not pairs or amount[0] in "<>":
        return None
    pair = pairs[draw.integers(len(pairs))]
    other = pair[1] if what == pair[0] else pair[0]
    earlier = like(line, other)
    if len(earlier) < 2:
        return None
    last = earlier[-1]
    assert isinstance(last, Reading)
    number, _, its_unit = last.written.partition(" ")
    if abs(float(number.lstrip("<>")) - float(amount)) < 0.4 * float(amount):
        return None
    return replace(line, cells=(kind, other, amount, its_unit))


def other_day(line: Typed, draw: np.random.Generator) -> Typed | None:
    """Write last year, last or next month, day and month swapped, or the wrong ten of the day."""
    local = line.tank.local_time(line.time)
    choice = int(draw.integers(4))
    if choice == 0:
        wrong = local - timedelta(days=365)
    elif choice == 1:
        wrong = local + timedelta(days=(-30, 31)[draw.integers(2)])
    elif choice == 2 and local.day <= 12 and abs(local.day - local.month) > 0:
        wrong = local.replace(month=local.day, day=local.month)
    else:
        wrong = local - timedelta(days=10)
    return replace(line, time=wrong)


KINDS = {"ten-fold": ten_fold, "unit": other_unit, "kit": other_kit, "day": other_day}


def slipped(lines: list[Typed], seed: int, count: int = SLIPS) -> list[tuple[str, Typed]]:
    """Draw slips, as many of each kind."""
    draw = np.random.default_rng(seed)
    ready = [line for line in lines if sum(same(line, e) for e in line.before) >= 2]
    found: list[tuple[str, Typed]] = []
    for kind, make in KINDS.items():
        made: list[tuple[str, Typed]] = []
        while len(made) < count // len(KINDS):
            slip = make(ready[int(draw.integers(len(ready)))], draw)
            made += [(kind, slip)] if slip is not None else []
        found += made
    return found


def same(line: Typed, event: Event) -> bool:
    """Tell whether an earlier line is of the same kind and about the same thing."""
    return event.kind == line.cells[0] and what_of(event) == line.cells[1]


def test_seeded_slips_are_asked_about(lines: list[Typed]) -> None:
    """Of 60 slips at least 95 in 100 are asked about; so they are over five other seeds together."""
    asked = [slip.asked for _, slip in slipped(lines, SEED)]
    assert len(asked) == SLIPS and sum(asked) >= 0.95 * SLIPS
    more = [(kind, slip.asked) for seed in range(5) for kind, slip in slipped(lines, seed)]
    assert sum(found for _, found in more) >= 0.95 * len(more), Counter(kind for kind, found in more if not found)


def test_good_lines_are_left_in_peace(lines: list[Typed]) -> None:
    """Of every 100 good lines at most 2 are questioned, of readings alone too; some are backdated by three days."""
    late = [replace(line, now=line.now + timedelta(days=at % 4)) for at, line in enumerate(lines)]
    questioned = [line for line in late if line.asked]
    assert len(lines) > 800
    assert len(questioned) <= 0.02 * len(lines)
    readings = [line for line in late if line.cells[0] == "reading"]
    assert len(readings) > 300 and sum(line.asked for line in readings) <= 0.02 * len(readings)


def test_a_doubted_line_is_taken_once_it_was_looked_at_again(lines: list[Typed]) -> None:
    """Every choice that is offered can be read as it stands, the last is the line itself."""
    tried = 0
    for _, slip in slipped(lines, SEED):
        for question in slip.read().questions:
            for choice in question.choices[:-1]:
                assert parse_quick(choice, slip.tank, slip.before, slip.now).events, choice
        quick = slip.read(SURE)
        tried += bool(quick.events)
        assert all(SURE in event.note for event in quick.events)
    assert tried > 30


def test_a_wrong_year_comes_with_the_day_that_was_meant(lines: list[Typed]) -> None:
    """A line of last year is offered on its day of this year first, and last as it stands."""
    line = next(each for each in reversed(lines) if each.cells[1] == "nitrate")
    wrong = replace(line, time=line.tank.local_time(line.time).replace(year=line.time.year - 1), now=line.now)
    (question,) = wrong.read().questions
    assert question.choices[0].startswith(f"{line.tank.local_time(line.time):%Y-%m-%d %H:%M} nitrate")
    assert question.choices[-1].startswith(f"{line.time.year - 1}-")
