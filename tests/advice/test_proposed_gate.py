"""A plan passes through the gate: what it does is tried as a question, and a STOP takes it back."""

from __future__ import annotations

from datetime import UTC, datetime

from lentic.advice.hazards import Overruled, Situation, doing, gate, question_of_events
from lentic.advice.hazards.proposed import question_of_routine, said_beside
from lentic.advice.routine import Routine
from lentic.catalogue.hazards import NOTHING, Facts
from lentic.logbook.events import AnimalIn, Change, Dose, Feed, Lamp, Planted, Rinse, Scrape
from lentic.logbook.tank import Fish, Glass, Plant, SourceWater, Tank

NOW = datetime(2026, 5, 1, 8, tzinfo=UTC)
TANK = Tank(
    name="Shelf", glass=Glass(water_l=100.0), source_water=SourceWater(ph=8.0),
    fish=(Fish(species="danio_rerio", count=6),), plants=(Plant(species="ceratophyllum_demersum", wet_g=200.0),),
)  # fmt: skip
HERE = Situation(tank="Shelf", facts=Facts(known={"turtle.any": True, "fish.any": True}))


def rules(question: object, situation: Situation = HERE) -> dict[str, str]:
    from lentic.advice.hazards import Question

    assert isinstance(question, Question)
    return {each.rule: each.severity for each in gate(situation, question, now=NOW).found}


def test_a_change_that_is_too_large_for_fish_is_found() -> None:
    was = Routine(litres=20.0, interval_d=7.0, light_h=8.0)
    assert "WATER-13" not in rules(question_of_routine(was, was, TANK))
    assert (
        rules(question_of_routine(was, Routine(litres=70.0, interval_d=7.0, light_h=8.0), TANK))["WATER-13"] == "WARN"
    )


def test_longer_light_is_found_only_where_the_routine_turns_it() -> None:
    was = Routine(litres=20.0, interval_d=7.0, light_h=13.0)
    assert "HEAT-13" not in rules(question_of_routine(was, was, TANK))
    longer = Routine(litres=20.0, interval_d=7.0, light_h=14.0)
    assert rules(question_of_routine(was, longer, TANK))["HEAT-13"] == "WARN"


def test_alkaline_water_on_much_ammonium_is_held_back() -> None:
    # the trap of a tank gone acid: harmless ammonium turns to ammonia when the pH is lifted
    sour = Situation(tank="Shelf", facts=HERE.facts.plus({"reading.ammonia_total": 1.5, "reading.ph": 6.2}))
    was = Routine(litres=20.0, interval_d=7.0, light_h=8.0)
    assert rules(question_of_routine(was, was, TANK), sour)["WATER-04"] == "ACT"


def test_the_events_of_a_plan_are_tried_together() -> None:
    plan = (
        Change(time=NOW, percent=80.0), Scrape(time=NOW), Rinse(time=NOW, extent="all", water="tap"),
        Planted(time=NOW, species="anubias_barteri", grams=50.0), Feed(time=NOW, food="smelt_raw", grams=2.0),
        AnimalIn(time=NOW, what="ancistrus", count=1), Dose(time=NOW, substance="algaecide", amount=5.0, unit="mL"),
        Lamp(time=NOW, use="plants", hours=14.0),
    )  # fmt: skip
    found = rules(question_of_events(plan, TANK))
    assert {"WATER-13", "MATE-01", "MATE-02", "CHEM-01", "HEAT-13"} <= set(found)
    assert rules(question_of_events((), TANK)) == {}


def test_a_step_says_its_actions_and_what_will_hold() -> None:
    power = {"elec.mains_on": True}
    assert rules(doing("scrape", actions=("hands_in_water", "scrape"), known=power))["ELEC-02"] == "STOP"
    assert "ELEC-02" not in rules(doing("scrape", actions=("hands_in_water",), known={"elec.mains_on": False}))
    asked = gate(HERE, doing("scrape", actions=("hands_in_water",)), now=NOW).asks
    assert "elec.mains_on" in [ask.fact for ask in asked]
    gone = doing("lower the water", known={"heater.mark_covered": False, "heater.on": NOTHING})
    assert "HEAT-02" not in rules(gone)


def test_a_written_reason_goes_past_and_the_finding_stays() -> None:
    question = doing("dose", actions=("dose_algaecide",))
    verdict = gate(HERE, question, now=NOW, overruled=[Overruled(rule="CHEM-01", when=NOW, why="a trial tank")])
    assert not verdict.stopped and verdict.found[0].overruled is not None
    assert gate(HERE, question, now=NOW).stopped


def test_what_stands_beside_a_proposal_is_short() -> None:
    was = Routine(litres=70.0, interval_d=7.0, light_h=8.0)
    verdict = gate(HERE, question_of_routine(was, was, TANK), now=NOW)
    said = said_beside(verdict)
    assert said[0].startswith("WARN WATER-13") and 1 < len(said) <= len(verdict.found) + 2
