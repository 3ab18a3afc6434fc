"""The example folder keeps to the format, comes out of its generator byte by byte, and shows its trouble."""

from __future__ import annotations

import csv
import itertools
import json
import statistics
import subprocess
import sys
import tomllib
from collections import Counter
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = Path(__file__).parent.parent / "examples"
FOLDER = EXAMPLES / "loft-tank"
# Kinds, and the units each of them may carry, as the logbook format lists them.
UNITS = {
    "feed": {"g"},
    "leftovers": {"g", "fraction"},
    "look": {"grade"},
    "scrape": {"grade"},
    "change": {"L"},
    "top_up": {"L"},
    "siphon": {"fraction", ""},
    "thin": {"g"},
    "plant": {"g"},
    "lost_plant": {"g"},
    "rinse": {""},
    "lamp": {"h"},
    "power": {""},
    "flow": {"L/h"},
    "weigh": {"g"},
    "animal_in": {"count"},
    "animal_out": {"count"},
}
READINGS = {
    "nitrate": ("mg/L NO3", 0.0, 160.0),
    "tap_nitrate": ("mg/L NO3", 0.0, 80.0),
    "nitrite": ("mg/L NO2", 0.0, 5.0),
    "ammonia": ("mg/L NH4", 0.0, 10.0),
    "phosphate": ("mg/L PO4", 0.0, 10.0),
    "tap_phosphate": ("mg/L PO4", 0.0, 10.0),
    "kh": ("dKH", 1.0, 25.0),
    "tap_kh": ("dKH", 1.0, 25.0),
    "ph": ("", 6.0, 9.5),
    "temperature": ("°C", 15.0, 34.0),
}
STEPS: dict[str, set[float]] = {
    "nitrate": {5, 10, 20, 40, 80},
    "nitrite": {0.1, 0.25, 0.5, 1, 2},
    "ammonia": {0.25, 0.5, 1, 2, 4},
    "phosphate": {0.1, 0.25, 0.5, 1, 2},
}
FOODS = {"pellet_adult", "gammarus_dried", "mealworm", "earthworm", "romaine", "dandelion", "shrimp_raw"}
MOST = {
    "feed": 40.0,
    "change": 200.0,
    "top_up": 30.0,
    "thin": 1500.0,
    "plant": 3000.0,
    "lost_plant": 1500.0,
    "siphon": 1.0,
    "look": 4.0,
    "scrape": 4.0,
    "lamp": 16.0,
    "flow": 1500.0,
    "weigh": 3000.0,
}
OUT = ("change", "siphon", "rinse", "scraping", "thinning", "gas", "growth", "stored")
Row = dict[str, str]


def rows_of(path: Path) -> list[Row]:
    """Read one csv file of a tank folder."""
    with path.open(encoding="utf-8", newline="") as lines:
        return list(csv.DictReader(lines))


def at(row: Row) -> datetime:
    """Return the local time of one line."""
    return datetime.fromisoformat(row["time"])


def check_row(row: Row) -> None:
    """Hold one line against the format and against what can be."""
    if row["kind"] == "reading":
        unit, low, high = READINGS[row["what"]]
        assert row["unit"] == unit
        assert low <= float(row["amount"].lstrip("<>")) <= high
        return
    assert row["unit"] in UNITS[row["kind"]], row
    if row["kind"] == "feed":
        assert row["what"] in FOODS, row
    if row["amount"]:
        assert 0.0 <= float(row["amount"]) <= MOST.get(row["kind"], 1e4), row
    else:
        assert row["kind"] in {"siphon", "scrape", "rinse", "power", "animal_in", "animal_out"}, row


def check_log(rows: list[Row]) -> None:
    """Hold every line against the format; times may not run backwards."""
    times = [at(row) for row in rows]
    assert times == sorted(times)
    for row in rows:
        check_row(row)


def gaps(rows: list[Row], first: date, last: date) -> list[int]:
    """Return the days between scrapings that begin and end in a span."""
    days = [at(row).date() for row in rows if row["kind"] == "scrape" and first <= at(row).date() <= last]
    return [(b - a).days for a, b in itertools.pairwise(days)]


