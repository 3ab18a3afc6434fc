"""In a real browser: compare plans and start a trial, find out where a number comes from, all by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

Watch = Callable[..., Any]
Serve = Callable[..., Any]
SECONDS = 20_000


def quiet(watched: Any) -> None:
    assert not watched.errors and not watched.outside


def test_compare_two_plans_and_start_a_trial(loft: Any, tmp_path: Path, serving: Serve, watch: Watch) -> None:
    kept = loft.copy(tmp_path / "home")
    url = serving(kept).url
    watched = watch(width=390)
    page = watched.page
    page.goto(f"{url}/decide")
    before = page.locator(".plans thead th").count()
    litres = page.locator("input[type=range][data-for=dial-litres]")
    litres.evaluate("field => { field.value = 80; field.dispatchEvent(new Event('input', { bubbles: true })); }")
    page.wait_for_selector("#took[data-seconds]", state="attached", timeout=SECONDS)
    assert page.locator(".plans thead th").count() == before + 1
    assert page.locator(".plans thead th").last.inner_text().split("\n")[0].endswith("Yours: 80 L a change")
    assert "litres=80" in page.url
    page.get_by_role("link", name="See the prediction for plan").last.click()
    assert page.locator("h1").inner_text().startswith("Not ready yet")
    kept.work()
    page.wait_for_selector(".trial", timeout=SECONDS)  # the page looks again by itself
    assert "Ends early if" in page.locator(".trial").inner_text()
    page.get_by_role("button", name="Start this trial").click()
    assert "Written down as trial 1" in page.locator("[role=status]").first.inner_text()
    page.goto(f"{url}/decide/trials")
    assert page.locator("h1").inner_text() == "One trial is running."
    page.goto(f"{url}/decide")
    assert "Trial 1 is running" in page.locator("main").inner_text()
    page.goto(f"{url}/decide/trials/1")
    kept.work()
    page.wait_for_selector("h1:has-text('Too early to say')", timeout=SECONDS)
    quiet(watched)
    assert "still runs" in begin_again(page, url)


def begin_again(page: Any, url: str) -> str:
    """Try to start the same trial a second time; return what the page says."""
    page.goto(f"{url}/decide/trial?factor=litres&to=80")
    page.get_by_role("button", name="Start this trial").click()
    return str(page.locator("main").inner_text())


def test_without_script_a_plan_is_shaped_with_a_form(loft: Any, serving: Serve, watch: Watch) -> None:
    watched = watch(width=1280, script=False)
    page = watched.page
    page.goto(f"{serving(loft).url}/decide")
    page.get_by_label("Water at each change, L").locator("visible=true").fill("80")
    page.get_by_role("button", name="Work it out").click()
    assert "Yours: 80 L a change" in page.locator(".plans thead").inner_text()
    quiet(watched)


def test_find_out_where_a_number_comes_from(loft: Any, serving: Serve, watch: Watch) -> None:
    watched = watch(width=390)
    page = watched.page
    page.goto(f"{serving(loft).url}/why")
    shown = page.locator(".flows tbody tr").first.locator("b").first.inner_text().removeprefix("+")
    page.locator(".flows a.how").first.click()
    assert page.locator("h1").inner_text() == "How do we know this?"
    assert page.locator(".num").first.inner_text().startswith(f"{shown} mg a week".replace(" ", " ")[: len(shown)])
    text = page.locator("main").inner_text()
    for part in ("In plain steps", "What it rests on", "Assumed", "What would change it", "g a week ×"):
        assert part in text
    page.get_by_role("link", name="Back to Balance").click()
    assert page.url.endswith("/why?weeks=8")
    quiet(watched)


def focus_on(page: Any, wanted: str, most: int = 80) -> None:
    """Press Tab until the focused element has this text or label."""
    for _ in range(most):
        page.keyboard.press("Tab")
        held = page.evaluate(
            "() => { const e = document.activeElement, label = e.labels && e.labels[0];"
            " return e.getAttribute('aria-label') || (label && label.innerText) || e.innerText; }"
        )
        if held and held.strip().startswith(wanted):
            return
    pytest.fail(f"Tab never came to {wanted!r}")


def test_keyboard_alone_through_balance_and_decide(loft: Any, serving: Serve, watch: Watch) -> None:
    watched = watch(width=1280)
    page = watched.page
    page.goto(f"{serving(loft).url}/why")
    focus_on(page, "To the answer", 1)
    page.keyboard.press("Enter")
    focus_on(page, "Phosphorus")
    page.keyboard.press("Enter")
    page.wait_for_url("**element=P**")
    assert page.locator("#drawing").inner_text().startswith("Phosphorus")
    focus_on(page, "Decide")
    page.keyboard.press("Enter")
    page.wait_for_url("**/decide")
    focus_on(page, "Water at each change")
    page.keyboard.press("ArrowRight")
    page.wait_for_selector("#took[data-seconds]", state="attached", timeout=SECONDS)
    assert "Yours: 55 L a change" in page.locator(".plans thead").inner_text()
    quiet(watched)


def test_a_chart_is_read_out_by_arrow_keys_and_pointer(loft: Any, serving: Serve, watch: Watch) -> None:
    watched = watch(width=1280)
    page = watched.page
    page.goto(f"{serving(loft).url}/why/readings")
    chart = page.locator("#nitrate .look")
    chart.focus()
    last = chart.locator("output").inner_text()
    page.keyboard.press("ArrowLeft")
    before = chart.locator("output").inner_text()
    assert last and before and last != before
    box = chart.locator("svg.draw-wide").bounding_box()
    page.mouse.move(box["x"] + 0.1 * box["width"], box["y"] + 0.5 * box["height"])
    assert chart.locator("output").inner_text() not in (last, before)
    assert chart.locator("svg.draw-wide .cross.on").count() == 1
    quiet(watched)


@pytest.mark.parametrize("width", [390, 1280])
def test_no_lettering_of_a_drawing_covers_another_in_the_browser(
    loft: Any, serving: Serve, watch: Watch, width: int
) -> None:
    watched = watch(width=width)
    page = watched.page
    for path in ("/why", "/why?element=P", "/why/readings", "/why/causes", "/decide"):
        page.goto(f"{serving(loft).url}{path}")
        found = page.evaluate(
            """() => [...document.querySelectorAll('main svg')].flatMap((svg) => {
              const texts = [...svg.querySelectorAll('text')].map((t) => [t.textContent, t.getBoundingClientRect()])
                .filter(([, box]) => box.width > 0);
              const small = texts.filter(([, box]) => box.height < 14).map(([text]) => `small: ${text}`);
              const over = (a, b) => a.left < b.right - 1 && b.left < a.right - 1
                && a.top < b.bottom - 3 && b.top < a.bottom - 3;
              const meet = texts.flatMap(([text, a], k) => texts.slice(k + 1)
                .filter(([, b]) => over(a, b))
                .map(([other]) => `${text} / ${other}`));
              return [...small, ...meet];
            })"""
        )
        assert not found, f"{path}: {found}"
