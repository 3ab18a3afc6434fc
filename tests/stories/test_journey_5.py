"""Joon-ho in Busan: is this winter sleep normal? Invented, like every story here.

Expected numbers were worked out by hand for the story from the measured resting rates of turtles (Gatten): each is
compared within the rounding in which it is said.
"""

from __future__ import annotations

import re
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.animal import AnimalView
from lentic.advice.winter import Guard, explained_loss
from lentic.catalogue import common
from lentic.cli.main import cli
from lentic.keeper.animal import animal
from lentic.keeper.answers import Answer
from lentic.keeper.opening import Where
from lentic.science.winter import resting_energy

CLOCK = datetime(2026, 2, 2, 3, tzinfo=UTC)
TOML = """format = "lentic-tank-1"
name = "Fridge-type box"
timezone = "Asia/Seoul"
country = "KR"
as_of = 2025-10-31
[tank]
water_l = 5.0
[[turtle]]
id = "dol"
species = "Mauremys reevesii"
sex = "male"
hatched = 2016-06-15
"""
LOG = """time,kind,what,amount,unit,note
2025-11-01T09:00,weigh,dol,612,g,
2025-11-01T10:00,rest,dol,6,°C,fridge-type box at 5 to 7
2025-11-15T09:00,weigh,dol,610,g,
2025-12-01T09:00,weigh,dol,607,g,
2026-01-01T09:00,weigh,dol,603,g,
2026-02-01T09:00,sign,dol,,,box lid found open
2026-02-02T09:00,weigh,dol,571,g,
"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("joon-ho")
    (path / "tank.toml").write_text(TOML, encoding="utf-8")
    (path / "log.csv").write_text(LOG, encoding="utf-8")
    return path


def view_on(folder: Path, day: str) -> AnimalView:
    answer = animal(Where(folder=folder, now_text=day, clock=CLOCK))
    assert isinstance(answer, Answer)
    return answer.view.animals[0]


def guard_on(folder: Path, day: str) -> Guard:
    guard = view_on(folder, day).guard
    assert guard is not None
    return guard


def test_what_fasting_explains() -> None:
    facts = common("turtles")
    daily = resting_energy(
        612.0,
        6.0,
        facts["smr_kcal_per_day_1_kg_20_C"].middle,
        facts["smr_mass_exponent"].middle,
        facts["smr_q10"].middle,
    )
    assert daily == pytest.approx(0.2, abs=0.05)
    assert 92.0 * daily == pytest.approx(19.0, abs=0.5)
    least, most = explained_loss(612.0, 92.0, (6.0, 6.0))
    assert least == pytest.approx(2.0, abs=0.5)
    assert most == pytest.approx(17.0, abs=0.5)
    assert 100.0 * least / 612.0 == pytest.approx(0.3, abs=0.05)
    assert 100.0 * most / 612.0 == pytest.approx(2.8, abs=0.05)


def test_until_new_year_all_was_normal(folder: Path) -> None:
    guard = guard_on(folder, "2026-01-02T12:00")
    assert guard.state == "fine"
    assert 100.0 * guard.loss == pytest.approx(1.5, abs=0.05)
    assert guard.usual_until == date(2026, 1, 1)
    assert "As expected." in guard.sentences


def test_now_it_is_past_the_line_and_more_than_fasting(folder: Path) -> None:
    guard = guard_on(folder, "2026-02-02T12:00")
    assert guard.state == "act"
    assert 100.0 * guard.loss == pytest.approx(6.7, abs=0.05)
    assert 100.0 * guard.step_loss == pytest.approx(5.3, abs=0.05)
    assert guard.usual_until == date(2026, 1, 1)
    text = " ".join(guard.sentences)
    assert "6 % line" in text and "water lost, or illness" in text and "only a vet can say" in text


def test_what_to_do_today_and_next_year(folder: Path) -> None:
    steps = " ".join(guard_on(folder, "2026-02-02T12:00").do)
    for words in (
        "10, then 15, then 20 °C over 2 days", "22 to 24 °C for 30 min", "no deeper than the chin", "ultraviolet",
        "Weigh after the soak", "More than 15 g", "within 24 h", "until it has been active for 48 h", "sensor",
        "weigh every 10 days", "keep it warm: that is allowed", "no diagnosis",
    ):  # fmt: skip
        assert words in steps, words


def test_the_page_for_the_vet_holds_every_mass(folder: Path) -> None:
    page = view_on(folder, "2026-02-02T12:00").vet
    lines = " ".join(line for part in page.parts for line in part.lines)
    for words in ("612 g", "610 g", "607 g", "603 g", "571 g", "winter rest began", "box lid found open", "9.6 years"):
        assert words in lines, words
    assert sum(len(part.lines) + 2 for part in page.parts) < 60  # one page


def test_the_command_diagnoses_nothing_and_names_no_medicine(folder: Path) -> None:
    result = CliRunner().invoke(cli, ["animal", "--folder", str(folder), "--now", "2026-02-02T12:00"])
    assert result.exit_code == 0, result.output
    assert "−6.7 %" in result.output and "−5.3 %" in result.output
    assert not re.search(
        r"pneumonia|infection|dehydrat|antibiotic|vitamin|inject|\bdose|parasite", result.output.lower()
    )