def nitrates(rows: list[Row], first: date, last: date) -> list[float]:
    """Return the nitrate readings of a span; below the first step counts as half of it."""
    found = [
        r for r in rows if r["kind"] == "reading" and r["what"] == "nitrate" and first <= at(r).date() <= last
    ]
    return [float(r["amount"].lstrip("<")) * (0.5 if r["amount"].startswith("<") else 1.0) for r in found]


@pytest.fixture(scope="module")
def log() -> list[Row]:
    """The shipped log."""
    return rows_of(FOLDER / "log.csv")


@pytest.fixture(scope="module")
def truth() -> Any:
    """The truth beside the folder."""
    return json.loads((EXAMPLES / "truth.json").read_text(encoding="utf-8"))


def test_generator_writes_the_shipped_bytes_again(tmp_path: Path) -> None:
    """Nobody has edited the example by hand, and the generator is deterministic."""
    subprocess.run([sys.executable, str(EXAMPLES / "make_example.py"), str(tmp_path)], check=True)
    made = sorted(path.relative_to(tmp_path) for path in tmp_path.rglob("*") if path.is_file())
    shipped = [
        Path("truth.json"),
        *(Path("loft-tank") / n for n in ("README.md", "log.csv", "plan.csv", "tank.toml")),
    ]
    assert made == sorted(shipped)
    for path in made:
        assert (tmp_path / path).read_bytes() == (EXAMPLES / path).read_bytes(), path


def test_folder_holds_only_the_format() -> None:
    """Nothing else lies in the tank folder, and the columns are the format's."""
    assert {p.name for p in FOLDER.iterdir()} == {"tank.toml", "log.csv", "plan.csv", "README.md"}
    for name in ("log.csv", "plan.csv"):
        first = (FOLDER / name).read_text(encoding="utf-8").splitlines()[0]
        assert first == "time,kind,what,amount,unit,note"


def test_every_line_is_allowed_and_plausible(log: list[Row]) -> None:
    """Kinds, units, amounts and the order of the times."""
    check_log(log)
    plan = rows_of(FOLDER / "plan.csv")
    check_log(plan)
    assert {row["kind"] for row in plan} == {"feed", "change", "siphon"}
    assert at(plan[0]) > at(log[-1])
    assert (at(plan[-1]).date() - at(plan[0]).date()).days in range(53, 56)
    assert (at(log[-1]).date() - at(log[0]).date()).days in range(180, 183)


def test_colour_kits_answer_in_their_steps(log: list[Row]) -> None:
    """A colour kit never says 17."""
    for row in log:
        if row["kind"] == "reading" and row["what"] in STEPS and row["amount"] != "0":
            assert float(row["amount"].lstrip("<")) in STEPS[row["what"]], row


def test_tank_is_one_turtle_in_a_middling_tank() -> None:
    """The tank file is read by the standard library and its measures give 200 to 350 litres."""
    tank = tomllib.loads((FOLDER / "tank.toml").read_text(encoding="utf-8"))
    box = tank["tank"]
    litres = box["length_cm"] * box["width_cm"] * box["water_depth_cm"] / 1000.0 - box["solids_l"]
    assert tank["format"] == "lentic-tank-1"
    assert 200.0 < litres < 350.0
    assert box["water_depth_cm"] < box["height_cm"]
    assert len(tank["turtle"]) == 1
    assert {lamp["use"] for lamp in tank["lamp"]} == {"plants", "basking", "uvb"}


def test_log_is_kept_as_people_keep_logs(log: list[Row]) -> None:
    """Sundays without a test, a sitter's sum, grades left out, notes in words."""
    tested = {at(r).date() for r in log if r["kind"] == "reading" and r["what"] == "nitrate"}
    assert 15 <= len(tested) <= 23
    away = [r for r in log if date(2025, 12, 20) <= at(r).date() < date(2025, 12, 31)]
    assert away == []
    assert any(r["kind"] == "feed" and r["note"].startswith("sum") for r in log)
    assert any(r["kind"] == "scrape" and not r["amount"] for r in log)
    assert any(r["kind"] == "scrape" and r["amount"] for r in log)
    assert sum(bool(r["note"]) for r in log) > 15


