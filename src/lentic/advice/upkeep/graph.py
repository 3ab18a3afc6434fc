"""The order of a session as a graph: what each step needs before it, and what it does to power, water and dirt.

The order is not a list: `in_order` sorts whatever is due by what must come first. `guard` judges an order by
`EFFECTS` alone, without looking at `NEEDS`, so that a mistake in one shows against the other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, kw_only=True)
class Step:
    """One thing to do: one instruction, the one danger, what must be done before it."""

    id: str
    title: str
    text: str
    danger: str = ""
    why: str = ""
    needs: tuple[str, ...] = ()
    amount: float | None = None
    unit: str = ""
    minutes: float
    wait_min: float = 0.0
    """A timer that starts when the step is done; the step that needs it waits. [min]"""
    must: bool = False
    """Cannot be skipped while another step of the session relies on it."""
    asks: str = ""
    """What is written down when the step is done: grade, grams, litres, readings."""


NEEDS: Mapping[str, tuple[str, ...]] = {
    "look": (),
    "read": ("look",),
    "prepare": ("look",),
    "power_off": ("look", "read", "prepare"),
    "animal": ("power_off",),
    "scale": ("power_off",),
    "scrape": ("power_off", "animal", "scale"),
    "leaves": ("power_off", "animal", "scrape"),
    "thin": ("power_off", "animal", "scrape", "leaves"),
    "weigh": ("animal",),
    "siphon": ("power_off", "animal", "scale", "scrape", "leaves", "thin"),
    "rinse": ("power_off", "siphon"),
    "refill": ("prepare", "siphon", "rinse"),
    "back": ("animal", "weigh", "refill"),
    "power_on": ("power_off", "weigh", "refill", "back"),
    "running": ("power_on",),
    "wash": ("running", "weigh"),
    "after": ("running", "wash"),
}
"""Step -> steps that come before it where they are part of the session."""


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What a step does or requires, for judging an order without looking at `NEEDS`."""

    hands: bool = False
    """Hands or tools are in the water."""
    lowers: bool = False
    """The water falls."""
    fills: bool = False
    loosens: str = ""
    """What is set free into the water: scale, algae, leaves."""
    takes_out: bool = False
    """What floats and lies there leaves with it."""
    power: bool | None = None
    uses_old_water: bool = False
    cleans: bool = False


EFFECTS: Mapping[str, Effect] = {
    "look": Effect(),
    "read": Effect(),
    "prepare": Effect(),
    "power_off": Effect(power=False),
    "animal": Effect(hands=True),
    "scale": Effect(loosens="scale"),
    "scrape": Effect(hands=True, loosens="algae"),
    "leaves": Effect(hands=True, loosens="leaves"),
    "thin": Effect(hands=True, loosens="leaves"),
    "weigh": Effect(hands=True),
    "siphon": Effect(hands=True, lowers=True, takes_out=True),
    "rinse": Effect(hands=True, uses_old_water=True),
    "refill": Effect(hands=True, fills=True),
    "back": Effect(hands=True),
    "power_on": Effect(power=True),
    "running": Effect(),
    "wash": Effect(cleans=True),
    "after": Effect(),
}


def placed(step: Step, here: set[str]) -> Step:
    """Return a step with those needs that are part of the session, others replaced by what stands behind them."""
    needs: list[str] = []
    waiting = list(NEEDS[step.id])
    seen: set[str] = set()
    while waiting:
        need = waiting.pop(0)
        if need in seen:
            continue
        seen.add(need)
        if need in here:
            needs.append(need)
        else:
            waiting += NEEDS[need]
    return replace(step, needs=tuple(needs))


def in_order(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Return steps so that each stands after all it needs; among those that could come next the first given wins."""
    left = list(steps)
    done: set[str] = set()
    ordered: list[Step] = []
    while left:
        ready = next((step for step in left if set(step.needs) <= done), None)
        if ready is None:
            raise ValueError(f"steps need each other in a circle: {', '.join(step.id for step in left)}")
        left.remove(ready)
        done.add(ready.id)
        ordered.append(ready)
    return tuple(ordered)


def total_minutes(steps: Sequence[Step]) -> float:
    """Return how long a session takes: the work, and waiting that no other work fills. [min]"""
    clock = 0.0
    free: dict[str, float] = {}
    for step in steps:
        clock = max([clock, *(free.get(need, 0.0) for need in step.needs if _waits(step))])
        clock += step.minutes
        free[step.id] = clock + step.wait_min
    return clock


def _waits(step: Step) -> bool:
    return EFFECTS[step.id].lowers
