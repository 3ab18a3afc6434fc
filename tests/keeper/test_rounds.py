"""The round through the tanks of a store, from their own descriptions and logs."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.rounds import FINE
from lentic.cli.main import cli
from lentic.keeper import logbook
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Where
from lentic.keeper.rounds import Rounds, rounds

SAFE = Path(__file__).parents[1] / "data" / "safe"
NOW = datetime(2026, 4, 28, 8, tzinfo=UTC)
HERE = Where(clock=NOW)
THREE = ("musk-on-the-shelf", "quarantine-tub", "grown-slider")


@pytest.fixture
def names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> list[str]:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    return [logbook.import_folder(SAFE / name, NOW).tank for name in THREE]


def of(*quarantine: str) -> Rounds:
    answer = rounds(HERE, quarantine)
    assert isinstance(answer, Answer)
    return answer.view


def test_food_changes_and_readings_come_from_the_log(names: list[str]) -> None:
    musk = next(each for each in of().round.order if each.tank.name == names[0])
    # fed every second day 0.25 g and once a week 0.6 g; 27 L of 91 L a week; read the day before
    assert musk.tank.food_g_d == pytest.approx(0.25 / 2 + 0.6 / 7, rel=0.05)
    assert musk.tank.change_share == pytest.approx(27 / 91, rel=0.01)
    assert musk.tank.nitrate_mg_l == pytest.approx(10, abs=0.01) and musk.tank.kh_dkh == pytest.approx(3, abs=0.01)
    assert musk.tank.masses_g == (116.2,)


def test_each_tank_is_held_against_its_own_tap_and_young_animals_may_eat(names: list[str]) -> None:
    by_name = {each.tank.name: each for each in of().round.order}
    taps = [tap.nitrate_mg_l for name in names if (tap := by_name[name].tank.tap) is not None]
    assert taps == [2.0, 8.0, 4.0]
    tub = by_name[names[1]]
    assert tub.tank.growing and not tub.overfed
    # 0.2 mg/L of chlorine in every tap, 7 mg thiosulfate a mg
    assert of().round.thiosulfate_g == pytest.approx(of().round.litres * 0.2 * 7 / 1000)


def test_quarantine_comes_last_and_is_named(names: list[str]) -> None:
    order = [each.tank.name for each in of(names[1]).round.order]
    assert order[-1] == names[1] and set(order) == set(names)
    assert any(names[1] in line for line in of(names[1]).round.hygiene)


def test_what_is_missing_is_asked_and_the_others_are_planned(names: list[str], tmp_path: Path) -> None:
    folder = tmp_path / "empty"
    folder.mkdir()
    (folder / "tank.toml").write_text('format = "lentic-tank-1"\nname = "Bare"\n[tank]\nwater_l = 50.0\n', "utf-8")
    (folder / "log.csv").write_text("time,kind,what,amount,unit,note\n", "utf-8")
    logbook.import_folder(folder, NOW)
    view = of()
    assert view.missing == ("Bare: what do all its turtles weigh?",)
    assert len(view.round.order) == 3


def test_an_empty_store_and_a_wrong_name_are_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    assert isinstance(rounds(HERE), NotYet)
    with pytest.raises(AskError, match="no tank"):
        rounds(HERE, ("Q9",))


def test_the_command_shows_the_round(names: list[str]) -> None:
    run = CliRunner().invoke(cli, ["rounds", "--quarantine", names[1], "--now", "2026-04-28T08:00", "--json", "-"])
    assert run.exit_code == 0
    content = json.loads(run.stdout)
    assert [each["tank"] for each in content["order"]][-1] == names[1]
    assert content["litres"] == pytest.approx(sum(each["litres"] for each in content["order"]))
    text = CliRunner().invoke(cli, ["rounds", "--now", "2026-04-28T08:00"]).stdout
    for part in ("In this order:", "Water in all", "thiosulfate", "washed with soap"):
        assert part in text
    assert FINE in {each["finding"] for each in content["order"]}
