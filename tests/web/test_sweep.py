"""Every page, light and dark, narrow and wide, with the example, an empty tank and three years of log, network cut."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

WIDTHS = (390, 1280)


@pytest.fixture(scope="module")
def axe() -> Any:
    from axe_playwright_python.sync_playwright import Axe

    return Axe()


def told(results: Any) -> list[str]:
    """Return what axe found, with the element."""
    return [
        f"{each['id']}: {node['html'][:160]} {node['failureSummary'][:200]}"
        for each in results.response["violations"]
        for node in each["nodes"][:3]
    ]


# only colours change in the dark, and they are the same in all three households
@pytest.mark.parametrize(
    ("which", "dark"), [("loft", False), ("loft", True), ("empty", False), ("years", False)],
    ids=["loft-light", "loft-dark", "empty", "years"],
)  # fmt: skip
def test_every_page(
    which: str, dark: bool, request: pytest.FixtureRequest, serving: Callable[..., Any], watch: Callable[..., Any],
    axe: Any, paths_of: Callable[[Any], list[str]],
) -> None:  # fmt: skip
    kept = request.getfixturevalue(which)
    served = serving(kept)
    found: list[str] = []
    for width in WIDTHS:
        watched = watch(width=width, dark=dark)
        for path in paths_of(served.app):
            answer = watched.page.goto(served.url + path)
            here = f"{path} {width} px"
            if answer is None or answer.status >= 400:
                found.append(f"{here}: status {answer.status if answer else 'none'}")
                continue
            wide = watched.page.evaluate("document.documentElement.scrollWidth")
            if wide > width:
                found.append(f"{here}: scrolls sideways, {wide} px")
            # axe once for each page, household and theme
            if width == (WIDTHS[1] if dark or which == "empty" else WIDTHS[0]):
                found += [f"{here}: {each}" for each in told(axe.run(watched.page))]
        found += [f"{width} px: console: {each}" for each in watched.errors]
        found += [f"{width} px: asked of another machine: {each}" for each in watched.outside]
    assert not found, "\n".join(found)


def test_a_page_that_asks_another_machine_is_seen(watch: Callable[..., Any]) -> None:
    watched = watch()
    watched.page.set_content('<img src="http://192.0.2.1/picture.png">')
    watched.page.wait_for_timeout(100)
    assert watched.outside == ["http://192.0.2.1/picture.png"]
