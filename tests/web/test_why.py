"""Balance, readings, causes, plans, trials and the origin of numbers, asked for as a browser asks."""

from __future__ import annotations

import re
from collections.abc import Callable
from types import SimpleNamespace
from typing import Any

import pytest

from lentic.keeper import decide


def links(text: str) -> list[str]:
    return re.findall(r'href="(/number/[^"]+)"', text)


@pytest.mark.parametrize(
    "path",
    ["/why", "/why?element=P", "/why/readings", "/why/readings?span=4%20weeks&back=2",
     "/why/readings?span=the%20whole%20log", "/why/causes", "/decide", "/decide/trials"],
)  # fmt: skip
def test_each_page_answers_with_one_sentence(client: Any, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.text.count("<h1>") == 1
    assert "style=" not in answer.text


@pytest.mark.parametrize(
    "path",
    ["/why?weeks=0", "/why?element=X", "/why/readings?span=ever", "/why/causes?of=luck", "/number/flow.N",
     "/number/flow.N.luck.8", "/number/day.nitrate.soon", "/number/plan.now.luck", "/decide/trial?factor=luck",
     "/decide/trials/99"],
)  # fmt: skip
def test_what_is_not_there_is_told_in_a_sentence(client: Any, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 422
    assert "Traceback" not in answer.text and "." in answer.text


def test_the_table_holds_the_numbers_of_the_drawing(client: Any) -> None:
    text = client.get("/why").text
    drawing, table = text.split('<table class="flows"')
    drawn = re.search(r">Food</text><text[^>]*>([\d.]+) \(", drawing)
    assert drawn and f"<b>+{drawn.group(1)}</b>" in table
    assert table.count('role="row"') >= 9
    assert text.count('role="img"') == 2


@pytest.mark.parametrize("path", ["/why", "/why/causes", "/decide?litres=80"])
def test_every_number_leads_to_its_source(client: Any, path: str) -> None:
    found = links(client.get(path).text)
    assert len(found) >= 3
    for address in found:
        answer = client.get(address.replace("&amp;", "&"))
        assert answer.status_code == 200, address
        assert "How do we know this?" in answer.text and "In plain steps" in answer.text


def test_readings_and_estimates_lead_to_their_source(client: Any) -> None:
    found = links(client.get("/why/readings").text)
    own = [a for a in found if "/read." in a]
    guessed = [a for a in found if "/day." in a]
    for address in (own[0], own[-1], guessed[0], guessed[-1]):
        assert client.get(address).status_code == 200, address
    assert "own reading" in client.get(own[0]).text


def test_a_chart_tells_a_pointer_what_its_table_holds(client: Any) -> None:
    text = client.get("/why/readings").text
    block = text.split('id="nitrate"')[1].split("</section>")[0]
    rows = block.count('<tr><th scope="row">')
    assert block.count("own reading ") >= 5
    assert len(re.findall(r"\[[\d.]+,(?:&#34;|\")", block.split("</figure>")[0])) == rows


def test_charts_follow_the_keepers_units(own: Any, posts: Callable[..., Any]) -> None:
    posts(own, "/preferences", temperature="°F", hardness="mg/L CaCO3", volume="US gal")
    text = own.get("/why/readings").text
    assert "Temperature, °F" in text and "°C" not in text.split('id="temperature"')[1].split("</section>")[0]


def test_dials_are_answered_with_a_plan_of_the_keepers_own(client: Any) -> None:
    text = client.get("/decide?litres=80").text
    assert "Yours: 80 L a change" in text
    assert "See the prediction for plan" in text
    both = client.get("/decide?litres=80&light_h=8").text
    assert "changes 2 things at once" in both


def test_dials_beyond_their_ends_are_held_and_nonsense_is_no_dial(client: Any) -> None:
    assert "Yours: 130 L a change" in client.get("/decide?litres=9999").text
    assert "Yours" not in client.get("/decide?litres=nan&ration=x&light_h=").text


def test_what_a_rule_stops_cannot_be_begun(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    stop = SimpleNamespace(severity="STOP", stops=True, rule="w1", message="Not so much.", instead="Change less.")
    monkeypatch.setattr(decide, "gate", lambda *_, **__: SimpleNamespace(found=(stop,)))
    text = client.get("/decide?litres=80").text
    assert "is stopped" in text and "Not so much. Change less." in text
    assert "/decide/trial?factor=litres" not in text


def test_a_rule_set_aside_in_writing_warns(client: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    aside = SimpleNamespace(severity="STOP", stops=False, rule="w1", message="Not so much.", instead="Change less.")
    monkeypatch.setattr(decide, "gate", lambda *_, **__: SimpleNamespace(found=(aside,)))
    text = client.get("/decide?litres=80").text
    assert "Not so much." in text and "is stopped" not in text


def test_the_same_draws_for_every_plan(client: Any) -> None:
    """A plan that only restates the routine is the routine, to the last digit."""
    text = client.get("/decide?litres=50").text
    assert "Yours" not in text
