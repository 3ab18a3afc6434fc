"""What the pages say with an example, without data and without a tank."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from lentic.cli.main import cli
from lentic.keeper import describing
from lentic.keeper.desk import Desk


def plain(text: str) -> str:
    """Return the words of a page."""
    return " ".join(re.sub(r"<[^>]+>", " ", text.partition("<main")[2]).replace("\u00a0", " ").split())


def test_without_a_tank_every_page_leads_to_the_start(nobody: Any, clients: Callable[..., Any]) -> None:
    with clients(nobody.app()) as client:
        for path in ("/", "/log", "/tank", "/tank/edit", "/start/week", "/start/first", "/log/write/feed"):
            assert client.get(path).headers.get("location") == "/start", path
        assert "Three facts give the first answer" in client.get("/start").text


def test_today_says_first_what_needs_doing(client: Any) -> None:
    words = plain(client.get("/").text)
    assert "Monday 6 April, 10:00. Your log goes up to 18:16 on Sunday 5 April." in words
    assert (
        words.index("To do today") < words.index("Write down") < words.index("Can wait") < words.index("The tank now")
    )
    assert re.search(r"Nitrate .*? \d+ mg/L as NO₃ \([\d.]+–[\d.]+\) estimate", words)


def test_an_empty_tank_is_told_what_would_help(empty: Any, clients: Callable[..., Any]) -> None:
    with clients(empty.app()) as client:
        words = plain(client.get("/").text)
        assert "Not yet: nothing is logged" in words
        assert "What would help most What is fed, in grams" in words
        assert "Nothing is written down yet." in plain(client.get("/log").text)
        assert "One fact is still missing for a first answer." in plain(client.get("/start/first").text)


def test_a_page_does_not_wait_for_a_fit(loft: Any, tmp_path: Path, clients: Callable[..., Any]) -> None:
    kept = loft.copy(tmp_path / "home")
    with clients(kept.app()) as client:
        desk: Desk = client.app.state.desk
        desk.store.append(kept.tank, [desk.held(kept.tank).events[0]], kept.clock)
        text = client.get("/").text
        assert '<meta http-equiv="refresh" content="2">' in text, "without script the page renews itself"
        assert "the numbers of 6 April" in text.replace("\u00a0", " ")
        kept.work()
        assert "http-equiv" not in client.get("/").text


def test_work_that_was_given_up_is_told_and_can_be_asked_again(
    loft: Any, tmp_path: Path, clients: Callable[..., Any], posts: Callable[..., Any]
) -> None:
    kept = loft.copy(tmp_path / "home")
    with clients(kept.app()) as client:
        desk: Desk = client.app.state.desk
        desk.store.append(kept.tank, [desk.held(kept.tank).events[0]], kept.clock)
        client.get("/")
        for job in desk.store.jobs():
            desk.store.claim("somebody", kept.clock)
            desk.store.give_up(job.key, "somebody", "It could not be done.")
        text = client.get("/").text
        assert "It could not be done. Your log is untouched." in text
        key = re.search(r'name="key" value="([^"]+)"', text)
        assert key is not None
        assert posts(client, "/again", key=key[1], back="/").headers["location"] == "/"
        assert posts(client, "/again", key=key[1], back="//evil.example").headers["location"] == "/"


def test_long_work_can_be_stopped_from_the_page(
    loft: Any, tmp_path: Path, clients: Callable[..., Any], posts: Callable[..., Any]
) -> None:
    kept = loft.copy(tmp_path / "home")
    with clients(kept.app()) as client:
        desk: Desk = client.app.state.desk
        desk.store.append(kept.tank, [desk.held(kept.tank).events[0]], kept.clock)
        text = client.get("/").text
        key = re.search(r'name="key" value="([^"]+)"', text)
        assert "Stop. Keep the old numbers" in text
        assert key is not None
        assert posts(client, "/stop", key=key[1], back="/").headers["location"] == "/"
        words = plain(client.get("/").text)
        assert "You stopped this. Your log is untouched. The numbers are of 6 April" in words


def test_the_tank_page_shows_facts_with_origin_and_what_was_assumed(client: Any) -> None:
    words = plain(client.get("/tank").text)
    assert "holds 263 L of real water, from your measures" in words
    assert "Straight carapace length 15.9 cm you wrote it" in words
    assert "Phosphate of the tap" in words.partition("Assumed, because nobody said it")[2]


def test_the_form_gives_back_the_tank_it_was_filled_from(loft: Any) -> None:
    desk = Desk(loft.home, lambda: loft.clock)
    tank = desk.held(loft.tank).tank
    values = {
        field.name: field.value
        for group in describing.form_of(tank)
        for row in group.rows
        for field in row
        if field.value
    }
    again, problems = describing.described(tank.name, values)
    desk.close()
    assert again == tank
    assert [problem for problem in problems if problem.severity == "refused"] == []


def test_a_description_is_changed_and_the_old_one_is_kept(own: Any, posts: Callable[..., Any]) -> None:
    desk: Desk = own.app.state.desk
    name = desk.store.tanks()[0]
    values = {
        field.name: field.value
        for group in describing.form_of(desk.held(name).tank)
        for row in group.rows
        for field in row
    }
    wrong = posts(own, "/tank/edit", **{**values, "tank.0.length_cm": "long", "turtle.0.hatched": "soon"})
    assert wrong.status_code == 422
    assert "length_cm" in wrong.text
    assert 'value="long"' in wrong.text, "what was typed stays"
    assert posts(own, "/tank/edit", **{**values, "tank.0.water_l": "251,5", "turtle.1.id": "fern"}).status_code == 303
    tank = desk.held(name).tank
    assert tank.water_litres == 251.5
    assert [turtle.id for turtle in tank.turtles] == ["juniper", "fern"]
    assert tank.turtles[0].hatched == date(2019, 7, 15)
    assert len(desk.store.descriptions(name)) == 2


def test_two_tanks_can_be_chosen_between(own: Any, posts: Callable[..., Any]) -> None:
    assert posts(own, "/start", name="Shelf", water_l="60").status_code == 303
    assert "Shelf" in own.get("/log").text.partition("</header>")[0]
    assert "You keep 2 tanks here." in plain(own.get("/tanks").text)
    first = own.app.state.desk.store.tanks()[0]
    assert posts(own, "/tanks", tank=first).status_code == 303
    assert first in own.get("/log").text.partition("</header>")[0]
    assert posts(own, "/tanks", tank="Elsewhere").status_code == 422
    assert posts(own, "/start", name="Shelf").status_code == 422, "a name is given once"


def test_an_unknown_address_and_a_bad_one(client: Any) -> None:
    answer = client.get("/nowhere")
    assert answer.status_code == 404
    assert "There is no such page" in answer.text
    assert client.get("/api/v1/nowhere").json()["outcome"].startswith("There is no such page")


def test_files_may_be_kept_and_pages_may_not(client: Any) -> None:
    style = re.search(r'href="(/static/lentic.css\?[0-9a-f]{8})"', client.get("/preferences").text)
    assert style is not None
    assert "immutable" in client.get(style[1]).headers["cache-control"]
    assert client.get("/").headers["cache-control"] == "no-store"


def test_the_command_says_what_is_wrong_with_a_moment(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    result = CliRunner().invoke(cli, ["serve", "--now", "soon"])
    assert result.exit_code == 2
    assert "is not a time" in result.output


def test_the_command_serves_at_a_moment_that_goes_on(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from lentic.web import server

    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    told: list[Any] = []
    monkeypatch.setattr(server, "serve", lambda settings, say: told.append((settings, settings.clock())))
    assert CliRunner().invoke(cli, ["serve", "--port", "8500", "--now", "2026-04-06T09:00+02:00"]).exit_code == 0
    settings, moment = told[0]
    assert settings.home == tmp_path
    assert settings.port == 8500
    assert not settings.lan
    assert abs(moment - datetime.fromisoformat("2026-04-06T09:00+02:00")).total_seconds() < 60
    assert settings.clock() >= moment


def test_with_lan_the_terminal_shows_a_code(loft: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import uvicorn

    from lentic.web import server

    monkeypatch.setattr(uvicorn.Server, "run", lambda self: None)
    kept = loft.copy(tmp_path / "home")
    said: list[str] = []
    server.serve(kept.settings(lan=True, hosts=("192.168.1.5",)), said.append)
    text = "\n".join(said)
    assert re.search(r"http://192\.168\.1\.5:8420/pair/[\w-]{32}", text)
    assert "█" in text or "▄" in text or "▀" in text
