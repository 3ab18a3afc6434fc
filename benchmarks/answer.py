"""How long a first answer takes on a warm engine: `python benchmarks/answer.py`.

A fresh process imports the tool, fits the example tank's 26-week log and says what eight weeks will bring; the
compiled engine lies in the cache, a fit of the same log does not. And `lentic --help` against the import of the
library it is built on. Seconds on the wall belong to the load of the machine; those of the processor do not.
"""

from __future__ import annotations

import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLE = Path(__file__).parents[1] / "examples" / "loft-tank"
STARTS = 9
ASK = """
import json, resource, sys, time
begin = time.perf_counter()
from datetime import datetime, timezone
from pathlib import Path
from lentic.keeper.answers import forecast
from lentic.keeper.opening import Where
import lentic.engine.run, lentic.learn.fit, lentic.learn.forecast
imported, spent = time.perf_counter() - begin, [0.0, 0.0]
own = lentic.engine.run.run

def timed(*given):
    wall, processor = time.perf_counter(), time.process_time()
    found = own(*given)
    spent[0] += time.perf_counter() - wall
    spent[1] += time.process_time() - processor
    return found

lentic.learn.fit.run = lentic.learn.forecast.run = timed
where = Where(folder=Path(sys.argv[1]), clock=datetime.now(timezone.utc))
answer = forecast(where, 56)
total, used = time.perf_counter() - begin, time.process_time()
print(json.dumps({"imported": imported, "total": total, "used": used, "engine": spent[0], "engine_used": spent[1]}))
"""


def asked(folder: Path, cache: Path) -> dict[str, float]:
    """Return the seconds of one process that fits the tank and forecasts."""
    shutil.rmtree(cache / "fits", ignore_errors=True)
    command = [sys.executable, "-c", ASK, str(folder)]
    done = subprocess.run(command, check=True, capture_output=True, env=os.environ | {"LENTIC_CACHE": str(cache)})
    found: dict[str, float] = json.loads(done.stdout)
    return found


def processor_seconds(command: list[str]) -> float:
    """Return the least processor time of several starts of a command."""
    found = []
    for _ in range(STARTS):
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run(command, check=True, capture_output=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        found.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
    return min(found)


def main() -> None:
    """Print one table."""
    with tempfile.TemporaryDirectory() as scratch:
        folder, cache = Path(scratch) / "tank", Path(scratch) / "cache"
        shutil.copytree(EXAMPLE, folder)
        begin = time.perf_counter()
        asked(folder, cache)
        cold = time.perf_counter() - begin
        found = min((asked(folder, cache) for _ in range(3)), key=lambda one: one["total"])
    shown = processor_seconds([sys.executable, "-c", "from lentic.cli.main import cli; cli(['--help'])"])
    plain = processor_seconds([sys.executable, "-c", "import click"])
    load = f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"
    print("| what | require | measured | on |\n|---|---|---|---|")
    print(
        f"| import, fit, forecast, warm engine | <= 15 s | {found['total']:.1f} s, {found['used']:.1f} s of processor"
        f" | {load}; import {found['imported']:.1f} s |"
    )
    share = f"{found['engine']:.1f} s, {found['engine_used']:.1f} s of processor"
    print(
        f"| of it inside the engine | - | {share} | {100 * found['engine_used'] / found['used']:.0f} % of processor |"
    )
    print(f"| the same with nothing compiled yet | - | {cold:.0f} s | {load} |")
    ratio = f"{shown / plain:.1f}x ({1000 * shown:.0f} and {1000 * plain:.0f} ms of processor)"
    print(f"| `lentic --help` against `import click` | <= 3x | {ratio} | least of {STARTS} starts |")


if __name__ == "__main__":
    main()
