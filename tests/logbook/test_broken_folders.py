"""Folders with slips in them: each is named with its line and what to do; no line is ever lost.

The sentences in `expected.txt` were judged one by one when they were written down; since then they are
regressions.
"""

import shutil
from pathlib import Path

import pytest

from lentic.logbook.folder import Folder, read_folder, write_folder

BROKEN = Path(__file__).parents[1] / "data" / "broken"
ALTERED = {"columns", "no_kind_column", "drops", "european_spreadsheet"}
"""Where a refused line means something else under another header or decimal mark, or beside other lines."""
TANKLESS = {"tank_not_toml", "tank_without_name"}
CASES = sorted(folder.name for folder in BROKEN.iterdir() if folder.is_dir())


def read(case: str, place: Path) -> Folder:
    """Read a case; the Loft tank stands in where it has no tank of its own."""
    shutil.copytree(BROKEN / case, place, dirs_exist_ok=True)
    if not (place / "tank.toml").exists():
        shutil.copy(BROKEN / "tank.toml", place)
    return read_folder(place)


def test_there_are_enough_cases() -> None:
    """At least the twenty that were asked for, or the glob found nothing."""
    assert len(CASES) >= 20


@pytest.mark.parametrize("case", CASES)
def test_every_slip_is_named_with_its_line_and_a_remedy(case: str, tmp_path: Path) -> None:
    """The counts and sentences are those written down."""
    folder = read(case, tmp_path)
    count, *sentences = (BROKEN / case / "expected.txt").read_text("utf-8").splitlines()
    assert f"{len(folder.events)} read, {len(folder.refused)} refused" == count
    assert [f"{problem.severity}: {problem.sentence}" for problem in folder.problems] == sentences
    assert all(problem.remedy for problem in folder.problems)


@pytest.mark.parametrize("case", CASES)
def test_no_line_is_lost(case: str, tmp_path: Path) -> None:
    """Every line after the header that holds anything is once an event or a refused line as it stood."""
    folder = read(case, tmp_path)
    data = (BROKEN / case / "log.csv").read_bytes()
    text = data.decode("utf-8-sig") if case != "windows_1252" else data.decode("cp1252")
    lines = text.splitlines()
    first = 1 if case == "no_header" else 2
    filled = [number for number, line in enumerate(lines, start=1) if number >= first and line.strip()]
    assert sorted(event.line or 0 for event in (*folder.events, *folder.refused)) == filled
    assert all(kept.text == lines[(kept.line or 0) - 1] for kept in folder.refused)


@pytest.mark.parametrize("case", sorted(set(CASES) - ALTERED - TANKLESS))
def test_what_was_read_and_what_was_refused_survive_writing(case: str, tmp_path: Path) -> None:
    """Written out and read again, the events are the same and the refused lines still stand in the file."""
    folder = read(case, tmp_path / "first")
    write_folder(folder, tmp_path / "second")
    again = read_folder(tmp_path / "second")
    assert again.tank == folder.tank
    assert again.events == folder.events
    assert sorted(kept.text for kept in again.refused) == sorted(kept.text for kept in folder.refused)


def test_a_folder_without_files_says_so(tmp_path: Path) -> None:
    """Nothing there is two problems, not an exception."""
    folder = read_folder(tmp_path)
    assert folder.tank is None
    assert [problem.file for problem in folder.problems] == ["tank.toml", "log.csv"]
