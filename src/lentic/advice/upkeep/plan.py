"""This week's session as it is proposed: the steps, the minutes, and what can wait and why."""

from __future__ import annotations

from dataclasses import dataclass

from lentic.advice.upkeep.graph import Step, total_minutes
from lentic.advice.upkeep.situation import Situation
from lentic.advice.upkeep.steps import steps_for


@dataclass(frozen=True, kw_only=True)
class LeftOut:
    """Work that is not for this time, and why."""

    what: str
    why: str


@dataclass(frozen=True, kw_only=True)
class UpkeepPlan:
    """One session for one tank, in a safe order."""

    tank: str
    minutes: float
    steps: tuple[Step, ...]
    not_now: tuple[LeftOut, ...]
    unknown: tuple[str, ...]
    """What would make the steps sharper if it were known."""
    closed_canister: bool


def upkeep_of(situation: Situation) -> UpkeepPlan:
    """Return the session that a situation asks for."""
    steps = steps_for(situation)
    waiting = [("Scrape the panes", situation.scrape), ("Thin the plants", situation.thin)]
    waiting.append(("Rinse half the media", situation.rinse))
    shown = [w for w in waiting if not w[1].yes and (w[0] != "Thin the plants" or situation.plants)]
    return UpkeepPlan(
        tank=situation.tank, minutes=total_minutes(steps), steps=steps,
        not_now=tuple(LeftOut(what=what, why=due.why) for what, due in shown),
        unknown=_unknown(situation), closed_canister=situation.closed_canister,
    )  # fmt: skip


def _unknown(situation: Situation) -> tuple[str, ...]:
    water = situation.water
    missing = [
        ("how many litres you change: count the buckets once", water.litres is None),
        ("how warm the tap is: one reading of tap temperature", water.tap_c is None and water.litres is not None),
        ("how warm the tank is: one temperature reading", water.tank_c is None),
        ("chlorine or chloramine in the tap: the supplier's report", water.disinfectant == "not known"),
        ("glass or acrylic panes", situation.pane is None),
    ]
    return tuple(text for text, there in missing if there)
