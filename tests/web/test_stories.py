"""What keepers come for, in a real browser: a first answer, an entry with wet hands, a broken import, an undo."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

LOFT = Path(__file__).parents[2] / "examples" / "loft-tank"
BROKEN = {
    40: ("adult", "2025-10-30T08:00,feed,pellet_adult,a handful,g,"),
    80: ("unit", "2025-11-17T18:00,change,,50,cups,"),
    120: ("kind", "2025-12-10T18:00,scrapped,panes,2,,"),
}
"""Three lines of the example written wrongly."""


@pytest.fixture
def open_on(serve_copy: Callable[[Any], Any], watch: Callable[..., Any]) -> Callable[..., Any]:
    """Open a household of its own in the browser: `open_on(kept, "/log")`; nothing outside is asked, nothing breaks."""

    def opened(kept: Any, path: str = "/", **how: Any) -> Any:
        served = serve_copy(kept)
        watched = watch(**how)
        watched.url, watched.work = served.url, served.kept.work
        watched.page.goto(served.url + path)
        return watched

    return opened


def calm(watched: Any) -> None:
    """The story ran without an error on the console and without asking another machine."""
    assert watched.errors == []
    assert watched.outside == []


@pytest.mark.parametrize("script", [True, False], ids=["script", "no script"])
def test_a_newcomer_has_a_first_answer(nobody: Any, open_on: Callable[..., Any], script: bool) -> None:
    watched = open_on(nobody, "/", script=script)
    page = watched.page
    assert page.url.endswith("/start")
    page.get_by_label("What is the tank called?").fill("Shelf tank")
    page.get_by_label("Buckets it takes to fill").fill("16")
    page.get_by_label("Litres in one bucket").fill("9")
    page.get_by_label("Name of the turtle").fill("Moss")
    page.get_by_label("Kind").fill("false map turtle")
    page.get_by_role("button", name="On to last week").click()
    page.locator("[name=food_1]").fill("adult pellet")
    page.locator("[name=grams_1]").fill("1,5")
    page.locator("[name=times_1]").fill("6")
    page.get_by_label("Water changed").fill("40")
    page.get_by_role("button", name="To the first answer").click()
    said = page.locator("h1").inner_text().replace("\u00a0", " ")
    assert re.search(r"nitrate settles near \d+ mg/L as NO₃ \(\d+–\d+\)", said), said
    text = page.locator("main").inner_text().replace("\u00a0", " ")
    assert "140 L" in text
    assert "counted in buckets" in text
    assert re.search(r"nitrate readings.* a week apart", text, re.IGNORECASE), text
    page.get_by_role("link", name="To Today").click()
    assert page.locator("h1").inner_text() == "What needs doing today is being worked out."
    assert page.get_by_role("textbox", name="What happened").is_visible(), "writing does not wait"
    calm(watched)


def test_what_a_newcomer_typed_stays_where_it_is_refused(nobody: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(nobody, "/start")
    page = watched.page
    page.get_by_label("What is the tank called?").fill("Shelf tank")
    page.get_by_label("What it weighs").fill("heavy")
    page.get_by_role("button", name="On to last week").click()
    assert "'heavy' is not a number" in page.get_by_role("alert").inner_text()
    assert page.get_by_label("What is the tank called?").input_value() == "Shelf tank"


def test_a_feeding_is_written_with_wet_hands_in_three_taps(loft: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(loft, "/")
    page = watched.page

    def tap(button: Any) -> None:
        with page.expect_navigation():
            button.tap()

    tap(page.get_by_role("navigation", name="Pages").get_by_role("link", name="Log"))
    button = page.get_by_role("button", name=re.compile("^Fed"))
    box = button.bounding_box()
    assert box["height"] >= 80
    assert box["width"] >= 140
    tap(button)
    assert "Written: Fed" in page.get_by_role("status").inner_text(), "two taps"
    for name in ("Changed", "Siphoned", "Scraped", "Thinned"):
        tap(page.get_by_role("button", name=re.compile(f"^{name}")))
        assert f"Written: {name}" in page.get_by_role("status").inner_text()
    tap(page.get_by_role("link", name=re.compile("^Reading")))
    page.get_by_label("KH", exact=True).fill("9")
    tap(page.get_by_role("button", name="Save"))
    assert "Written: KH: 9 dKH" in page.get_by_role("status").inner_text().replace("\u00a0", " ")
    calm(watched)


def test_a_doubt_is_settled_with_one_more_tap(loft: Any, open_on: Callable[..., Any]) -> None:
    page = open_on(loft, "/log").page
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile("^Topped up")).tap()
    with page.expect_navigation():
        page.locator("#asked button").last.tap()
    assert "Written: Topped up 6 L" in page.get_by_role("status").inner_text().replace("\u00a0", " ")


def test_a_wet_double_press_counts_once(loft: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(loft, "/log")
    page = watched.page
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile("^Fed")).dblclick()
    page.goto(watched.url + "/log")
    today = page.locator(".days .rows").first
    assert today.get_by_text(re.compile("^Fed")).count() == 1


def test_an_import_with_three_broken_lines(loft: Any, open_on: Callable[..., Any], tmp_path: Path) -> None:
    lines = (LOFT / "log.csv").read_text(encoding="utf-8").splitlines()
    for number, (_, text) in BROKEN.items():
        lines[number - 1] = text
    (tmp_path / "log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    toml = (LOFT / "tank.toml").read_text(encoding="utf-8").replace("Loft tank under the gable", "Borrowed tank")
    (tmp_path / "tank.toml").write_text(toml, encoding="utf-8")
    watched = open_on(loft, "/log")
    page = watched.page
    page.get_by_role("link", name="Read a folder").click()
    page.locator("[name=files]").set_input_files([str(tmp_path / "tank.toml"), str(tmp_path / "log.csv")])
    page.get_by_role("button", name="Look at them first").click()
    assert "3 cannot yet" in page.locator("h1").inner_text()
    for number in BROKEN:
        assert page.get_by_text(f"log.csv, line {number}", exact=True).is_visible()
    assert "'cups' is not a unit" in page.locator("main").inner_text()
    page.get_by_label("log.csv, line 120").fill("2025-12-10T18:00,scrape,panes,2,,")
    page.get_by_role("button", name="Read again with corrections").click()
    assert "2 cannot yet" in page.locator("h1").inner_text()
    page.get_by_role("button", name="Take in the rest").click()
    assert "2 kept as written" in page.get_by_role("status").inner_text()
    assert "Borrowed tank" in page.locator(".tank").inner_text()
    assert "2 of" in page.get_by_text("lines could not be read").inner_text()
    calm(watched)


def test_undo(loft: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(loft, "/log")
    page = watched.page
    page.get_by_role("textbox", name="What happened").fill("weighed juniper 580")
    page.keyboard.press("Enter")
    assert "Written: Juniper weighs 580 g" in page.get_by_role("status").inner_text().replace("\u00a0", " ")
    page.get_by_role("button", name="Take it back").click()
    assert "Taken back: Juniper weighs 580 g" in page.get_by_role("status").inner_text().replace("\u00a0", " ")
    assert page.locator("s").first.inner_text().replace("\u00a0", " ") == "Juniper weighs 580 g"
    calm(watched)


def test_files_can_be_dropped(loft: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(loft, "/log/import")
    page = watched.page
    page.evaluate(
        """() => {
            const data = new DataTransfer();
            data.items.add(new File(["time,kind,what,amount,unit,note\\n"], "log.csv"));
            const place = document.querySelector("[data-drop]");
            place.dispatchEvent(new DragEvent("drop", { dataTransfer: data, bubbles: true, cancelable: true }));
        }"""
    )
    assert page.evaluate("document.querySelector('[name=files]').files[0].name") == "log.csv"


def test_everything_can_be_reached_by_keyboard(loft: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(loft, "/log", width=1280)
    page = watched.page
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = set()
    for _ in range(40):
        page.keyboard.press("Tab")
        reached.add(
            page.evaluate(
                "(document.activeElement.name || document.activeElement.textContent || '').trim().slice(0, 20)"
            )
        )
    assert {"line", "Save", "Log", "Emergency"} <= reached


def test_the_bar_of_long_work_renews_itself(loft: Any, open_on: Callable[..., Any]) -> None:
    watched = open_on(loft, "/", width=390)
    page = watched.page
    with page.expect_navigation():
        page.get_by_role("button", name=re.compile("^Fed")).first.tap()
    assert page.locator("progress").count() == 1
    assert "the numbers of" in page.locator("#working").inner_text()
    watched.work()
    page.locator("progress").wait_for(state="detached", timeout=20000)
    assert page.locator("body[data-busy]").count() == 0


@pytest.fixture
def serve_copy(tmp_path: Path, serve_one: Callable[..., Any]) -> Iterator[Callable[[Any], Any]]:
    """Serve a copy of a household for one story."""
    with ExitStack() as stack:

        def serve(kept: Any) -> Any:
            own = kept if not kept.tank else kept.copy(tmp_path / "copy")
            return serve_one(own, stack)

        yield serve
