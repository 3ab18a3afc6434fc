"""A session of upkeep at the gate: every step is tried as it would find the tank, plugs, heater and water."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from typing import Final

from lentic.advice.hazards.gate import Ask, Found, Overruled, Question, Situation, Verdict, gate, hazards_rank
from lentic.advice.hazards.question import doing
from lentic.advice.upkeep.graph import EFFECTS, Effect, Step
from lentic.catalogue.hazards import NOTHING, Known
from lentic.logbook.tank import Tank

ACTIONS: Final[Mapping[str, tuple[str, ...]]] = {"scrape": ("scrape",), "refill": ("water_change",)}
"""Steps that are more than hands in the water, as the rules know them."""


def session_verdict(
    situation: Situation,
    steps: Sequence[Step],
    tank: Tank,
    now: datetime,
    overruled: Iterable[Overruled] = (),
    effects: Mapping[str, Effect] = EFFECTS,
) -> Verdict:
    """Return what the gate says of all steps of a session in their order, each found once."""
    reasons = tuple(overruled)
    verdicts = [gate(situation, each, now=now, overruled=reasons) for each in questions_of(steps, tank, effects)]
    found: dict[str, Found] = {}
    asks: dict[tuple[str, str], Ask] = {}
    for verdict in verdicts:
        found |= {each.rule: each for each in verdict.found if each.rule not in found}
        asks |= {(each.fact, each.about): each for each in verdict.asks if (each.fact, each.about) not in asks}
    return Verdict(
        tank=situation.tank, words=("the session",), assumed=situation.assumed,
        found=tuple(sorted(found.values(), key=lambda each: (not each.stops, hazards_rank(each.severity)))),
        asks=tuple(sorted(asks.values(), key=lambda each: hazards_rank(each.severity))),
        not_checked=tuple({each.rule: each for verdict in verdicts for each in verdict.not_checked}.values()),
        tried=sum(verdict.tried for verdict in verdicts),
    )  # fmt: skip


def questions_of(steps: Sequence[Step], tank: Tank, effects: Mapping[str, Effect] = EFFECTS) -> tuple[Question, ...]:
    """Return the question of each step, with the plugs and the level as the steps before it have left them."""
    power, low = True, False
    asked: list[Question] = []
    for step in steps:
        effect = effects[step.id]
        power = power if effect.power is None else effect.power
        low = (low or effect.lowers) and not effect.fills
        known: dict[str, Known] = {"elec.mains_on": power, "heater.mark_covered": not low}
        known["heater.on"] = NOTHING if tank.heater is None else power
        actions = [*ACTIONS.get(step.id, ()), *(["hands_in_water"] if effect.hands else [])]
        if step.id == "refill" and step.amount and tank.water_litres:
            known["plan.change_fraction"] = min(step.amount / tank.water_litres, 1.0)
            if tank.source_water.ph is not None:
                known["plan.refill_ph"] = tank.source_water.ph
        asked.append(doing(step.title, actions=actions, known=known))
    here = {step.id for step in steps}
    ended: dict[str, Known] = {
        "session.ended": True,
        "elec.devices_confirmed_on": "running" in here or "power_off" not in here,
        "person.hands_washed": "wash" in here,
    }
    return (*asked, doing("the end of the session", known=ended))
