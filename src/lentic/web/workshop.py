"""Keeps a worker at work: started when there is something to do, started again when it ends half-way."""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import uuid
from datetime import timedelta

from lentic.keeper.desk import STALE_S, Desk
from lentic.web.settings import wall_clock

LOOK_S = 0.5
STALE_EVERY_S = 10.0


class Workshop:
    """One worker process and a thread that looks after it."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.process: subprocess.Popen[bytes] | None = None
        self.name = ""
        self._wake = threading.Event()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._look_after, name="lentic-workshop", daemon=True)

    def start(self) -> None:
        """Begin; work that was left lying is picked up."""
        self.desk.wake = self._wake.set
        self.desk.tidy()
        self._wake.set()
        self._thread.start()

    def stop(self) -> None:
        """End the worker; what it was at is picked up at the next start."""
        self._stop.set()
        self._wake.set()
        self._thread.join(timeout=5.0)
        self._end()

    def _look_after(self) -> None:
        waited = STALE_EVERY_S
        while not self._stop.is_set():
            if self.process is not None and self.process.poll() is not None:
                self._let_go(self.process)
                self.process = None
                self._wake.set()
            if waited >= STALE_EVERY_S:
                waited = 0.0
                if self.desk.store.pick_up(wall_clock() - timedelta(seconds=STALE_S)):
                    self._wake.set()
            if self._wake.is_set():
                self._wake.clear()
                if self.process is None and self._any_waiting():
                    self._begin()
            waited += LOOK_S
            self._wake.wait(LOOK_S)

    def _any_waiting(self) -> bool:
        return any(job.state == "waiting" for job in self.desk.store.jobs())

    def _begin(self) -> None:
        self.name = f"worker-{uuid.uuid4().hex[:12]}"
        command = [sys.executable, "-m", "lentic.web.worker", str(self.desk.home), self.name]
        self.process = subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, env=dict(os.environ))

    def _end(self) -> None:
        if self.process is None:
            return
        if self.process.stdin is not None:
            self.process.stdin.close()
        try:
            self.process.wait(timeout=5.0)
        except subprocess.TimeoutExpired:
            self.process.kill()
            self.process.wait()
        self._let_go(self.process)

    def _let_go(self, ended: subprocess.Popen[bytes]) -> None:
        """Put back what a worker that ended was at."""
        if ended.stdin is not None:
            ended.stdin.close()
        self.desk.store.pick_up(wall_clock(), self.name)
