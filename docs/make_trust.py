"""Write docs/trust.md: each relation, the published values it was compared with, and how far off it was at most.

Run by `make numbers`. The comparisons are those of the tests themselves; which relations a row uses is seen by watching
which functions of the science room run while the row is computed.
"""

from __future__ import annotations

import importlib.util
import inspect
import math
import sys
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType, ModuleType
from typing import Any

import numpy as np

from lentic.keeper import sums

ROOT = Path(__file__).parents[1]
PAGE = ROOT / "docs" / "trust.md"
NEARLY_NOTHING = 0.01


@dataclass
class Checked:
    """What is known of one relation from published rows."""

    rows: list[str] = field(default_factory=list)
    worst: float = 0.0
    worst_row: str = ""


def load(place: str) -> ModuleType:
    """Return a module of the tests by its path."""
    path = ROOT / place
    spec = importlib.util.spec_from_file_location(f"trust_{path.stem}", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


def watched(work: Callable[[], Any]) -> tuple[float, set[str]]:
    """Return what a row computes and the public relations that ran for it."""
    ran: set[str] = set()

    def watch(frame: FrameType, event: str, _: Any) -> None:
        module = frame.f_globals.get("__name__", "")
        if event == "call" and module.startswith("lentic.science."):
            ran.add(f"{module.removeprefix('lentic.science.')}.{frame.f_code.co_name}")

    sys.setprofile(watch)
    try:
        value = work()
    finally:
        sys.setprofile(None)
    return float(np.asarray(value)), ran


def public() -> dict[str, Callable[..., Any]]:
    """Return every relation of the science room by module and name."""
    found = {}
    for name in (*sums.relations(), *sums.NOT_BY_HAND):
        module, _, function = name.partition(".")
        found[name] = getattr(importlib.import_module(f"lentic.science.{module}"), function)
    return found


def compared(checks: ModuleType, names: set[str]) -> tuple[dict[str, Checked], dict[str, float]]:
    """Return what the rows say of each relation, and the deviation of each row in parts of its tolerance."""
    relations: dict[str, Checked] = defaultdict(Checked)
    rows: dict[str, float] = {}
    for key, rule in checks.COVERED.items():
        row = checks.ROWS[key]
        value, ran = watched(rule)
        rows[key] = abs(value - float(row["expected"])) / checks.margin_of(row)
        for name in ran & names:
            mine = relations[name]
            mine.rows.append(key)
            if rows[key] > mine.worst or not mine.worst_row:
                mine.worst, mine.worst_row = rows[key], key
    return relations, rows


def up(value: float) -> str:
    """Round a deviation up to one significant digit, so that it never reads better than it is."""
    if value < 1e-12:
        return "0"
    power = math.floor(math.log10(value))
    return f"{math.ceil(value / 10.0**power - 1e-9) * 10.0**power:.{max(-power, 0)}f}"


def parts(value: float) -> str:
    """Say a deviation in parts of its tolerance."""
    return f"under {NEARLY_NOTHING}" if value < NEARLY_NOTHING else f"{math.ceil(100.0 * value - 1e-6) / 100.0:.2f}"


def listed(keys: list[str], most: int = 6) -> str:
    """Return row ids, the first few of many."""
    shown = ", ".join(keys[:most])
    return shown if len(keys) <= most else f"{shown} and {len(keys) - most} more"


def sources(function: Callable[..., Any]) -> list[str]:
    """Return the keys of the sources a relation names."""
    text = inspect.getdoc(function) or ""
    found = text.partition("References\n----------\n")[2].split("\n\n")[0]
    return [key.strip() for key in found.replace("\n", " ").split(",") if key.strip()]


def known(keys: list[str]) -> str:
    """Return sources with how each is known."""
    return ", ".join(f"{key} ({sums.how_known(key)})" for key in keys)


def against_phreeqc() -> list[str]:
    """Return how far random waters lie from PHREEQC."""
    plain, mixed = load("tests/science/test_carbonate.py"), load("tests/science/test_water.py")
    waters = plain.waters.__wrapped__()
    constants = waters.constants()
    reference = plain.run_phreeqc(waters, "wateq4f.dat")
    one = np.max(np.abs(waters.ph(constants) - reference["pH"]))
    index = np.max(np.abs(plain.index(waters, constants) - reference["SI"]))
    _, after, other = mixed.changed.__wrapped__()
    scale = importlib.import_module("lentic.science.scale")
    two = np.max(np.abs(after.ph - other["pH"]))
    second = np.max(np.abs(scale.saturation_index(after.constants, 10.0**-after.ph, after.dic) - other["SI"]))
    return [
        "| 500 random waters against PHREEQC 3 (wateq4f.dat) | pH, at most | calcite index, at most | allowed |",
        "|---|---|---|---|",
        f"| as they are, half with ammonia, half with phosphate | {up(float(one))} | {up(float(index))} "
        "| 0.005, 0.02 |",
        f"| after a change of 5 to 95 % and a dose of bicarbonate in one step | {up(float(two))} | {up(float(second))} "
        "| 0.005, 0.02 |",
    ]


def _percent(part: float) -> str:
    """Say a deviation in whole percent, with its sign where there is one."""
    whole = round(100.0 * part)
    return f"{whole:+d} %" if whole else "0 %"


def resting_turtles() -> list[str]:
    """Return how far resting energy lies from every published rate that could be read."""
    energy = load("tests/science/test_energy_published.py")
    lines = [
        "| row | animal | g | °C | measured, kcal a day | reckoned | off | state said |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for row in energy.ROWS:
        fitted = ", fitted to it" if row.fitted else ""
        assumed = "" if row.mass_how == "measured" else f" ({row.mass_how})"
        lines.append(
            f"| {row.key} | {row.animal} | {row.mass_g:.0f}{assumed} | {row.celsius:g} | {row.kcal:.2f} "
            f"| {energy.reckoned(row):.2f} | {_percent(energy.deviation(row))} | {row.state}{fitted} |"
        )
    return lines


def page() -> str:
    """Return the whole page."""
    checks = load("tests/science/test_published_checks.py")
    functions = public()
    relations, rows = compared(checks, set(functions))
    unchecked = sorted(set(functions) - set(relations))
    own = [key for key in checks.ROWS if key.startswith("BIO-MOD")]
    worst = max(rows, key=lambda key: rows[key])
    lines = [
        "# Should you trust this?",
        "",
        "Written by `make numbers` from the tests that compare the project with the outside. Nothing here was typed by "
        "hand, and a test fails when the page is older than the code.",
        "",
        "## In short",
        f"- {len(checks.ROWS)} rows of published or reference values stand in `tests/data/checks_water.csv` and "
        f"`checks_life.csv`, each with its own tolerance and source.",
        f"- {len(rows)} are compared one by one, {len(checks.ELSEWHERE)} in tests of their own, {len(own)} are runs of "
        f"our own model and only guard against change, {len(checks.NOT_COVERED)} hold nothing to compute.",
        f"- The largest deviation is {parts(rows[worst])} of its tolerance (row {worst}); "
        f"{sum(each < 0.1 for each in rows.values())} rows lie under a tenth of theirs.",
        f"- {len(relations)} of {len(functions)} relations were used by at least one compared row.",
        "",
        "## Whole waters",
        *against_phreeqc(),
        "",
        "## Resting energy of turtles",
        "Every published rate of a grown turtle of the water, or of its family, that could be read, from "
        "`tests/data/energy_published.csv`. Eight animals within a quarter were the aim: it is missed. Standard is the "
        "lowest rate of a fasting animal. Where the state is not said it may not be rest: the second slider is at five "
        "times the first. Let the scale correct the ration.",
        "",
        *resting_turtles(),
        "",
        "## Relations and their published checks",
        "The deviation is the largest of any row that used the relation, in parts of that row's tolerance; 1 would "
        "just pass. Small deviations speak for the code; whether the source is right for your tank is another matter.",
        "",
        "| relation | rows | largest deviation | in row | sources and how they are known |",
        "|---|---|---|---|---|",
    ]
    for name in sorted(relations):
        mine = relations[name]
        lines.append(
            f"| `{name}` | {len(mine.rows)}: {listed(sorted(mine.rows))} | {parts(mine.worst)} | {mine.worst_row} "
            f"| {known(sources(functions[name]))} |"
        )
    lines += ["", "## Relations without a published check", ""]
    lines += [
        "Definitions, balances of mass and rules of practice: tested for their limits, inverses and units, not against "
        "a table.",
        "",
        "| relation | sources and how they are known |",
        "|---|---|",
        *(f"| `{name}` | {known(sources(functions[name]))} |" for name in unchecked),
    ]
    return "\n".join([*lines, *_soft(functions), *_rows_left(checks)]) + "\n"


def _soft(functions: dict[str, Callable[..., Any]]) -> list[str]:
    """Name the relations that rest on memory or practice alone."""
    soft = []
    for name in sorted(functions):
        hows = {sums.how_known(key) for key in sources(functions[name])}
        if hows and hows <= {"memory", "common practice"}:
            soft.append(f"| `{name}` | {' and '.join(sorted(hows))} |")
    return [
        "", "## What rests on memory or common practice alone", "",
        "The source is named from memory and was not read again, or there is none beyond the habit of keepers. Treat "
        "the result as a guess of the right size.", "", "| relation | known by |", "|---|---|", *soft,
    ]  # fmt: skip


def _rows_left(checks: ModuleType) -> list[str]:
    """Name the rows that are compared elsewhere, and those that are not, with the reason."""
    lines = ["", "## Rows compared in tests of their own", "", "| row | what | where |", "|---|---|---|"]
    here = "tests/science/test_published_checks.py"
    for key in sorted(checks.ELSEWHERE):
        place = checks.ELSEWHERE[key].replace("this file", here)
        lines.append(f"| {key} | {_cell(checks.ROWS[key]['quantity'])} | `{place}` |")
    lines += ["", "## Rows that are not compared, and why", "", "| row | what | why |", "|---|---|---|"]
    for key in sorted(checks.NOT_COVERED):
        lines.append(f"| {key} | {_cell(checks.ROWS[key]['quantity'])} | {checks.NOT_COVERED[key]} |")
    own = [key for key in checks.ROWS if key.startswith("BIO-MOD")]
    lines.append(f"| {own[0]} to {own[-1]}, {len(own)} rows | runs of our own model | {checks.OWN_RUN} |")
    return lines


def _cell(text: str) -> str:
    return text.replace("|", "/")


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    print(f"Wrote {PAGE.relative_to(ROOT)}")
