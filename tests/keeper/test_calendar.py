"""The dates of a tank: they move with log and forecast, and the feed reads in a parser of another hand."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import given, settings
from hypothesis import strategies as st

from lentic.advice.dates import DueDate, dates_of
from lentic.advice.forecast import SCRAPE, Due, Forecast
from lentic.cli.main import cli
from lentic.keeper.calendar import Dates, dates, feed
from lentic.keeper.opening import NotYet, Where, open_store
from lentic.logbook.events import Change, Event, Reading, Rinse, Weigh
from lentic.logbook.folder import Folder
from lentic.logbook.tank import Filter, Glass, Tank, Turtle

BEGIN = datetime(2026, 5, 16, 8, 0, tzinfo=UTC)
TANK = Tank(
    name="Shelf, tank; one", timezone="Europe/Oslo", glass=Glass(water_l=150.0), filter=Filter(type="sponge"),
    turtles=(Turtle(id="moss"),),
)  # fmt: skip


def _ago(days: float) -> datetime:
    return BEGIN - timedelta(days=days)


LOG: tuple[Event, ...] = tuple(
    sorted(
        [
            *(Change(time=_ago(7 * n + 2), litres=36.0) for n in range(6)),
            *(Rinse(time=_ago(30 * n + 10), extent="half", water="tank") for n in range(4)),
            Reading(time=_ago(3), quantity="nitrate", value=5.0, unit="mg/L N"),
            Weigh(time=_ago(40), animal="moss", grams=300.0),
            Reading(time=_ago(170), quantity="tap_nitrate", value=1.0, unit="mg/L N"),
        ],
        key=lambda e: e.time,
    )
)


def _day(month: int, day: int) -> datetime:
    return datetime.combine(date(2026, month, day), time())


def _forecast(p50: datetime | None) -> Forecast:
    due = Due(what=SCRAPE, p10=_day(5, 18), p50=p50, p90=_day(5, 26), chance=0.9)
    return Forecast(
        tank="x", begin=_day(5, 16), members=1, seed=0, outcome="", series=(), due=(due,), limits=(),
        assumptions=(), sentences=(),
    )  # fmt: skip


def _by(found: tuple[DueDate, ...], name: str) -> DueDate:
    return next(each for each in found if each.id == name)


def test_dates_follow_the_rhythm_of_the_log() -> None:
    found = dates_of(TANK, LOG, BEGIN)
    assert _by(found, "change").day == date(2026, 5, 21)  # last on the 14th, every 7 days
    assert _by(found, "media").day == date(2026, 6, 5)  # last on the 6th, every 30 days
    assert _by(found, "read nitrate").day == date(2026, 5, 27)
    assert _by(found, "read kh").day == date(2026, 5, 16)  # never read
    assert _by(found, "weigh moss").day == date(2026, 5, 16)  # overdue is due today
    assert _by(found, "tap").day == date(2026, 5, 28)  # half a year after the last tap reading
    assert list(found) == sorted(found, key=lambda d: (d.day, d.id))
    assert all(each.why for each in found)


def test_a_date_of_the_forecast_moves_with_it() -> None:
    first = _by(dates_of(TANK, LOG, BEGIN, _forecast(_day(5, 21))), "scrape")
    later = _by(dates_of(TANK, LOG, BEGIN, _forecast(_day(5, 24))), "scrape")
    assert (first.day, later.day) == (date(2026, 5, 21), date(2026, 5, 24))
    assert first.range_words == "Mon 18 May to Tue 26 May"
    assert "scrape" not in {d.id for d in dates_of(TANK, LOG, BEGIN, _forecast(None))}


def test_a_routine_that_stopped_long_ago_is_not_due() -> None:
    stopped = tuple(e for e in LOG if not (isinstance(e, Change) and e.time > _ago(30)))
    old = (*stopped[:-1], Reading(time=_ago(-40), quantity="kh", value=2.0, unit="meq/L"))
    assert "change" not in {d.id for d in dates_of(TANK, old, BEGIN + timedelta(days=41))}


def _view(*due: DueDate) -> Dates:
    return Dates(tank=TANK.name, begin=BEGIN, due=due, at=time(8))


def _due(name: str, what: str, day: date, why: str = "because") -> DueDate:
    return DueDate(id=name, what=what, day=day, earliest=day, latest=day + timedelta(days=3), why=why)


def unfold(text: bytes) -> list[str]:
    """A small reader of RFC 5545 content lines, written for this test: unfolds, splits, unescapes."""
    assert text.endswith(b"\r\n")
    for line in text.split(b"\r\n"):
        assert len(line) <= 75  # RFC 5545 3.1: octets, without the break
        line.decode("utf-8")
    return re.sub(r"\r\n[ \t]", "", text.decode("utf-8")).split("\r\n")[:-1]


def events_in(lines: list[str]) -> list[dict[str, str]]:
    """Return the VEVENTs of a calendar as plain values, nested components left out."""
    found: list[dict[str, str]] = []
    depth: list[str] = []
    for line in lines:
        name, _, value = line.partition(":")
        key = name.split(";")[0].upper()
        if key == "BEGIN":
            depth.append(value)
            if value == "VEVENT":
                found.append({})
        elif key == "END":
            assert depth.pop() == value
        elif depth and depth[-1] == "VEVENT":
            found[-1][key] = re.sub(r"\\([\\;,nN])", lambda m: "\n" if m[1] in "nN" else m[1], value)
    assert not depth
    return found


def test_the_feed_reads_with_another_parser() -> None:
    view = _view(
        _due("change", "Change 36 L; 3 buckets, or so", date(2026, 5, 21)), _due("scrape", "Scrape", date(2026, 5, 24))
    )
    lines = unfold(feed(view, BEGIN))
    assert lines[0] == "BEGIN:VCALENDAR" and lines[-1] == "END:VCALENDAR"
    assert "VERSION:2.0" in lines
    found = events_in(lines)
    assert [e["SUMMARY"] for e in found] == [
        "Shelf, tank; one: Change 36 L; 3 buckets, or so", "Shelf, tank; one: Scrape",
    ]  # fmt: skip
    assert [e["DTSTART"] for e in found] == ["20260521", "20260524"]
    assert [e["DTEND"] for e in found] == ["20260522", "20260525"]
    assert "8 in 10: Thu 21 May to Sun 24 May." in found[0]["DESCRIPTION"]


def test_a_date_that_moves_keeps_its_identity() -> None:
    first = events_in(unfold(feed(_view(_due("scrape", "Scrape", date(2026, 5, 21))), BEGIN)))[0]
    moved = events_in(unfold(feed(_view(_due("scrape", "Scrape", date(2026, 5, 29))), BEGIN)))[0]
    other = events_in(unfold(feed(_view(_due("change", "Change", date(2026, 5, 29))), BEGIN)))[0]
    assert first["UID"] == moved["UID"] != other["UID"]


@settings(max_examples=40, deadline=None)
@given(st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=200))
def test_any_words_survive_the_feed(words: str) -> None:
    event = events_in(unfold(feed(_view(_due("x", words, date(2026, 5, 21))), BEGIN)))[0]
    assert event["SUMMARY"] == f"{TANK.name}: {words}"


def test_the_hour_of_reminders_stays_out_of_the_night(tmp_path: Path) -> None:
    with open_store(tmp_path) as store:
        store.import_folder(Folder(tank=TANK, events=LOG, refused=()), BEGIN)
    where = Where(name=TANK.name, clock=BEGIN, home=tmp_path)
    for told, hour in (("18:30", time(18, 30)), ("03:00", time(8)), ("23:00", time(20)), ("soon", time(8))):
        with open_store(tmp_path) as store:
            store.set({"reminders_at": told}, BEGIN)
        found = dates(where)
        assert not isinstance(found, NotYet)
        assert found.view.at == hour


def test_the_command_lists_dates_and_writes_a_feed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    with open_store(tmp_path) as store:
        store.import_folder(Folder(tank=TANK, events=LOG, refused=()), BEGIN)
    target = tmp_path / "dates.ics"
    args = ["calendar", TANK.name, "--now", "2026-05-16T10:00", "--ics", str(target)]
    done = CliRunner().invoke(cli, args)
    assert done.exit_code == 0, done.output
    assert "Change 36 L" in done.stdout and "you change about every 7 days" in done.stdout
    assert len(events_in(unfold(target.read_bytes()))) >= 5
