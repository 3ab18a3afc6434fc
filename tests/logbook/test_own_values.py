"""A keeper's own value wins over the catalogue and keeps its own origin; a scoop is weighed once, never guessed."""

from datetime import UTC, datetime

import pytest

from lentic.catalogue import OWN, foods, plants
from lentic.logbook import own
from lentic.logbook.events import Feed, Reading, Weigh
from lentic.logbook.log_file import read_log
from lentic.logbook.quick import parse_quick
from lentic.logbook.tank import Fixture, Packet, Plant, Tank, Turtle
from lentic.logbook.tank_file import read_tank, tank_text

NOW = datetime(2026, 4, 1, 12, tzinfo=UTC)
HEADER = "time,kind,what,amount,unit,note\n"


def tank(*foods_: Packet, plants_: tuple[Plant, ...] = (), lamps: tuple[Fixture, ...] = ()) -> Tank:
    return Tank(name="Shelf", foods=foods_, plants=plants_, lamps=lamps)


def test_a_packet_wins_and_the_rest_stays_the_catalogues() -> None:
    food = own.food(tank(Packet(id="pellet_adult", protein=0.30)), "adult pellet")
    assert food is not None and food.protein is not None and food.phosphorus is not None
    assert food.protein.middle == pytest.approx(0.30) and food.protein.how == OWN
    assert food.protein.source == "[[food]] pellet_adult in tank.toml"
    assert food.phosphorus.how == foods()["pellet_adult"].facts["phosphorus_mg_100g"].how
    assert food.protein.origin == "your own value"


def test_what_the_catalogue_worked_out_from_a_value_falls_with_it() -> None:
    food = own.food(tank(Packet(id="pellet_adult", protein=0.30)), "pellet_adult")
    assert food is not None
    assert not {"N_mg_per_g", "N_mg_per_kcal", "kcal_100g"} & set(food.facts)
    assert food.nitrogen is not None and food.nitrogen.middle == pytest.approx(0.30 / 6.25)
    assert "known as: common-practice" not in food.nitrogen.note
    assert food.energy is not None and food.energy.how == "derived"
    untouched = own.food(tank(Packet(id="pellet_adult", scoop_g=0.4)), "pellet_adult")
    assert untouched is not None and untouched.facts == foods()["pellet_adult"].facts


def test_a_food_in_no_table_is_what_its_packet_says_and_no_more() -> None:
    food = own.food(tank(Packet(id="Sunday mix", protein=0.11, calcium=0.004)), "sunday mix")
    assert food is not None and food.calcium is not None
    assert food.calcium.middle == pytest.approx(0.004)
    assert food.phosphorus is None and food.energy is None
    assert own.food(tank(), "Sunday mix") is None


def test_a_food_the_keeper_says_nothing_of_is_the_catalogues() -> None:
    assert own.food(tank(Packet(id="pellet_adult", protein=0.3)), "cos lettuce") is foods()["romaine"]


def test_a_dried_plant_wins_over_the_table() -> None:
    dried = tank(plants_=(Plant(species="hornwort", wet_g=500.0, dry_fraction=0.071),))
    fact = own.dry_fraction(dried, "Ceratophyllum demersum")
    assert fact is not None and (fact.middle, fact.how) == (0.071, OWN)
    assert own.dry_fraction(tank(), "hornwort") == plants()["ceratophyllum_demersum"].dry_fraction
    assert own.dry_fraction(tank(), "no such plant") is None


def reading(quantity: str, value: float, day: int) -> Reading:
    unit = "µmol/m2/s" if quantity == "ppfd" else "lx"
    return Reading(time=datetime(2026, 3, day, tzinfo=UTC), quantity=quantity, value=value, unit=unit)


def test_the_last_light_reading_wins_over_the_description() -> None:
    lamps = (
        Fixture(use="plants", lamp_class="led_white", watts=48.0, ppfd=110.0),
        Fixture(use="plants", ppfd=30.0),
        Fixture(use="uvb", watts=24.0),
    )
    described = tank(lamps=lamps)
    read = own.with_readings(described, [reading("ppfd", 80.0, 2), reading("ppfd", 70.0, 9), reading("ppfd", 95.0, 5)])
    assert [lamp.ppfd for lamp in read.lamps] == [70.0, None, None]
    assert read.lamps[2] == lamps[2]
    assert own.with_readings(described, []) is described
    # white LED about 68 lux for a µmol/m²/s, from memory of instrument makers' tables: 5400 lux are 79
    light = own.measured_light(described, [reading("lux", 5400.0, 2)])
    assert light is not None and light.middle == pytest.approx(79.4, rel=0.05)
    assert own.measured_light(tank(), [reading("lux", 5400.0, 2)]) is None


def test_a_mass_the_description_leaves_out_is_the_first_on_the_scale() -> None:
    def weighed(grams: float, day: int) -> Weigh:
        return Weigh(time=datetime(2026, 3, day, tzinfo=UTC), animal="oak", grams=grams)

    events = [weighed(520.0, 20), weighed(500.0, 2)]
    kept = Tank(name="Shelf", turtles=(Turtle(id="oak"), Turtle(id="elm", mass_g=90.0)))
    assert [turtle.mass_g for turtle in own.with_readings(kept, events).turtles] == [500.0, 90.0]


SCOOPED = tank(Packet(id="pellet_adult", scoop_g=0.42))


@pytest.mark.parametrize("unit", ["scoop", "scoops"])
@pytest.mark.parametrize("food", ["pellet_adult", "adult pellet"])
def test_a_weighed_scoop_becomes_grams_in_the_file(unit: str, food: str) -> None:
    log = read_log(f"{HEADER}2026-03-01T08:00,feed,{food},2,{unit},\n", SCOOPED)
    (fed,) = log.events
    assert isinstance(fed, Feed) and fed.grams == pytest.approx(0.84)
    assert any("2 x 0.42 g" in problem.message and problem.severity == "note" for problem in log.problems)


@pytest.mark.parametrize("line", ["fed 2 scoops pellet", "2 scoops pellet", "2 scoops of adult pellet", "feed 2 scoop"])
def test_a_weighed_scoop_becomes_grams_in_the_quick_line(line: str) -> None:
    quick = parse_quick(line, SCOOPED, [], NOW)
    (fed,) = quick.events
    assert isinstance(fed, Feed) and fed.food == "pellet_adult"
    assert fed.grams == pytest.approx(0.84)
    assert quick.questions == ()


def test_a_scoop_nobody_weighed_is_asked_about() -> None:
    log = read_log(f"{HEADER}2026-03-01T08:00,feed,pellet_adult,2,scoop,\n", tank())
    assert not any(isinstance(event, Feed) for event in log.events)
    (problem,) = [each for each in log.problems if each.severity == "ask"]
    assert "What a scoop of pellet_adult weighs is not known" in problem.message
    assert "scoop_g" in problem.remedy


def test_own_values_come_back_from_the_file_they_are_written_to() -> None:
    kept = tank(
        Packet(id="mix", protein=0.2, calcium=0.01, kcal_100g=310.0, scoop_g=0.42),
        plants_=(Plant(species="hornwort", wet_g=500.0, dry_fraction=0.071),),
    )
    read, problems = read_tank(tank_text(kept))
    assert read is not None and (read.foods, read.plants) == (kept.foods, kept.plants)
    assert [problem for problem in problems if problem.severity == "refused"] == []
