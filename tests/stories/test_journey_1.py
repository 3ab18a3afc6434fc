"""Marit in Bergen: a filter that starves in soft water. Invented, like every story here.

Expected numbers were worked out by hand for the story, each held to the digits in which it is said. One of them is
told in two halves: turning her ammonium into nitrate uses 1.45 dKH a week, but making that ammonium from protein gave
half of it back before, so KH falls by 0.73; either way her changes bring a small part of it.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.ammonia_now import after_change, aired
from lentic.advice.buffer import DKH, Rescue, rescue_of
from lentic.advice.load import Load, kh_settles, load_from, load_of
from lentic.advice.ration import Ration, ration_of
from lentic.advice.readings import Case, case_of
from lentic.cli.main import cli
from lentic.keeper.opening import Opened, Where, open_record
from lentic.logbook.events import Reading
from lentic.logbook.quick import parse_quick

TOML = """format = "lentic-tank-1"
name = "Marit's window"
timezone = "Europe/Oslo"
country = "NO"
[tank]
pane = "acrylic"
length_cm = 88.0
width_cm = 43.0
water_depth_cm = 36.0
solids_l = 9.2
[source_water]
ph = 8.1
kh_dkh = 0.7
gh_dgh = 1.2
no3_mg_l = 1.0
chlorine_mg_l = 0.1
[heater]
set_c = 25.0
[[turtle]]
id = "pia"
species = "Sternotherus carinatus"
sex = "female"
mass_g = 380.0
scl_cm = 13.5
[[food]]
id = "pellet_adult"
protein = 0.42
"""
READ = "ph 6.2; kh 0 dKH; nh4 1.5 mg/L NH4; no2 0.1 mg/L NO2; no3 80 mg/L NO3; temp 25 °C"
NOW = datetime(2026, 4, 30, 18, 0, tzinfo=UTC)
FORBIDDEN = re.compile(
    r"\blegal|illegal|antibiotic|medic(ine|ation)|infection|disease|diagnos|do a big change|razor|!", re.IGNORECASE
)


def log() -> str:
    """Four weeks: 1.4 g of pellets a day, a fifth of the water every Sunday."""
    lines = ["time,kind,what,amount,unit,note"]
    for day in range(28):
        at = NOW - timedelta(days=28 - day)
        lines.append(f"{at:%Y-%m-%d}T08:00,feed,pellet_adult,1.4,g,")
        if day % 7 == 3:
            lines.append(f"{at:%Y-%m-%d}T17:00,change,,20,%,")
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("marit")
    (path / "tank.toml").write_text(TOML, encoding="utf-8")
    (path / "log.csv").write_text(log(), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def opened(folder: Path) -> Opened:
    found = open_record(Where(folder=folder, clock=NOW, now_text=NOW.isoformat()))
    assert isinstance(found, Opened)
    return found


@pytest.fixture(scope="module")
def case(opened: Opened) -> Case:
    quick = parse_quick(READ, opened.tank, opened.events, NOW)
    assert not quick.questions
    readings = [event for event in quick.events if isinstance(event, Reading)]
    return case_of(opened.tank, opened.events, readings, NOW)


@pytest.fixture(scope="module")
def load(opened: Opened) -> Load:
    found = load_of(opened.tank, opened.events, NOW)
    assert found is not None
    return found


@pytest.fixture(scope="module")
def rescue(case: Case) -> Rescue:
    found = rescue_of(case.known, case.litres, at_ph=7.9)
    assert found is not None
    return found


def test_what_happened_is_in_the_food(opened: Opened, load: Load) -> None:
    """127 L; 1.4 g a day are 94 mg N, 461 mg a week in the water, +16 mg/L nitrate a week."""
    assert opened.tank.water_litres == pytest.approx(127, abs=0.5)
    assert load.eaten.value == pytest.approx(94, abs=0.5)
    assert load.weekly.value == pytest.approx(461, abs=0.5)
    assert load.nitrate_rise.value == pytest.approx(16, abs=0.5)


def test_the_log_is_consistent_with_the_test(load: Load) -> None:
    """With a fifth a week it settles at 81 before the change; she measured 80."""
    assert load.fraction == pytest.approx(0.2, abs=0.001)
    settled = load.nitrate_before_change(1.0)
    assert settled is not None and settled.value == pytest.approx(81, abs=0.5)
    assert settled.low < 80.0 < settled.high


def test_carbonate_is_used_ten_times_as_fast_as_it_comes(load: Load) -> None:
    """1.45 dKH a week to nitrify, half of it given back before; her changes bring 0.14. KH has no place to settle."""
    assert load.kh_of_nitrification.value == pytest.approx(1.45, abs=0.005)
    assert load.kh_use.value == pytest.approx(0.73, abs=0.005)
    assert load.kh_supply(0.7) == pytest.approx(0.14, abs=0.001)
    settles = kh_settles(load, 0.7)
    assert settles is not None and settles.high < 0.0


def test_the_danger_is_in_the_refill(case: Case, rescue: Rescue) -> None:
    """0.001 mg/L free ammonia now, 0.06 from the same ammonium at pH 7.9."""
    assert rescue.free_now == pytest.approx(0.001, abs=0.0005)
    assert rescue.free_if_raised == pytest.approx(0.06, abs=0.005)
    again = aired(case.known, 7.9)
    assert again is not None and again.free_nh3 == pytest.approx(rescue.free_if_raised)
    big, small = after_change(case.known, 0.8), after_change(case.known, 0.12, kh_meq=4.0 * DKH)
    assert big is not None and small is not None
    assert big.ph > small.ph and big.free_nh3 > 5.0 * rescue.free_now
    assert small.free_nh3 < 0.02  # the daily buckets keep below the guideline that protects even fish


def test_the_way_back_in_grams_and_litres(rescue: Rescue) -> None:
    """Ten to twelve per cent a day, 2.5 g in 25 L; 11.4 g would lift all of it by 3 dKH, never more than 1 a day."""
    assert [round(each / 127.0, 2) for each in rescue.daily_l] == [0.10, 0.12]
    assert rescue.bucket_g == pytest.approx(2.5, abs=0.05)
    assert rescue.whole_tank_g == pytest.approx(11.4, abs=0.05)
    assert 0.0 < rescue.rise_a_day <= 1.0


def test_the_animal_needs_less_than_half(opened: Opened) -> None:
    """About 2.1 kcal a day (1.4 to 3.5), 0.6 g of pellets of 3.3 kcal/g; she feeds 2.2 times that."""
    turtle = opened.tank.turtles[0]
    ration = ration_of(turtle, opened.tank, (), NOW, "nothing is weighed yet")
    assert isinstance(ration, Ration)
    need = ration.resting.value * ration.multiplier.value
    assert need == pytest.approx(2.1, abs=0.05)
    assert ration.resting.value * 2.0 == pytest.approx(1.4, abs=0.05)
    assert ration.resting.value * 5.0 == pytest.approx(3.5, abs=0.05)
    grams = need / 3.3
    assert grams == pytest.approx(0.6, abs=0.05)
    assert 1.4 / grams == pytest.approx(2.2, abs=0.05)


def test_what_less_food_and_a_third_of_the_water_do() -> None:
    """At 0.63 g and 30 % a week nitrate is 25 before a change, and nitrification uses 0.65 dKH a week."""
    less = load_from(0.63, 0.42, 127.0, 0.30, "by hand")
    settled = less.nitrate_before_change(1.0)
    assert settled is not None and settled.value == pytest.approx(25, abs=0.5)
    assert less.kh_of_nitrification.value == pytest.approx(0.65, abs=0.005)


def test_the_command_says_it_and_nothing_that_is_forbidden(folder: Path) -> None:
    arguments = ["reading", "--folder", str(folder), "--now", NOW.isoformat(), READ]
    result = CliRunner().invoke(cli, arguments)
    said = result.output
    for part in (
        "No big change and nothing that raises pH", "2.5 g of sodium bicarbonate in 25 L", "11.4 g would lift",
        "Test KH, pH and ammonia again in three days", "Only turtles live here", "never more than 1",
        "13 to 15 L a day", "16 mg/L NO3 a week", "settles it at 81 mg/L NO3", "the log is consistent",
    ):  # fmt: skip
        assert part in said, part
    assert [line for line in said.splitlines() if FORBIDDEN.search(line)] == []
