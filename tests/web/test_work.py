"""Long work: answers wait in a queue, survive a crash, and old numbers stay until new ones are there."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from lentic import LenticError
from lentic.advice.today import Item, Today
from lentic.advice.words import Spread
from lentic.keeper import desk as desks
from lentic.keeper.answers import Answer
from lentic.keeper.desk import Desk, Worker
from lentic.keeper.opening import NotYet
from lentic.keeper.packing import NotPackedError, packed, unpacked
from lentic.logbook.household import FAILED, MOST_ATTEMPTS, WAITING

NOW = datetime(2026, 4, 6, 8, tzinfo=UTC)


def view(do: str = "Scrape the panes.") -> Answer[Today]:
    item = Item(do=do, why="It is time.", when=datetime(2026, 4, 7))  # noqa: DTZ001 - views carry local days
    return Answer(view=Today(tank="Loft", day=item.when or NOW, today=(item,), can_wait=()), problems=())


def test_a_view_survives_being_kept() -> None:
    assert unpacked(packed(view())) == view()
    for value in (
        Spread(p10=1.0, p50=None, p90=float("inf")), (1, "two", None, True), {"a": (1.5, date(2026, 4, 6))},
        timedelta(days=2), NotYet(tank="Loft", sentence="Not yet.", wanted=("a reading",)),
    ):  # fmt: skip
        assert unpacked(packed(value)) == value
    array = unpacked(packed(np.array([[1.0, 2.5]])))
    assert array.dtype == np.float64
    assert array.shape == (1, 2)


@pytest.mark.parametrize(
    "text",
    [
        '{"!":"os:system","f":{"command":"true"}}',
        '{"!":"lentic.keeper.desk:Desk","f":{}}',
        '{"!":"lentic.cli.main:cli","f":{}}',
        '{"!":"lentic.advice.today:Gone","f":{}}',
        '{"!":"lentic.advice.today:Item","f":{"nothing":1}}',
        "[1",
    ],
)
def test_only_records_of_this_package_come_out(text: str) -> None:
    with pytest.raises(ValueError):
        unpacked(text.encode())


def test_what_cannot_be_kept_is_a_bug() -> None:
    with pytest.raises(NotPackedError):
        packed(object())


@dataclass
class Stand:
    """A desk over a copy of the example with a question of its own."""

    desk: Desk
    worker: Worker
    tank: str


@pytest.fixture
def stand(loft: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Any:
    kept = loft.copy(tmp_path / "home")
    monkeypatch.setitem(desks.ASKS, "now", f"{__name__}:answered")
    monkeypatch.setattr(desks, "function_of", lambda _: answered)
    desk = Desk(kept.home, lambda: NOW)
    yield Stand(desk=desk, worker=Worker(kept.home, "first", lambda: NOW), tank=kept.tank)
    desk.close()


CALLS: list[str] = []


def answered(where: Any, say: Callable[[str], None], **arguments: Any) -> Answer[Today]:
    say("Fitting this tank: 40 %")
    CALLS.append(str(arguments))
    if arguments.get("days") == 13:
        raise LenticError("Thirteen days cannot be.")
    if arguments.get("days") == 14:
        raise RuntimeError("a bug")
    return view(f"Day {arguments.get('days')}.")


def test_a_question_is_answered_once_and_again_when_the_log_moves_on(stand: Stand) -> None:
    desk = stand.desk
    asked = desk.ask(stand.tank, "now", days=1)
    assert asked.view is None
    assert asked.busy
    assert desk.ask(stand.tank, "now", days=1).work == asked.work, "asked twice it waits once"
    assert stand.worker.once()
    done = desk.ask(stand.tank, "now", days=1)
    assert done.fresh
    assert done.view is not None
    assert done.view.today[0].do == "Day 1."
    assert not stand.worker.once()
    desk.store.append(stand.tank, [desk.held(stand.tank).events[0]], NOW)
    old = desk.ask(stand.tank, "now", days=1)
    assert old.busy
    assert not old.fresh
    assert old.view == done.view, "the old number stays visible"
    assert old.at == NOW
    assert stand.worker.once()
    assert desk.ask(stand.tank, "now", days=1).fresh


def test_how_far_the_work_is(stand: Stand) -> None:
    stand.desk.ask(stand.tank, "now", days=2)
    job = stand.desk.store.claim("somebody", NOW)
    assert job is not None
    stand.desk.store.tell(job.key, "somebody", "Fitting this tank: 40 %", NOW)
    assert stand.desk.ask(stand.tank, "now", days=2).share == pytest.approx(0.4)


def test_what_cannot_be_answered_is_told_and_not_tried_again_by_itself(stand: Stand) -> None:
    stand.desk.ask(stand.tank, "now", days=13)
    assert stand.worker.once()
    asked = stand.desk.ask(stand.tank, "now", days=13)
    assert asked.failed
    assert asked.work is not None
    assert asked.work.said == "Thirteen days cannot be."
    assert not stand.worker.once()
    stand.desk.again(stand.tank, "now", days=13)
    assert stand.desk.ask(stand.tank, "now", days=13).busy


def test_a_bug_is_told_without_its_secrets_and_the_next_work_goes_on(stand: Stand) -> None:
    stand.desk.ask(stand.tank, "now", days=14)
    with pytest.raises(RuntimeError):
        stand.worker.once()
    asked = stand.desk.ask(stand.tank, "now", days=14)
    assert asked.work is not None
    assert asked.work.said == "Something broke while working: RuntimeError."
    stand.desk.ask(stand.tank, "now", days=1)
    assert stand.worker.once()


def test_work_of_a_worker_that_ended_is_picked_up(stand: Stand) -> None:
    store = stand.desk.store
    stand.desk.ask(stand.tank, "now", days=3)
    assert store.claim("gone", NOW) is not None
    assert not stand.worker.once()
    assert store.pick_up(NOW - timedelta(seconds=5)) == 0, "it was heard of just now"
    assert store.pick_up(NOW, "gone") == 1
    assert store.jobs()[0].state == WAITING
    assert stand.worker.once()
    assert stand.desk.ask(stand.tank, "now", days=3).fresh


def test_work_that_ends_every_worker_is_given_up(stand: Stand) -> None:
    store = stand.desk.store
    stand.desk.ask(stand.tank, "now", days=4)
    for turn in range(MOST_ATTEMPTS):
        assert store.claim(f"worker {turn}", NOW) is not None
        store.pick_up(NOW, f"worker {turn}")
    assert store.jobs()[0].state == FAILED
    assert "log is untouched" in store.jobs()[0].said


def test_work_is_stopped_and_the_old_number_stays(stand: Stand, monkeypatch: pytest.MonkeyPatch) -> None:
    desk = stand.desk
    desk.ask(stand.tank, "now", days=6)
    stand.worker.once()
    old = desk.ask(stand.tank, "now", days=6).view
    desk.store.append(stand.tank, [desk.held(stand.tank).events[0]], NOW)
    asked = desk.ask(stand.tank, "now", days=6)
    assert asked.work is not None
    key = asked.work.key

    def stopped(where: Any, say: Callable[[str], None], **arguments: Any) -> Answer[Today]:
        desk.stop(key)
        say("Fitting this tank: 50 %")
        raise AssertionError("it went on after it was stopped")

    monkeypatch.setattr(desks, "function_of", lambda _: stopped)
    assert stand.worker.once()
    told = desk.ask(stand.tank, "now", days=6)
    assert told.failed
    assert told.view == old
    assert told.work is not None
    assert told.work.said == desks.STOPPED
    assert not stand.worker.once(), "it is not taken up again by itself"


def test_an_answer_to_an_older_log_does_not_end_the_newer_question(stand: Stand) -> None:
    desk = stand.desk
    desk.ask(stand.tank, "now", days=5)
    job = desk.store.claim("slow", NOW)
    assert job is not None
    desk.store.append(stand.tank, [desk.held(stand.tank).events[0]], NOW)
    desk.ask(stand.tank, "now", days=5)
    desk.store.finish(job.key, "slow", job.stamp)
    assert len(desk.store.jobs()) == 1
    assert not desk.store.tell(job.key, "slow", "still at it", NOW)


def wait_for(what: Callable[[], Any], seconds: float = 60.0) -> Any:
    """Return what comes within some seconds."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        found = what()
        if found:
            return found
        time.sleep(0.05)
    raise AssertionError("it did not come in time")


def test_a_killed_worker_is_replaced_and_its_work_is_done(
    loft: Any, tmp_path: Path, clients: Callable[..., Any]
) -> None:
    kept = loft.copy(tmp_path / "home")
    app = kept.app(works=True)
    with clients(app) as client:
        desk: Desk = app.state.desk
        assert client.get("/").status_code == 200
        client.post("/api/v1/log", json={"text": "fed 1.5 pellet_adult"})
        assert "data-busy" in client.get("/").text, "the page does not wait for the work"
        first = wait_for(lambda: app.state.workshop.process)
        wait_for(lambda: any(job.state == "working" for job in desk.store.jobs()))
        os.kill(first.pid, signal.SIGKILL)
        second = wait_for(lambda: app.state.workshop.process not in (None, first) and app.state.workshop.process)
        assert second.pid != first.pid
        wait_for(lambda: desk.ask(kept.tank, "now").fresh)
        assert "data-busy" not in client.get("/api/v1/now").text
    assert second.poll() is not None, "the worker ends with the server"