def test_trouble_is_visible_and_the_change_helps_in_part(log: list[Row]) -> None:
    """Panes and nitrate worsen after the die-back, the carbon does nothing, lamp and plants help by half."""
    good = gaps(log, date(2025, 10, 6), date(2025, 12, 1))
    bad = gaps(log, date(2026, 1, 1), date(2026, 2, 7))
    carbon = gaps(log, date(2026, 1, 17), date(2026, 2, 7))
    late = gaps(log, date(2026, 2, 12), date(2026, 4, 5))
    assert statistics.mean(bad) < 0.5 * statistics.mean(good)
    assert statistics.mean(carbon) < 0.5 * statistics.mean(good)
    assert statistics.mean(late) > 1.8 * statistics.mean(bad)
    before, winter = (
        nitrates(log, date(2025, 10, 6), date(2025, 11, 20)),
        nitrates(log, date(2026, 1, 1), date(2026, 2, 8)),
    )
    end = nitrates(log, date(2026, 3, 20), date(2026, 4, 5))
    assert statistics.mean(winter) >= 2.0 * statistics.mean(before)
    assert statistics.mean(before) < statistics.mean(end) < statistics.mean(winter)
    assert sum(float(r["amount"]) for r in log if r["kind"] == "lost_plant") > 200.0
    mended = [at(r).date() for r in log if r["kind"] in {"lamp", "plant"}]
    assert set(mended) == {date(2026, 2, 8)}


def test_truth_covers_log_and_plan(truth: Any) -> None:
    """Daily truth of 26 weeks and of the 8 weeks under the plan."""
    assert len(truth["past"]["series"]["dates"]) == 182
    assert len(truth["future"]["series"]["dates"]) == 56
    assert truth["future"]["series"]["dates"][0] == "2026-04-06"
    for part in ("past", "future"):
        for name, values in truth[part]["series"].items():
            if name != "dates":
                assert min(values) >= 0.0, name


def test_truth_budget_closes(truth: Any) -> None:
    """Every week, what came in is what went out and what is stored, to the rounding of the file."""
    for part in ("past", "future"):
        b = truth[part]["n_budget_mg_per_week"]
        for i in range(len(b["week_starts"])):
            into = sum(b[k][i] for k in ("food", "tap", "planted"))
            out = sum(b[k][i] for k in OUT)
            assert into == pytest.approx(out, abs=0.2), b["week_starts"][i]


def test_kit_readings_follow_the_truth(log: list[Row], truth: Any) -> None:
    """The nitrate the keeper read is the true one within kit bias and colour steps."""
    series = truth["past"]["series"]
    true = dict(zip(series["dates"], series["nitrate"], strict=True))
    for row in log:
        if row["kind"] == "reading" and row["what"] == "nitrate":
            value, real = float(row["amount"].lstrip("<")), true[row["time"][:10]]
            assert 0.5 * real < value < 2.2 * real + 5.0, row


