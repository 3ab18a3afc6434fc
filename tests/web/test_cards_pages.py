"""Cards: every emergency two actions away, one page on paper, names kept, files that need nothing; and the dates."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest

from lentic.catalogue.emergencies import emergencies
from lentic.keeper import cards
from lentic.paper.pdf import pages_in
from lentic.web import api_doing

Posts = Callable[..., Any]
Watch = Callable[..., Any]


@pytest.fixture
def own(plain: Any, clients: Callable[..., Any]) -> Iterator[Any]:
    with clients(plain.app()) as client:
        yield client


def test_every_emergency_is_two_actions_from_anywhere(plain: Any, serving: Any, watch: Watch) -> None:
    watched = watch(width=390)
    page = watched.page
    url = serving(plain).url
    for path in ("/log", "/do/upkeep", "/preferences"):
        page.goto(url + path)
        page.get_by_role("link", name="Emergency").locator("visible=true").click()
        page.get_by_role("link", name="Power cut", exact=True).click()
        assert page.locator(".a4 h1").inner_text() == "Power cut"
        assert page.evaluate("document.documentElement.scrollWidth") == 390
    names = page.goto(f"{url}/cards").text()
    assert all(f'href="/cards/emergency/{name}"' in names for name in emergencies())
    assert len(emergencies()) == 14
    assert not watched.errors


def test_cards_are_one_page_on_paper_and_nothing_but_the_sheet(
    loft: Any, serving: Any, watch: Watch, axe_on: Callable[[Any], list[str]]
) -> None:
    watched = watch(width=1280)
    page = watched.page
    url = serving(loft).url
    for path in ("emergency/person_ill", "emergency/power_cut", "sitter", "vet", "tank"):
        page.goto(f"{url}/cards/{path}")
        assert page.locator(".a4").count() == 1, path
        assert page.get_by_role("button", name="Print this page").is_visible()
        assert pages_in(page.pdf(format="A4", print_background=True)) == 1, path
        page.emulate_media(media="print")
        assert page.locator(".a4").is_visible()
        assert not page.locator(".top, .tools, .nav, .foot").locator("visible=true").count()
        page.emulate_media(media="null")
        assert not axe_on(page), path
    page.set_viewport_size({"width": 390, "height": 844})
    for path in ("sitter", "tank", "vet"):
        page.goto(f"{url}/cards/{path}")
        assert page.evaluate("document.documentElement.scrollWidth") == 390, path
    assert not watched.errors


@pytest.fixture
def axe_on() -> Callable[[Any], list[str]]:
    from axe_playwright_python.sync_playwright import Axe

    def found(page: Any) -> list[str]:
        violations = Axe().run(page).response["violations"]
        return [f"{each['id']}: {each['nodes'][0]['html'][:120]}" for each in violations]

    return found


def test_names_and_numbers_stand_on_every_card(loft: Any, tmp_path: Any, clients: Any, posts: Posts) -> None:
    with clients(loft.copy(tmp_path / "home").app()) as client:
        desk = client.app.state.desk
        said = posts(client, "/cards/people", keeper="Ines", keeper_phone="0555 01 47 20", vet="Dr Osk, 0555 01 88 05")
        assert said.headers["location"] == "/cards"
        assert "Kept for all cards: 3 of" in client.get("/cards").text
        assert "0555 01 88 05" in client.get("/cards/emergency/wound").text
        assert "0555 01 47 20" in client.get("/cards/vet").text
        sitter = client.get("/cards/sitter").text
        assert "0555 01 47 20" in sitter, "a card that was worked out before shows the numbers of now"
        assert "Call Ines" in sitter
        posts(client, "/cards/people", keeper="Ines")
        assert cards.people_of(desk.where(loft.tank)) == {"keeper": "Ines"}


def test_the_emergencies_come_as_one_file_that_needs_nothing(own: Any) -> None:
    answer = own.get("/cards/emergency.html")
    assert answer.headers["content-disposition"] == 'attachment; filename="card-emergency.html"'
    text = answer.text
    assert text.count('<article class="a4 emergency"') == 14
    assert not re.search(r'(src|href)="(?!#)', text), "nothing is fetched"
    assert "<script" not in text
    assert all(f'id="{name}"' in text for name in emergencies())
    assert own.get("/cards/emergency/no_such").status_code == 404
    assert own.get("/cards/other.html").status_code == 404
    assert own.get("/cards/emergency.html?only=no_such").status_code == 404


def test_a_card_comes_as_pdf_and_shorter(own: Any) -> None:
    answer = own.get("/cards/emergency.pdf?only=leak")
    assert answer.headers["content-type"] == "application/pdf"
    assert pages_in(answer.content) == 1
    shorter = own.get("/cards/emergency/leak?short=2").text
    assert "Left out here: how the numbers were worked out, the tank&#39;s facts." in shorter
    assert "leave something out" not in shorter


def test_cards_are_told_in_the_keepers_own_units(own: Any, posts: Posts) -> None:
    assert "260 L of water" in own.get("/cards/emergency/leak").text
    posts(own, "/preferences", temperature="°F", volume="US gal", hardness="dKH")
    for path in ("/cards/emergency/leak", "/cards/emergency.html?only=leak"):
        text = own.get(path).text
        assert "69 US gal of water" in text
        assert "76.1 °F" in text.replace("\u00a0", " ")


def test_a_sitter_is_asked_for_in_days_that_can_be(own: Any) -> None:
    assert own.get("/cards/sitter?days=40").status_code == 422
    answer = own.get("/cards/sitter?days=8&from=2026-04-20&every=2")
    assert answer.status_code == 200
    assert "three sitters" in answer.text
    assert "working" in answer.text


def address_in(text: str) -> str:
    found = re.search(r'class="address" readonly value="([^"]+)"', text)
    assert found is not None
    return found[1]


def test_dates_and_the_hour_of_reminders(own: Any, posts: Posts) -> None:
    page = own.get("/calendar").text
    assert "Next: " in page
    assert "Monday 6 April" in page, "what is overdue is due today"
    posts(own, "/calendar/hour", at="18:00")
    assert "<option selected>18:00" in own.get("/calendar").text
    assert posts(own, "/calendar/hour", at="soon").status_code == 422
    feed = own.get(urlsplit(address_in(page)).path)
    assert feed.headers["content-type"].startswith("text/calendar")
    assert "TRIGGER:PT18H" in feed.text


def test_a_calendar_reads_the_dates_with_the_key_and_nothing_else(
    plain: Any, clients: Callable[..., Any], posts: Posts
) -> None:
    app = plain.app(lan=True, hosts=("192.0.2.7",))
    with clients(app) as here:
        address = urlsplit(address_in(here.get("/calendar").text))
        key = parse_qs(address.query)["key"][0]
        with clients(app, "192.0.2.30", "192.0.2.7:8420") as other:
            assert other.get(f"{address.path}?key={key}").text.startswith("BEGIN:VCALENDAR")
            for wrong in ("", "?key=", f"?key={key}x", "?key=%00"):
                assert other.get(f"{address.path}{wrong}").status_code == 403
            assert other.get(f"/calendar?key={key}").status_code == 403
            assert other.get(f"/cards/emergency.html?key={key}").status_code == 403
            assert other.get(f"{address.path}?key={key}", headers={"host": "evil.example"}).status_code == 421
            posts(here, "/calendar/renew")
            assert other.get(f"{address.path}?key={key}").status_code == 403
        assert here.get("/calendar/Elsewhere.ics").status_code == 404
    with clients(plain.app(), "192.0.2.30") as closed:
        assert closed.get(f"{address.path}?key={key}").status_code == 403


def test_scripts_get_the_same(own: Any, posts: Posts) -> None:
    assert own.get("/api/v1/upkeep/session").json() == {"outcome": "No session is open."}
    posts(own, "/do/upkeep", what="begin", tank=own.app.state.desk.store.tanks()[0])
    session = api_doing.SessionAnswer.model_validate(own.get("/api/v1/upkeep/session").json())
    assert session.next == "look"
    assert session.steps[0].state == "open"
    assert api_doing.DatesAnswer.model_validate(own.get("/api/v1/calendar").json()).due
    assert api_doing.TrialsAnswer.model_validate(own.get("/api/v1/trial").json()).trials == []
    assert len(own.get("/api/v1/card/emergency").json()["cards"]) == 14
    assert own.get("/api/v1/card/emergency?only=leak").json()["cards"][0]["id"] == "leak"
    assert own.get("/api/v1/card/vet").json()["pages"]
    for card in ("sitter", "tank"):
        assert own.get(f"/api/v1/card/{card}").status_code == 202
