"""A session kept in the store: every event once, nothing lost on the way, the plugs never forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.cli.main import cli
from lentic.keeper import upkeep
from lentic.keeper.opening import AskError, Where, open_store
from lentic.logbook.events import Change, Event, Power, Reading, Scrape, without_voided
from lentic.logbook.folder import Folder
from lentic.logbook.tank import Filter, Glass, Heater, Tank, Turtle

BEGIN = datetime(2026, 5, 16, 9, 0, tzinfo=UTC)
TANK = Tank(
    name="Shelf tank", timezone="Europe/Oslo", glass=Glass(water_l=150.0, pane="glass"), filter=Filter(type="canister"),
    heater=Heater(watts=100.0, set_c=25.0), turtles=(Turtle(id="moss"),),
)  # fmt: skip
LOG = tuple(Change(time=BEGIN - timedelta(days=7 * n), litres=36.0) for n in range(3, 0, -1))


@pytest.fixture
def home(tmp_path: Path) -> Iterator[Path]:
    with open_store(tmp_path) as store:
        store.import_folder(Folder(tank=TANK, events=LOG, refused=()), BEGIN)
    yield tmp_path


def _at(home: Path, minutes: float) -> Where:
    return Where(name="Shelf tank", clock=BEGIN + timedelta(minutes=minutes), home=home)


def _log(home: Path) -> tuple[Event, ...]:
    with open_store(home) as store:
        return without_voided(store.read("Shelf tank")[1])[len(LOG) :]


def test_a_whole_session_gives_each_event_once(home: Path) -> None:
    view = upkeep.begin(_at(home, 0))
    values = {"look": 24.6, "scrape": 2.0, "refill": 40.0, "after": 23.9}
    for minute in range(1, 200, 10):
        if view.next is None:
            break
        view = upkeep.done(_at(home, minute), view.next.step.id, values.get(view.next.step.id))
    assert view.can_end and view.off_since is None
    upkeep.end(_at(home, 200))
    assert upkeep.current(_at(home, 201)) is None
    found = _log(home)
    assert [e.kind for e in found].count("change") == 1
    assert [e.litres for e in found if isinstance(e, Change)] == [40.0]
    assert [e.value for e in found if isinstance(e, Reading)] == [24.6, 23.9]
    assert [e.on for e in found if isinstance(e, Power)] == [False, True]
    assert [e.grade for e in found if isinstance(e, Scrape)] == [2.0]


def test_a_reload_goes_on_where_it_was_and_a_second_press_adds_nothing(home: Path) -> None:
    upkeep.begin(_at(home, 0))
    seen = upkeep.done(_at(home, 1), "look", 24.0)
    again = upkeep.begin(_at(home, 2))
    assert again.key == seen.key and again.marks == seen.marks == 1
    first = upkeep.done(_at(home, 3), "read", number=1)
    twice = upkeep.done(_at(home, 3), "prepare", number=1)
    assert first.marks == twice.marks == 2
    assert twice.next is not None and twice.next.step.id == "prepare"
    assert len(_log(home)) == 1


def test_taking_a_step_back_takes_its_line_back(home: Path) -> None:
    upkeep.begin(_at(home, 0))
    upkeep.done(_at(home, 1), "look", 42.0)
    upkeep.undo(_at(home, 2), "look")
    view = upkeep.done(_at(home, 3), "look", 24.0)
    assert [e.value for e in _log(home) if isinstance(e, Reading)] == [24.0]
    assert view.marks == 3


def test_what_cannot_be_is_refused_and_nothing_is_written(home: Path) -> None:
    upkeep.begin(_at(home, 0))
    assert "0 to 45" in upkeep.done(_at(home, 1), "look", 240.0).refused
    assert "takes no number" in upkeep.done(_at(home, 1), "prepare", 3.0).refused
    assert "First" in upkeep.done(_at(home, 1), "refill").refused
    assert "no step" in upkeep.leave_out(_at(home, 1), "dance").refused
    assert upkeep.end(_at(home, 1)).refused.startswith("Not yet")
    assert _log(home) == ()


def test_power_left_off_is_said_the_next_day(home: Path) -> None:
    upkeep.begin(_at(home, 0))
    for name in ("look", "read", "prepare", "power_off"):
        upkeep.done(_at(home, 5), name)
    upkeep.stop(_at(home, 10))
    view = upkeep.current(_at(home, 24 * 60))
    assert view is not None and not view.can_end
    assert view.off_since is not None and view.off_since.hour == 11  # 09:05 UTC is 11:05 in Oslo in May
    assert view.reminders[0].urgent
    assert [s.step.id for s in view.steps if s.state == "open"] == ["power_on", "running"]


def test_a_folder_holds_no_session(home: Path) -> None:
    with pytest.raises(AskError, match="lentic import"):
        upkeep.begin(Where(folder=home, clock=BEGIN))
    with pytest.raises(AskError, match="No session is open"):
        upkeep.done(_at(home, 0), "look")


def test_the_command_walks_through_a_session(home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(home))
    run = CliRunner()
    plan = run.invoke(cli, ["upkeep", "Shelf tank", "--now", "2026-05-16T11:00", "--json", "-"])
    assert plan.exit_code == 0 and '"step": "power_off"' in plan.stdout
    begun = run.invoke(cli, ["upkeep", "Shelf tank", "--begin", "--now", "2026-05-16T11:00"])
    assert begun.exit_code == 0 and "Next: Look first" in begun.stdout
    done = run.invoke(cli, ["upkeep", "Shelf tank", "--done", "look", "--value", "24.5", "--now", "2026-05-16T11:02"])
    assert done.exit_code == 0 and "[x] look" in done.stdout
    early = run.invoke(cli, ["upkeep", "Shelf tank", "--done", "siphon", "--now", "2026-05-16T11:03"])
    assert early.exit_code == 1 and early.stdout.startswith("First pull the plugs")
    both = run.invoke(cli, ["upkeep", "Shelf tank", "--begin", "--end"])
    assert both.exit_code == 2
