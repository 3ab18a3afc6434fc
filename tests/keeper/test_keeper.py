"""Opening tanks, the store behind commands, hand sums; nothing here fits."""

from __future__ import annotations

import shutil
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from lentic.keeper import fitted, logbook, sums
from lentic.keeper.answers import checked_days, far, planned
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_folder, open_tank, read_plan

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
CLOCK = datetime(2026, 5, 1, 8, tzinfo=UTC)
TOML = 'format = "lentic-tank-1"\nname = "Shelf"\n[tank]\nwater_l = 120.0\n'
HEADER = "time,kind,what,amount,unit,note\n"


def folder(path: Path, toml: str, log: str) -> Path:
    (path / "tank.toml").write_text(toml, encoding="utf-8")
    (path / "log.csv").write_text(HEADER + log, encoding="utf-8")
    return path


def test_a_folder_begins_on_the_day_after_its_last_line() -> None:
    opened = open_folder(LOFT)
    assert isinstance(opened, Opened)
    assert opened.begin == opened.tank.utc(datetime(2026, 4, 6).date(), datetime.min.time())  # noqa: DTZ001
    assert opened.plan is not None


def test_a_moment_given_leaves_later_lines_aside() -> None:
    opened = open_tank(Where(folder=LOFT, now_text="2026-02-01", clock=CLOCK))
    assert isinstance(opened, Opened)
    assert opened.events[-1].time <= opened.end
    assert "left aside" in opened.cautions[0]
    with pytest.raises(AskError, match="is not a time"):
        open_tank(Where(folder=LOFT, now_text="soon", clock=CLOCK))


@pytest.mark.parametrize(
    ("toml", "log", "said"),
    [
        (TOML, "", "nothing is logged"),
        (TOML, "2026-03-01T18:00,reading,nitrate,40,mg/L NO3,\n", "no feeding is logged"),
        (
            'format = "lentic-tank-1"\nname = "Shelf"\n',
            "2026-03-01T08:00,feed,pellet_adult,1,g,\n",
            "litres of real water",
        ),
        ("nothing of use [", "", "no readable description"),
    ],
)
def test_too_little_is_said_in_a_sentence(tmp_path: Path, toml: str, log: str, said: str) -> None:
    answer = open_folder(folder(tmp_path, toml, log))
    assert isinstance(answer, NotYet)
    assert said in answer.sentence
    assert answer.wanted


def test_one_reading_is_answered_with_a_caution(tmp_path: Path) -> None:
    log = "2026-03-01T08:00,feed,pellet_adult,1,g,\n2026-03-01T18:00,reading,nitrate,40,mg/L NO3,\n"
    opened = open_folder(folder(tmp_path, TOML, log))
    assert isinstance(opened, Opened)
    assert opened.cautions[0].startswith("Only one reading")


def test_what_is_not_there_is_wrong_use(tmp_path: Path) -> None:
    with pytest.raises(AskError, match="no folder"):
        open_folder(tmp_path / "gone")
    opened = open_folder(LOFT)
    assert isinstance(opened, Opened)
    with pytest.raises(AskError, match="no plan"):
        read_plan(tmp_path / "gone.csv", opened.tank)


def test_into_the_store_and_out_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path / "home"))
    with pytest.raises(AskError, match="no tank yet"):
        open_tank(Where(clock=CLOCK))
    first = logbook.import_folder(LOFT, CLOCK)
    again = logbook.import_folder(LOFT, CLOCK)
    assert first.result.added > 300
    assert again.result.added == 0
    done = logbook.log(Where(name=first.tank, clock=CLOCK), "no3 40 mg/L; changed 36 L")
    assert len(done.added) == 2
    assert logbook.export(first.tank, tmp_path / "out") == first.result.added + 2
    opened = open_tank(Where(clock=CLOCK))
    assert isinstance(opened, Opened)
    assert opened.tank.name == first.tank


def test_a_damaged_or_foreign_cache_is_no_fit(tmp_path: Path) -> None:
    path = tmp_path / "fit.npz"
    assert fitted._load(path, 3) is None
    path.write_bytes(b"PK\x03\x04 no archive")
    assert fitted._load(path, 3) is None
    fitted._save(path, np.ones((4, 3)))
    known = fitted._load(path, 3)
    assert known is not None
    assert known.shape == (4, 3)
    assert fitted._load(path, 5) is None
    fitted._save(path, np.full((4, 3), np.nan))
    assert fitted._load(path, 3) is None
    path.write_bytes(path.read_bytes()[:60])
    assert fitted._load(path, 3) is None


def test_members_come_from_the_environment(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LENTIC_MEMBERS", "24")
    assert fitted.effort().members == 24
    for wrong in ("many", "2"):
        monkeypatch.setenv("LENTIC_MEMBERS", wrong)
        with pytest.raises(fitted.SettingError):
            fitted.effort()


def test_a_hand_sum_gives_value_source_and_range() -> None:
    found = sums.sum_of("unionised_share", {"ph": "8", "temperature": "24"})
    # Emerson and others 1975: 5.02 % at pH 8 and 24 °C in fresh water of no salt
    assert found.value == pytest.approx(0.0502, abs=2e-4)
    assert found.relation.sources
    assert found.warnings == ()
    assert sums.sum_of("unionised_share", {"ph": "8", "temperature": "55"}).warnings
    for inputs in ({"ph": "8"}, {"ph": "8", "temperature": "x"}, {"ph": "8", "temperature": "nan"}, {"size": "1"}):
        with pytest.raises(AskError):
            sums.sum_of("unionised_share", inputs)
    with pytest.raises(AskError, match="no relation"):
        sums.sum_of("alchemy", {})


def test_every_listed_relation_says_what_it_is() -> None:
    known = sums.relations()
    assert len(known) > 100
    assert all(r.sentence and r.sources and all(a.unit for a in r.arguments) for r in known.values())


def test_the_example_is_not_touched(tmp_path: Path) -> None:
    before = (LOFT / "log.csv").read_bytes()
    shutil.copytree(LOFT, tmp_path / "copy")
    open_folder(LOFT)
    assert (LOFT / "log.csv").read_bytes() == before


def test_a_plan_that_lies_far_ahead_is_not_followed_yet() -> None:
    early = open_tank(Where(folder=LOFT, now_text="2026-02-01", clock=CLOCK))
    assert isinstance(early, Opened)
    assert early.plan
    told = planned(early, None)
    assert told.plan is None
    assert "begins on Mon 6 April" in told.cautions[-1]
    now = open_folder(LOFT)
    assert isinstance(now, Opened)
    assert planned(now, None).plan == now.plan


def test_a_forecast_reaches_half_a_year_and_says_what_is_less_known_there() -> None:
    assert checked_days(182) == 182
    with pytest.raises(AskError, match="1 to 182"):
        checked_days(183)
    assert far(56) == ()
    assert "direction" in far(182)[0]
