"""What a change of routine is judged by: made-up tanks, waters that can be mixed by hand, one small fit."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest

from lentic.advice import routine as dials
from lentic.advice.judge import Measured, Tried, judge
from lentic.advice.plan import Proposal, proposal_of
from lentic.advice.plan_words import sentences
from lentic.advice.refill import free_ammonia, refill
from lentic.advice.routine import Goals, Routine, Wishes, between, goals_of
from lentic.learn.fit import Effort, Fit, fit
from lentic.learn.forecast import fewer, futures, scraping_interval
from lentic.logbook.events import Change, Event, Feed, Planted, Reading, Scrape
from lentic.logbook.tank import Fish, Fixture, Glass, Plant, SourceWater, Tank, Turtle
from lentic.science.water import water_from_tests

BEGIN = datetime(2026, 1, 5, 8, tzinfo=UTC)
TANK = Tank(
    name="a", timezone="UTC", glass=Glass(length_cm=100.0, width_cm=40.0, water_depth_cm=40.0, water_l=150.0),
    source_water=SourceWater(temperature_c=12.0, kh_dkh=5.0, ph=7.5, no3_mg_l=5.0),
    turtles=(Turtle(id="b", mass_g=500.0),), plants=(Plant(species="Egeria densa", wet_g=200.0),),
    lamps=(Fixture(use="plants", ppfd=70.0, hours=9.0),),
)  # fmt: skip
FISH = replace(TANK, fish=(Fish(species="x", count=6),))
GOALS = Goals(
    nitrate_mg_l=40.0, liked_nitrate_mg_l=40.0, scrape_every_d=14.0, minutes_a_week=None, litres=None, said="Wanted."
)
NOW = Routine(litres=20.0, interval_d=7.0, light_h=9.0)


def lived(**values: float) -> Measured:
    usual = {"nitrate": 30.0, "every": 14.0, "thick": 0.0, "plants": 300.0, "free": 0.001, "cooling": 1.5,
             "ph_step": 0.1, "kh_step": 0.2}  # fmt: skip
    return Measured(**{name: np.full(4, value) for name, value in (usual | values).items()})


def judged(tank: Tank = TANK, turned: Routine = NOW, goals: Goals = GOALS, **values: float) -> Tried:
    before = judge(tank, lived(), lived(), NOW, "Go on as before.", goals, None)
    return judge(tank, lived(**values), lived(), turned, "Turn it.", goals, before)


def test_missed_goals_and_minutes_are_what_costs() -> None:
    met = judged()
    assert met.kept == 1.0
    # the wish missed by the factor two costs ln 2, and so does scraping twice as often; minutes come on top
    assert judged(nitrate=80.0).loss - met.loss == pytest.approx(np.log(2.0))
    oftener = judged(every=7.0)
    assert oftener.loss - met.loss == pytest.approx(np.log(2.0) + (oftener.minutes_a_week - met.minutes_a_week) / 300.0)
    # one session of 12 min and two buckets of 2.5 min a week, half a scraping of 10 min
    assert met.minutes_a_week == pytest.approx(12.0 + 5.0 + 5.0)
    assert judged(plants=150.0).loss > met.loss
    assert judged(nitrate=1.0).loss > met.loss


def test_a_large_cold_change_is_to_be_warmed_sooner_with_fish() -> None:
    # mixing: 30 of 150 L at 12 °C take 2.4 K from water of 24 °C; at 14 °C they take 2 K
    larger = judged(FISH, replace(NOW, litres=30.0), cooling=2.4)
    assert larger.against == ()
    with_fish, without = (
        "\n".join(sentences(tank, GOALS, judged(tank), larger, None, None, (), datetime(2026, 5, 1), 56))  # noqa: DTZ001
        for tank in (FISH, TANK)
    )
    assert "Warm the new water to 14 °C or more" in with_fish
    assert "Warm the new water" not in without


def test_steps_of_ph_and_kh_rule_a_larger_change_out_and_nothing_else() -> None:
    larger = replace(NOW, litres=30.0)
    assert any("pH" in each for each in judged(turned=larger, ph_step=-0.8).against)
    assert any("KH" in each for each in judged(turned=larger, kh_step=2.5).against)
    # what the keeper does already is no reason against a change of the lamp
    assert judged(turned=replace(NOW, light_h=8.0), ph_step=-0.8).against == ()


def test_a_keeper_who_looks_seldom_gains_nothing_by_looking_more_seldom() -> None:
    assert judged(every=28.0, thick=0.9).loss > judged().loss


def test_more_free_ammonia_is_ruled_out_where_fish_live_and_said_elsewhere() -> None:
    assert any("harms the fish" in each for each in judged(FISH, free=0.1).against)
    without = judged(free=0.1)
    assert without.against == ()
    said = sentences(TANK, GOALS, judged(), without, None, None, (), datetime(2026, 5, 1), 56)  # noqa: DTZ001
    assert any("raises the highest free ammonia from 0.001 to 0.1" in line for line in said)


def test_a_rise_that_stays_under_the_line_is_still_said_plainly_where_fish_live() -> None:
    little = judged(FISH, free=0.006)
    assert little.against == ()
    said = sentences(FISH, GOALS, judged(FISH), little, None, None, (), datetime(2026, 5, 1), 56)  # noqa: DTZ001
    assert any("fish live in this tank" in line for line in said)


def test_hungry_rotting_and_too_much_work_are_ruled_out() -> None:
    assert any("hungry" in each for each in judged(nitrate=2.0).against)
    many = replace(NOW, plants_g=300.0)
    assert any("rot" in each for each in judged(turned=many, plants=320.0).against)
    assert judged(turned=many, plants=500.0).against == ()
    busy = replace(GOALS, minutes_a_week=25.0, litres=30.0)
    assert any("minutes a week" in each for each in judged(turned=replace(NOW, interval_d=3.0), goals=busy).against)
    assert any("buckets" in each for each in judged(turned=replace(NOW, litres=50.0), goals=busy).against)


def test_why_nothing_is_proposed_is_said() -> None:
    def said(before: Tried, *tried: Tried) -> str:
        return " ".join(sentences(TANK, GOALS, before, None, None, None, tried, datetime(2026, 5, 1), 56))  # noqa: DTZ001

    assert "what this tank does already" in said(judged())
    assert "no single change gains" in said(judged(nitrate=60.0), judged(nitrate=58.0))
    assert "breaks a limit" in said(judged(nitrate=60.0), judged(nitrate=2.0))


def test_a_refill_mixes_alkalinity_and_carbon_and_solves_for_ph() -> None:
    """Where bicarbonate is nearly all, pH = pK + log10(alkalinity / CO2) and CO2 mixes as DIC less alkalinity.

    Stumm & Morgan, Aquatic Chemistry, from memory; the whole system is checked against PHREEQC in tests/science.
    """
    tank = water_from_tests(24.0, 7.2, 1.0, 2.0, tan=0.5)
    tap = water_from_tests(24.0, 6.6, 4.0, 5.0)
    found = refill(tank, tap, np.array(0.25))
    carbon = [float(np.asarray(w.dic - w.alkalinity)) for w in (tank, tap)]
    own = float(tank.ph) - np.log10(float(np.asarray(tank.alkalinity)) / carbon[0])
    by_hand = own + np.log10((0.75 * 1.0 + 0.25 * 4.0) / (1e3 * (0.75 * carbon[0] + 0.25 * carbon[1])))
    assert float(found.ph_step) == pytest.approx(by_hand - 7.2, abs=0.03)
    # the mean of the two readings, weighted by litres, would have said -0.15
    assert float(found.ph_step) < -0.35
    assert float(found.kh_step) == pytest.approx(0.75)
    # Emerson and others 1975: 0.83 % free at pH 7.2 and 24 °C
    assert float(found.free_before) == pytest.approx(0.5 * 0.0083, rel=0.02)
    assert float(found.free_after) < 0.5 * float(found.free_before)


def test_a_cold_refill_cools_by_its_share_and_is_weighed_warm() -> None:
    tank, tap = water_from_tests(24.0, 8.0, 3.0, 4.0, tan=0.5), water_from_tests(12.0, 8.0, 3.0, 4.0, tan=0.5)
    found = refill(tank, tap, np.array(0.25))
    assert float(found.cooling) == pytest.approx(0.25 * 12.0)
    # warming the cold water lowers its pH a little, so the same total ammonia is a little less free
    assert 0.9 * float(found.free_before) < float(found.free_after) < float(found.free_before)


def test_alkaline_tap_water_frees_ammonia_that_was_harmless() -> None:
    acid, hard = water_from_tests(24.0, 6.6, 0.5, 1.0, tan=2.0), water_from_tests(24.0, 8.3, 4.0, 5.0)
    assert float(refill(acid, hard, np.array(0.3)).free_after) > 3.0 * float(free_ammonia(acid))
    same = refill(acid, acid, np.array(0.4))
    assert float(same.ph_step) == pytest.approx(0.0, abs=1e-6)


def test_goals_come_from_the_keeper_then_from_the_good_weeks_of_the_log() -> None:
    log: list[Event] = [Reading(time=BEGIN + timedelta(days=7 * k), quantity="nitrate", value=n, unit="mg/L N")
                        for k, n in enumerate((3.4, 3.4, 3.4, 9.0, 9.0, 9.0, 9.0))]  # fmt: skip
    log += [Scrape(time=BEGIN + timedelta(days=d)) for d in (0, 12, 24, 36, 40, 44)]
    own = goals_of(TANK, log, Wishes())
    assert own.liked_nitrate_mg_l == pytest.approx(15.05, abs=0.1)  # 3.4 mg/L N as NO3
    assert own.scrape_every_d == 12.0
    said = goals_of(TANK, log, Wishes(nitrate_mg_l=25.0, scrape_every_d=10.0, buckets=4.0))
    assert (said.nitrate_mg_l, said.liked_nitrate_mg_l, said.scrape_every_d, said.litres) == (25.0, 25.0, 10.0, 40.0)
    assert goals_of(TANK, [], Wishes()).scrape_every_d == dials.GOOD_SCRAPE_D


def test_a_dial_is_refined_half_way_to_its_neighbours() -> None:
    assert sorted(between("litres", 40.0, [20.0, 60.0])) == [30.0, 50.0]
    assert between("litres", 40.0, [35.0, 45.0]) == ()
    assert between("interval_d", 7.0, [4.0, 14.0]) == ()


def test_scraping_intervals_of_a_film_that_doubles_in_seven_days() -> None:
    """Growth by ln 2 in 7 d, scraped down to a quarter: two doublings, 14 days."""
    film = np.array([[2.0 ** ((day % 14) / 7.0)] for day in range(57)])
    assert scraping_interval(film, 60.0) == pytest.approx([14.0], rel=1e-6)
    assert scraping_interval(np.ones((57, 1)), 60.0) == pytest.approx([60.0])


@pytest.fixture(scope="module")
def small() -> tuple[Fit, list[Event], Proposal]:
    log: list[Event] = [Feed(time=BEGIN + timedelta(days=d), food="pellet_adult", grams=2.5) for d in range(84)]
    log += [Change(time=BEGIN + timedelta(days=7 * k + 0.4), litres=30.0) for k in range(12)]
    log += [Reading(time=BEGIN + timedelta(days=d + 0.3), quantity="nitrate", value=18.0, unit="mg/L N")
            for d in (41, 62, 76)]  # fmt: skip
    log += [Scrape(time=BEGIN + timedelta(days=d + 0.45)) for d in range(20, 84, 9)]
    log.sort(key=lambda e: e.time)
    end = datetime(2026, 3, 30, tzinfo=UTC)
    fitted = fit(TANK, log, (), end, Effort(members=48, passes=3, seed=3, threads=1))
    return fitted, log, proposal_of(fitted, log, (), end, 42)


def test_an_overfed_tank_is_told_one_change_first(small: tuple[Fit, list[Event], Proposal]) -> None:
    """Eighty milligrams of nitrate from five times the need: the tank is told one change that lowers it."""
    _, _, found = small
    assert found.proposed is not None
    assert found.before.nitrate.p50 is not None
    assert found.proposed.nitrate.p50 is not None
    assert found.proposed.nitrate.p50 < found.before.nitrate.p50
    turned = [d for d in dials.DIALS if getattr(found.proposed.routine, d) != getattr(found.before.routine, d)]
    assert len(turned) == 1
    assert sum("One change first" in line for line in found.sentences) == 1
    if found.together is not None:
        assert found.second is not None
        assert found.together.loss < found.proposed.loss
        assert any("only after the first has been seen" in line for line in found.sentences)


def test_every_dial_is_bounded_by_habit_and_by_what_can_be_carried(small: tuple[Fit, list[Event], Proposal]) -> None:
    fitted, log, found = small
    free = dials.places(fitted, log, found.before.routine, GOALS)
    assert max(free["litres"]) <= 1.5 * 30.0
    assert set(free["interval_d"]) <= {3.0, 4.0, 5.0, 10.0, 14.0}
    assert min(free["ration"]) >= dials.LEAST_RATION
    tight = dials.places(fitted, log, found.before.routine, replace(GOALS, litres=35.0))
    assert max(tight["litres"]) <= 35.0


def test_fewer_tanks_are_the_same_tanks(small: tuple[Fit, list[Event], Proposal]) -> None:
    fitted, log, found = small
    plan = (Planted(time=found.begin.replace(tzinfo=UTC), species="Egeria densa", grams=100.0),)
    whole, part = (futures(f, log, plan, found.begin.replace(tzinfo=UTC), 5) for f in (fitted, fewer(fitted, 24)))
    assert np.allclose(whole.values["nitrate"][:, ::2], part.values["nitrate"], rtol=1e-9)
