"""The home: room, volume by shape, panes, floor, traps that grow with the animal, house, moving and resealing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from lentic.advice.findings import Finding
from lentic.advice.floor import floor_finding, load_of
from lentic.advice.growing import curve_of, record_of
from lentic.advice.home import HomeView, Offer, home_of
from lentic.advice.home_checks import Shell, checks_of, gap
from lentic.advice.home_size import laboratory_floor, need_of
from lentic.advice.house import electricity_of, hygiene_of, lifting_of
from lentic.advice.moving import move_of, reseal_of
from lentic.advice.pane import factor_of, panes_of, seams_of
from lentic.catalogue import turtles
from lentic.logbook.events import Change, Event
from lentic.logbook.tank import Fish, Glass, Home, Tank, Turtle

NOW = datetime(2026, 6, 1, 12, tzinfo=UTC)
TODAY = NOW.date()
GLASS = Glass(
    pane="glass", length_cm=120.0, width_cm=50.0, water_depth_cm=46.0, height_cm=58.0, pane_mm=10.0, braced=True,
    solids_l=13.0,
)  # fmt: skip
MAP = Turtle(
    id="juno", species="Graptemys pseudogeographica", sex="female", mass_g=560.0, scl_cm=16.0, hatched=date(2019, 7, 1)
)
SAFE = Home(
    rim_above_foothold_cm=60.0, gap_cm=40.0, grain_mm=0.5, ramp_deg=30.0, ramp_rough=True, platform_carries_g=5000.0,
    platform_tips=False, climbing_path=True, nest_box=True, seams_made=date(2022, 1, 1), stand_kg=60.0, storey=0,
    breaker_ma=30.0, breaker_tested=date(2026, 5, 20), drip_loops=True, sockets_above_rim=True, vulnerable_person=False,
    stand_slope_mm_m=1.0,
)  # fmt: skip


def tank(home: Home = SAFE, glass: Glass = GLASS, turtle: Turtle = MAP) -> Tank:
    return Tank(name="Loft", timezone="UTC", as_of=date(2026, 5, 1), glass=glass, home=home, turtles=(turtle,))


def view(home: Home = SAFE, glass: Glass = GLASS, turtle: Turtle = MAP) -> HomeView:
    return home_of(tank(home, glass, turtle), [], NOW)


def found(what: str, home: Home = SAFE, glass: Glass = GLASS, turtle: Turtle = MAP) -> Finding:
    (one,) = [each for each in view(home, glass, turtle).findings if each.what == what]
    return one


def test_a_home_with_every_measure_asks_nothing() -> None:
    assert {each.state for each in view().findings} <= {"fine", "watch"}
    assert found("size for juno, grown up").state == "watch"


def test_the_rule_of_five_and_two_and_a_half() -> None:
    """German expert opinion of 1997 as quoted: 5 x shell length long, 2.5 x wide."""
    need = need_of("now", turtles()["pseudemys_nelsoni"], (27.0, 27.0))
    assert need.length_cm == (135.0, 135.0) and need.width_cm == (67.5, 67.5)
    assert need.depth_cm[0] == pytest.approx(54.0)  # strong swimmer: two shell lengths
    weak = need_of("now", turtles()["mauremys_reevesii"], (15.0, 15.0))
    assert weak.depth_cm[0] <= 30.0
    assert found("size for juno, now").state == "fine"
    assert "less wide" in found("size for juno, grown up").sentence
    assert found("size for juno, now", glass=replace(GLASS, length_cm=60.0)).state == "act"
    assert found("size for juno, now", glass=Glass()).state == "ask"


def test_the_laboratory_rule_is_called_what_it_is() -> None:
    """EU Directive 2010/63, annex III table 10.1: 10,000 cm² and 35 cm for 20 to 30 cm."""
    text = laboratory_floor(27.0).sentence
    assert "10000 cm²" in text and "35 cm deep" in text and "not a home" in text


@pytest.mark.parametrize(
    ("glass", "litres"),
    [
        (Glass(length_cm=100.0, width_cm=40.0, water_depth_cm=45.0), 180.0),
        (Glass(shape="cylinder", length_cm=50.0, water_depth_cm=40.0), 10.0 * np.pi * 2.5),
        (Glass(shape="hexagon", length_cm=30.0, water_depth_cm=50.0), 1.5 * np.sqrt(3.0) * 9.0 * 5.0),
        (Glass(shape="quarter", length_cm=60.0, water_depth_cm=50.0), np.pi / 4.0 * 36.0 * 5.0),
        (Glass(shape="bow_front", length_cm=100.0, width_cm=40.0, bow_cm=50.0, water_depth_cm=10.0), 40 + np.pi * 12.5),
        (
            Glass(shape="tub", length_cm=120.0, width_cm=80.0, bottom_length_cm=100.0, bottom_width_cm=60.0,
                  water_depth_cm=30.0),
            30.0 / 6.0 * (60.0 + 4.0 * 77.0 + 96.0) / 10.0,
        ),
    ],
)  # fmt: skip
def test_volume_by_shape_by_hand(glass: Glass, litres: float) -> None:
    assert glass.filled_litres == pytest.approx(litres, rel=1e-6)


def test_the_way_across_of_other_shapes() -> None:
    assert Glass(shape="cylinder", length_cm=50.0).sides_cm == (50.0, 50.0)
    assert Glass(shape="hexagon", length_cm=30.0).sides_cm == pytest.approx((60.0, 51.96), abs=0.01)
    assert Glass(length_cm=100.0).sides_cm is None and Glass(width_cm=100.0).sides_cm is None
    round_one = Glass(shape="cylinder", length_cm=60.0, water_depth_cm=40.0)
    assert "cm less long" in found("size for juno, now", glass=round_one).sentence


def test_a_shape_without_its_measure_has_no_volume() -> None:
    assert Glass(shape="bow_front", length_cm=100.0, width_cm=40.0, water_depth_cm=10.0).filled_litres is None
    assert view(glass=Glass()).volume.state == "ask"
    assert "Count the buckets" in view(glass=replace(GLASS, solids_l=None)).volume.sentence
    assert "counted by bucket" in view(glass=replace(GLASS, water_l=255.0)).volume.sentence


def test_panes_by_the_worked_examples_of_the_table() -> None:
    """100 cm long, 45 cm of water: 4.1 with 8 mm, 2.3 with 6 mm, by hand from the coarse published table."""
    eight = factor_of(Glass(length_cm=98.4, width_cm=38.0, pane_mm=8.0), 45.0, True)
    six = factor_of(Glass(length_cm=98.8, width_cm=38.0, pane_mm=6.0), 45.0, True)
    assert eight is not None and six is not None
    assert eight.usual == pytest.approx(4.1, abs=0.15) and six.usual == pytest.approx(2.3, abs=0.1)
    assert factor_of(Glass(length_cm=100.0), 45.0, True) is None


@pytest.mark.parametrize(("mm", "state"), [(12.0, "fine"), (10.0, "fine"), (8.0, "watch"), (6.0, "stop")])
def test_a_pane_has_two_lines(mm: float, state: str) -> None:
    glass = Glass(pane="glass", length_cm=100.0, width_cm=40.0, height_cm=56.0, pane_mm=mm, braced=True)
    checked = panes_of(glass, 45.0)
    assert checked.finding.state == state
    assert "not a design" in checked.finding.do
    assert checked.deepest_cm is None or checked.deepest_cm <= 56.0


def test_a_free_top_is_weaker_and_its_corners_are_named() -> None:
    held = panes_of(GLASS, 46.0)
    free = panes_of(replace(GLASS, braced=False), 46.0)
    assert held.at is not None and free.at is not None
    assert free.at.usual < held.at.usual and free.at.true is None
    assert "corners" in free.finding.do + free.finding.sentence
    unknown = panes_of(replace(GLASS, braced=None), 46.0)
    assert "brace not told: taken as none" in unknown.finding.sentence


def test_what_cannot_be_reckoned_is_asked_or_sent_on() -> None:
    assert "glazier" in panes_of(replace(GLASS, shape="bow_front"), 46.0).finding.sentence
    assert panes_of(replace(GLASS, pane_mm=None), 46.0).finding.state == "ask"
    assert panes_of(replace(GLASS, length_cm=600.0, braced=False), 46.0).finding.state == "ask"
    acrylic = panes_of(replace(GLASS, pane="acrylic"), 46.0)
    assert acrylic.at is None and "N/mm²" in acrylic.finding.sentence
    assert panes_of(replace(GLASS, pane="acrylic", pane_mm=25.0), 46.0).finding.state == "fine"
    assert panes_of(replace(GLASS, pane="acrylic", pane_mm=6.0), 46.0).finding.state == "watch"
    assert panes_of(replace(GLASS, pane="acrylic", length_cm=600.0), 46.0).finding.state == "ask"


def test_seams_by_age_and_looks() -> None:
    assert seams_of(3.0, False, False) == []
    assert seams_of(None, None, None)[0].state == "ask" and "72 h" in seams_of(None, None, None)[0].do
    assert seams_of(15.0, None, None)[0].state == "watch"
    assert [each.state for each in seams_of(3.0, True, True)] == ["act", "watch"]


def test_a_floor_is_asked_about_and_never_judged() -> None:
    """100 x 40 x 45: about 260 kg, 2.6 kN, 1.7 m² by hand, with a light stand."""
    small = Glass(pane="glass", length_cm=98.4, width_cm=38.4, water_depth_cm=45.0, height_cm=50.0, pane_mm=8.0)
    load = load_of(small, Home(stand_kg=50.0), (), 170.0, 45.0)
    assert load is not None
    assert load.mass_kg == pytest.approx(260.0, abs=5.0)
    assert load.equals_m2 == pytest.approx(1.7, abs=0.05)
    assert floor_finding(load, 4).state == "fine"
    big = load_of(replace(GLASS, length_cm=200.0, width_cm=60.0), Home(), (), 550.0, 46.0)
    assert floor_finding(big, 4).state == "act" and "structural engineer" in floor_finding(big, 4).do
    middling = load_of(GLASS, Home(), (), 260.0, 46.0)
    assert floor_finding(middling, 2).state == "watch"
    assert floor_finding(middling, 0).state == "fine" and "cellar" in floor_finding(middling, 0).do
    assert floor_finding(None, 0).state == "ask"
    for each in (load, big, middling):
        assert "safe" not in floor_finding(each, 3).sentence + floor_finding(each, 3).do


def test_a_wider_stand_spreads_the_load() -> None:
    narrow, wide = (
        load_of(GLASS, Home(stand_length_cm=long, stand_width_cm=60.0), (), 260.0, 46.0) for long in (120.0, 180.0)
    )
    assert narrow is not None and wide is not None and wide.kn_m2 < narrow.kn_m2 and wide.mass_kg == narrow.mass_kg


def shell(home: Home, turtle: Turtle = MAP) -> tuple[Tank, Shell]:
    where = tank(home, turtle=turtle)
    return where, Shell(
        turtle=turtle, record=record_of(turtle), curve=curve_of(where, [], turtle), length_cm=turtle.scl_cm or 0.0,
        today=TODAY,
    )  # fmt: skip


@pytest.mark.parametrize(
    ("gap_cm", "state"), [(3.0, "fine"), (7.0, "act"), (11.0, "act"), (16.0, "watch"), (40.0, "fine")]
)
def test_a_gap_is_a_trap_for_some_shells_and_comes_up_again_as_the_animal_grows(gap_cm: float, state: str) -> None:
    one = gap(*shell(replace(SAFE, gap_cm=gap_cm)))
    assert one is not None and one.state == state
    if state == "watch":
        assert "a trap from a shell of" in one.sentence and "20" in one.sentence  # a year is named


def test_the_same_gap_is_a_trap_for_the_grown_animal() -> None:
    grown = replace(MAP, scl_cm=22.0, mass_g=1400.0)
    small, large = gap(*shell(replace(SAFE, gap_cm=16.0))), gap(*shell(replace(SAFE, gap_cm=16.0), grown))
    assert small is not None and large is not None
    assert (small.state, large.state) == ("watch", "act")


def test_a_measured_shell_counts_for_more_than_proportions() -> None:
    measured = replace(MAP, shell_width_cm=12.0, shell_height_cm=6.0)
    one = gap(*shell(replace(SAFE, gap_cm=14.0), measured))
    assert one is not None and one.state == "watch"
    assert "own measure" in one.source and "a shell of 17 cm" in one.sentence  # 14 / 1.1 / (12 / 16)


@pytest.mark.parametrize(
    ("what", "change", "state"),
    [
        ("escape", {"rim_above_foothold_cm": 12.0}, "act"),
        ("escape", {"rim_above_foothold_cm": 28.0}, "watch"),
        ("escape", {"rim_above_foothold_cm": 80.0}, "fine"),
        ("escape", {"rim_above_foothold_cm": None}, "ask"),
        ("dry place", {"platform_tips": True}, "act"),
        ("dry place", {"platform_carries_g": 800.0}, "act"),
        ("dry place", {"platform_carries_g": 1600.0}, "watch"),
        ("dry place", {"platform_carries_g": None}, "ask"),
        ("ramp", {"ramp_deg": 60.0, "ramp_rough": False}, "act"),
        ("ramp", {"ramp_deg": None}, "ask"),
        ("gravel", {"grain_mm": 10.0}, "act"),
        ("gravel", {"grain_mm": 60.0}, "watch"),
        ("gravel", {"grain_mm": 0.5}, "fine"),
        ("gravel", {"grain_mm": None}, "ask"),
        ("gaps", {"gap_cm": None}, "ask"),
        ("breaker", {"breaker_ma": 300.0}, "act"),
        ("breaker", {"breaker_ma": None}, "ask"),
        ("breaker", {"breaker_tested": None}, "ask"),
        ("breaker", {"breaker_tested": date(2026, 4, 1)}, "watch"),
        ("breaker", {"breaker_tested": date(2026, 1, 1)}, "act"),
        ("drip loops", {"drip_loops": False}, "act"),
        ("sockets", {"sockets_above_rim": None}, "ask"),
        ("household", {"vulnerable_person": True}, "act"),
        ("household", {"vulnerable_person": None}, "ask"),
        ("stand", {"stand_slope_mm_m": 5.0}, "act"),
        ("seams", {"seams_made": date(2010, 1, 1)}, "watch"),
    ],
)
def test_each_check_has_its_line(what: str, change: dict[str, object], state: str) -> None:
    assert found(what, replace(SAFE, **change)).state == state  # type: ignore[arg-type]


def test_water_to_turn_over_in_and_not_too_deep_for_a_weak_swimmer() -> None:
    assert found("turning over", glass=replace(GLASS, water_depth_cm=10.0)).state == "act"
    assert found("turning over", glass=replace(GLASS, water_depth_cm=20.0)).state == "watch"
    weak = Turtle(id="juno", species="Kinosternon baurii", mass_g=150.0, scl_cm=10.0)
    assert found("depth", replace(SAFE, climbing_path=None), turtle=weak).state == "act"
    assert found("turning over", SAFE, turtle=weak).state == "fine"
    closed = replace(GLASS, lid_open_fraction=0.0)
    assert found("escape", glass=closed).sentence == "The tank has a closed lid."


def test_a_grown_female_wants_a_nest_box() -> None:
    large = replace(MAP, scl_cm=21.0, mass_g=1250.0)
    assert found("nest box", replace(SAFE, nest_box=False), turtle=large).state == "watch"
    assert "will be needed" in found("nest box", replace(SAFE, nest_box=None)).sentence
    assert not [each for each in checks_of(*shell(replace(SAFE, nest_box=None), replace(MAP, sex="male")))
                if each.what == "nest box"]  # fmt: skip


def test_water_that_is_carried_is_weighed() -> None:
    def week(litres: float) -> Finding:
        changes: list[Event] = [Change(time=NOW - timedelta(weeks=back), litres=litres) for back in range(1, 8)]
        (one,) = lifting_of(tank(), changes, NOW)
        return one

    assert week(40.0).state == "fine" and week(120.0).state == "watch" and "hose" in week(120.0).do
    assert lifting_of(tank(), [], NOW) == []
    half: list[Event] = [Change(time=NOW - timedelta(days=3), percent=50.0)]
    assert "buckets" in lifting_of(tank(), half, NOW)[0].sentence


def test_sockets_and_hygiene_are_lists_of_their_own() -> None:
    assert len(view().electricity) >= 5 and any("electrician" in line for line in view().electricity)
    assert any("Salmonella" in line for line in view().hygiene)
    assert electricity_of(tank(), NOW)[0].state == "fine" and hygiene_of(tank()) == []


def test_an_offered_tank_is_judged_inside_and_without_the_old_ones_furniture() -> None:
    offer = Offer(length_cm=150.0, width_cm=60.0, height_cm=60.0, pane_mm=10.0, depth_cm=50.0, braced=True)
    assert offer.glass.length_cm == 148.0 and offer.glass.height_cm == 59.0
    seen = home_of(tank(), [], NOW, offer)
    assert seen.offered and {"gaps", "ramp", "breaker"}.isdisjoint({each.what for each in seen.findings})


def test_a_move_has_its_days_and_its_water() -> None:
    plan = move_of(replace(tank(), fish=(Fish(species="Danio rerio", count=6),)), date(2026, 9, 1))
    assert [stage.day for stage in plan.stages] == sorted(stage.day for stage in plan.stages)
    text = " ".join((*plan.needs, *(stage.do for stage in plan.stages)))
    assert "130 to 180 L of old water" in text and "at most 8 h" in text and "Fish get no food" in text
    bare = " ".join(move_of(tank(), date(2026, 9, 1)).needs)
    assert "no more is needed without fish" in bare


def test_resealing_waits_for_the_cure_and_the_wet_test() -> None:
    plan = reseal_of(tank(), date(2026, 9, 1))
    days = {stage.do.split(":")[0][:20]: stage.day for stage in plan.stages}
    assert len(days) == 6
    text = " ".join(stage.do for stage in plan.stages)
    assert "vinegar" in text and "72 h" in text and "never between the panes" in text
    assert plan.stages[2].day - plan.stages[1].day >= timedelta(days=7)
    acrylic = reseal_of(tank(glass=replace(GLASS, pane="acrylic")), date(2026, 9, 1))
    assert acrylic.stages == () and "ask the maker" in acrylic.needs[0]
