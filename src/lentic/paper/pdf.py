"""Cards as PDF, printed by a browser that is there; each card keeps to its pages or says what it left out."""

from __future__ import annotations

import re
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from pathlib import Path

from lentic import LenticError
from lentic.keeper.cards import Emergencies, VetCard
from lentic.paper.render import CUTS, LEFT_OUT, Card, document_of

BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "microsoft-edge",
    "chrome",
    "msedge",
)
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
    "--no-pdf-header-footer",
)
NO_NETWORK = "--host-resolver-rules=MAP * ~NOTFOUND"
WAIT_S = 60.0
_PAGE = re.compile(rb"/Type\s*/Page(?!s)")


class PrintError(LenticError):
    """A card cannot be printed; the message says what to do instead."""


def browser() -> str | None:
    """Return the browser that prints, if there is one."""
    return next((found for name in BROWSERS if (found := shutil.which(name))), None)


def printed(html: str) -> bytes:
    """Return a document as PDF."""
    program = browser()
    if program is None:
        raise PrintError(
            "No browser that prints was found (chromium or a relative of it). Write the card with --html, open it "
            "in any browser and print it from there."
        )
    with tempfile.TemporaryDirectory() as place:
        page, target = Path(place) / "card.html", Path(place) / "card.pdf"
        page.write_text(html, encoding="utf-8")
        profile = f"--user-data-dir={Path(place) / 'profile'}"
        call = [program, *FLAGS, NO_NETWORK, profile, f"--print-to-pdf={target}", page.as_uri()]
        try:
            subprocess.run(call, check=False, capture_output=True, timeout=WAIT_S)
        except (OSError, subprocess.TimeoutExpired) as error:
            raise PrintError(f"{program} did not print the card. Write it with --html and print it by hand.") from error
        if not target.is_file():
            raise PrintError(f"{program} did not print the card. Write it with --html and print it by hand.")
        return target.read_bytes()


def pages_in(pdf: bytes) -> int:
    """Return the number of pages of a PDF."""
    return len(_PAGE.findall(pdf))


def sheets_of(card: Card) -> int:
    """Return how many pages a card may have: one, or one for each emergency or animal."""
    if isinstance(card, Emergencies):
        return len(card.cards)
    return len(card.pages) if isinstance(card, VetCard) else 1


def fitted(card: Card, render: Callable[[str], bytes] = printed) -> tuple[bytes, tuple[str, ...]]:
    """Return a card as PDF on its pages, and what had to be left out for that, in words."""
    order = CUTS[type(card)]
    for count in range(len(order) + 1):
        cut: Sequence[str] = order[:count]
        pdf = render(document_of(card, cut))
        if pages_in(pdf) <= sheets_of(card):
            return pdf, tuple(LEFT_OUT[name] for name in cut)
    raise PrintError("The card does not fit its page even with all cut that may be: shorten names and notes.")
