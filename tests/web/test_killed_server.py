"""Telephones write while the server is killed: nothing that was accepted is lost, nothing stands twice."""

from __future__ import annotations

import json
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from contextlib import suppress
from http.client import HTTPException
from pathlib import Path
from typing import Any

from lentic.keeper.opening import open_store

PHONES, EACH = 5, 8


def start(port: int, home: Path) -> subprocess.Popen[bytes]:
    """Start the server in a process of its own and wait until it answers."""
    command = [sys.executable, "-m", "lentic.cli.main", "serve", "--port", str(port), "--now", "2026-04-06T10:00+02:00"]
    environment = {**os.environ, "LENTIC_HOME": str(home)}
    process = subprocess.Popen(command, env=environment, stderr=subprocess.DEVNULL)
    until = time.monotonic() + 60.0
    while time.monotonic() < until:
        with suppress(OSError, HTTPException), urllib.request.urlopen(f"http://127.0.0.1:{port}/api/v1/tanks"):
            return process
        time.sleep(0.05)
    raise AssertionError("the server did not answer within a minute")


def write(port: int, name: str) -> bool:
    """Send one entry under its receipt; tell whether it was accepted."""
    content = json.dumps({"text": f"look panes 1 ({name})", "receipt": f"receipt of {name}"}).encode()
    request = urllib.request.Request(
        f"http://127.0.0.1:{port}/api/v1/log", content, {"content-type": "application/json"}
    )
    with suppress(OSError, HTTPException, ValueError), urllib.request.urlopen(request, timeout=20) as answer:
        told = json.loads(answer.read())
        return bool(told["added"])
    return False


def test_nothing_accepted_is_lost_and_nothing_stands_twice(loft: Any, tmp_path: Path) -> None:
    kept = loft.copy(tmp_path / "home")
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    accepted: list[str] = []

    def phone(number: int) -> None:
        for each in range(EACH):
            name = f"phone {number} entry {each}"
            while not write(port, name):
                time.sleep(0.05)
            accepted.append(name)

    server = start(port, kept.home)
    threads = [threading.Thread(target=phone, args=(number,)) for number in range(PHONES)]
    try:
        for each in threads:
            each.start()
        while len(accepted) < PHONES * EACH // 3:
            time.sleep(0.01)
        server.send_signal(signal.SIGKILL)
        server.wait()
        server = start(port, kept.home)
        for each in threads:
            each.join()
    finally:
        server.terminate()
        server.wait()
    with open_store(kept.home) as store:
        notes = [event.note for event in store.read(kept.tank)[1]]
    assert len(accepted) == PHONES * EACH
    assert [notes.count(name) for name in accepted] == [1] * len(accepted)
