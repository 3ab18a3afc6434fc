"""Upkeep on a telephone: one step at a time, through a reload and a lost connection, every event once, power said."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from lentic.keeper import logbook, upkeep
from lentic.logbook.events import Change, Event, Power, Reading, Scrape, Siphon, without_voided

Posts = Callable[..., Any]
BEGUN = datetime(2026, 4, 6, 8, tzinfo=UTC)
LONG_MS = 15_000


@dataclass
class Stand:
    """A copy of the example that is served with a clock of its own."""

    url: str
    app: Any
    before: int
    now: list[datetime] = field(default_factory=list)

    def later(self, minutes: float) -> None:
        """Let time pass at the tank."""
        self.now[0] += timedelta(minutes=minutes)

    def written(self) -> list[Event]:
        """Return what the log gained and what of it stands, oldest first."""
        desk = self.app.state.desk
        return list(without_voided(desk.held(desk.store.tanks()[0]).events)[self.before :])


@pytest.fixture
def own(plain: Any, clients: Callable[..., Any]) -> Iterator[Any]:
    with clients(plain.app()) as client:
        yield client


@pytest.fixture
def stand(plain: Any, serve_one: Callable[..., Any]) -> Iterator[Stand]:
    now = [BEGUN]
    with ExitStack() as stack:
        served = serve_one(plain, stack, clock=lambda: now[0])
        made = Stand(url=served.url, app=served.app, before=0, now=now)
        made.before = len(made.written())
        yield made


def current(page: Any) -> str:
    """Return which step is on the screen."""
    return str(page.locator(".panel:not([hidden])").get_attribute("id"))


def press(page: Any, step: str, value: str = "") -> None:
    """Press the large button of a step and wait for the next."""
    assert current(page) == step
    panel = page.locator(f"#{step}")
    if panel.locator(".enough").is_visible():
        panel.locator(".enough").click()
    if step == "scrape" and value:
        panel.locator(f"input[type=radio][name=value][value='{value}']").check(force=True)
    elif value:
        panel.locator("input[name=value]").fill(value)
    panel.locator(".main").click()
    shown(page, f".panel:not([hidden]):not(#{step})")


def shown(page: Any, what: str) -> None:
    """Wait until something is on the screen and the page around it is there as a whole."""
    page.wait_for_selector(what, timeout=LONG_MS)
    page.wait_for_load_state()


def test_a_whole_upkeep_with_a_reload_and_a_lost_connection(
    stand: Stand, watch: Callable[..., Any]
) -> None:  # fmt: skip
    watched = watch(width=390)
    page = watched.page
    page.context.unroute_all()  # a watched browser keeps no files, and here a page is loaded for each step
    page.goto(f"{stand.url}/do/upkeep")
    assert re.fullmatch(r"\d+ steps, about \d+\sminutes\.", page.locator("h1").inner_text())
    page.locator("input[name=amount]").first.fill("45")
    page.get_by_role("button", name="Reckon again").click()
    page.wait_for_url("**amount=45", timeout=LONG_MS)
    assert "Set out 45 L" in page.locator(".plan").text_content().replace("\u00a0", " ")
    page.get_by_role("button", name="Start").click()
    shown(page, "#look")
    assert page.evaluate("document.documentElement.scrollWidth") == 390
    main = page.locator("#look .main").bounding_box()
    assert main["height"] >= 144
    assert main["y"] >= 844 / 2
    press(page, "look", "22,5")
    press(page, "prepare")
    stand.later(3)
    press(page, "power_off")
    assert page.locator("#off").is_visible()
    assert page.locator("#since").inner_text() == "10:03"
    assert page.locator("#by b").inner_text() == "12:03"
    page.reload()
    assert current(page) == "animal"
    assert page.locator("#by .left").inner_text() == "2 h 00 min left"
    go_through_without_connection(stand, watched)
    finish(stand, page)
    lost = [said for said in watched.errors if "ERR_INTERNET_DISCONNECTED" not in said]
    assert not lost, lost


def go_through_without_connection(stand: Stand, watched: Any) -> None:
    """Press four buttons while nothing can be sent, one of them taken back, and see them written in order."""
    page = watched.page
    press(page, "animal")
    page.context.set_offline(True)
    assert "No connection" in page.locator("#offline").inner_text()
    press(page, "scale")
    press(page, "scrape", "2")
    assert "2 presses are kept on this device" in page.locator("#offline").inner_text()
    assert page.locator("#leaves .back span").inner_text() == "Scrape the panes"
    page.locator("#leaves .back").click()
    shown(page, "#scrape:not([hidden])")
    press(page, "scrape", "3")
    assert [type(event) for event in stand.written()] == [Reading, Power], "nothing reached the log yet"
    stand.later(1)
    page.context.set_offline(False)
    shown(page, "[data-marks='8']")
    assert current(page) == "leaves"
    assert not page.locator("#offline").is_visible()
    grades = [event.grade for event in stand.written() if isinstance(event, Scrape)]
    assert grades == [3.0]


def count_buckets(page: Any) -> None:
    """Count two buckets and take one back; a reload in between forgets none."""
    for number in (1, 2):
        page.get_by_role("button", name=f"Bucket {number} is full").click()
    page.reload()
    counted = page.locator("#siphon .counted")
    assert counted.inner_text() == "2"
    page.get_by_role("button", name="Take one back").click()
    assert counted.inner_text() == "1"


def finish(stand: Stand, page: Any) -> None:
    """Wait for the heater, leave a step out, and close with the power on again."""
    press(page, "leaves")
    assert page.locator("#siphon .timer .at").inner_text() == "10:18"
    assert page.locator("#siphon .main").is_disabled()
    stand.later(15)
    page.reload()
    count_buckets(page)
    press(page, "siphon")
    page.locator("#rinse summary").click()
    page.locator("#rinse").get_by_label("No time").check()
    page.get_by_role("button", name="Leave this step out").click()
    shown(page, "#refill:not([hidden])")
    for number in (1, 2):
        page.get_by_role("button", name=f"Bucket {number} is in").click()
    page.get_by_role("link", name="Pause").locator("visible=true").click()
    shown(page, ".standing")
    stop = page.locator(".standing")
    assert "Stop" in stop.inner_text()
    assert "The power has been off since 10:03. On again by 12:03." in stop.inner_text()
    stop.click()
    shown(page, "#refill:not([hidden])")
    assert page.locator("#refill .counted").inner_text() == "2"
    page.locator("#refill .enough").click()
    assert page.locator("#refill input[name=value]").input_value() == "18", "two of five buckets of 45 L"
    press(page, "refill", "44")
    for step in ("back", "power_on", "running", "wash"):
        press(page, step)
    assert page.locator("#off").is_hidden()
    press(page, "after", "21")
    assert "Left out. Was that meant?" in page.locator("#end").inner_text()
    assert "No time" in page.locator("#end").inner_text()
    page.get_by_role("button", name="Close the session").click()
    page.wait_for_url(f"{stand.url}/", timeout=LONG_MS)
    shown(page, ".said")
    assert "Upkeep is closed" in page.locator(".said").inner_text()
    kinds = Counter(type(event) for event in stand.written())
    assert kinds == {Reading: 2, Power: 2, Scrape: 1, Siphon: 1, Change: 1}
    assert [event.litres for event in stand.written() if isinstance(event, Change)] == [44.0]
    assert [event.on for event in stand.written() if isinstance(event, Power)] == [False, True]


def test_the_running_session_keeps_the_rules_of_the_pages(stand: Stand, watch: Callable[..., Any]) -> None:
    from axe_playwright_python.sync_playwright import Axe

    desk = stand.app.state.desk
    where = desk.where(desk.store.tanks()[0])
    upkeep.begin(where, may_fit=False)
    for step in ("look", "prepare", "power_off"):
        assert not upkeep.done(where, step).refused
    for dark in (False, True):
        watched = watch(width=1280 if dark else 390, dark=dark)
        page = watched.page
        page.goto(f"{stand.url}/do/upkeep")
        assert current(page) == "animal"
        found = Axe().run(page).response["violations"]
        assert not found, [(each["id"], each["nodes"][0]["html"][:200]) for each in found]
        assert not watched.errors
        assert page.locator(".list").is_visible()


def pressed(client: Any, posts: Posts, what: str, step: str = "", **more: Any) -> Any:
    """Send a press as the page without script would."""
    desk = client.app.state.desk
    tank = desk.store.tanks()[0]
    sessions = desk.store.sessions(tank, only_open=True)
    session = sessions[-1].key if sessions else ""
    marks = len(sessions[-1].marks) if sessions else 0
    fields = {"what": what, "step": step, "tank": tank, "session": session, "number": marks, **more}
    return posts(client, "/do/upkeep", **fields)


def test_without_script_and_with_two_presses_a_step_is_written_once(own: Any, posts: Posts) -> None:
    desk = own.app.state.desk
    tank = desk.store.tanks()[0]
    before = len(desk.held(tank).events)
    assert pressed(own, posts, "begin").status_code == 303
    assert "Look at juniper" in own.get("/do/upkeep").text
    for _ in range(2):
        assert pressed(own, posts, "done", "look", value="22", number=0).status_code == 303
    assert len(desk.held(tank).events) == before + 1
    refused = pressed(own, posts, "done", "siphon")
    assert refused.status_code == 422
    assert "First" in refused.text
    wrong = pressed(own, posts, "done", "scrape", value="often")
    assert wrong.status_code == 422
    assert "is not a number" in wrong.text
    assert pressed(own, posts, "stop").status_code == 303
    assert pressed(own, posts, "end").status_code == 303
    assert "Upkeep is closed: 1 step is written down." in own.get("/").text
    late = pressed(own, posts, "done", "prepare", session="gone")
    assert late.status_code == 303
    assert "Nothing was written" in own.get("/do/upkeep").text


def test_numbers_are_typed_in_the_keepers_own_units(own: Any, posts: Posts) -> None:
    posts(own, "/preferences", temperature="°F", volume="US gal", hardness="dKH")
    desk = own.app.state.desk
    tank = desk.store.tanks()[0]
    page = own.get("/do/upkeep?amount=10").text
    assert "Set out 10 US gal" in page.replace("\u00a0", " ")
    assert own.get("/do/upkeep?amount=much").status_code == 422
    pressed(own, posts, "begin", amount="10")
    assert "<span>°F</span>" in own.get("/do/upkeep").text
    pressed(own, posts, "done", "look", value="71.6")
    last = desk.held(tank).events[-1]
    assert isinstance(last, Reading)
    assert last.value == pytest.approx(22.0)
    steps = desk.store.sessions(tank, only_open=True)[-1].body["steps"]
    refill = next(step for step in steps if step["id"] == "refill")
    # 1 US gallon is 3.785411784 L: NIST Handbook 44 (2024), appendix C
    assert refill["amount"] == pytest.approx(10 * 3.785411784)


def test_a_press_that_was_kept_keeps_its_time(own: Any, posts: Posts) -> None:
    pressed(own, posts, "begin")
    desk = own.app.state.desk
    tank = desk.store.tanks()[0]
    for step in ("look", "prepare", "power_off"):
        pressed(own, posts, "done", step, ago=600)
    power = desk.held(tank).events[-1]
    begun = desk.store.sessions(tank, only_open=True)[-1].begun
    assert power.time == begun, "ten minutes ago lies before the session: no press is older than it"
    answer = own.post(
        "/do/upkeep", headers={"accept": "application/json"},
        data={**token(own), "what": "back", "step": "power_off", "tank": tank, "session": "gone", "number": 3},
    )  # fmt: skip
    assert answer.json()["refused"] == "That session is closed. Nothing was written."
    assert not answer.json()["open"]


def test_power_left_off_is_said_on_every_page_of_every_tank(
    plain: Any, tmp_path: Path, clients: Callable[..., Any], posts: Posts
) -> None:
    now = [BEGUN]
    shelf = tmp_path / "shelf"
    shelf.mkdir()
    (shelf / "tank.toml").write_text('format = "lentic-tank-1"\nname = "Shelf"\n[tank]\nwater_l = 60.0\n')
    (shelf / "log.csv").write_text("time,kind,what,amount,unit,note\n")
    logbook.import_folder(shelf, BEGUN, plain.home)
    with clients(plain.app(clock=lambda: now[0])) as client:
        fields = {"tank": plain.tank, "what": "begin"}
        posts(client, "/do/upkeep", **fields)
        key = client.app.state.desk.store.sessions(plain.tank, only_open=True)[-1].key
        for number, step in enumerate(("look", "prepare", "power_off")):
            posts(client, "/do/upkeep", tank=plain.tank, session=key, number=number, what="done", step=step)
        posts(client, "/tanks", tank="Shelf")
        page = client.get("/log").text
        assert f"The power at {plain.tank} has been off since 10:00. On again by 12:00." in page
        assert "/do/upkeep?tank=Loft%20tank" in page
        assert "Upkeep of this week" in client.get("/do/upkeep").text, "the other tank has its own upkeep"
        now[0] += timedelta(hours=3)
        assert "Time was up at 12:00" in client.get("/").text
        late = client.get(f"/do/upkeep?tank={plain.tank}").text
        assert "pour its water away" in late
        assert "See where juniper is" in late


def token(client: Any) -> dict[str, str]:
    text = client.get("/preferences").text
    return {"form_token": text.partition('name="form_token" value="')[2].partition('"')[0]}
