"""What stands beside the logs: settings, receipts, devices, photos, trials."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from lentic.logbook.events import Feed, Refused
from lentic.logbook.household import Household
from lentic.logbook.store import UnknownTankError
from lentic.logbook.tank import Tank

NOW = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
FED = Feed(time=NOW, food="pellet_adult", grams=1.4)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Household]:
    with Household.open(tmp_path / "logbook.sqlite") as opened:
        opened.save_tank(Tank(name="Loft"), NOW)
        yield opened


def test_a_receipt_is_used_once(house: Household) -> None:
    assert house.append_once("Loft", [FED, FED], "press 1", NOW)
    assert not house.append_once("Loft", [FED], "press 1", NOW)
    assert house.append_once("Loft", [FED], "press 2", NOW)
    assert len(house.read("Loft")[1]) == 3


def test_a_receipt_is_not_spent_where_nothing_was_written(house: Household) -> None:
    with pytest.raises(UnknownTankError):
        house.append_once("Elsewhere", [FED], "press 1", NOW)
    assert house.append_once("Loft", [FED], "press 1", NOW)


def test_tidying_keeps_what_was_written(house: Household) -> None:
    house.append_once("Loft", [FED], "old press", NOW)
    house.keep("old", b"answer", NOW)
    house.keep("new", b"answer", NOW + timedelta(days=40))
    house.tidy(NOW + timedelta(days=30))
    assert house.cached("old") is None
    assert house.cached("new") == b"answer"
    assert house.append_once("Loft", [FED], "old press", NOW)
    assert len(house.read("Loft")[1]) == 2


def test_entries_carry_their_numbers_and_refused_lines(house: Household) -> None:
    house.append("Loft", [FED, Refused(time=NOW, text="fed it")], NOW)
    entries = house.entries("Loft")
    assert [entry.event.kind for entry in entries] == ["feed", "refused"]
    assert entries[0].id < entries[1].id


def test_the_stamp_changes_with_the_log_and_the_description_only(house: Household) -> None:
    first = house.stamp("Loft")
    house.set({"units.volume": "L"}, NOW)
    assert house.stamp("Loft") == first
    house.append("Loft", [FED], NOW)
    second = house.stamp("Loft")
    assert second != first
    house.save_tank(Tank(name="Loft", country="NO"), NOW)
    assert house.stamp("Loft") != second


def test_settings_are_made_and_changed_one_by_one(house: Household) -> None:
    house.set({"a": "1", "b": "2"}, NOW)
    house.set({"b": "3"}, NOW)
    house.set({}, NOW)
    assert house.settings() == {"a": "1", "b": "3"}


def test_a_device_comes_until_it_is_ended(house: Household) -> None:
    house.pair("Phone", "digest", NOW)
    device = house.device("digest")
    assert device is not None
    assert house.device("another") is None
    house.seen(device.id, NOW + timedelta(hours=1))
    assert house.devices()[0].seen == NOW + timedelta(hours=1)
    house.unpair(device.id, NOW)
    assert house.device("digest") is None
    assert house.devices() == ()


def test_a_photo_belongs_to_an_event_and_its_file_to_all_that_show_it(house: Household) -> None:
    house.append("Loft", [FED, FED], NOW)
    first, second = house.entries("Loft")
    house.attach("Loft", first.id, "d1", (800, 600), NOW)
    house.attach("Loft", second.id, "d1", (800, 600), NOW)
    one, two = house.photos("Loft")
    assert (one.event_id, one.width, one.height) == (first.id, 800, 600)
    assert house.detach(one.id) is None, "another event still shows the file"
    assert house.detach(two.id) == "d1"


def test_a_trial_is_begun_and_gets_one_verdict(house: Household) -> None:
    number = house.begin_trial("Loft", NOW, {"change": "8 h of light", "predicted": [5, 7]}, NOW)
    house.close_trial(number, {"verdict": "worked"}, NOW + timedelta(days=28))
    house.close_trial(number, {"verdict": "worse"}, NOW + timedelta(days=29))
    (trial,) = house.trials("Loft")
    assert trial.body["predicted"] == [5, 7]
    assert trial.verdict == {"verdict": "worked"}
    assert trial.closed == NOW + timedelta(days=28)
