"""How fast the pages are against a static file, how heavy the opening page is, and whether writing survives a kill.

python benchmarks/pages.py            # all of it, about two minutes
python benchmarks/pages.py --phones 5 --events 50
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import re
import signal
import socket
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]
LOFT = ROOT / "examples" / "loft-tank"
NOW = "2026-04-06T10:00+02:00"
PAGES = ("/", "/log", "/why", "/why/readings", "/why/causes", "/decide", "/tank", "/start")
TURNS = 15
DEADLINE_S = 1200.0


def three_years(folder: Path) -> None:
    """Write the example's half year six times over."""
    folder.mkdir(parents=True)
    (folder / "tank.toml").write_bytes((LOFT / "tank.toml").read_bytes())
    head, *lines = (LOFT / "log.csv").read_text(encoding="utf-8").splitlines()
    moved = [head]
    for back in range(5, -1, -1):
        for line in lines:
            stamp, comma, rest = line.partition(",")
            moment = datetime.fromisoformat(stamp) - timedelta(days=182 * back)
            moved.append(f"{moment:%Y-%m-%dT%H:%M}{comma}{rest}")
    (folder / "log.csv").write_text("\n".join(moved) + "\n", encoding="utf-8")


class Server:
    """The pages in a process of their own, which can be killed and started again."""

    def __init__(self, home: Path) -> None:
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = int(probe.getsockname()[1])
        self.environment = {**os.environ, "LENTIC_HOME": str(home)}
        self.process: subprocess.Popen[bytes] | None = None

    def start(self) -> None:
        """Start, and wait until it answers."""
        command = [sys.executable, "-m", "lentic.cli.main", "serve", "--port", str(self.port), "--now", NOW]
        self.process = subprocess.Popen(command, env=self.environment, stderr=subprocess.DEVNULL)
        until = time.monotonic() + 60.0
        while time.monotonic() < until:
            with suppress(OSError):
                if self.get("/api/v1/tanks")[0] == 200:
                    return
            time.sleep(0.1)
        raise SystemExit("the server does not answer")

    def kill(self) -> None:
        """End it without a word."""
        if self.process is not None:
            self.process.send_signal(signal.SIGKILL)
            self.process.wait()

    def get(self, path: str) -> tuple[int, bytes]:
        """Return status and content of an address."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            connection.request("GET", path)
            answer = connection.getresponse()
            return answer.status, answer.read()
        finally:
            connection.close()

    def post(self, path: str, content: dict[str, str]) -> tuple[int, Any]:
        """Send JSON; return the status and the JSON that came back."""
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        try:
            connection.request("POST", path, json.dumps(content), {"content-type": "application/json"})
            answer = connection.getresponse()
            return answer.status, json.loads(answer.read())
        finally:
            connection.close()


def ready(server: Server) -> None:
    """Wait until every page has its answer."""
    until = time.monotonic() + DEADLINE_S
    for path in PAGES:
        while b"data-busy" in server.get(path)[1]:
            if time.monotonic() > until:
                raise SystemExit(f"{path} is still being worked out")
            time.sleep(0.5)


def median_ms(server: Server, path: str) -> float:
    """Return the middle time of an address, connection included. [ms]"""
    times = []
    for _ in range(TURNS):
        begun = time.perf_counter()
        server.get(path)
        times.append(1000.0 * (time.perf_counter() - begun))
    return statistics.median(times)


def speed(server: Server) -> None:
    """Print each page's time beside that of a static file from the same server."""
    _, page = server.get("/")
    files = re.findall(r'(?:href|src)="(/static/[^"]+)"', page.decode())
    still = median_ms(server, files[0])
    print(f"static file of {len(server.get(files[0])[1])} bytes: {still:.1f} ms")
    for path in PAGES:
        took = median_ms(server, path)
        print(f"{path:<16} {took:7.1f} ms   {took / still:5.1f} x static   {len(server.get(path)[1]):7d} bytes")
    sizes = {path: len(server.get(path)[1]) for path in files}
    script = sum(size for path, size in sizes.items() if ".js" in path)
    whole = len(page) + sum(sizes.values())
    print(f"opening page, first visit: {1 + len(files)} requests, {whole} bytes, {script} of them script")


def phone(server: Server, number: int, events: int, accepted: list[str]) -> None:
    """Write so many events, each until it was accepted, under a receipt of its own."""
    for each in range(events):
        name = f"phone {number} entry {each}"
        line = {"text": f"look panes 1 ({name})", "receipt": f"receipt of {name}"}
        while True:
            with suppress(OSError, http.client.HTTPException, ValueError):
                status, answer = server.post("/api/v1/log", line)
                if status == 200 and (answer["added"] or answer["twice"]):
                    break
            time.sleep(0.2)
        accepted.append(name)
        if each % 10 == 0:
            with suppress(OSError, http.client.HTTPException, ValueError):
                server.get("/log")


def survives(server: Server, phones: int, events: int, home: Path) -> None:
    """Let many phones write while the server is killed twice, and count what stands in the log."""
    from lentic.keeper.opening import open_store

    accepted: list[str] = []
    begun = time.monotonic()
    threads = [threading.Thread(target=phone, args=(server, n, events // phones, accepted)) for n in range(phones)]
    for each in threads:
        each.start()
    for share in (1 / 3, 2 / 3):
        while len(accepted) < share * phones * (events // phones):
            time.sleep(0.05)
        server.kill()
        server.start()
    for each in threads:
        each.join()
    with open_store(home) as store:
        notes = [event.note for event in store.read(store.tanks()[0])[1]]
    found = {name: notes.count(name) for name in accepted}
    lost = sum(count == 0 for count in found.values())
    doubled = sum(count > 1 for count in found.values())
    said = f"{len(accepted)} events accepted in {time.monotonic() - begun:.0f} s"
    print(f"{phones} phones, {said}, killed twice: {lost} lost, {doubled} doubled")
    if lost or doubled:
        raise SystemExit(1)


def main() -> None:
    """Measure on a three-year log in a folder that is thrown away."""
    from lentic.keeper.logbook import import_folder

    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--phones", type=int, default=50)
    arguments.add_argument("--events", type=int, default=2000)
    chosen = arguments.parse_args()
    with tempfile.TemporaryDirectory() as place:
        home = Path(place) / "home"
        three_years(Path(place) / "tank")
        import_folder(Path(place) / "tank", datetime.now(UTC), home)
        server = Server(home)
        server.start()
        try:
            ready(server)
            speed(server)
            survives(server, chosen.phones, chosen.events, home)
        finally:
            server.kill()


if __name__ == "__main__":
    main()
