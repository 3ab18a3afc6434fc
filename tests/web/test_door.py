"""Who may come in, under which name, with what; and what every answer carries."""

from __future__ import annotations

import logging
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lentic.web.door import MOST_BYTES, host_name, is_loopback

PHONE, LAN = "192.168.1.23", "192.168.1.5"


def test_every_answer_carries_the_policy(client: Any, paths_of: Callable[[Any], list[str]]) -> None:
    for path in [*paths_of(client.app), "/static/tokens.css", "/api/v1/tanks", "/nowhere"]:
        headers = client.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'self'" in policy
        assert "unsafe" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"


def test_no_page_holds_inline_script_or_style(client: Any, paths_of: Callable[[Any], list[str]]) -> None:
    for path in paths_of(client.app):
        text = client.get(path).text
        assert " style=" not in text, path
        assert "<style" not in text, path
        assert " onclick=" not in text, path
        assert "<script>" not in text, path


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example:8420", "192.168.1.5:8420", ""])
def test_another_name_for_this_machine_is_turned_away(client: Any, host: str) -> None:
    assert client.get("/", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    ("header", "name"),
    [("127.0.0.1:8420", "127.0.0.1"), ("LOCALHOST", "localhost"), ("[::1]:8420", "[::1]"), ("", "")],
)
def test_the_name_in_a_host_header(header: str, name: str) -> None:
    assert host_name(header) == name


@pytest.mark.parametrize(
    ("peer", "here"),
    [
        ("127.0.0.1", True),
        ("::1", True),
        ("::ffff:127.0.0.1", True),
        (LAN, False),
        ("testclient", False),
        (None, False),
    ],
)
def test_who_is_this_machine(peer: str | None, here: bool) -> None:
    assert is_loopback(peer) is here


def test_no_form_is_read_without_its_token(own: Any, routes_of: Callable[[Any], list[Any]]) -> None:
    tried = 0
    for route in routes_of(own.app):
        path = getattr(route, "path", "")
        if "POST" not in (getattr(route, "methods", None) or ()) or path.startswith("/api/"):
            continue
        address = path
        for name in ("number", "ticket", "kind", "name", "step", "id"):
            address = address.replace("{" + name + "}", {"kind": "feed"}.get(name, "1"))
        for fields in ({}, {"form_token": "0" * 64}):
            answer = own.post(address, data=fields)
            assert answer.status_code == 403, f"{path} read a form without its token"
        tried += 1
    assert tried >= 12


def test_a_token_of_another_browser_does_not_open_a_form(own: Any, posts: Callable[..., Any]) -> None:
    assert posts(own, "/preferences", volume="US gal").status_code == 303
    token = own.get("/preferences").text.partition('name="form_token" value="')[2].partition('"')[0]
    own.cookies.clear()
    assert own.post("/preferences", data={"form_token": token, "volume": "L"}).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://evil.example"},
        {"origin": "null"},
    ],
)
def test_what_another_site_sends_is_not_read(own: Any, headers: dict[str, str]) -> None:
    assert own.post("/api/v1/log", json={"text": "fed 1.4 pellet"}, headers=headers).status_code == 403
    assert own.post("/preferences", data={}, headers=headers).status_code == 403


def test_too_much_is_not_read(own: Any) -> None:
    assert own.post("/log", content=b"x", headers={"content-length": str(MOST_BYTES + 1)}).status_code == 413

    def endless() -> Any:
        for _ in range(MOST_BYTES // 2**20 + 2):
            yield b"0" * 2**20

    answer = own.post("/log", content=endless(), headers={"content-type": "application/x-www-form-urlencoded"})
    assert answer.status_code == 413


def test_without_lan_nobody_else_comes_in(loft: Any, clients: Callable[..., Any]) -> None:
    with clients(loft.app(), peer=PHONE) as phone:
        assert phone.get("/").status_code == 403
        assert phone.get("/static/tokens.css").status_code == 403
        assert phone.get("/pair/abc").status_code == 403


def test_a_phone_is_paired_once_by_a_ticket_and_can_be_ended(
    loft: Any, tmp_path: Path, clients: Callable[..., Any], posts: Callable[..., Any]
) -> None:
    app = loft.copy(tmp_path / "home").app(lan=True, hosts=(LAN,))
    host = f"{LAN}:8420"
    with (
        clients(app) as here,
        clients(app, peer=PHONE, host=host) as phone,
        clients(app, peer="192.168.1.66", host=host) as other,
    ):
        turned_away = phone.get("/")
        assert turned_away.status_code == 403
        assert loft.tank not in turned_away.text
        assert phone.get("/devices").status_code == 403
        invited = posts(here, "/devices/invite").text
        ticket = invited.partition("/pair/")[2].partition("<")[0].strip()
        code = here.get(f"/devices/code/{ticket}.svg")
        assert code.headers["content-type"].startswith("image/svg+xml")
        assert "<svg" in code.text
        asked = phone.get(f"/pair/{ticket}")
        assert loft.tank not in asked.text
        token = asked.text.partition('name="form_token" value="')[2].partition('"')[0]
        paired = phone.post(f"/pair/{ticket}", data={"form_token": token, "name": "Kitchen phone"})
        assert paired.status_code == 303
        assert "HttpOnly" in paired.headers["set-cookie"]
        assert phone.get("/").status_code == 200
        assert phone.get("/devices").status_code == 403, "devices are managed at the machine itself"
        token = other.get("/pair/x").text.partition('value="')[2].partition('"')[0]
        assert other.get(f"/pair/{ticket}").status_code == 403, "a ticket opens the door once"
        assert "Kitchen phone" in here.get("/devices").text
        posts(here, "/devices/1/end")
        assert phone.get("/").status_code == 403
        assert "Kitchen phone" not in here.get("/devices").text


def test_a_ticket_grows_old(loft: Any, tmp_path: Path, clients: Callable[..., Any]) -> None:
    from datetime import timedelta

    moment = [loft.clock]
    app = loft.copy(tmp_path / "home").app(lan=True, hosts=(LAN,), clock=lambda: moment[0])
    ticket = app.state.tickets.issue(moment[0])
    with clients(app, peer=PHONE, host=f"{LAN}:8420") as phone:
        assert phone.get(f"/pair/{ticket}").status_code == 200
        moment[0] += timedelta(minutes=11)
        assert phone.get(f"/pair/{ticket}").status_code == 403


def test_secrets_do_not_stand_in_the_logs(
    loft: Any, tmp_path: Path, clients: Callable[..., Any], posts: Callable[..., Any], caplog: pytest.LogCaptureFixture
) -> None:
    caplog.set_level(logging.DEBUG, "lentic")
    kept = loft.copy(tmp_path / "home")
    app = kept.app(lan=True, hosts=(LAN,))
    with clients(app) as here:
        ticket = posts(here, "/devices/invite").text.partition("/pair/")[2].partition("<")[0].strip()
        here.get(f"/pair/{ticket}")
    assert ticket
    assert ticket not in caplog.text
    assert app.state.secret not in caplog.text


def test_an_error_says_what_was_done_and_shows_no_trace(
    loft: Any, clients: Callable[..., Any], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lentic.keeper import describing

    def broken(*_: object) -> None:
        raise RuntimeError("a secret inside")

    monkeypatch.setattr(describing, "form_of", broken)
    with clients(loft.app(), raise_server_exceptions=False) as client:
        answer = client.get("/tank")
    assert answer.status_code == 500
    assert "Your log is untouched" in answer.text
    assert "while showing the page /tank" in answer.text
    assert "a secret inside" not in answer.text
    assert "default-src 'self'" in answer.headers["content-security-policy"]
