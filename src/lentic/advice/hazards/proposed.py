"""A proposed routine at the gate: what a STOP forbids is not proposed, and what else is found stands beside it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from lentic.advice.hazards.gate import Overruled, Question, Situation, Verdict, gate
from lentic.advice.hazards.question import doing, question_of, together
from lentic.advice.plan import Proposal
from lentic.advice.routine import Routine
from lentic.catalogue import Plant, resolve
from lentic.logbook.tank import Tank

ASKED = 2
"""So many questions stand beside a proposal; the rest is for the check itself."""


def question_of_routine(now: Routine, turned: Routine, tank: Tank) -> Question:
    """Return the question whether a turned routine may be followed: its changes, its light, its new plants."""
    asked: list[Question] = []
    if turned.litres > 0.0 and tank.water_litres:
        known: dict[str, float] = {"plan.change_fraction": min(turned.litres / tank.water_litres, 1.0)}
        if tank.source_water.ph is not None:
            known["plan.refill_ph"] = tank.source_water.ph
        asked.append(doing("the water change", actions=("water_change",), known=known))
    if turned.light_h != now.light_h:
        asked.append(doing("the hours of light", known={"light.hours": turned.light_h}))
    record = resolve("plant", tank.plants[0].species) if turned.plants_g > 0.0 and tank.plants else None
    if isinstance(record, Plant):
        asked.append(question_of(record, tank))
    return together(asked)


def through_the_gate(
    proposal: Proposal, situation: Situation, tank: Tank, now: datetime, overruled: Iterable[Overruled] = ()
) -> tuple[Proposal, Verdict]:
    """Return the proposal as the gate lets it through, and what the gate says of it."""
    before = proposal.before.routine
    chosen = proposal.proposed.routine if proposal.proposed is not None else before
    verdict = gate(situation, question_of_routine(before, chosen, tank), now=now, overruled=overruled)
    if not verdict.stopped:
        return proposal, verdict
    reasons = tuple(f"Not proposed: {each.message} {each.instead} ({each.rule})" for each in verdict.stops)
    return replace(proposal, proposed=None, second=None, together=None, sentences=reasons), verdict


def said_beside(verdict: Verdict) -> tuple[str, ...]:
    """Return what stands beside a proposal: what was found, and the questions that would decide most."""
    found = [f"{each.severity} {each.rule}: {each.message} Instead: {each.instead}" for each in verdict.found]
    asked = [f"Before you follow it: {ask.question}" for ask in verdict.asks[:ASKED]]
    return (*found, *asked)
