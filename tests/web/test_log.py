"""The log's page: usual buttons, the line, questions, taking back, photos, files in and out."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from lentic.keeper.desk import Desk
from lentic.keeper.opening import AskError
from lentic.keeper.photos import drawn_anew
from lentic.logbook.events import Feed, Void, without_voided

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"


def events(client: Any) -> list[Any]:
    desk: Desk = client.app.state.desk
    return [entry.event for entry in desk.store.entries(desk.store.tanks()[0])]


def test_a_large_button_writes_the_last_amount_once(own: Any, posts: Callable[..., Any]) -> None:
    page = own.get("/log").text
    line = re.search(r'name="line" value="(feed [^"]+)"', page)
    once = re.search(r'name="once" value="([^"]+)"', page)
    assert line is not None
    assert once is not None
    before = len(events(own))
    for _ in range(2):
        assert posts(own, "/log", line=line[1], once=once[1]).status_code == 303
    assert len(events(own)) == before + 1
    assert isinstance(events(own)[-1], Feed)
    assert "was written before" in own.get("/log").text


def test_a_line_with_a_question_is_asked_about_and_the_rest_is_written(own: Any, posts: Callable[..., Any]) -> None:
    before = len(events(own))
    answer = posts(own, "/log", line="scraped; thinned 40 elodea")
    assert answer.status_code == 422
    assert "question" in answer.text
    assert len(events(own)) == before + 1
    assert "not written" in posts(own, "/log", line="blorp 3").text.lower()


def test_taking_back_writes_a_void_and_deletes_nothing(own: Any, posts: Callable[..., Any]) -> None:
    before = events(own)
    posts(own, "/log", line="changed 33 L")
    number = max(entry.id for entry in own.app.state.desk.store.entries(own.app.state.desk.store.tanks()[0]))
    assert posts(own, f"/log/{number}/back").status_code == 303
    after = events(own)
    assert len(after) == len(before) + 2
    assert isinstance(after[-1], Void)
    assert without_voided(after) == without_voided(before)
    text = own.get("/log").text
    assert "<s>Changed 33 L of water</s>" in text
    assert posts(own, f"/log/{number}/back").status_code == 303
    assert len(events(own)) == len(before) + 2, "taken back once"
    assert posts(own, "/log/999999/back").status_code == 422


def test_forms_write_what_was_filled_in(own: Any, posts: Callable[..., Any]) -> None:
    for kind, fields, words in (
        ("feed", {"amount": "1.2", "unit": "g", "what": "pellet_adult"}, "Fed 1.2 g adult pellet"),
        ("change", {"amount": "45", "unit": "L", "note": "warm"}, "Changed 45 L of water (warm)"),
        ("scrape", {"what": "panes", "amount": "2"}, "Scraped the panes, grade 2 before"),
        (
            "reading",
            {"reading_kh": "9", "unit_kh": "dKH", "other": "gh", "other_amount": "12 dGH"},
            "GH: 12 dGH",
        ),
        ("weigh", {"amount": "575", "unit": "g", "what": "juniper"}, "Juniper weighs 575 g"),
        ("flow", {"amount": "10", "unit": "s/L"}, "Filter flow: 360 L/h"),
        ("sign", {"what": "juniper", "note": "left eye swollen"}, "Sign of Juniper (left eye swollen)"),
    ):
        answer = posts(own, f"/log/write/{kind}", **fields)
        assert answer.status_code == 303, answer.text
        assert words in own.get("/log").text
    assert posts(own, "/log/write/feed").status_code == 422
    assert own.get("/log/write/nothing").status_code == 404


def test_every_form_can_be_opened(client: Any) -> None:
    kinds = re.findall(r'href="/log/write/(\w+)"', client.get("/log").text)
    assert len(set(kinds)) >= 14
    for kind in set(kinds):
        assert client.get(f"/log/write/{kind}").status_code == 200, kind


def test_search_and_filter(client: Any) -> None:
    found = client.get("/log", params={"q": "hornwort", "kind": "thin"}).text
    assert "Thinned" in found
    assert "adult pellet" not in found.partition('class="block days"')[2]
    assert "No entry holds these words" in client.get("/log", params={"q": "zebra"}).text
    earlier = client.get("/log", params={"until": "2025-11-01"}).text
    assert "October 2025" in earlier
    assert "March" not in earlier.partition('class="block days"')[2]
    assert client.get("/log", params={"until": "never"}).status_code == 200


def photo(width: int = 2400, height: int = 1200) -> bytes:
    image = Image.new("RGB", (width, height), (40, 90, 60))
    exif = Image.Exif()
    exif[0x0112] = 6  # turned by a quarter
    exif[0x010F] = "A camera"
    exif.get_ifd(0x8825)[1] = "N"
    out = io.BytesIO()
    image.save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_a_photo_is_drawn_anew_without_place_or_camera(own: Any, posts: Callable[..., Any]) -> None:
    desk: Desk = own.app.state.desk
    number = desk.store.entries(desk.store.tanks()[0])[-1].id
    token = own.get("/preferences").text.partition('name="form_token" value="')[2].partition('"')[0]
    sent = photo()
    assert b"A camera" in sent
    answer = own.post(
        f"/log/{number}/photo", data={"form_token": token}, files={"photo": ("x.jpg", sent, "image/jpeg")}
    )
    assert answer.status_code == 303
    text = own.get("/log").text
    address = re.search(r'href="(/photos/[0-9a-f]{64}\.jpg)"', text)
    assert address is not None
    kept = own.get(address[1])
    assert kept.headers["content-type"] == "image/jpeg"
    with Image.open(io.BytesIO(kept.content)) as image:
        assert image.size == (800, 1600), "upright, and no longer than 1600"
        assert not image.getexif()
    assert b"A camera" not in kept.content
    removed = desk.store.photos(desk.store.tanks()[0])[0].id
    posts(own, f"/log/photo/{removed}/remove")
    assert own.get(address[1]).status_code == 404


@pytest.mark.parametrize("data", [b"", b"no picture", b"GIF89a" + b"\0" * 40, b"\x89PNG\r\n\x1a\n" + b"\0" * 50])
def test_what_is_no_photo_is_told(data: bytes) -> None:
    with pytest.raises(AskError, match="no photo"):
        drawn_anew(data, 100)


def test_a_picture_of_too_many_points_is_not_opened() -> None:
    out = io.BytesIO()
    Image.new("1", (30000, 3000)).save(out, "PNG")
    assert len(out.getvalue()) < 100_000
    with pytest.raises(AskError):
        drawn_anew(out.getvalue(), 100)


def bring(client: Any, **files: bytes) -> Any:
    token = client.get("/preferences").text.partition('name="form_token" value="')[2].partition('"')[0]
    listed = [("files", (name.replace("__", "."), content)) for name, content in files.items()]
    return client.post("/log/import", data={"form_token": token}, files=listed)


def test_files_are_shown_with_their_slips_mended_and_taken_in(own: Any, posts: Callable[..., Any]) -> None:
    lines = (
        "time,kind,what,amount,unit,note\n2026-03-01T08:00,feed,pellet_adult,1.5,g,\n"
        "2026-03-02T08:00,feed,pellet_adult,lots,g,\n2026-03-03T08:00,fed,pellet_adult,1.5,g,\n"
        "2026-03-04T18:00,reading,nitrate,40,,\n"
    )
    toml = b'format = "lentic-tank-1"\nname = "Shelf"\ntimezone = "Europe/Oslo"\n[tank]\nwater_l = 120.0\n'
    answer = bring(own, tank__toml=toml, log__csv=lines.encode())
    assert answer.status_code == 303
    address = answer.headers["location"]
    text = own.get(address).text
    assert "log.csv, line 3" in text
    assert "3 cannot yet" in text
    assert "Shelf" not in own.app.state.desk.store.tanks(), "nothing is taken in by looking"
    mended = {"line log.csv 4": "2026-03-03T08:00,feed,pellet_adult,1.5,g,"}
    assert posts(own, address, **mended, do="again").status_code == 303
    assert "2 cannot yet" in own.get(address).text
    assert posts(own, address, do="take in").status_code == 303
    desk: Desk = own.app.state.desk
    assert len(desk.store.read("Shelf")[1]) == 2
    assert len(desk.store.refused("Shelf")) == 2
    assert "2 lines taken in, 2 kept as written" in own.get("/log").text.replace("\u00a0", " ")
    assert own.get(address).status_code == 422


def test_a_tank_goes_out_as_a_zip_and_comes_back_the_same(own: Any) -> None:
    answer = own.get("/log/export.zip")
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert set(archive.namelist()) == {"tank.toml", "log.csv"}
    again = bring(own, tank__zip=answer.content)
    text = own.get(again.headers["location"]).text
    assert "only what is new is added" in text


@pytest.mark.parametrize("name", ["notes__txt", "broken__zip"])
def test_files_of_no_use_are_told(own: Any, name: str) -> None:
    assert bring(own, **{name: b"PK\x03\x04 nothing"}).status_code == 422


def test_a_file_is_never_written_outside_the_inbox(own: Any) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("../../escape/log.csv", "time,kind,what,amount,unit,note\n")
        archive.writestr("../../../evil.txt", "x")
    assert bring(own, tank__zip=out.getvalue()).status_code == 303
    home: Path = own.app.state.desk.home
    assert not list(home.parent.rglob("evil.txt"))
    assert [path.parent.parent.name for path in home.rglob("log.csv")] == ["inbox"]
    assert own.get("/log/import/..%2f..%2fetc").status_code in (404, 422)
