"""How often the verdict on a one-change trial is right, on invented tanks whose truth is known.

Run `python benchmarks/trials.py [--tanks N] [--json FILE]`. Each tank lives in the small world of
`examples/daily_tank.py`, which shares nothing with the model of the package, and is logged as people log: no plants, a
heavy load, nitrate in the tens. After twelve weeks its keeper feeds a quarter less, on trial. In one life that is so,
and a twin that goes on as before says by how much nitrate fell; in another somebody feeds the rest behind the keeper's
back, so that the log says a quarter less and the water gets as much as before: there the true effect is none.
"""

from __future__ import annotations

import argparse
import copy
import json
import sys
import tempfile
from collections import Counter
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent.parent / "examples"))

from daily_tank import DailyTank
from keeping import Keeper, toml_text
from make_bank import BURN_IN, draw

from lentic.advice.routine import routine_of
from lentic.advice.trials.design import trial_of
from lentic.advice.trials.effect import RANGE_80
from lentic.advice.trials.verdict import verdict_of
from lentic.keeper.fitted import fitted
from lentic.keeper.opening import Opened, Where, open_tank
from lentic.keeper.trials import DAYS
from lentic.learn.forecast import futures, planned_events
from lentic.logbook.events import Event, Feed
from lentic.logbook.trials import Ended

SEED, BEFORE_D, LESS, MORE = 4711, 84, 0.75, 2.5
WANTED = (0.20, 0.30)
"""A true effect counts as one of a quarter between these. [-]"""


class Tester(Keeper):
    """A keeper who reads nitrate twice a week, and whose food may be topped up by somebody else."""

    behind = 1.0

    def feeds(self, day: date) -> None:
        """Feed as written down, and perhaps more."""
        honest = self.hand
        self.hand = replace(honest, gram_bias=honest.gram_bias * self.behind)
        super().feeds(day)
        self.hand = honest

    def evening(self, day: date) -> None:
        """Read nitrate in the middle of the week too."""
        super().evening(day)
        if (day.weekday() - self.routine.chore_day) % 7 == 3:
            self.read("nitrate")


def begun(rng: np.random.Generator) -> tuple[Tester, dict[str, object]]:
    """Return a keeper on the morning of the trial, twelve weeks into the log."""
    made = draw("none", 0, rng)
    made.conditions.tap_no3 = float(rng.uniform(2.0, 5.0))
    fed = {day: tuple((food, MORE * grams) for food, grams in each) for day, each in made.routine.feeds.items()}
    routine = replace(made.routine, feeds=fed, keep_wet=None, tests={**made.routine.tests, "nitrate": 1.0})
    tank = DailyTank(made.conditions, rng, plant_wet=0.0, nitrate=25.0)
    start = date(2026, 1, 5) + timedelta(weeks=int(rng.integers(0, 30)))
    keeper = Tester(tank, made.hand, routine, rng, start - timedelta(days=BURN_IN))
    keeper.clean_flow = made.flow
    for number in range(BURN_IN):
        keeper.day(keeper.start + timedelta(days=number))
    keeper.begin_log(start)
    for number in range(BEFORE_D):
        keeper.day(start + timedelta(days=number))
    return keeper, {key: value for key, value in made.toml.items() if key != "plant"}


def goes_on(keeper: Tester, share: float, behind: float, days: int) -> Tester:
    """Return a twin that lived on with a share of the food, on the same draws of luck."""
    twin = copy.deepcopy(keeper)
    feeds = {day: tuple((food, grams * share) for food, grams in each) for day, each in keeper.routine.feeds.items()}
    twin.routine = replace(keeper.routine, feeds=feeds)
    twin.behind = behind
    for number in range(days):
        twin.day(twin.start + timedelta(days=BEFORE_D + number))
    return twin


