"""The process that works out long answers: one piece after the other, until the server that started it is gone."""

from __future__ import annotations

import os
import sys
import threading
import time
import traceback
from pathlib import Path

from lentic.keeper.desk import Worker
from lentic.web.settings import wall_clock

PAUSE_S = 0.25
SLOWER = 5
"""How much this process steps back for the pages and everything else on the machine. [steps of nice]"""


def main(home: str, name: str) -> None:
    """Work until standard input ends, which is when the server ends, however it ends."""
    threading.Thread(target=_end_with_the_server, daemon=True).start()
    if hasattr(os, "nice"):
        os.nice(SLOWER)
    worker = Worker(Path(home), name, wall_clock)
    while True:
        try:
            busy = worker.once()
        except Exception:
            traceback.print_exc()
            busy = False
        if not busy:
            time.sleep(PAUSE_S)


def _end_with_the_server() -> None:
    while sys.stdin.buffer.read(1):
        pass
    os._exit(0)


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
