"""Kwame teaches a club, and a stranger asks in one breath. Invented, like every story here.

Expected numbers were worked out by hand for the story from nothing but what the stranger said; the answer gives ranges,
so their ends and middles are held to the last digit in which they are said.
"""

from __future__ import annotations

import re

import pytest
from click.testing import CliRunner

from lentic.advice.stranger import StrangerAnswer, answer_to, lines_of
from lentic.cli.main import cli

ASKED = (
    "help!! 20 gallon turtle tank, black fuzzy stuff and cloudy again, I changed ALL the water twice this week. "
    "turtle size of my hand. light on all day. should I get a pleco?"
)
# No medicine, no dose of one, no diagnosis, no verdict on law, and nothing that harms some possible tank.
FORBIDDEN = re.compile(
    r"\blegal|illegal|antibiotic|medic(ine|ation)|infection|pneumonia|shell rot|disease|diagnos|salt bath|"
    r"all the water (now|at once)|\bpH[- ]?(up|minus|down)|change (9|8|7|6)\d %|bleach|algicide dose|mg/kg|!",
    re.IGNORECASE,
)


@pytest.fixture(scope="module")
def answer() -> StrangerAnswer:
    return answer_to(ASKED)


def assert_near(value: float, expected: float, share: float) -> None:
    """Hold a number to what it was said as, within a share of it."""
    assert value == pytest.approx(expected, rel=share)


def test_what_was_said_is_told_apart_from_what_was_not(answer: StrangerAnswer) -> None:
    assert "20 US gallons of glass, 76 L" in answer.given[0]
    assert "turtle 10 to 18 cm" in answer.given[1]
    assert {"all the water changed", "cloudy water", "black fuzz", "long light"} <= set(answer.given)
    assert answer.unknown == ("species", "filter", "tests", "feeding")
    assert "US gallons" in answer.assumed


def test_the_ranges_follow_from_the_few_facts(answer: StrangerAnswer) -> None:
    """Water 35 to 60 L, turtle 120 to 1050 g, food 15 to 100 mg N a day, nitrate +5 to +62 mg/L a week.

    By hand: 15 mg a day are 15 x 0.7 x 7 x 4.427 / 60 L = 5.4, said as 5; 100 mg in 35 L are 62.
    """
    assert_near(answer.water.low, 35.0, 0.03)
    assert_near(answer.water.high, 60.0, 0.03)
    assert_near(answer.mass.low, 120.0, 0.01)
    assert_near(answer.mass.high, 1050.0, 0.01)
    assert_near(answer.nitrogen.low, 15.0, 0.07)
    assert_near(answer.nitrogen.high, 100.0, 0.05)
    assert_near(answer.rise.low, 5.4, 0.05)
    assert_near(answer.rise.high, 62.0, 0.03)


def test_the_middle_case_and_what_it_takes_to_hold_fifty(answer: StrangerAnswer) -> None:
    """40 mg a day in 45 L is +19; 14 % a week at best, about 50 % in the middle, impossible at worst."""
    assert_near(answer.nitrogen.value, 40.0, 0.02)
    assert_near(answer.water.value, 45.0, 0.04)
    assert answer.rise.value == pytest.approx(19, abs=0.5)
    assert 100 * answer.weekly_share.low == pytest.approx(14, abs=0.7)
    assert 100 * answer.weekly_share.value == pytest.approx(50, abs=5)
    assert answer.weekly_share.high > 1.0
    assert "impossible in the worst, the tank is too small" in answer.only_theirs[1]


def test_the_likely_causes_carry_their_doubt(answer: StrangerAnswer) -> None:
    """A bloom of bacteria 70 %, brush algae 75 %; both are said to be common practice."""
    found = {each.what.split(":")[0]: each.chance for each in answer.likely}
    assert found == {"cloudy": 0.7, "black fuzz": 0.75}
    assert "Most likely, common practice:" in lines_of(answer)


