"""Causes: small stories, and a bank of invented tanks whose causes are known."""

from __future__ import annotations

import importlib.util
import subprocess
import sys
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from lentic.advice.causes import SUBJECTS, TITLES, WEIGHTS, causes_of
from lentic.logbook.events import Change, Event, Feed, Lamp, Reading, Scrape
from lentic.logbook.tank import Fixture, Glass, Tank

ROOT = Path(__file__).parents[2]
TANK = Tank(name="Shelf", glass=Glass(water_l=150.0), lamps=(Fixture(use="plants", hours=8.0),))
START = TANK.utc(datetime(2026, 6, 1).date())  # noqa: DTZ001 - only the day counts
NITROGEN = {"pellet_adult": 0.06}


def day(number: float) -> datetime:
    return START + timedelta(days=number)


def weeks(scrapes: list[int], more: list[Event]) -> list[Event]:
    events: list[Event] = [Feed(time=day(d), food="pellet_adult", grams=1.0) for d in range(84)]
    events += [Change(time=day(d), litres=30.0) for d in range(6, 84, 7)]
    events += [Scrape(time=day(d)) for d in scrapes]
    return sorted([*events, *more], key=lambda e: e.time)


OFTENER = [10, 20, 30, 40, 50, 55, 60, 65, 70, 75, 80]


def test_longer_lamp_hours_before_more_scraping_point_to_light() -> None:
    found = causes_of(TANK, weeks(OFTENER, [Lamp(time=day(46), use="plants", hours=13.0)]), "algae", NITROGEN)
    assert found.causes[0].cause == "light"
    assert not any("shows nothing of this" in each for each in found.causes[0].against)
    assert set(TITLES) == set(SUBJECTS)
    assert "from 8 to 13 h" in found.causes[0].speaks_for[0]
    assert sum(c.chance for c in found.causes) + found.unknown == pytest.approx(1.0)


def test_a_silent_log_leaves_the_cause_unknown() -> None:
    found = causes_of(TANK, weeks(OFTENER, []), "algae", NITROGEN)
    assert found.since is not None
    assert all(c.chance < 0.35 for c in found.causes)
    assert found.unknown > 0.1


def test_even_scraping_has_nothing_to_explain() -> None:
    found = causes_of(TANK, weeks(list(range(8, 84, 8)), []), "algae", NITROGEN)
    assert found.causes == ()
    assert found.unknown == 1.0


def test_few_scrapings_or_readings_are_not_yet_an_answer() -> None:
    assert causes_of(TANK, weeks([10, 20], []), "algae", NITROGEN).sentence.startswith("Not yet")
    assert causes_of(TANK, weeks([], []), "kh", NITROGEN).sentence.startswith("Not yet")


def test_falling_kh_under_more_food_points_to_load() -> None:
    more: list[Event] = [Feed(time=day(d), food="pellet_adult", grams=2.0) for d in range(42, 84)]
    more += [Reading(time=day(d), quantity="kh", value=3.0 if d < 45 else 1.2, unit="meq/L") for d in range(4, 84, 10)]
    assert causes_of(TANK, weeks([], more), "kh", NITROGEN).causes[0].cause == "load"


@pytest.mark.parametrize("of", SUBJECTS)
def test_every_cause_has_a_test(of: str) -> None:
    found = causes_of(TANK, weeks(OFTENER, []), of, NITROGEN)
    assert all(c.test.do and c.test.tells for c in found.causes)
    assert not found.causes or {c.cause for c in found.causes} == set(WEIGHTS)


@pytest.fixture(scope="module")
def benchmark() -> Any:
    spec = importlib.util.spec_from_file_location("benchmark_causes", ROOT / "benchmarks" / "causes.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def bank(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("bank")
    subprocess.run([sys.executable, str(ROOT / "examples" / "make_bank.py"), str(place)], check=True)
    return place


def test_the_bank_of_invented_tanks(bank: Path, benchmark: Any) -> None:
    """Reached when written: 50 of 52 among the first two, 4 of 4 without a cause; the bars stand a little lower.

    The weights were set while looking at this bank, so this is a regression test and no proof for other tanks. Of
    56 tanks drawn anew from the same generator, with another seed and after the weights were set, the same 50 of 52
    and 4 of 4 were right; that generator is ours too.
    """
    rows = benchmark.evaluate(bank)
    real = [row.right for row in rows if row.truth != "none"]
    none = [row.right for row in rows if row.truth == "none"]
    assert sum(real) / len(real) >= 0.88
    assert sum(none) / len(none) >= 0.75


@pytest.mark.parametrize(
    ("of", "causes"),
    [
        ("ammonia", {"load", "dirt", "filter", "tap", "dead"}),
        ("nitrate", {"load", "plants", "tap", "dead"}),
        ("kh", {"load", "dead"}),
        ("cloudy", {"dirt", "dead"}),
    ],
)
def test_other_troubles_of_the_bank(bank: Path, benchmark: Any, of: str, causes: set[str]) -> None:
    """What was done to these tanks shows beyond the panes in some; reached when written: 37 of 41 in the first two.

    One by one: ammonia 20 of 21, nitrate 12 of 15, KH 3 of 3, cloudy water 2 of 2. Seen after the weights were set.
    """
    rows = benchmark.others(bank, of)
    assert {row.truth for row in rows} >= causes
    assert sum(row.right for row in rows) >= 0.75 * len(rows)
