"""`lentic check`: things are found by name or asked about, answers are kept, a written reason goes past a STOP."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest
from click.testing import CliRunner

from lentic.advice.hazards import Verdict
from lentic.advice.hazards.words import ask_lines
from lentic.catalogue import CatalogueError
from lentic.cli.main import cli
from lentic.keeper import check, logbook
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Where

SAFE = Path(__file__).parents[1] / "data" / "safe"
CLOCK = datetime(2026, 5, 1, 8, tzinfo=UTC)
MUSK = Where(folder=SAFE / "musk-on-the-shelf", clock=CLOCK)


def of(where: Where, *things: str, facts: tuple[str, ...] = ()) -> Verdict:
    answer = check.check(where, things, facts)
    assert isinstance(answer, Answer)
    return answer.view


def rules(view: Verdict) -> dict[str, str]:
    return {each.rule: each.severity for each in view.found}


@pytest.mark.parametrize(
    ("things", "rule", "severity"),
    [
        (("common plec",), "MATE-01", "STOP"),
        (("Pterygoplichthys pardalis",), "MATE-02", "STOP"),
        (("procambarus",), "MATE-04", "STOP"),
        (("algae killer",), "CHEM-01", "STOP"),
        (("vinegar", "bleach"), "CHEM-05", "STOP"),
        (("liquid carbon",), "PLANT-07", "STOP"),
        (("release",), "LAW-03", "STOP"),
        (("freshwater mussel",), "MATE-12", "WARN"),
        (("hot tap water",), "CHEM-14", "WARN"),
        (("soap",), "CHEM-06", "ACT"),
    ],
)
def test_a_dangerous_thing_is_named_by_any_of_its_names(things: tuple[str, ...], rule: str, severity: str) -> None:
    view = of(MUSK, *things)
    assert rules(view)[rule] == severity
    assert view.stopped is (severity == "STOP" or "STOP" in rules(view).values())


def test_a_thing_without_danger_of_its_own_asks_or_is_silent() -> None:
    assert rules(of(MUSK, "vinegar")) == {}
    assert rules(of(MUSK, "thiosulfate")) == {}
    assert "no rule" in of_lines(of(MUSK, "foam_20ppi"))[0]


def of_lines(view: Verdict) -> list[str]:
    from lentic.cli.show_check import check_lines

    return check_lines(view)


def test_the_standing_hazards_of_the_tank_are_left_out_where_a_thing_is_asked_about() -> None:
    told = ("lamp.reach_cm=5",)
    assert "HEAT-09" in rules(of(MUSK, facts=told))
    assert "HEAT-09" not in rules(of(MUSK, "thiosulfate", facts=told))


def test_an_answer_with_the_question_decides() -> None:
    asked = of(MUSK, "anubias")
    assert "plant[].within_reach" in [ask.fact for ask in asked.asks]
    assert "PLANT-01" not in rules(asked)
    told = of(MUSK, "anubias", facts=("plant[].within_reach=true", "plant[].pesticide_history=free"))
    assert rules(told)["PLANT-01"] == "WARN" and "PLANT-03" not in rules(told)


def test_two_that_fit_are_asked_about_and_none_is_wrong_use() -> None:
    answer = check.check(MUSK, ("pleco",))
    assert isinstance(answer, NotYet) and "which one" in answer.sentence
    with pytest.raises(AskError, match="like no name"):
        check.check(MUSK, ("zzzzqqq",))


@pytest.mark.parametrize(
    ("fact", "said"),
    [
        ("heater.gaurded=true", "Did you mean heater.guarded"),
        ("heater.guarded=perhaps", "true or false"),
        ("heater.guarded", "name=value"),
        ("tank.lid=ajar", '"open"'),
        ("decor.gap_cm=wide", "a number"),
    ],
)
def test_a_fact_that_does_not_fit_is_wrong_use(fact: str, said: str) -> None:
    with pytest.raises(AskError, match=said):
        check.check(MUSK, facts=(fact,))


def test_the_questions_come_with_the_most_pressing_first_and_each_once() -> None:
    asks = of(MUSK).asks
    order = ["STOP", "ACT", "WARN", "NOTE"]
    assert [order.index(ask.severity) for ask in asks] == sorted(order.index(ask.severity) for ask in asks)
    assert len({(ask.fact, ask.about) for ask in asks}) == len(asks)


def test_another_turtle_is_asked_about_with_the_one_that_is_there() -> None:
    view = of(MUSK, "Apalone spinifera")
    assert rules(view)["MATE-08"] == "STOP"
    assert rules(of(MUSK, "Sternotherus odoratus")).get("MATE-08") is None


STORE = "musk-on-the-shelf"


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Where:
    monkeypatch.setenv("LENTIC_HOME", str(tmp_path))
    done = logbook.import_folder(SAFE / STORE, datetime(2026, 4, 27, 12, tzinfo=UTC))
    return Where(name=done.tank, clock=datetime(2026, 4, 27, 12, tzinfo=UTC))


def test_a_stop_is_passed_by_a_written_reason_only_and_stays_in_sight(store: Where) -> None:
    told = ("lamp.reach_cm=8",)
    assert of(store, facts=told).stopped
    logbook.log(store, "overrule HEAT-09: the lamp is a cold one, bought today")
    view = of(store, facts=told)
    assert not view.stopped
    (found,) = [each for each in view.found if each.rule == "HEAT-09"]
    assert found.overruled is not None and "cold one" in found.overruled.why
    assert any("You went against it on 2026-04-27" in line for line in of_lines(view))


def test_a_written_reason_wears_out(store: Where) -> None:
    logbook.log(store, "overrule HEAT-09: until the new ramp is here")
    later = Where(name=store.name, clock=datetime(2026, 7, 27, 12, tzinfo=UTC))
    assert of(later, facts=("lamp.reach_cm=8",)).stopped


def test_answers_that_last_are_kept_and_others_are_not(store: Where) -> None:
    tank, passing = check.keep(store, ["lamp.over_water=true", "lamp.fixings=1", "seen.turtle=none"])
    assert passing == ("seen.turtle",)
    assert {each.name for each in tank.facts} >= {"lamp.over_water", "lamp.fixings"}
    assert rules(of(store))["HEAT-15"] == "STOP"
    check.keep(store, ["lamp.fixings=2"])
    assert "HEAT-15" not in rules(of(store))


def test_the_only_tank_of_the_store_need_not_be_named(store: Where) -> None:
    assert rules(of(Where(name="algaecide", clock=store.clock)))["CHEM-01"] == "STOP"


def test_the_command_prints_the_contract_and_ends_with_1_on_a_stop() -> None:
    run = CliRunner().invoke(cli, ["check", "--folder", str(SAFE / STORE), "algaecide", "--json", "-"])
    content = json.loads(run.stdout)
    assert run.exit_code == 1
    assert set(content) == {"tank", "found", "asks"}
    (found,) = content["found"]
    assert set(found) == {"rule", "severity", "message", "instead", "source", "facts"}
    assert found["facts"] == {"plan.actions": ["dose_algaecide"]}
    whole = CliRunner().invoke(cli, ["check", "--folder", str(SAFE / STORE), "--json", "-"])
    assert whole.exit_code == 0
    assert all(set(ask) == {"rule", "fact", "question"} for ask in json.loads(whole.stdout)["asks"])


def test_the_text_says_what_harms_what_to_do_who_says_so_and_what_was_not_checked() -> None:
    run = CliRunner().invoke(cli, ["check", "--folder", str(SAFE / STORE), "common plec"])
    assert run.exit_code == 1
    for part in ("Do not go on (STOP)", "Instead:", "Who says so:", "To be asked", "Not checked", "no diagnosis"):
        assert part in run.stdout
    assert CliRunner().invoke(cli, ["check", "--folder", str(SAFE / STORE), "zzzzqqq"]).exit_code == 2


def test_a_fact_that_is_not_listed_is_a_mistake_of_the_caller() -> None:
    from lentic.advice.hazards import doing

    with pytest.raises(CatalogueError, match="not on the list"):
        doing("something", known={"heater.gaurded": True})
    with pytest.raises(CatalogueError, match="not on the list"):
        doing("something", actions=("fly",))


def test_a_question_with_fixed_answers_lists_them_but_never_a_substance_against_illness() -> None:
    lines = "\n".join(line for ask in of(MUSK).asks for line in ask_lines(ask))
    assert "One or more of: tilted swimming, nose bubbles" in lines
    assert "medicine.kind=" in lines and "methylene" not in lines


def test_a_fact_of_every_tank_mate_is_told_under_the_name_of_the_list() -> None:
    danios = Where(folder=SAFE / "map-turtle-with-danios", clock=CLOCK)
    assert "MATE-06" in rules(of(danios, facts=("mate[].hardness_out_days=20",)))
    assert "MATE-06" not in rules(of(danios, facts=("mate.zebra danio.hardness_out_days=3",)))
    assert "HEALTH-01" in rules(of(danios, facts=("seen.turtle=nose bubbles",)))