@pytest.fixture(scope="module")
def bank(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """The folders of the bank of causes, freshly made."""
    place = tmp_path_factory.mktemp("bank")
    subprocess.run([sys.executable, str(EXAMPLES / "make_bank.py"), str(place)], check=True)
    return sorted(place.iterdir())


def cause_of(folder: Path) -> Any:
    """Return the answer that belongs to one tank of the bank."""
    return json.loads((folder / "cause.json").read_text(encoding="utf-8"))


def test_bank_has_enough_of_every_cause(bank: list[Path]) -> None:
    """At least three tanks of every cause, and no two tanks alike."""
    counts = Counter(cause_of(folder)["cause"] for folder in bank)
    assert len(bank) >= 48
    assert len(counts) == 14
    assert min(counts.values()) >= 3
    assert len({(folder / "log.csv").read_bytes() for folder in bank}) == len(bank)


def test_bank_logs_hold_to_the_format(bank: list[Path]) -> None:
    """Every folder parses; its log is fourteen weeks long and plausible line by line."""
    for folder in bank:
        tank = tomllib.loads((folder / "tank.toml").read_text(encoding="utf-8"))
        assert tank["format"] == "lentic-tank-1"
        assert 100.0 <= tank["tank"]["water_l"] <= 600.0
        rows = rows_of(folder / "log.csv")
        check_log(rows)
        assert 94 <= (at(rows[-1]).date() - at(rows[0]).date()).days <= 97, folder.name


def test_bank_scraping_shortens_after_the_onset_and_only_then(bank: list[Path]) -> None:
    """In the log itself panes are scraped oftener per day than before the onset; for none they are not."""
    for folder in bank:
        answer, rows = cause_of(folder), rows_of(folder / "log.csv")
        days = [at(r).date() for r in rows if r["kind"] == "scrape"]
        first, last = at(rows[0]).date(), at(rows[-1]).date()
        since, shown = date.fromisoformat(answer["since"]), date.fromisoformat(answer["shows_from"])
        before = sum(day < since for day in days) / (since - first).days
        after = sum(day >= shown for day in days) / (last - shown).days
        if answer["cause"] == "none":
            assert 0.6 < after / before < 1.5, folder.name
        else:
            assert after / before > 1.2, (folder.name, answer["cause"])


def test_bank_budget_closes(bank: list[Path]) -> None:
    """The causes act through the equations: no nitrogen appears or vanishes, to the rounding of the file."""
    for folder in bank:
        b = cause_of(folder)["truth"]["n_budget_mg_per_week"]
        for i in range(len(b["week_starts"])):
            into = sum(b[k][i] for k in ("food", "tap", "planted"))
            out = sum(b[k][i] for k in OUT)
            assert into == pytest.approx(out, abs=0.2), (folder.name, i)


def test_bank_causes_leave_their_traces(bank: list[Path]) -> None:
    """What a cause is known by stands in the log of every tank where it was read before and after."""
    compared: Counter[tuple[str, str, str]] = Counter()
    for folder in bank:
        answer, rows = cause_of(folder), rows_of(folder / "log.csv")
        since = date.fromisoformat(answer["since"])
        for kind, what, sign in TRACES.get(answer["cause"], ()):
            a = level([r for r in rows if at(r).date() < since], kind, what)
            b = level([r for r in rows if at(r).date() > since], kind, what)
            if a is not None and b is not None:
                compared[answer["cause"], kind, what] += 1
                assert (b > a) if sign > 0 else (b < a), (folder.name, kind, what, a, b)
    for cause, traces in TRACES.items():
        for kind, what, _sign in traces:
            assert compared[cause, kind, what] >= 3, (cause, kind, what)


# What must rise (+1) or fall (-1) from before to after: sum per line for readings, sum per day else.
TRACES: dict[str, tuple[tuple[str, str, int], ...]] = {
    "load": (("feed", "pellet_adult", 1),),
    "dirt": (("siphon", "", -1), ("flow", "", -1)),
    "tap": (("reading", "tap_nitrate", 1), ("reading", "nitrate", 1)),
    "changes": (("change", "", -1),),
    "dead": (("reading", "ammonia", 1),),
    "filter": (("reading", "ammonia", 1),),
    "warmth": (("reading", "temperature", 1),),
}


def level(rows: list[Row], kind: str, what: str) -> float | None:
    """Mean of readings and flows, None without any; of all else the amount a day, a bare line being one."""
    cells = [r["amount"] for r in rows if r["kind"] == kind and r["what"] == what]
    found = [0.5 * float(c[1:]) if c.startswith("<") else float(c or 1.0) for c in cells]
    if kind in {"reading", "flow"}:
        return statistics.mean(found) if found else None
    return sum(found) / (at(rows[-1]).date() - at(rows[0]).date()).days
