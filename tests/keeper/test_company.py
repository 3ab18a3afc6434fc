"""Would it live here, asked of a folder and on the command line; the rules on danger have the last word."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.company import NO, NONE
from lentic.cli.main import cli
from lentic.keeper.answers import Answer
from lentic.keeper.company import company, fits, parted
from lentic.keeper.opening import AskError, NotYet, Where

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
WHERE = Where(folder=LOFT, clock=datetime(2026, 5, 1, 8, tzinfo=UTC))


def test_a_name_that_may_be_two_is_asked_about_and_none_is_said() -> None:
    asked = fits(WHERE, "pleco")
    assert isinstance(asked, NotYet) and "which one" in asked.sentence
    with pytest.raises(AskError, match="like no name"):
        fits(WHERE, "qwertyuiop")
    with pytest.raises(AskError, match="count"):
        fits(WHERE, "guppy", 0)
    with pytest.raises(AskError, match="length"):
        fits(WHERE, "guppy", size=900.0)
    with pytest.raises(AskError, match="wet mass"):
        fits(WHERE, "hornwort", grams=-1.0)


def test_spines_are_stopped_by_the_rules_as_well() -> None:
    answer = fits(WHERE, "common pleco")
    assert isinstance(answer, Answer)
    assert answer.view.answer == NO and answer.view.danger.stopped
    assert {found.rule for found in answer.view.danger.stops} >= {"MATE-01"}


def test_the_count_stands_at_the_end() -> None:
    assert parted(("zebra", "danio", "8")) == ("zebra danio", 8)
    assert parted(("guppy",)) == ("guppy", 1)


def test_the_survey_has_an_answer() -> None:
    answer = company(WHERE)
    assert isinstance(answer, Answer) and answer.view.answer != NONE


def test_the_command_answers_for_an_animal_a_plant_and_for_all(tmp_path: Path) -> None:
    target = tmp_path / "fits.json"
    ran = CliRunner().invoke(cli, ["fits", "bristlenose", "2", "--folder", str(LOFT), "--json", str(target)])
    assert ran.exit_code == 1, ran.output  # a STOP stands
    assert "2 x bristlenose" in ran.output and "Why it does not clean" in ran.output and "MATE-01" in ran.output
    assert json.loads(target.read_text(encoding="utf-8"))["answer"] == NO
    plant = CliRunner().invoke(cli, ["fits", "hornwort", "--grams", "300", "--folder", str(LOFT)])
    assert plant.exit_code == 0 and "% of the waste nitrogen" in plant.output
    every = CliRunner().invoke(cli, ["fits", "--folder", str(LOFT), "--json", "-"])
    assert every.exit_code == 0 and json.loads(every.output)["fits"]
