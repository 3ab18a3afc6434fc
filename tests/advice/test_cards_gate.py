"""No card contradicts the hazard rules: every step of every card is tried in ten sound tanks."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from lentic.advice.hazards.cards import questions_of_card, stops_of_card
from lentic.catalogue.emergencies import CardStep, emergencies
from lentic.keeper.check import situation_in
from lentic.keeper.opening import Opened, Where, open_record

SAFE = Path(__file__).parents[1] / "data" / "safe"
NOW = datetime(2026, 5, 1, tzinfo=UTC)


def _opened(name: str) -> Opened:
    found = open_record(Where(folder=SAFE / name, clock=NOW))
    assert isinstance(found, Opened)
    return found


@pytest.mark.parametrize("name", sorted(path.name for path in SAFE.iterdir() if path.is_dir()))
def test_no_step_of_any_card_meets_a_stop(name: str) -> None:
    opened = _opened(name)
    situation = situation_in(opened)
    for card in emergencies().values():
        found = stops_of_card(card, situation, opened.end)
        assert not found, f"{card.id}: {[each.rule for each in found]}"


def test_every_step_is_sent_and_hands_only_after_the_plugs() -> None:
    for card in emergencies().values():
        assert len(questions_of_card(card)) == len(card.steps)
        power = True
        for step in card.steps:
            power = power if step.power is None else step.power
            assert not (step.hands and power), f"{card.id}: {step.do}"


def test_the_gate_would_see_hands_in_live_water() -> None:
    opened = _opened("musk-on-the-shelf")
    card = emergencies()["limp"]
    live = replace(card, steps=tuple(replace(step, power=None) for step in card.steps))
    assert stops_of_card(live, situation_in(opened), opened.end)
    assert CardStep(do="x").hands is False