def test_what_is_safe_everywhere_is_said_and_the_pleco_is_not_bought(answer: StrangerAnswer) -> None:
    said = " ".join(answer.everywhere)
    safe = ("Stop the full changes", "25 % every third day", "conditioner", "Feed half for a week", "8 h on a timer")
    for part in (*safe, "10 to 12 h", "half of the sponge", "old tank water"):
        assert part in said, part
    left = " ".join(answer.leave)
    assert "No pleco" in left and "spines" in left and "40 cm" in left and "No algae killer" in left


def test_three_questions_in_order_and_what_an_answer_would_change(answer: StrangerAnswer) -> None:
    filter_, tests, animal = answer.questions
    assert "Which filter" in filter_ and "under the tap" in filter_
    assert "ammonia and pH" in tests
    assert "Which turtle" in animal and "cm" in animal and "food" in animal
    assert "above 0.5 mg/L and there are fish: change 40 % now" in answer.conditions[0]
    assert "open mouth" in answer.conditions[1] and "vet" in answer.conditions[1]


def test_there_is_a_drawing_with_these_numbers(answer: StrangerAnswer) -> None:
    drawing = " ".join(answer.drawing)
    assert "15 to 100 mg N a day" in drawing and "filter film" in drawing and "algae" in drawing


QUESTIONS = (  # a question, and the word its key question must hold
    (ASKED, "filter"),
    ("my 3 inch slider in a 40 L tub, water smells, filter is a small internal filter", "food"),
    ("100 litre tank, green water, light 14 h, ammonia 0.2, musk turtle 11 cm", "filter"),
    ("is it ok to never change the water if I have a canister", "litres"),
    ("turtle won't eat and swims tilted, 75 gallon tank", "filter"),
    ("milky water after cleaning the filter under the tap with hot water, 60 L", "ammonia"),
    ("brown algae everywhere in new 200 L tank with fish", "filter"),
    ("hatchling the size of a coin in 20 L, cloudy", "filter"),
    ("should I add an algae eater? slimy blue-green stuff on the sand, 120 L, map turtle 15 cm", "filter"),
    ("dinner plate sized cooter in 55 gallon, nitrate always 200", "filter"),
    ("black beard algae, 180 L, light on 24/7, sponge filter", "ammonia"),
    ("turtle breathing with open mouth bubbles from nose", "litres"),
    ("how often should I clean", "litres"),
    ("my snail died and the water is cloudy, 30 gallon, turtle 4 inch", "ammonia"),
    ("I use 100 % water changes every day, turtle as big as my palm, 50 L, pellets 10 a day", "ammonia"),
)  # fmt: skip


@pytest.mark.parametrize(("text", "key"), QUESTIONS, ids=lambda each: each[:24])
def test_no_answer_is_unsafe_and_the_key_question_is_asked(text: str, key: str) -> None:
    """At most three questions, the key one among them; nothing forbidden; ranges are ordered and finite."""
    found = answer_to(text)
    lines = lines_of(found)
    assert [line for line in lines if FORBIDDEN.search(line)] == []
    assert 1 <= len(found.questions) <= 3
    assert any(key in question for question in found.questions), found.questions
    assert 0.0 < found.rise.low <= found.rise.value <= found.rise.high < 5000.0


def test_a_sign_goes_before_everything_a_tank_needs() -> None:
    """Breathing with open mouth: the vet comes first, nothing is diagnosed."""
    found = answer_to("turtle breathing with open mouth bubbles from nose")
    assert "reptile vet" in found.conditions[0] and "now" in found.conditions[0] + found.conditions[1]


def test_a_young_animal_and_an_old_tank_are_treated_with_care() -> None:
    assert "Feed as before" in " ".join(answer_to("turtle like a coin, 30 L, cloudy").everywhere)
    assert "10 % a day" in " ".join(answer_to("I never change the water, 100 L, green algae").everywhere)


def test_the_command_answers() -> None:
    result = CliRunner().invoke(cli, ["answer", ASKED])
    assert result.exit_code == 0
    assert "Ask first:" in result.output and not FORBIDDEN.search(result.output)
    assert CliRunner().invoke(cli, ["answer", " "]).exit_code == 2
