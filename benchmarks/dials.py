"""How long a turned dial takes to be answered on the page: `python benchmarks/dials.py`.

The example is brought into a store of its own and its plans are worked out; then the page of plans is asked for with
one dial turned, each time to another place, as the script on the page does. All possible tanks answer each time.
Seconds on the wall belong to the load of the machine; those of the processor, of all threads together, do not.
"""

from __future__ import annotations

import json
import os
import statistics
import tempfile
import time
import warnings
from datetime import UTC, datetime
from pathlib import Path

from lentic.keeper import logbook
from lentic.keeper.desk import Worker
from lentic.web.app import make_app
from lentic.web.settings import Settings

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # its own note on which HTTP library it will want one day
    from starlette.testclient import TestClient

EXAMPLE = Path(__file__).parents[1] / "examples" / "loft-tank"
NOW = datetime(2026, 4, 6, 8, tzinfo=UTC)
PLACES = [f"litres={litres}" for litres in range(55, 130, 5)] + [f"light_h={hours}" for hours in (6, 7, 8, 10, 11)]


def main() -> None:
    """Print the seconds of the first answer and of those that follow."""
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        logbook.import_folder(EXAMPLE, NOW, home)
        app = make_app(Settings(home=home, clock=lambda: NOW, works=False))
        with TestClient(app, base_url="http://127.0.0.1:8420", client=("127.0.0.1", 50000)) as client:
            client.get("/decide")
            worker = Worker(home, "benchmark", lambda: NOW)
            while worker.once():
                pass
            taken = [asked(client, place) for place in PLACES]
    wall, processor = [t[0] for t in taken[1:]], [t[1] for t in taken[1:]]
    print(json.dumps({
        "first_s": round(taken[0][0], 2), "answers": len(wall), "wall_median_s": round(statistics.median(wall), 2),
        "wall_most_s": round(max(wall), 2), "processor_median_s": round(statistics.median(processor), 2),
        "load": [round(x, 1) for x in os.getloadavg()],
    }, indent=1))  # fmt: skip


def asked(client: TestClient, place: str) -> tuple[float, float]:
    """Ask for the page with one dial turned; return seconds on the wall and of the processor."""
    wall, processor = time.perf_counter(), time.process_time()
    text = client.get(f"/decide?{place}").text
    assert "Yours" in text, place
    return time.perf_counter() - wall, time.process_time() - processor


if __name__ == "__main__":
    main()
