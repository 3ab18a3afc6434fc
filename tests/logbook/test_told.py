"""Answers kept in [facts] of tank.toml, and reasons against a rule kept in the log."""

from datetime import UTC, datetime

import pytest

from lentic.catalogue.hazards import NOTHING
from lentic.logbook.events import Overrule, Refused
from lentic.logbook.log_file import read_log
from lentic.logbook.quick import parse_quick
from lentic.logbook.tank import Tank
from lentic.logbook.tank_file import read_tank, tank_text

HEAD = 'format = "lentic-tank-1"\nname = "Shelf"\ntimezone = "Europe/Oslo"\n[tank]\nwater_l = 120.0\n'
NOW = datetime(2026, 5, 1, 12, tzinfo=UTC)


def facts_of(text: str) -> dict[str, object]:
    tank, problems = read_tank(HEAD + text)
    assert tank is not None and problems == ()
    return {each.name: each.value for each in tank.facts}


def test_answers_are_read_dotted_quoted_and_as_tables() -> None:
    told = facts_of(
        '[facts]\nheater.guarded = true\n"lamp.uvb.path" = "open"\nhome.faults = ["none"]\nlamp.reach_cm = "none"\n'
        "turtle.mila.papers = false\n[facts.mate.guppy]\nlength_cm = 4\n"
    )
    assert told == {
        "heater.guarded": True, "lamp.uvb.path": "open", "home.faults": frozenset({"none"}),
        "lamp.reach_cm": NOTHING, "turtle.mila.papers": False, "mate.guppy.length_cm": 4.0,
    }  # fmt: skip


def test_answers_survive_writing() -> None:
    text = '[facts]\nheater.guarded = true\nlamp.reach_cm = "none"\nmetal.in_water = ["stainless"]\n'
    text += "turtle.mila.papers = true\n"
    tank, _ = read_tank(HEAD + text)
    assert tank is not None
    again, problems = read_tank(tank_text(tank))
    assert again == tank and problems == ()


@pytest.mark.parametrize(
    ("line", "number", "said"),
    [
        ("heater.gaurded = true", 7, "Did you mean heater.guarded?"),
        ("reading.kh = 4", 7, "--fact reading.kh="),
        ('heater.guarded = "yes"', 7, "Write true or false."),
        ('tank.lid = "ajar"', 7, '"open"'),
        ("mate.length_cm = 4", 7, "is not a fact that can be told here"),
        ("home.faults = ['mice']", 7, "a list of"),
        ("decor.gap_cm = 'wide'", 7, "Write a number in cm"),
    ],
)
def test_a_slip_is_refused_with_its_line(line: str, number: int, said: str) -> None:
    tank, problems = read_tank(f"{HEAD}[facts]\n{line}\n")
    assert tank is not None and tank.facts == ()
    (problem,) = problems
    assert problem.line == number and problem.severity == "refused"
    assert said in problem.sentence


def test_facts_that_are_no_table_are_refused() -> None:
    tank, problems = read_tank(f"{HEAD}[[facts]]\nheater.guarded = true\n")
    assert tank is not None and tank.facts == ()
    assert "only once" in problems[0].sentence


LOG = "time,kind,what,amount,unit,note\n"


def test_a_reason_against_a_rule_is_an_event() -> None:
    tank = Tank(name="Shelf", timezone="UTC")
    log = read_log(f"{LOG}2026-04-30T10:00,overrule,mate-01,,,moves out on Saturday\n", tank)
    (event,) = log.events
    assert isinstance(event, Overrule) and event.rule == "MATE-01" and event.note == "moves out on Saturday"


@pytest.mark.parametrize("row", ["MATE-01,,,", "MATE-99,,,because", "MATE-01,3,,because"])
def test_without_a_rule_or_a_reason_nothing_is_overruled(row: str) -> None:
    log = read_log(f"{LOG}2026-04-30T10:00,overrule,{row}\n", Tank(name="Shelf", timezone="UTC"))
    assert all(isinstance(event, Refused) for event in log.events)
    assert any(problem.severity == "refused" for problem in log.problems)


def test_the_entry_line_takes_a_reason() -> None:
    tank = Tank(name="Shelf", timezone="UTC")
    quick = parse_quick("overrule MATE-01: it moves out on Saturday", tank, (), NOW)
    (event,) = quick.events
    assert isinstance(event, Overrule) and event.rule == "MATE-01" and event.note == "it moves out on Saturday"
