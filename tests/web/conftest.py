"""Tanks that are ready to be looked at, pages served to a test client and to a real browser."""

from __future__ import annotations

import os
import shutil
import socket
import threading
import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import uvicorn
from fastapi import FastAPI

from lentic.keeper import logbook
from lentic.keeper.desk import Desk, Worker
from lentic.web.app import make_app
from lentic.web.settings import Settings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its own note on which HTTP library it will want one day
    from starlette.testclient import TestClient

ROOT = Path(__file__).parents[2]
LOFT = ROOT / "examples" / "loft-tank"
CLOCK = datetime(2026, 4, 6, 8, tzinfo=UTC)
CHROMIUM = Path("/usr/bin/chromium")
FLAGS = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--disable-dev-shm-usage",
)  # fmt: skip
EMPTY = 'format = "lentic-tank-1"\nname = "Shelf"\ntimezone = "Europe/Oslo"\n[tank]\nwater_l = 120.0\n'


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A household's folder, the moment that counts as now, and the tank in it."""

    home: Path
    clock: datetime
    tank: str

    def settings(self, **more: Any) -> Settings:
        """Return how to serve it: at this moment, with no worker unless a test wants one."""
        return Settings(**{"home": self.home, "clock": lambda: self.clock, "works": False, **more})

    def app(self, **more: Any) -> FastAPI:
        """Return the pages over it."""
        return make_app(self.settings(**more))

    def work(self) -> int:
        """Do all work that waits, here and now; return how many pieces there were."""
        worker = Worker(self.home, "a worker of a test", lambda: self.clock)
        pieces = 0
        while worker.once():
            pieces += 1
        return pieces

    def copy(self, folder: Path) -> Kept:
        """Return a copy that a test may write into."""
        shutil.copytree(self.home, folder)
        return Kept(home=folder, clock=self.clock, tank=self.tank)


@pytest.fixture(scope="session", autouse=True)
def few() -> Iterator[None]:
    """Fit with few versions of the tank: the pages do not care, and it is twenty times as fast."""
    before = os.environ.get("LENTIC_MEMBERS")
    os.environ["LENTIC_MEMBERS"] = "48"  # with half as many the long log is fitted by tanks that boil
    yield
    if before is None:
        del os.environ["LENTIC_MEMBERS"]
    else:
        os.environ["LENTIC_MEMBERS"] = before


def fill(kept: Kept) -> None:
    """Ask every page that has an address of its own once, and work out what they wait for."""
    app = kept.app()
    with client_of(app) as client:
        for path in page_paths(app):
            client.get(path)
    kept.work()


def page_paths(app: FastAPI) -> list[str]:
    """Return the address of every page that needs nothing filled in."""
    found: set[str] = set()
    for route in all_routes(app):
        path, methods = getattr(route, "path", ""), getattr(route, "methods", None) or set()
        page = "GET" in methods and "{" not in path and not path.startswith("/api/")
        if page and "." not in path.rpartition("/")[2]:
            found.add(path)
    return sorted(found)


def all_routes(app: FastAPI) -> list[Any]:
    """Return every route, those of included routers among them."""
    found: list[Any] = []
    waiting = list(app.routes)
    while waiting:
        route = waiting.pop()
        inner = getattr(getattr(route, "original_router", None), "routes", None)
        if inner:
            waiting += inner
        else:
            found.append(route)
    return found


@pytest.fixture(scope="session")
def loft(few: None, tmp_path_factory: pytest.TempPathFactory) -> Kept:
    """The example, with every page's answer worked out. Read only: take `loft.copy(tmp_path / "home")` to write."""
    home = tmp_path_factory.mktemp("loft") / "home"
    brought = logbook.import_folder(LOFT, CLOCK, home)
    kept = Kept(home=home, clock=CLOCK, tank=brought.tank)
    fill(kept)
    return kept


@pytest.fixture(scope="session")
def empty(few: None, tmp_path_factory: pytest.TempPathFactory) -> Kept:
    """A tank that was described and of which nothing was written down. Read only."""
    folder = tmp_path_factory.mktemp("empty")
    (folder / "tank.toml").write_text(EMPTY, encoding="utf-8")
    (folder / "log.csv").write_text("time,kind,what,amount,unit,note\n", encoding="utf-8")
    brought = logbook.import_folder(folder, CLOCK, folder / "home")
    return Kept(home=folder / "home", clock=CLOCK, tank=brought.tank)


@pytest.fixture(scope="session")
def years(few: None, tmp_path_factory: pytest.TempPathFactory) -> Kept:
    """Three years of log: the example's half year, six times over. Read only."""
    folder = tmp_path_factory.mktemp("years")
    shutil.copy(LOFT / "tank.toml", folder)
    head, *lines = (LOFT / "log.csv").read_text(encoding="utf-8").splitlines()
    moved = []
    for back in range(5, -1, -1):
        for line in lines:
            stamp, comma, rest = line.partition(",")
            moment = datetime.fromisoformat(stamp) - timedelta(days=182 * back)
            moved.append(f"{moment:%Y-%m-%dT%H:%M}{comma}{rest}")
    (folder / "log.csv").write_text("\n".join([head, *moved]) + "\n", encoding="utf-8")
    brought = logbook.import_folder(folder, CLOCK, folder / "home")
    kept = Kept(home=folder / "home", clock=CLOCK, tank=brought.tank)
    fill(kept)
    return kept


@pytest.fixture
def nobody(tmp_path: Path) -> Kept:
    """A household without any tank."""
    Desk(tmp_path / "home", lambda: CLOCK).close()
    return Kept(home=tmp_path / "home", clock=CLOCK, tank="")


