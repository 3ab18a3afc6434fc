"""A session as it happens: what is done, skipped or taken back, what comes next, and what must not be forgotten.

Nothing here is changed in place: a mark gives a new `Run`, or a sentence saying why it cannot be made. A run is its
steps and its marks, so that a reload, a lost connection or a night in between lose nothing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Literal

from lentic.advice.upkeep.graph import EFFECTS, Step
from lentic.advice.upkeep.steps import CANISTER_H

What = Literal["done", "skipped", "taken_back"]
STOPPED = "stopped here"
"""Why the rest was left out when a session is cut short."""


@dataclass(frozen=True, kw_only=True)
class Mark:
    """What was said of a step, and when it was done."""

    step: str
    what: What
    at: datetime
    value: float | None = None
    said: str = ""


@dataclass(frozen=True, kw_only=True)
class Run:
    """One session: its steps in order and what was said of them so far."""

    id: str
    tank: str
    started: datetime
    steps: tuple[Step, ...]
    marks: tuple[Mark, ...] = ()
    closed_canister: bool = False

    def step(self, name: str) -> Step | None:
        """Return the step of that name."""
        return next((step for step in self.steps if step.id == name), None)

    @property
    def standing(self) -> Mapping[str, Mark]:
        """The last mark of each step that was not taken back."""
        found: dict[str, Mark] = {}
        for mark in self.marks:
            if mark.what == "taken_back":
                found.pop(mark.step, None)
            else:
                found[mark.step] = mark
        return found

    @property
    def left(self) -> tuple[Step, ...]:
        """The steps of which nothing has been said yet."""
        standing = self.standing
        return tuple(step for step in self.steps if step.id not in standing)

    @property
    def done(self) -> bool:
        """Whether there is nothing left to do."""
        return not self.left


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """Why a mark cannot be made, and from when it can, if waiting helps."""

    sentence: str
    until: datetime | None = None


@dataclass(frozen=True, kw_only=True)
class Reminder:
    """What must not be forgotten while the session is open; `by` is when it becomes urgent."""

    sentence: str
    by: datetime | None
    urgent: bool


def next_step(run: Run) -> Step | None:
    """Return the first step of which nothing has been said."""
    return run.left[0] if run.left else None


def waits_until(run: Run, step: Step) -> datetime | None:
    """Return when the timers that a step depends on have run down; None if there is none to wait for."""
    if not EFFECTS[step.id].lowers:
        return None
    ends = []
    for before in run.steps:
        mark = run.standing.get(before.id)
        if mark is not None and mark.what == "done" and before.wait_min:
            ends.append(mark.at + timedelta(minutes=before.wait_min))
    return max(ends, default=None)


def mark_done(run: Run, name: str, at: datetime, value: float | None = None, said: str = "") -> Run | Refusal:
    """Return the run with a step done, or why that cannot be."""
    step = run.step(name)
    if step is None:
        return Refusal(sentence=f"There is no step {name} in this session. It has: {_names(run)}.")
    if name in run.standing:
        return Refusal(sentence=f"{step.title}: already written down. Take it back first if it was not so.")
    passed = [s.title for s in run.steps if name in s.needs and _is_done(run, s.id)]
    if passed:
        return Refusal(sentence=f"{passed[0]} is done already; {step.title} belongs before it. Leave it for next time.")
    if EFFECTS[name].hands and run.step("power_off") and not _is_done(run, "power_off"):
        return Refusal(sentence=f"First pull the plugs: {step.title} needs hands in the water.")
    if EFFECTS[name].uses_old_water and not _is_done(run, "siphon"):
        return Refusal(sentence=f"{step.title} needs a bucket of old tank water, and none was taken out.")
    if at < run.started - timedelta(hours=12):
        return Refusal(sentence="That time lies long before this session; start a new one for another day.")
    open_needs = [need for need in step.needs if need not in run.standing]
    if open_needs:
        first = run.step(open_needs[0])
        return Refusal(sentence=f"First: {first.title if first else open_needs[0]}. Then: {step.title}.")
    early = [run.standing[need].at for need in step.needs if run.standing[need].at > at]
    if early:
        return Refusal(sentence=f"{step.title} cannot lie before what it needs, at {max(early):%H:%M} UTC.")
    until = waits_until(run, step)
    if until is not None and at < until:
        return Refusal(
            sentence="The heater still cools or the algae still settle: wait before the siphon.", until=until
        )
    return _reopened(replace(run, marks=(*run.marks, Mark(step=name, what="done", at=at, value=value, said=said))), at)


def _reopened(run: Run, at: datetime) -> Run:
    """Return the run with those steps open again that were left out while nothing relied on them."""
    for step in run.steps:
        mark = run.standing.get(step.id)
        if step.must and mark is not None and mark.what == "skipped" and not _moot(run, step.id):
            run = replace(run, marks=(*run.marks, Mark(step=step.id, what="taken_back", at=at)))
    return run


def skip(run: Run, name: str, at: datetime, why: str = "") -> Run | Refusal:
    """Return the run with a step left out; what others rely on cannot be."""
    step = run.step(name)
    if step is None:
        return Refusal(sentence=f"There is no step {name} in this session. It has: {_names(run)}.")
    if name in run.standing:
        return Refusal(sentence=f"{step.title}: already written down. Take it back first if it was not so.")
    if step.must and not _moot(run, name):
        return Refusal(sentence=f"{step.title} cannot be left out: {_reason(name)}")
    return replace(run, marks=(*run.marks, Mark(step=name, what="skipped", at=at, said=why)))


def _moot(run: Run, name: str) -> bool:
    """Tell whether a step that must not be left out has nothing left to do."""
    left_out = {step for step, mark in run.standing.items() if mark.what == "skipped"}
    if name in ("power_off", "wash"):
        return all(step.id in left_out for step in run.steps if EFFECTS[step.id].hands)
    if name == "siphon":
        return not _is_done(run, "scrape")
    if name in ("prepare", "refill"):
        return "siphon" in left_out
    if name == "back":
        return "animal" in left_out
    return "power_off" in left_out


def _reason(name: str) -> str:
    return {
        "power_off": "hands go into the water after it. Leave out those steps first, or stop the session.",
        "prepare": "water that goes in must be fit for the tank. If none is changed today, leave out the siphon first.",
        "siphon": "the algae you scraped off would stay and feed the next ones.",
        "wash": "hands have been in the water.",
        "back": "an animal in a box is forgotten too easily.",
        "refill": "the water was let out. Fill it up, if only with part of it, and count the buckets.",
        "power_on": "filter and heater were unplugged. A filter that stays off kills its film, then the fish.",
        "running": "a filter that did not start again is found too late.",
    }.get(name, "others rely on it.")


def take_back(run: Run, name: str, at: datetime) -> Run | Refusal:
    """Return the run with a step open again; what was done after it and needs it is taken back first."""
    step = run.step(name)
    if step is None or name not in run.standing:
        return Refusal(sentence="There is nothing to take back there.")
    later = [s.title for s in run.steps if name in s.needs and _is_done(run, s.id)]
    if later:
        return Refusal(sentence=f"Take back first what came after it: {later[-1]}.")
    return replace(run, marks=(*run.marks, Mark(step=name, what="taken_back", at=at)))


def stop_here(run: Run, at: datetime) -> Run:
    """Return the run cut short: all is left out but what makes the tank safe again."""
    before: Run | None = None
    while run is not before:
        before = run
        for step in run.left:
            cut = skip(run, step.id, at, STOPPED)
            run = cut if isinstance(cut, Run) else run
    return run


def off_since(run: Run) -> datetime | None:
    """Return since when filter and heater have been without power; None if they have it."""
    off, on = run.standing.get("power_off"), run.standing.get("power_on")
    if off is None or off.what != "done":
        return None
    return None if on is not None and on.what == "done" else off.at


def reminders(run: Run, now: datetime) -> tuple[Reminder, ...]:
    """Return what must not be forgotten now."""
    since = off_since(run)
    if since is None:
        return ()
    found = []
    if run.closed_canister:
        by = since + timedelta(hours=CANISTER_H)
        late = now >= by
        told = (
            f"The closed canister has stood for more than {CANISTER_H:g} hours: open it, and pour its water away "
            "before it starts again."
            if late
            else f"The closed canister may stand for {CANISTER_H:g} hours."
        )
        found.append(Reminder(sentence=told, by=by, urgent=late))
    found.append(Reminder(sentence="Filter and heater have no power.", by=None, urgent=False))
    return tuple(found)


def skipped(run: Run) -> tuple[tuple[Step, str], ...]:
    """Return the steps that were left out, with why, to be asked about at the end."""
    found = []
    for step in run.steps:
        mark = run.standing.get(step.id)
        if mark is not None and mark.what == "skipped":
            found.append((step, mark.said))
    return tuple(found)


def _is_done(run: Run, name: str) -> bool:
    mark = run.standing.get(name)
    return mark is not None and mark.what == "done"


def _names(run: Run) -> str:
    return ", ".join(step.id for step in run.steps)
