"""Every rule fires on its firing example, is silent on its silent one, and never fires on what is not known."""

from __future__ import annotations

import itertools
import re
from pathlib import Path

import pytest

from lentic.advice.hazards import Situation, gate
from lentic.advice.hazards.logic import both, either, try_rule
from lentic.catalogue.hazards import NOTHING, Facts, Hazard, Item, fact_kinds, hazards, parse_hazards
from lentic.catalogue.load import read

RULES = tuple(hazards().values())
RECIPE = (Path(__file__).parents[2] / "docs" / "recipes" / "add-a-hazard.md").read_text(encoding="utf-8")


def named(rule: Hazard) -> str:
    return rule.id


def situation(facts: Facts) -> Situation:
    own = {name: value for name, value in facts.known.items() if name.startswith("turtle.")}
    return Situation(tank="Tried", facts=facts, turtles={"mila": own} if own else {})


def test_all_rules_are_tried_with_both_examples() -> None:
    assert 2 * len(RULES) == 145 * 2


@pytest.mark.parametrize("rule", RULES, ids=named)
def test_the_rule_fires_on_its_firing_example(rule: Hazard) -> None:
    verdict = gate(situation(rule.firing_example), rules=[rule])
    (found,) = verdict.found
    assert (found.rule, found.severity) == (rule.id, rule.severity)
    assert found.facts and found.source and found.instead
    assert verdict.asks == () and verdict.not_checked == ()
    assert verdict.stopped is (rule.severity == "STOP")


@pytest.mark.parametrize("rule", RULES, ids=named)
def test_the_rule_is_silent_on_its_silent_example(rule: Hazard) -> None:
    verdict = gate(situation(rule.silent_example), rules=[rule])
    assert verdict.found == () and verdict.asks == () and verdict.not_checked == ()


def without(facts: Facts, name: str) -> Facts:
    """Return facts of which one is not known."""
    if "[]" not in name:
        return Facts(known={key: value for key, value in facts.known.items() if key != name}, lists=facts.lists)
    group, key = name.split("[].")
    items = tuple({k: v for k, v in item.items() if k != key} for item in facts.lists.get(group, ()))
    return Facts(known=facts.known, lists={**facts.lists, group: items})


def untrue(facts: Facts, name: str) -> Facts:
    """Return facts of which one makes its comparisons false."""
    if "[]" not in name:
        return facts.plus({name: NOTHING})
    group, key = name.split("[].")
    return Facts(
        known=facts.known,
        lists={**facts.lists, group: tuple({**item, key: NOTHING} for item in facts.lists.get(group, ()))},
    )


@pytest.mark.parametrize("rule", RULES, ids=named)
def test_a_comparison_that_becomes_unknown_is_asked_about_and_never_fires(rule: Hazard) -> None:
    decided = 0
    for name in rule.names:
        facts = without(rule.firing_example, name)
        if try_rule(rule, untrue(rule.firing_example, name)).fires:
            continue  # the rule fires whatever this fact is: another branch of when_any holds
        decided += 1
        outcome = try_rule(rule, facts)
        assert outcome.fires is None, name
        assert name in [fact for fact, _ in outcome.missing]
        verdict = gate(situation(facts), rules=[rule])
        assert verdict.found == ()
        assert [each.rule for each in verdict.not_checked] == [rule.id]
        if fact_kinds()[name].ask:
            assert name in [ask.fact for ask in verdict.asks]
            assert all(ask.rules == (rule.id,) and ask.severity == rule.severity for ask in verdict.asks)
    assert decided > 0


@pytest.mark.parametrize("rule", RULES, ids=named)
def test_less_knowledge_never_turns_an_answer_round(rule: Hazard) -> None:
    for example in (rule.firing_example, rule.silent_example):
        whole = try_rule(rule, example).fires
        names = [name for name in rule.names if name in example.known]
        for kept in itertools.chain.from_iterable(itertools.combinations(names, n) for n in range(len(names))):
            less = Facts(known={name: example.known[name] for name in kept}, lists=example.lists)
            assert try_rule(rule, less).fires in (None, whole)


@pytest.mark.parametrize("rule", RULES, ids=named)
def test_with_nothing_known_a_rule_cannot_say(rule: Hazard) -> None:
    assert try_rule(rule, Facts()).fires is None


def test_logic_with_three_values() -> None:
    # Kleene's strong logic: one that settles it settles it, else unknown stays unknown
    assert [both(pair) for pair in ((True, True), (True, None), (None, False), (True, False))] == [
        True, None, False, False,
    ]  # fmt: skip
    assert [either(pair) for pair in ((False, False), (False, None), (None, True), (True, False))] == [
        False, None, True, True,
    ]  # fmt: skip


MATE = hazards()["PLANT-01"]


def test_one_item_has_to_fit_all_comparisons_on_its_list() -> None:
    facts = {"turtle.any": True}
    apart: tuple[Item, ...] = ({"raphides": True, "within_reach": False}, {"raphides": False, "within_reach": True})
    assert try_rule(MATE, Facts(known=facts, lists={"plant": apart})).fires is False
    both_in_one: tuple[Item, ...] = (*apart, {"raphides": True, "within_reach": True, "name": "anubias"})
    outcome = try_rule(MATE, Facts(known=facts, lists={"plant": both_in_one}))
    assert outcome.fires and [items["plant"]["name"] for items in outcome.items] == ["anubias"]


def test_an_empty_list_is_none_and_a_missing_one_is_unknown() -> None:
    facts = {"turtle.any": True}
    assert try_rule(MATE, Facts(known=facts, lists={"plant": ()})).fires is False
    assert try_rule(MATE, Facts(known=facts)).fires is None


def test_a_thing_that_is_not_there_makes_no_comparison_true() -> None:
    rule = hazards()["CHEM-13"]
    facts = Facts(known={"tap.disinfectant": NOTHING, "conditioner.dose_basis": "new_water"})
    assert try_rule(rule, facts).fires is False
    unequal = hazards()["FILT-04"]
    tap = Facts(known={"plan.actions": frozenset({"rinse_media_in_tap_water"}), "tap.disinfectant": NOTHING})
    assert try_rule(unequal, tap).fires is False


def block(language: str = "toml") -> str:
    found = re.search(rf"```{language}\n(.*?)```", RECIPE, re.DOTALL)
    assert found is not None
    return found[1]


def held() -> str:
    path = Path(__file__).parents[2] / "src" / "lentic" / "catalogue" / "data" / "hazards.toml"
    return path.read_text(encoding="utf-8")


def test_the_recipe_adds_a_rule_that_works() -> None:
    facts, rule_text = block().split("[[hazard]]")
    fact = next(line for line in facts.splitlines() if line.startswith('"'))
    text = held().replace('[facts]\n"turtle.any"', f'[facts]\n{fact}\n"turtle.any"')
    rules = parse_hazards(read("hazards", f"{text}\n[[hazard]]{rule_text}"))
    assert len(rules) == len(RULES) + 1
    rule = rules[-1]
    assert rule.id == "FILT-09"
    assert try_rule(rule, rule.firing_example).fires is True
    assert try_rule(rule, rule.silent_example).fires is False


def test_every_file_the_recipe_names_exists() -> None:
    root = Path(__file__).parents[2]
    named_files = re.findall(r"`((?:src|tests)/[\w/.]+)`", RECIPE)
    assert len(named_files) >= 3
    assert [name for name in named_files if not (root / name).is_file()] == []
