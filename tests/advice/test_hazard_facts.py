"""What description, log and catalogue know becomes facts; what they do not know stays unknown."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta

import pytest

from lentic.advice.hazards import Situation, situation_of
from lentic.advice.hazards.facts_animals import mate_item, plant_item, stage_of
from lentic.advice.hazards.facts_tank import longest_dark, safety_factor
from lentic.advice.hazards.fed import feeding_facts
from lentic.advice.hazards.law import listed, notes_for, protected
from lentic.advice.hazards.logic import try_rule
from lentic.catalogue import plants, turtles
from lentic.catalogue.hazards import NOTHING, Facts, Known, PartSet, fact_kinds, hazards
from lentic.logbook.events import (
    AnimalIn,
    AnimalOut,
    Change,
    Dose,
    Event,
    Feed,
    Flow,
    Leftovers,
    Planted,
    Power,
    Reading,
    Rest,
    Rinse,
    Sign,
    TopUp,
    Weigh,
)
from lentic.logbook.events import Lamp as LampHours
from lentic.logbook.tank import Filter, Fish, Fixture, Glass, Heater, Home, Plant, Room, SourceWater, Tank, Turtle
from lentic.logbook.told import Told

NOW = datetime(2026, 5, 1, 12, tzinfo=UTC)
TANK = Tank(name="Shelf", glass=Glass(water_l=100.0))


def ago(days: float) -> datetime:
    return NOW - timedelta(days=days)


def reading(quantity: str, value: float, days: float = 0.5, unit: str = "") -> Reading:
    return Reading(time=ago(days), quantity=quantity, value=value, unit=unit)


def of(tank: Tank, *events: Event, told: dict[str, Known] | None = None) -> dict[str, Known]:
    return dict(situation_of(tank, events, NOW, told=told).facts.known)


def mila(tank: Tank, *events: Event) -> dict[str, Known]:
    return dict(situation_of(tank, events, NOW).turtles["mila"])


def test_every_fact_that_is_filled_is_on_the_list_and_fits() -> None:
    tank = Tank(
        name="Shelf", country="DE", heater=Heater(watts=100, set_c=25), filter=Filter(type="sponge"),
        glass=Glass(pane="glass", length_cm=100, width_cm=50, water_depth_cm=40, height_cm=50, pane_mm=10, braced=True,
                    lid_open_fraction=0.5),
        turtles=(Turtle(id="mila", species="Trachemys scripta", sex="female", scl_cm=15.0),),
        source_water=SourceWater(no3_mg_l=5, gh_dgh=10, chlorine_mg_l=0.2), home=Home(gap_cm=12, drip_loops=True),
        fish=(Fish(species="danio_rerio", count=3),), plants=(Plant(species="hornwort", wet_g=100),),
    )  # fmt: skip
    found = situation_of(tank, [Feed(time=ago(1), food="pellet_adult", grams=1.0)], NOW)
    kinds = fact_kinds()
    for known in (found.facts.known, *found.turtles.values()):
        for name, value in known.items():
            assert name in kinds, name
            assert value is NOTHING or isinstance(value, PartSet) or kinds[name].take(value) == value, name
    for group, items in found.facts.lists.items():
        for item in items:
            assert {f"{group}[].{key}" for key in item} - {f"{group}[].name", f"{group}[].id"} <= set(kinds)


def test_an_empty_description_claims_nothing_but_that_nothing_is_planned() -> None:
    known = of(Tank(name="Shelf"))
    assert known["plan.actions"] == frozenset() and known["session.ended"] is False
    for name in ("turtle.any", "tap.nitrate", "heater.on", "reading.kh", "tank.pane", "lamp.uvb.any", "home.faults"):
        assert name not in known


# plate tables after Roark, strength 19.2 N/mm2: 150 x 60 cm, glass of 10 mm, braced
@pytest.mark.parametrize(("depth", "factor", "within"), [(50.0, 4.2, 0.15), (55.0, 3.3, 0.1), (35.0, 12.0, 0.5)])
def test_the_safety_factor_of_a_published_tank(depth: float, factor: float, within: float) -> None:
    glass = Glass(pane="glass", length_cm=150, width_cm=60, water_depth_cm=depth, pane_mm=10, braced=True)
    assert safety_factor(glass) == pytest.approx(factor, abs=within)
    assert safety_factor(replace(glass, braced=None)) is None
    assert safety_factor(replace(glass, pane="acrylic")) is None


def test_the_longest_dark_stretch_goes_over_midnight() -> None:
    day = Fixture(use="plants", hours=8.0, on=time(10, 0))
    assert longest_dark((day,)) == 16.0
    assert longest_dark((day, Fixture(use="basking", hours=4.0, on=time(20, 0)))) == 10.0
    assert longest_dark((day, Fixture(use="basking"))) is None


def test_faults_that_were_not_looked_at_are_neither_there_nor_gone() -> None:
    known = of(replace(TANK, home=Home(drip_loops=True, sockets_above_rim=True, edge_chipped=True)))
    faults = Facts(known=known)
    assert try_rule(hazards()["ELEC-03"], faults).fires is False
    assert try_rule(hazards()["BUILD-02"], faults).fires is True
    unseen = try_rule(hazards()["ELEC-04"], faults)
    assert unseen.fires is None and unseen.missing == (("home.faults", ""),)
    looked = of(replace(TANK, home=Home(edge_chipped=True)), told={"home.faults": frozenset({"none"})})
    assert looked["home.faults"] == frozenset({"none", "edge_chip"})


def test_a_sign_in_the_log_fires_and_says_nothing_of_the_others() -> None:
    seen = of(TANK, Sign(time=ago(1), animal="mila", note="bubbles at the nose this morning"))
    assert try_rule(hazards()["HEALTH-01"], Facts(known=seen)).fires is True
    assert try_rule(hazards()["HEALTH-06"], Facts(known=seen)).fires is None
    assert "seen.turtle" not in of(TANK, Sign(time=ago(30), animal="mila", note="bubbles at the nose"))


def test_a_reading_counts_while_it_is_fresh_and_in_its_own_unit() -> None:
    # 10 mg/L N is 44.27 mg/L NO3; 1 meq/L is 2.804 dKH
    known = of(TANK, reading("nitrate", 10.0), reading("kh", 1.0), reading("nitrite", 1.0, days=8))
    assert known["reading.nitrate"] == pytest.approx(44.27, abs=0.01)
    assert known["reading.kh"] == pytest.approx(2.804, abs=0.001)
    assert "reading.nitrite" not in known


def test_free_ammonia_needs_all_three_readings() -> None:
    total, ph, warm = reading("ammonia", 1.0), reading("ph", 8.0), reading("temperature", 24.0)
    # Emerson et al. 1975: 5.02 % of total at pH 8 and 24 C; as NH3 1.216 times as much
    assert of(TANK, total, ph, warm)["reading.ammonia_free"] == pytest.approx(0.0502 * 1.216, abs=0.0005)
    assert "reading.ammonia_free" not in of(TANK, total, ph)


def test_small_changes_within_two_weeks_count_as_one_big_one() -> None:
    weekly = [Change(time=ago(7 * k + 1), litres=14.0) for k in range(10)]
    assert of(TANK, *weekly)["log.days_since_big_change"] == pytest.approx(1.0)
    small = [Change(time=ago(7 * k + 1), litres=5.0) for k in range(10)]
    assert of(TANK, *small)["log.days_since_big_change"] == pytest.approx(64.0)


def test_full_changes_and_topping_up() -> None:
    twice = of(TANK, Change(time=ago(2), percent=95.0), Change(time=ago(5), litres=100.0))
    assert twice["log.full_changes_7d"] == 2.0
    assert of(TANK, TopUp(time=ago(40), litres=5.0))["log.topup_only_days"] == pytest.approx(40.0)
    assert "log.full_changes_7d" not in of(replace(TANK, glass=Glass()), Change(time=ago(2), litres=5.0))


def test_kh_that_falls_and_gaps_to_the_tap() -> None:
    tank = replace(TANK, source_water=SourceWater(kh_dkh=9.0, ph=7.5))
    known = of(tank, reading("kh", 2.0, days=14.5), reading("kh", 1.0), reading("ph", 6.5))
    assert known["log.kh_drop_14d_pct"] == pytest.approx(50.0)
    assert known["log.kh_gap_to_tap"] == pytest.approx(9.0 - 2.804, abs=0.01)
    assert known["log.ph_gap_to_tap"] == pytest.approx(1.0)


def test_the_filter_by_the_log() -> None:
    tank = replace(TANK, filter=Filter(type="canister", flow_l_h=800.0))
    known = of(tank, Flow(time=ago(1), litres_per_hour=400.0), Rinse(time=ago(3), extent="half", water="tank"),
               Power(time=ago(0.25), on=False))  # fmt: skip
    assert known["filter.flow_share"] == 0.5 and known["filter.off_hours"] == pytest.approx(6.0)
    assert known["log.days_since_filter_clean"] == pytest.approx(3.0)
    assert of(replace(TANK, filter=Filter(type="none")))["filter.kind"] is NOTHING


def test_food_by_the_log() -> None:
    only = [Feed(time=ago(k), food="gammarus_dried", grams=1.0) for k in range(1, 25)]
    assert of(TANK, *only)["feed.only"] == "dried_shrimp"
    mixed = of(TANK, *only, Feed(time=ago(2), food="pellet_adult", grams=1.0))
    assert mixed["feed.only"] == "mixed" and mixed["feed.d3"] is True
    smelt = [Feed(time=ago(7 * k + 1), food="smelt_raw", grams=2.0) for k in range(4)]
    meals = of(TANK, *only, *smelt)["feed.thiaminase_meals_per_month"]
    assert meals == pytest.approx(4 * 30 / 24, rel=0.01)  # four meals in a log of 24 days
    left = Leftovers(time=ago(1), food="gammarus_dried", fraction=0.3)
    assert of(TANK, *only, left)["feed.left_after_15min_pct"] == pytest.approx(30.0)
    unknown = of(TANK, Feed(time=ago(1), food="grandmother's mix", grams=1.0))
    assert "feed.only" not in unknown and "feed.ca_to_p_30d" not in unknown


def test_the_conditioner_last_dosed() -> None:
    assert of(TANK, Dose(time=ago(3), substance="thiosulfate", amount=1, unit="g"))["conditioner.kind"] == "thiosulfate"
    assert "conditioner.kind" not in of(TANK, Dose(time=ago(3), substance="the blue bottle", amount=1, unit="mL"))


SLIDER = Turtle(id="mila", species="Trachemys scripta", sex="female", scl_cm=12.0)
HOME = replace(TANK, country="DE", turtles=(SLIDER,))


def test_what_the_catalogue_knows_of_a_turtle() -> None:
    known = mila(HOME)
    assert known["turtle.group"] == "basking_pond" and known["turtle.swimmer"] == "strong"
    assert known["turtle.tropical"] is False and known["turtle.warm_water"] is True
    assert known["turtle.basking_species"] is True and known["turtle.mature_scl_cm"] == 20.0
    assert known["turtle.listed_where_kept"] is True  # EU list of 2016
    assert "turtle.ill" not in known and "turtle.head_width_cm" not in known


@pytest.mark.parametrize(
    ("sex", "length", "stage"),
    [("female", 3.0, "hatchling"), ("female", 8.0, "juvenile"), ("female", 15.0, "subadult"), ("female", 22.0, "adult"),
     ("male", 15.0, "adult"), ("unknown", 15.0, None), (None, None, None)],
)  # fmt: skip
def test_the_age_class_by_share_of_the_adult_length(sex: str | None, length: float | None, stage: str | None) -> None:
    assert stage_of(turtles()["trachemys_scripta"], sex, length) == stage


def test_weight_food_and_winter_rest_by_the_log() -> None:
    weights = [Weigh(time=ago(35), animal="mila", grams=400.0), Weigh(time=ago(5), animal="mila", grams=360.0)]
    assert mila(HOME, *weights)["turtle.mass_change_30d_pct"] == pytest.approx(-10.0)
    assert "turtle.mass_change_30d_pct" not in mila(HOME, weights[1])
    fed = mila(HOME, Feed(time=ago(2), food="pellet_adult", grams=1.0))
    assert fed["turtle.brumating"] is False and fed["turtle.not_eating_days"] == pytest.approx(2.0)
    long_ago = mila(HOME, Feed(time=ago(12), food="pellet_adult", grams=1.0))
    assert "turtle.not_eating_days" not in long_ago and "turtle.brumating" not in long_ago
    assert mila(HOME, Rest(time=ago(30), animal="mila"))["turtle.brumating"] is True


def test_water_outside_the_range_and_for_how_long() -> None:
    known = of(
        HOME, reading("temperature", 24.0, 3.0), reading("temperature", 20.0, 2.0), reading("temperature", 19.0, 0.5)
    )
    # a subadult slider wants 22 to 28 C; the first reading outside is a day and a half before the last
    assert known["water.outside_range_C"] == pytest.approx(3.0)
    assert known["water.outside_range_hours"] == pytest.approx(36.0)
    adult = replace(HOME, turtles=(replace(SLIDER, scl_cm=24.0),))
    inside = of(adult, reading("temperature", 24.0, 0.5))
    assert inside["water.outside_range_C"] == 0.0 and inside["water.outside_range_hours"] == 0.0


def test_company_is_counted_and_stays_unknown_where_one_is() -> None:
    two = replace(HOME, turtles=(SLIDER, replace(SLIDER, id="ole", sex="male", scl_cm=18.0)))
    known = of(two)
    assert known["group.turtle_count"] == 2.0 and known["group.male_count"] == 1.0
    assert known["group.scl_ratio"] == pytest.approx(1.5) and known["group.species_count"] == 1.0
    vague = of(replace(HOME, turtles=(SLIDER, Turtle(id="ole"))))
    assert not {"group.male_count", "group.scl_ratio", "group.species_count"} & set(vague)


def test_traits_of_tank_mates() -> None:
    plec = mate_item("pterygoplichthys")
    assert plec["spines"] is True and plec["sucker"] is True and plec["attaches"] is True
    snail = mate_item("ramshorn snail")
    assert snail["spines"] is False and snail["claws"] is False and "sharp_shell" not in snail
    assert mate_item("something from the pond") == {"name": "something from the pond", "id": "something from the pond"}
    # danio 18 to 26 C, slider 22 to 28 C
    assert mate_item("danio_rerio", HOME)["temp_overlap_C"] == pytest.approx(4.0)


def test_what_came_lately_is_new_and_what_was_there_is_not() -> None:
    tank = replace(HOME, fish=(Fish(species="danio_rerio"),), plants=(Plant(species="hornwort"),))
    old = situation_of(tank, (), NOW).facts.lists
    assert old["mate"][0]["quarantine_days"] is NOTHING and old["plant"][0]["quarantine_days"] is NOTHING
    events = (AnimalIn(time=ago(3), what="danio_rerio", count=5), Planted(time=ago(3), species="anubias", grams=20.0))
    new = situation_of(tank, events, NOW).facts.lists
    assert "quarantine_days" not in new["mate"][0]
    assert [item.get("quarantine_days") for item in new["plant"]] == [NOTHING, None]


def test_law_only_ever_says_that_something_may_be_restricted() -> None:
    slider, hyacinth = turtles()["trachemys_scripta"], plants()["pontederia_crassipes"]
    assert listed(slider, "DE") is True and listed(slider, "JP") is True
    assert listed(slider, "NO") is None and listed(slider, None) is None
    assert listed(hyacinth, "FR") is True
    assert protected(turtles()["clemmys_guttata"]) is True and protected(slider) is None
    assert all("Japan" in note for note in notes_for(slider, "JP"))
    assert "listed_where_kept" not in plant_item("hornwort", "NO")


def answered(*facts: Told) -> Situation:
    return situation_of(replace(HOME, facts=facts, fish=(Fish(species="danio_rerio"),)), (), NOW)


def test_an_answer_of_the_keeper_wins_over_what_was_worked_out() -> None:
    found = answered(
        Told(name="turtle.tropical", value=True), Told(name="turtle.mila.papers", value=True),
        Told(name="turtle.ole.papers", value=False), Told(name="mate.danio_rerio.length_cm", value=4.0),
        Told(name="tank.pane", value="acrylic"),
    )  # fmt: skip
    assert found.turtles["mila"]["turtle.tropical"] is True and found.turtles["mila"]["turtle.papers"] is True
    assert found.facts.lists["mate"][0]["length_cm"] == 4.0
    assert found.facts.known["tank.pane"] == "acrylic"


def test_lamps_and_their_distance() -> None:
    uvb = Fixture(use="uvb", lamp_class="t5_uvb_6", fitted=date(2025, 5, 1), through="glass", hours=10.0)
    hot = Fixture(use="basking", shell_cm=12.0, fixings=1, hours=10.0)
    known = of(replace(HOME, lamps=(uvb, hot)))
    assert known["lamp.uvb.path"] == "glass" and known["lamp.uvb.age_days"] == 365.0
    assert known["lamp.reach_cm"] == 12.0 and known["lamp.fixings"] == 1.0
    assert known["lamp.uvb.measured"] is False and known["lamp.uvb.zone_max"] == 7.4
    caged = of(replace(HOME, lamps=(uvb, replace(hot, guarded=True))))
    assert caged["lamp.reach_cm"] is NOTHING
    assert of(replace(HOME, lamps=(hot,)))["lamp.uvb.path"] is NOTHING
    assert "tank.direct_sun_h" not in of(HOME)
    assert of(replace(HOME, room=Room(window_sun_h=2.0)))["tank.direct_sun_h"] == 2.0


def test_energy_fed_over_need_is_known_after_four_weeks_only() -> None:
    turtle = Turtle(id="mila", species="Trachemys scripta", sex="female", scl_cm=15.0, mass_g=600.0)
    tank = replace(HOME, turtles=(turtle,))
    warm = reading("temperature", 25.0)
    daily = [Feed(time=ago(k + 0.5), food="pellet_adult", grams=2.0) for k in range(40)]
    ratio = feeding_facts(tank, [warm, *daily], NOW)["feed.energy_ratio_28d"]
    # 2 g at 2.9 to 3.3 usable kcal against 3 x 0.99 x 0.6^0.8 x 2.3^0.5 = 2.99 kcal a day (resting rate after Gatten)
    assert isinstance(ratio, float) and ratio == pytest.approx(2.0 * 3.1 / 2.99, rel=0.1)
    assert feeding_facts(tank, [warm, *daily[:20]], NOW) == {}
    assert feeding_facts(TANK, daily, NOW) == {}


def test_the_log_changes_what_was_described() -> None:
    tank = replace(
        HOME, as_of=ago(20).date(), fish=(Fish(species="danio_rerio", count=6),),
        lamps=(Fixture(use="plants", hours=8.0, on=time(9, 0)),),
    )  # fmt: skip
    longer = of(
        tank, LampHours(time=ago(5), use="plants", hours=14.0), LampHours(time=ago(30), use="plants", hours=6.0)
    )
    assert longer["light.hours"] == 14.0 and longer["light.dark_hours"] == 10.0
    assert of(tank, AnimalOut(time=ago(3), what="danio_rerio", count=6))["fish.any"] is False
    assert of(tank, AnimalOut(time=ago(3), what="danio_rerio", count=2))["fish.any"] is True
    plec = situation_of(tank, [AnimalIn(time=ago(3), what="pterygoplichthys", count=1)], NOW)
    assert [item["id"] for item in plec.facts.lists["mate"]] == ["danio_rerio", "pterygoplichthys"]
    assert "group.turtle_count" in of(tank)
    assert "group.turtle_count" not in of(tank, AnimalIn(time=ago(3), what="Trachemys scripta", count=1))
