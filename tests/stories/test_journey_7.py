"""A refuge on a Saturday: twelve tanks, two volunteers, ninety minutes.

Five of the tanks are written out. Their figures come from the sums of the trade: resting energy after Gatten's
measured rates, 160 mg N in a gram of protein, 0.7 of it in the water, a steady weekly change, 2 equivalents of
alkalinity for a nitrified mole, 7 mg thiosulfate for a mg of chlorine. Two inputs were not given and are chosen so
that the figures of the answer come out: the water temperature of each tank, and 38 % protein in A4.
"""

from __future__ import annotations

import re
from dataclasses import replace
from time import process_time

import pytest

from lentic.advice.rounds import FINE, NOT_CYCLED, RECHECK, WASTE, Kept, Round, Tap, outlook_of, round_of

TAP = Tap(nitrate_mg_l=8.0, kh_dkh=9.0, chlorine_mg_l=0.4)
A1 = Kept(
    name="A1", litres=600, masses_g=(3400 / 3,) * 3, water_c=25, food_g_d=8.5, protein=0.42, change_share=0.40,
    nitrate_mg_l=62, kh_dkh=5.5, species="Trachemys scripta", gear="blue",
)  # fmt: skip
A4 = Kept(
    name="A4", litres=240, masses_g=(620,), water_c=24, food_g_d=1.0, protein=0.38, change_share=0.25,
    nitrate_mg_l=34, kh_dkh=9.0, gear="blue",
)  # fmt: skip
B2 = Kept(
    name="B2", litres=180, masses_g=(200, 200, 200), water_c=26, food_g_d=1.5, protein=0.45, change_share=0.30,
    nitrate_mg_l=95, kh_dkh=3.0, species="Chrysemys picta", gear="blue",
)  # fmt: skip
C3 = Kept(
    name="C3", litres=420, masses_g=(2100,), water_c=23, food_g_d=2.4, protein=0.32, change_share=0.30,
    nitrate_mg_l=48, kh_dkh=8.0, gear="blue",
)  # fmt: skip
Q1 = Kept(
    name="Q1", litres=90, masses_g=(350,), water_c=26, food_g_d=0.9, protein=0.42, change_share=0.50,
    nitrate_mg_l=20, kh_dkh=8.5, quarantine=True, gear="red",
)  # fmt: skip
FIVE = (A1, A4, B2, C3, Q1)

# tank: fed over need, mg N per 100 L and day, nitrate and KH before the change as the answer prints them
EXPECTED = {
    "A1": (1.9, 95, 60, 4.3),
    "A4": (1.2, 25, 30, 7.0),
    "B2": (1.2, 60, 51, 5.1),
    "C3": (1.15, 29, 29, 7.1),
    "Q1": (1.4, 67, 37, 6.4),
}
FINDINGS = {"A1": FINE, "A4": FINE, "B2": WASTE, "C3": RECHECK, "Q1": NOT_CYCLED}


@pytest.fixture(scope="module")
def day() -> Round:
    return round_of(FIVE, TAP, country="PL")


@pytest.mark.parametrize("tank", FIVE, ids=lambda tank: tank.name)
def test_every_figure_of_the_table_comes_out_within_its_rounding(tank: Kept) -> None:
    ratio, load, nitrate, kh = EXPECTED[tank.name]
    found = outlook_of(tank, TAP)
    assert found.fed_over_need == pytest.approx(ratio, abs=0.05)
    # 25.3 is printed as 25; all others round to the figure
    assert found.load_mg_100l_d == pytest.approx(load, abs=0.5)
    assert found.nitrate == pytest.approx(nitrate, abs=0.5)
    assert found.kh == pytest.approx(kh, abs=0.05)


@pytest.mark.parametrize("tank", FIVE, ids=lambda tank: tank.name)
def test_every_tank_gets_the_verdict_an_old_hand_would_give(tank: Kept) -> None:
    assert outlook_of(tank, TAP).finding == FINDINGS[tank.name]


def test_a1_is_overfed_and_cut_to_five_or_six_grams() -> None:
    found = outlook_of(A1, TAP)
    assert found.overfed and "5 to 6 g a day" in " ".join(found.said)
    assert not any(outlook_of(tank, TAP).overfed for tank in (A4, B2, C3, Q1))


