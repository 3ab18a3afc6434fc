"""`lentic reading` and `lentic tap` from end to end: questions, repeats, JSON, and what is never said."""

from __future__ import annotations

import json
import re
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from lentic.cli.main import cli
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Where
from lentic.keeper.readings import readings
from lentic.keeper.tap import tap

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
CLOCK = datetime(2026, 4, 6, 8, 0, tzinfo=UTC)
FORBIDDEN = re.compile(
    r"\blegal|illegal|antibiotic|medic(ine|ation)|infection|pneumonia|shell rot|disease|diagnos|mg/kg|"
    r"\bpH[- ]?(up|minus|down)\b|!", re.IGNORECASE,
)  # fmt: skip
REPORT = """Parameter;Einheit;Wert
Nitrat (NO3);mg/l;28,4
Karbonathärte;°dH;9,1
Ammonium;mg/l;0,02
Kupfer;mg/l;0,2
freies Chlor;mg/l;0,1
"""


def run(*arguments: str) -> Result:
    """Run a command."""
    return CliRunner().invoke(cli, list(arguments))


def test_the_last_readings_of_a_log_are_explained() -> None:
    """Without a text the log's own last days are taken; each sentence has its origin below it."""
    result = run("reading", "--folder", str(LOFT), "--json", "-")
    found = json.loads(result.stdout)
    assert {each["about"] for each in found["said"]} >= {"nitrate", "kh", "ph"}
    assert all(each["known"] is None or each["known"]["origin"] for each in found["said"])
    assert all(each["known"] is None or each["known"]["low"] <= each["known"]["value"] for each in found["said"])
    assert found["fish"] is False and found["change"]["litres"] == pytest.approx(50.0)


def test_a_doubted_reading_is_explained_and_to_be_repeated() -> None:
    """Ten times the nitrate: repeat first; a bare unit the log does not know is asked."""
    where = Where(folder=LOFT, clock=CLOCK)
    answer = readings(where, "no3 400; ph 8.2; temp 24")
    assert isinstance(answer, Answer)
    assert any("nitrate" in each for each in answer.view.repeat)
    assert all(each.believe == "repeat" for each in answer.view.said if each.about == "nitrate")
    assert all(each.believe == "yes" for each in answer.view.said if each.about == "ph")
    asked = readings(where, "gh 13")
    assert isinstance(asked, Answer) and "dGH or mg/L CaCO3" in asked.view.asked[0]


@pytest.mark.parametrize(("change", "litres"), [("25 %", 65.75), ("40 L", 40.0), ("10 US gal", 37.854)])
def test_a_planned_change_is_reckoned_with(change: str, litres: float) -> None:
    """Litres, per cent and gallons; what else is refused with how to write it."""
    answer = readings(Where(folder=LOFT, clock=CLOCK), "ph 8.2; temp 24; nh4 0.5 mg/L NH4; kh 9 dKH", change)
    assert isinstance(answer, Answer) and answer.view.change is not None
    assert answer.view.change.litres == pytest.approx(litres, rel=0.01)
    assert any("in one go would bring pH" in each.sentence for each in answer.view.said)
    with pytest.raises(AskError, match="40 L or 25 %"):
        readings(Where(folder=LOFT, clock=CLOCK), "ph 8.2", "a lot")


def test_a_text_without_a_reading_and_a_log_without_one(tmp_path: Path) -> None:
    """What to write instead; an empty log is no error, it is not yet."""
    with pytest.raises(AskError, match="holds no reading"):
        readings(Where(folder=LOFT, clock=CLOCK), "fed 1.4 pellet")
    (tmp_path / "tank.toml").write_text(
        'format = "lentic-tank-1"\nname = "New"\ntimezone = "UTC"\n[tank]\nwater_l = 90.0\n'
    )
    (tmp_path / "log.csv").write_text("time,kind,what,amount,unit,note\n2026-04-01T08:00,feed,pellet_adult,1,g,\n")
    found = readings(Where(folder=tmp_path, clock=CLOCK))
    assert isinstance(found, NotYet) and "no reading" in found.sentence


def test_a_report_is_held_against_the_tank() -> None:
    """The loft tank said nitrate 9; the report says 28."""
    answer = tap(REPORT, Where(folder=LOFT, clock=CLOCK))
    assert isinstance(answer, Answer)
    assert any("you said 9" in each for each in answer.view.asked)
    assert any("as NH4 or as N" in each for each in answer.view.asked)
    with pytest.raises(AskError, match="empty"):
        tap("  ")
    with pytest.raises(AskError, match="This is a PDF"):
        tap("%PDF-1.7 ...")
    with pytest.raises(AskError, match="No row"):
        tap("Dear customer, the water is fine.")


def test_the_command_takes_a_file_or_a_pasted_table(tmp_path: Path) -> None:
    """Exit status 0; a file that is not there is wrong use."""
    file = tmp_path / "report.txt"
    file.write_text(REPORT, encoding="utf-8")
    from_file, pasted = run("tap", str(file)), CliRunner().invoke(cli, ["tap", "-"], input=REPORT)
    assert from_file.exit_code == 0 and from_file.output == pasted.output
    assert "no3_mg_l = 28.4" in from_file.output
    assert run("tap", str(tmp_path / "none.txt")).exit_code == 2


def test_nothing_forbidden_is_printed(tmp_path: Path) -> None:
    """No medicine, no diagnosis, no verdict on law, no shouting, in any of these answers."""
    file = tmp_path / "report.txt"
    file.write_text(REPORT, encoding="utf-8")
    loft = ("--folder", str(LOFT))
    texts = [
        run("reading", *loft, "nh4 4 mg/L NH4; ph 8.6; temp 28; no2 5 mg/L NO2; kh 1 dKH; no3 300 mg/L NO3").output,
        run("reading", *loft).output, run("tap", str(file), *loft).output, run("sum", "--list").output,
        run("answer", "turtle with swollen eyes does not eat, cloudy 40 L, ammonia 2, should I add salt").output,
    ]  # fmt: skip
    for text in texts:
        assert len(text) > 200
        assert [line for line in text.splitlines() if FORBIDDEN.search(line)] == []