@pytest.fixture
def plain(nobody: Kept) -> Kept:
    """The example with nothing worked out, for pages that wait for no fit. May be written into."""
    return Kept(home=nobody.home, clock=CLOCK, tank=logbook.import_folder(LOFT, CLOCK, nobody.home).tank)


def client_of(app: FastAPI, peer: str = "127.0.0.1", host: str = "127.0.0.1:8420", **more: Any) -> TestClient:
    """Return a client that comes from a peer and asks under a name; redirects are shown, not followed."""
    return TestClient(app, base_url=f"http://{host}", client=(peer, 50000), follow_redirects=False, **more)


@pytest.fixture
def client(loft: Kept) -> Iterator[TestClient]:
    """A client of the example's pages; for reading."""
    with client_of(loft.app()) as made:
        yield made


@pytest.fixture
def own(loft: Kept, tmp_path: Path) -> Iterator[TestClient]:
    """A client of a copy of the example; for writing."""
    with client_of(loft.copy(tmp_path / "home").app()) as made:
        yield made


def token_of(client: TestClient, path: str = "/preferences") -> str:
    """Return the token of this client's forms."""
    text = client.get(path).text
    return str(text.partition('name="form_token" value="')[2].partition('"')[0])


def post(client: TestClient, path: str, **fields: Any) -> Any:
    """Send a form as the page would."""
    return client.post(path, data={"form_token": token_of(client), **fields})


@pytest.fixture(scope="session")
def paths_of() -> Callable[[FastAPI], list[str]]:
    """Return the address of every page that needs nothing filled in."""
    return page_paths


@pytest.fixture(scope="session")
def routes_of() -> Callable[[FastAPI], list[Any]]:
    """Return every route of an application."""
    return all_routes


@pytest.fixture(scope="session")
def clients() -> Callable[..., TestClient]:
    """Return a client of an application from any peer, under any name: `clients(app, peer, host)`."""
    return client_of


@pytest.fixture(scope="session")
def posts() -> Callable[..., Any]:
    """Send a form as the page would: `posts(client, path, **fields)`."""
    return post


@dataclass(frozen=True, kw_only=True)
class Served:
    """Pages that a browser can open."""

    url: str
    app: FastAPI
    kept: Kept


def served(kept: Kept, stack: ExitStack, **more: Any) -> Served:
    """Serve a household on a free port of this machine until the stack closes."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    app = kept.app(port=port, **more)
    config = uvicorn.Config(app, host="127.0.0.1", port=port, log_level="error", access_log=False, lifespan="on",
                            timeout_graceful_shutdown=1, proxy_headers=False)  # fmt: skip
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run, daemon=True)
    thread.start()
    until = time.monotonic() + 20.0
    while not server.started and time.monotonic() < until:
        time.sleep(0.02)
    assert server.started, "the server did not start within 20 seconds"

    def stop() -> None:
        server.should_exit = True
        thread.join(timeout=10.0)

    stack.callback(stop)
    return Served(url=f"http://127.0.0.1:{port}", app=app, kept=kept)


@pytest.fixture(scope="session")
def serving() -> Iterator[Callable[..., Served]]:
    """Serve households for the length of the session: `serving(kept).url`; the same household is served once."""
    with ExitStack() as stack:
        known: dict[Path, Served] = {}

        def serve(kept: Kept, **more: Any) -> Served:
            if kept.home not in known:
                known[kept.home] = served(kept, stack, **more)
            return known[kept.home]

        yield serve


@pytest.fixture(scope="session")
def serve_one() -> Callable[..., Served]:
    """Serve a household until a stack closes: `serve_one(kept, stack)`."""
    return served


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A real browser; these tests are not skipped where it is missing, they fail and say so."""
    if not CHROMIUM.exists():
        pytest.fail(
            f"The pages are tested in a real browser and {CHROMIUM} is not there. On Debian: apt install chromium"
        )
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        started = play.chromium.launch(executable_path=str(CHROMIUM), args=list(FLAGS))
        yield started
        started.close()


@dataclass
class Watched:
    """A page in the browser, and everything about it that must not happen."""

    page: Any
    errors: list[str]
    outside: list[str]
    url: str = ""
    work: Callable[[], int] = int


@pytest.fixture
def watch(browser: Any) -> Iterator[Callable[..., Watched]]:
    """Open a page with the network cut: whatever is asked of another machine is stopped and noted."""
    contexts: list[Any] = []

    def opened(width: int = 390, dark: bool = False, script: bool = True) -> Watched:
        context = browser.new_context(
            viewport={"width": width, "height": 844 if width < 768 else 900},
            color_scheme="dark" if dark else "light", java_script_enabled=script, has_touch=width < 768,
        )  # fmt: skip
        contexts.append(context)
        page = context.new_page()
        watched = Watched(page=page, errors=[], outside=[])

        def guard(route: Any) -> None:
            address = route.request.url
            if address.startswith(("http://127.0.0.1:", "data:", "blob:")):
                route.continue_()
            else:
                watched.outside.append(address)
                route.abort()

        context.route("**/*", guard)
        page.on("console", lambda said: watched.errors.append(said.text) if said.type in ("error", "warning") else None)
        page.on("response", lambda got: watched.errors.append(f"{got.status} {got.url}") if got.status >= 400 else None)
        page.on("pageerror", lambda error: watched.errors.append(str(error)))
        return watched

    yield opened
    for context in contexts:
        context.close()
