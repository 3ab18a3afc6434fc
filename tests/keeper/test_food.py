"""What to feed, asked of a folder and on the command line; nothing here fits."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.cli.main import cli
from lentic.keeper.answers import Answer
from lentic.keeper.food import feed
from lentic.keeper.opening import AskError, Where

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
CLOCK = datetime(2026, 5, 1, 8, tzinfo=UTC)
WHERE = Where(folder=LOFT, clock=CLOCK)


def test_the_example_is_answered_without_a_fit() -> None:
    answer = feed(WHERE, foods=("turnip tops",))
    assert isinstance(answer, Answer)
    (ration,) = answer.view.rations
    assert ration.animal == "juniper" and ration.age == "subadult" and ration.learned
    assert any(choice.food == "turnip_greens" for choice in answer.view.choices)
    assert answer.view.fed_litres is not None


def test_a_food_that_may_be_two_is_asked_about() -> None:
    with pytest.raises(AskError, match="which one"):
        feed(WHERE, foods=("lettuce",))
    with pytest.raises(AskError, match="no food"):
        feed(WHERE, foods=("qwertyuiop",))
    with pytest.raises(AskError, match="--weeks"):
        feed(WHERE, weeks=0.0)
    with pytest.raises(AskError, match="--nitrate"):
        feed(WHERE, nitrate=0.0)


def test_a_mix_is_read_by_name_and_share() -> None:
    answer = feed(WHERE, mixes=("dandelion 80, adult pellet 20%",))
    assert isinstance(answer, Answer)
    assert "80 % dandelion leaves and 20 % adult pellet" in answer.view.mixes[0].name
    with pytest.raises(AskError, match="shares of the energy"):
        feed(WHERE, mixes=("dandelion",))


def test_a_food_asked_about_passes_the_rules_on_danger() -> None:
    answer = feed(WHERE, foods=("smelt",))
    assert isinstance(answer, Answer)
    assert any("smelt" in caution and "raw goldfish" in caution for caution in answer.cautions)


def test_a_tank_without_a_log_still_has_a_ration(tmp_path: Path) -> None:
    toml = 'format = "lentic-tank-1"\nname = "Shelf"\n[heater]\nset_c = 25.0\n[[turtle]]\nid = "oak"\nmass_g = 300.0\n'
    (tmp_path / "tank.toml").write_text(toml, encoding="utf-8")
    (tmp_path / "log.csv").write_text("time,kind,what,amount,unit,note\n", encoding="utf-8")
    answer = feed(Where(folder=tmp_path, clock=CLOCK))
    assert isinstance(answer, Answer)
    assert answer.view.need is not None and answer.view.menu.fed == ()


def test_the_command_says_it_in_words_and_in_json(tmp_path: Path) -> None:
    target = tmp_path / "feed.json"
    ran = CliRunner().invoke(cli, ["feed", "--folder", str(LOFT), "--json", str(target)])
    assert ran.exit_code == 0, ran.output
    assert "juniper (false map turtle), subadult" in ran.output and "kcal a day" in ran.output
    assert "calcium to phosphorus" in ran.output and "L a week" in ran.output
    content = json.loads(target.read_text(encoding="utf-8"))
    assert content["rations"][0]["need"]["unit"] == "kcal a day"
    assert content["choices"][0]["litres"]["origin"]
