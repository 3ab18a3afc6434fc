"""The commands on animals, lamps and home, from end to end, with their bad-input stories; nothing here fits."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from lentic.cli.main import cli

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
TOML = 'format = "lentic-tank-1"\nname = "Shelf"\ntimezone = "Europe/Oslo"\n[tank]\nwater_l = 120.0\n'


@pytest.fixture(autouse=True)
def home(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path / "home"))


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, list(arguments))


def folder(path: Path, toml: str = TOML, log: str = "") -> str:
    (path / "tank.toml").write_text(toml, encoding="utf-8")
    (path / "log.csv").write_text(f"time,kind,what,amount,unit,note\n{log}", encoding="utf-8")
    return str(path)


def test_animal_shows_weight_growth_tank_and_shell() -> None:
    result = run("animal", "--folder", str(LOFT))
    assert result.exit_code == 0, result.output
    for words in ("juniper: false map turtle", "own reading", "next tank", "8 in 10", "Shell, by months", "expected"):
        assert words in result.output, words
    assert run("animal", "juniper", "--folder", str(LOFT)).output == result.output
    winter = run("animal", "juniper", "--folder", str(LOFT), "--winter")
    assert "A vet should look at it first" in winter.output


def test_the_page_for_the_vet_fits_one_page() -> None:
    result = run("animal", "--folder", str(LOFT), "--vet")
    assert result.exit_code == 0
    assert "for the vet" in result.output and "no diagnosis" in result.output
    assert len(result.output.splitlines()) < 60


def test_a_winter_plan_is_shown_once_nothing_is_open(tmp_path: Path) -> None:
    animal = (
        '[[turtle]]\nid = "dol"\nspecies = "Mauremys reevesii"\nmass_g = 450.0\nscl_cm = 15.0\n'
        "hatched = 2018-05-01\nvet_checked = 2026-09-01\n"
    )
    where = folder(tmp_path, TOML + animal, "2026-09-02T08:00,sign,dol,,,stares at the wall\n")
    result = run("animal", "--folder", where, "--winter", "--now", "2026-09-20")
    assert result.exit_code == 0, result.output
    assert "the vet has the last word" in result.output and "2026-09-20 to" in result.output
    ill = folder(tmp_path, TOML + animal, "2026-09-19T08:00,sign,dol,,,bubbles at the nose\n")
    stopped = run("animal", "--folder", ill, "--winter", "--now", "2026-09-20")
    assert "within 24 h" in stopped.output and "No winter rest" in stopped.output


def test_quarantine_and_resting_are_shown(tmp_path: Path) -> None:
    animal = '[[turtle]]\nid = "dol"\nspecies = "Mauremys reevesii"\n'
    log = (
        "2026-09-01T08:00,animal_in,map turtle,1,,\n2026-09-02T08:00,weigh,dol,600,g,\n"
        "2026-09-03T08:00,rest,dol,6,°C,\n2026-09-12T08:00,weigh,dol,599,g,\n"
    )
    result = run("animal", "--folder", folder(tmp_path, TOML + animal, log), "--now", "2026-09-13")
    assert "Quarantine: map turtle came on" in result.output
    assert "Winter rest since Thu 3 September 2026" in result.output and "As expected." in result.output


def test_lamps_and_home_answer_and_give_json(tmp_path: Path) -> None:
    target = tmp_path / "out.json"
    lamps = run("lamps", "--folder", str(LOFT), "--json", str(target))
    assert lamps.exit_code == 0 and "T5 UVB tube" in lamps.output and "Glass and acrylic stop" in lamps.output
    found = json.loads(target.read_text(encoding="utf-8"))
    assert found["plants"][0]["mol_per_day"]["p50"] == pytest.approx(3.56, abs=0.01)
    home = run("home", "--folder", str(LOFT), "--json", str(target), "--move", "2026-09-01", "--reseal", "2026-10-01")
    assert home.exit_code == 0, home.output
    for words in ("panes:", "floor:", "Plan: moving house", "Plan: resealing", "Electricity", "Salmonella", "gap_cm"):
        assert words in home.output, words
    assert json.loads(target.read_text(encoding="utf-8"))["panes"]["deepest_cm"] > 46
    animal = run("animal", "--folder", str(LOFT), "--json", "-")
    assert json.loads(animal.stdout)["animals"][0]["animal"] == "juniper"


def test_an_offered_tank_is_judged() -> None:
    offer = ("home", "--folder", str(LOFT), "--offer", "150x60x60", "--pane-mm", "10", "--depth")
    fine, deep = run(*offer, "50", "--braced"), run(*offer, "55", "--unbraced")
    assert "an offered tank" in fine.output and "safety factor 4.2" in fine.output
    assert "stop   panes" in deep.output and "do not buy" in deep.output
    assert "acrylic" in run(*offer, "50", "--acrylic").output


def test_too_little_is_said_and_wrong_use_is_named(tmp_path: Path) -> None:
    bare = folder(tmp_path)
    for command in ("animal", "lamps"):
        result = run(command, "--folder", bare)
        assert result.exit_code == 1 and "Not yet" in result.output, command
    assert "water_depth_cm" in run("home", "--folder", bare).output
    for wrong in (
        ["animal", "nobody", "--folder", str(LOFT)],
        ["home", "--folder", str(LOFT), "--offer", "150x60"],
        ["home", "--folder", str(LOFT), "--offer", "150x60x60"],
        ["home", "--folder", str(LOFT), "--offer", "150x60x60", "--pane-mm", "0", "--depth", "50"],
        ["home", "--folder", str(LOFT), "--offer", "150x60x40", "--pane-mm", "10", "--depth", "50"],
        ["home", "--folder", str(LOFT), "--move", "soon"],
        ["lamps", "x", "--folder", str(LOFT)],
        ["animal", "--folder", str(tmp_path / "gone")],
        ["home", "--folder", str(tmp_path / "gone")],
        ["lamps", "--folder", str(tmp_path / "gone")],
    ):
        result = run(*wrong)
        assert result.exit_code == 2, (wrong, result.output)
        assert "Traceback" not in result.output
    unreadable = folder(tmp_path, "nothing of use [")
    for command in ("animal", "lamps", "home"):
        assert run(command, "--folder", unreadable).exit_code == 1


def test_a_tank_of_the_store_answers_too() -> None:
    assert run("import", str(LOFT)).exit_code == 0
    assert run("animal", "Loft tank under the gable", "juniper", "--now", "2026-04-06").exit_code == 0
    assert run("lamps", "Loft tank under the gable", "--now", "2026-04-06").exit_code == 0
    assert run("home", "Loft tank under the gable", "--now", "2026-04-06").exit_code == 0
