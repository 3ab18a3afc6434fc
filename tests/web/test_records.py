"""Pages of what is watched over months, and of what is dangerous: what they say of the example and of an empty tank."""

from __future__ import annotations

from typing import Any

import pytest

RECORDS = ("/tank/home", "/tank/lamps", "/tank/heat", "/tank/level", "/tank/filter", "/decide/check")


@pytest.mark.parametrize("path", RECORDS)
def test_each_record_opens_on_the_example(client: Any, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code == 200
    assert answer.text.count("<h1>") == 1


def test_the_only_animal_is_led_to(client: Any) -> None:
    answer = client.get("/animals", follow_redirects=False)
    assert answer.status_code == 303 and answer.headers["location"].startswith("/animals/")
    record = client.get(answer.headers["location"]).text
    assert "573" in record and "own reading" in record and "Ration" in record
    assert "diagnos" in record.lower()


def test_an_animal_that_is_not_there_is_said_to_be_so(client: Any) -> None:
    answer = client.get("/animals/nobody")
    assert answer.status_code == 422 and "No turtle is called" in answer.text


def test_a_hot_day_is_worked_out_from_the_form(client: Any) -> None:
    text = client.get("/tank/heat?night=26&day=36&limit=28").text
    assert "A hot day" in text and "15:00" in text
    assert "A hot day" not in client.get("/tank/heat").text
    assert client.get("/tank/heat?night=40&day=20&limit=28").status_code == 422


def test_a_thing_is_checked_and_an_unclear_name_is_asked_about(client: Any) -> None:
    found = client.get("/decide/check?thing=water+change")
    assert found.status_code == 200 and "rules were tried" in found.text
    unclear = client.get("/decide/check?thing=pleco").text
    assert "which one" in unclear and "/decide/check" in unclear


def test_today_shows_how_the_animal_stands(client: Any) -> None:
    text = client.get("/").text
    assert "Slow clocks" in text and "Juniper" in text


def _jpeg() -> bytes:
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (64, 48), (90, 120, 80)).save(out, "JPEG")
    return out.getvalue()


def test_photos_of_the_shell_lie_month_beside_month(own: Any, posts: Any) -> None:
    posts(own, "/log", line="looked shell 0")
    where = own.get("/animals").headers["location"]
    log = own.get("/log").text
    number = log.split('/photo" enctype')[0].rsplit("/log/", 1)[1]
    token = log.split('name="form_token" value="', 1)[1].split('"', 1)[0]
    sent = own.post(
        f"/log/{number}/photo", data={"form_token": token}, files={"photo": ("a.jpg", _jpeg(), "image/jpeg")}
    )
    assert sent.status_code == 303
    record = own.get(where).text
    assert 'class="pad albums"' in record and "?small=true" in record
