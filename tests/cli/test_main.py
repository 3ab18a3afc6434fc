"""The commands from end to end on the example, with few members, and their bad-input stories."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from lentic.cli.main import cli

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
FLOWS = {"food", "tap", "planted", "change", "siphon", "rinse", "thinning", "scraping", "gas", "growth", "stored"}


@pytest.fixture(autouse=True)
def few(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("LENTIC_MEMBERS", "24")
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path / "home"))


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli, list(arguments))


def answer(command: str, tmp_path: Path, *more: str) -> tuple[str, dict[str, Any]]:
    target = tmp_path / f"{command}.json"
    result = run(command, "--folder", str(LOFT), "--quiet", "--json", str(target), *more)
    assert result.exit_code == 0, result.output
    return result.output, json.loads(target.read_text(encoding="utf-8"))


def test_forecast(tmp_path: Path) -> None:
    text, found = answer("forecast", tmp_path, "--plan", str(LOFT / "plan.csv"), "--days", "14")
    assert set(found) == {"tank", "from", "members", "seed", "outcome", "series", "due", "assumptions"}
    assert found["from"] == "2026-04-06T00:00"
    units = {s["quantity"]: s["unit"] for s in found["series"]}
    assert units["nitrate"] == "mg/L NO3"
    assert {"ph_dawn", "ph_dusk", "oxygen_dawn", "kh", "algae_panes", "ammonia_free"} <= set(units)
    for series in found["series"]:
        assert len(series["times"]) == len(series["p10"]) == 14
        assert all(a <= b <= c for a, b, c in zip(series["p10"], series["p50"], series["p90"], strict=True))
    assert found["due"][0]["what"] == "scrape panes"
    assert "Nitrate:" in text
    assert "8 in 10" in text


def test_balance(tmp_path: Path) -> None:
    text, found = answer("balance", tmp_path)
    assert {(f["flow"], f["element"]) for f in found["flows"]} == {(f, e) for f in FLOWS for e in "NP"}
    assert abs(found["closure"]["N"]) < 1e-6
    assert found["to"] == "2026-04-06T00:00"
    assert "food" in text
    _, whole = answer("balance", tmp_path, "--weeks", "all")
    assert whole["from"] < found["from"]


def test_compare_plan_now_and_causes(tmp_path: Path) -> None:
    text, found = answer("compare", tmp_path, "--plan", str(LOFT / "plan.csv"), "--days", "28")
    assert found["plans"] == ["going on as before", "plan.csv"]
    assert found["differences"][0]["difference"]["p50"] is not None
    text, found = answer("plan", tmp_path, "--days", "28")
    assert found["before"]["minutes_a_week"] > 0.0
    assert "One change first" in text or "Go on as before" in text
    again = answer("plan", tmp_path, "--days", "28")[1]
    assert again == found
    text, found = answer("now", tmp_path)
    assert "Today:" in text
    text, found = answer("causes", tmp_path)
    assert found["causes"][0]["cause"] == "plants"
    assert set(found["causes"][0]) == {"cause", "chance", "for", "against", "test"}


def test_json_alone_on_standard_output(tmp_path: Path) -> None:
    result = run("causes", "--folder", str(LOFT), "--json", "-")
    assert json.loads(result.stdout)["of"] == "algae"


def test_a_problem_in_the_log_is_shown_and_the_answer_still_given(tmp_path: Path) -> None:
    for name in ("tank.toml", "log.csv"):
        (tmp_path / name).write_bytes((LOFT / name).read_bytes())
    with (tmp_path / "log.csv").open("a", encoding="utf-8") as log:
        log.write("2026-04-05T19:00,dance,,1,g,\n")
    result = run("causes", "--folder", str(tmp_path))
    assert result.exit_code == 1
    assert "In the log (1)" in result.output
    assert "scraped every" in result.output


def test_bad_input(tmp_path: Path) -> None:
    empty = run("balance", "--folder", str(tmp_path), "--json", str(tmp_path / "out.json"))
    assert empty.exit_code == 1
    assert "Not yet" in empty.output
    assert "Not yet" in json.loads((tmp_path / "out.json").read_text(encoding="utf-8"))["outcome"]
    for wrong in (
        ["balance", "nobody"],
        ["balance"],
        ["balance", "x", "--folder", str(LOFT)],
        ["balance", "--folder", str(tmp_path / "gone")],
        ["balance", "--folder", str(LOFT), "--weeks", "few"],
        ["forecast", "--folder", str(LOFT), "--plan", str(tmp_path / "gone.csv")],
        ["forecast", "--folder", str(LOFT), "--days", "0"],
        ["compare", "--folder", str(LOFT)],
        ["causes", "--folder", str(LOFT), "--of", "luck"],
        ["sum", "alchemy"],
        ["sum", "unionised_share", "ph"],
        ["sum"],
        ["export", "nobody", str(tmp_path / "out")],
        ["import", str(tmp_path)],
    ):
        result = run(*wrong)
        assert result.exit_code == 2, (wrong, result.output)
        assert "Traceback" not in result.output


def test_store_commands(tmp_path: Path) -> None:
    assert run("import", str(LOFT)).exit_code == 0
    logged = run("log", "Loft tank under the gable", "changed 36 L", "--now", "2026-04-06T18:00")
    assert logged.exit_code == 0, logged.output
    assert "36" in logged.output
    assert run("export", "Loft tank under the gable", str(tmp_path / "out")).exit_code == 0
    assert run("sum", "--list").exit_code == 0
    assert "Source:" in run("sum", "unionised_share", "ph=8", "temperature=24").output


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys, lentic.cli.main; "
        "print([m for m in ('numpy', 'numba', 'sqlalchemy', 'pydantic', 'zoneinfo') if m in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def _stem(line: str) -> str:
    """Return what of a line does not hang on how many versions of the tank were fitted."""
    words = re.split(r"\d|about|nearly|very|the fitted tank", line)[0].strip()
    words = words.removeprefix("for: ").removeprefix("against: ")
    named, _, _ = words.partition(":")
    return named if len(named) > 12 else words


def test_the_excerpts_in_the_readme_are_lines_the_program_prints(tmp_path: Path) -> None:
    """Numbers differ with so few members; which lines there are and what they name does not."""
    readme = (LOFT.parents[1] / "README.md").read_text(encoding="utf-8")
    block = readme.split("From `make demo`, shortened:")[1].split("```")[1]
    printed = {
        _stem(line) for command in ("balance", "causes", "plan") for line in answer(command, tmp_path)[0].splitlines()
    }
    shown = [line for line in block.splitlines() if line.strip() and not line.startswith("$")]
    assert len(shown) > 15
    assert [line for line in shown if _stem(line) not in printed] == []