def test_a4_may_skip_a_week_and_nobody_else() -> None:
    skips = [tank.name for tank in FIVE if "may be skipped" in " ".join(outlook_of(tank, TAP).said)]
    assert skips == ["A4"]


def test_b2_looks_as_if_fifteen_percent_were_changed() -> None:
    found = outlook_of(B2, TAP)
    assert found.change_seen == pytest.approx(0.15, abs=0.005)
    assert (round(found.litres), found.times_a_week) == (45, 2)
    assert "open the filter today" in " ".join(found.said)


def test_q1_is_tested_first_with_its_own_kit_and_served_last(day: Round) -> None:
    assert day.tests_first == ("Q1: ammonia, with its own kit",)
    assert [each.tank.name for each in day.order] == ["A4", "C3", "A1", "B2", "Q1"]
    assert any("Q1 last, with its own net" in line for line in day.hygiene)


def test_litres_conditioner_and_time(day: Round) -> None:
    assert [round(each.litres) for each in day.order] == [60, 126, 240, 45, 45]
    assert day.litres == pytest.approx(516, abs=0.5)
    # 516 L at 0.4 mg/L of chlorine, 7 mg thiosulfate a mg
    assert day.thiosulfate_g == pytest.approx(1.4, abs=0.05)
    # to the five minutes the answer gives
    assert day.minutes == pytest.approx(85, abs=2.5)


def test_the_gate_lets_the_round_through_and_catches_shared_gear(day: Round) -> None:
    assert day.verdict.found == ()
    shared = round_of([replace(tank, gear="blue") for tank in FIVE], TAP)
    assert [each.rule for each in shared.verdict.found] == ["MULTI-01"]
    unknown = round_of([replace(tank, gear=None) for tank in FIVE], TAP)
    assert unknown.verdict.found == () and [ask.fact for ask in unknown.verdict.asks] == ["home.faults"]


def test_law_is_shown_and_left_to_the_authority(day: Round) -> None:
    said = " ".join(day.law)
    assert "no sale, breeding, moving or release" in said and "Ask the authority" in said
    assert "under 5" in said and "Japan" not in said and "fi_ias" not in said


def test_the_handover_names_every_tank_in_order(day: Round) -> None:
    assert [line.split(":")[0] for line in day.handover] == ["A4", "C3", "A1", "B2", "Q1"]
    assert "45 L twice this week" in day.handover[3]


# what no answer may say: a diagnosis, a medicine, a verdict on law, one big change, a product, an alarm
FORBIDDEN = re.compile(
    r"\blegal\b|illegal|antibiotic|medicine|infection|all the water|pH[- ]?(up|minus|down)|[!®™]", re.IGNORECASE
)


def test_nothing_forbidden_is_said(day: Round) -> None:
    lines = (*day.tests_first, *day.hygiene, *day.handover, *day.law)
    assert [line for line in lines if FORBIDDEN.search(line)] == []
    assert all(each.litres <= 0.5 * each.tank.litres for each in day.order)


def test_twelve_tanks_are_planned_in_a_moment_in_an_order_that_carries_nothing_on() -> None:
    more = [
        replace(A4, name="A2", nitrate_mg_l=28), replace(A4, name="A3", litres=300, change_share=0.3),
        replace(A1, name="A5", food_g_d=5.0, nitrate_mg_l=40, kh_dkh=7), replace(C3, name="B1", nitrate_mg_l=30),
        replace(B2, name="B3", nitrate_mg_l=55, kh_dkh=5), replace(A4, name="S1", sick=True, gear="yellow"),
        replace(Q1, name="Q2", nitrate_mg_l=None, gear="red"),
    ]  # fmt: skip
    begun = process_time()
    day = round_of([*FIVE, *more], TAP)
    assert process_time() - begun < 5.0  # the bar for twelve tanks
    assert len(day.order) == 12
    names = [each.tank.name for each in day.order]
    assert names[-3:] == ["Q1", "Q2", "S1"] and names[-4] == "B2"
    assert "MULTI-02" not in [each.rule for each in day.verdict.found]
    assert "MULTI-01" not in [each.rule for each in day.verdict.found]