def opened(keeper: Tester, toml: dict[str, object], end: date) -> Opened:
    """Return the tank as its log stands at the end of a day."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        (folder / "tank.toml").write_text(toml_text(toml), encoding="utf-8")
        (folder / "log.csv").write_text(keeper.book.text(), encoding="utf-8")
        where = Where(folder=folder, now_text=end.isoformat(), clock=datetime.combine(end, time(), UTC))
        found = open_tank(where)
    if not isinstance(found, Opened):
        raise SystemExit(found.sentence)
    return found


def tried(keeper: Tester, toml: dict[str, object], behind: float) -> tuple[Ended, float, int]:
    """Return the verdict on a quarter less food, by how much nitrate truly fell, and how long it took."""
    first = keeper.start + timedelta(days=BEFORE_D)
    start = opened(keeper, toml, first)
    fit = fitted(start)
    now = routine_of(fit, planned_events(fit, start.events, (), start.begin, DAYS), DAYS)
    fed = planned_events(fit, start.events, (), start.begin, DAYS)
    less: list[Event] = [e for e in fed if not isinstance(e, Feed)]
    less += [replace(e, grams=LESS * e.grams) for e in fed if isinstance(e, Feed)]
    less.sort(key=lambda e: e.time)
    runs = [futures(fit, start.events, plan, start.begin, DAYS) for plan in ((), less)]
    trial = trial_of(fit, start.events, start.begin, now, replace(now, ration=LESS), "a quarter less food", *runs)
    if trial is None:
        raise SystemExit("no trial")
    trial = replace(trial, goal="nitrate", wanted=-1)
    days = max((trial.ends - first).days, 21) if trial.seen_from else DAYS
    lived = goes_on(keeper, LESS, behind, days)
    twin = goes_on(keeper, 1.0, 1.0, days)
    late = slice(-14, None)
    fell = 1.0 - np.mean(lived.truth.series["nitrate"][late]) / np.mean(twin.truth.series["nitrate"][late])
    end = opened(lived, toml, first + timedelta(days=days))
    during = [e for e in end.events if e.time >= trial.begun]
    return verdict_of(fit, start.events, during, trial, end.end), float(fell), days


def _deviates(ended: Ended, truth: float) -> float:
    """Return by how many of its own errors a share misses the truth."""
    if ended.share is None or ended.low is None or ended.high is None:
        return float("nan")
    return (ended.share - truth) / ((ended.high - ended.low) / (2.0 * RANGE_80))


def _told(ended: Ended) -> str:
    return f"{ended.share}, 8 in 10 {ended.low} to {ended.high}"


def main() -> None:
    """Try all tanks and print what was said of them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tanks", type=int, default=20, help="tanks with a true effect, and as many without")
    parser.add_argument("--json", metavar="FILE", help="also write the table there")
    given = parser.parse_args()
    said: dict[str, Counter[str]] = {"true": Counter(), "none": Counter()}
    off: list[tuple[float, float]] = []
    kept, number = 0, 0
    while kept < given.tanks and number < 4 * given.tanks:
        rng = np.random.default_rng([SEED, number])
        number += 1
        keeper, toml = begun(rng)
        ended, fell, days = tried(keeper, toml, 1.0)
        if not WANTED[0] <= fell <= WANTED[1]:
            continue
        kept += 1
        said["true"][ended.verdict] += 1
        nothing, _, _ = tried(keeper, toml, 1.0 / LESS)
        said["none"][nothing.verdict] += 1
        off.append((_deviates(ended, 1.0), _deviates(nothing, 0.0)))
        print(
            f"tank {number}: nitrate fell by {100 * fell:.0f} % in {days} days: {ended.verdict} ({_told(ended)}); "
            f"without effect: {nothing.verdict} ({_told(nothing)})",
            flush=True,
        )
    table = {
        "tanks": kept,
        "seen": said["true"]["worked"] / max(kept, 1),
        "false_alarms": (said["none"]["worked"] + said["none"]["worse"]) / max(kept, 1),
        "spread_of_deviates": [float(x) for x in np.sqrt(np.nanmean(np.square(off), axis=0))] if off else [],
        "true": dict(said["true"]),
        "none": dict(said["none"]),
    }
    print(json.dumps(table, indent=2))
    if given.json:
        Path(given.json).write_text(json.dumps(table, indent=2) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
