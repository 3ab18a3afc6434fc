"""Emergency cards at the gate: every step is tried as it would find the plugs and the water."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime

from lentic.advice.hazards.gate import Found, Overruled, Question, Situation, gate
from lentic.advice.hazards.question import doing
from lentic.catalogue.emergencies import Emergency
from lentic.catalogue.hazards import Known


def questions_of_card(card: Emergency) -> tuple[Question, ...]:
    """Return the question of each step, with the plugs as the steps before it have left them."""
    power, asked = True, []
    for step in card.steps:
        power = power if step.power is None else step.power
        known: dict[str, Known] = {"elec.mains_on": power}
        actions = ["hands_in_water"] if step.hands else []
        if step.change is not None:
            actions.append("water_change")
            known["plan.change_fraction"] = step.change
        asked.append(doing(step.do, actions=actions, known=known))
    return tuple(asked)


def stops_of_card(
    card: Emergency, situation: Situation, now: datetime, overruled: Iterable[Overruled] = ()
) -> tuple[Found, ...]:
    """Return what forbids a step of a card in this tank, each rule once."""
    reasons = tuple(overruled)
    found: dict[str, Found] = {}
    for question in questions_of_card(card):
        for each in gate(situation, question, now=now, overruled=reasons).stops:
            found.setdefault(each.rule, each)
    return tuple(found.values())
