"""A fact is a value or a range; what is derived from facts carries ranges and the weakest origin along."""

import pytest

from lentic.catalogue import CatalogueError, Fact, foods, lamps, plants, tankmates, turtles
from lentic.catalogue.facts import combine
from lentic.catalogue.load import conditioners, media

ONE = Fact(value=2.0, unit="%", how="verified", source="foods:usda27")
RANGE = Fact(low=4.0, high=8.0, unit="%", how="memory", source="foods:label")
WORDS = Fact(value=("a", "b"), how="common-practice", source="foods:husb")


def test_middle_and_bounds() -> None:
    assert (ONE.middle, ONE.bounds) == (2.0, (2.0, 2.0))
    assert (RANGE.middle, RANGE.bounds) == (6.0, (4.0, 8.0))


def test_text() -> None:
    assert (ONE.text, RANGE.text, WORDS.text) == ("2", "4 to 8", "a; b")
    assert Fact(value=False, how="memory", source="foods:husb").text == "False"


def test_words_and_yes_or_no_are_no_numbers() -> None:
    yes = Fact(value=True, how="memory", source="foods:husb")
    assert not WORDS.is_number and not yes.is_number and ONE.is_number and RANGE.is_number
    for fact in (WORDS, yes):
        with pytest.raises(CatalogueError, match="is not a number"):
            _ = fact.middle


def test_scaling_keeps_ranges() -> None:
    assert ONE.scaled(0.01, "g/g").value == 0.02
    assert RANGE.scaled(0.01, "g/g").bounds == (0.04, 0.08)


def test_combining_takes_the_corners_and_the_weakest_origin() -> None:
    made = combine(lambda top, below: top / below, RANGE, ONE, unit="1", note="ratio")
    assert made.bounds == (2.0, 4.0)
    assert made.how == "derived" and made.note.endswith("known as: memory")
    assert made.source == "foods:label + foods:usda27"
    assert combine(lambda a, b: a - b, ONE, ONE, unit="%", note="").value == 0.0


def test_carbohydrate_is_the_rest_with_its_range() -> None:
    pellet = foods()["pellet_adult"].carbohydrate
    assert pellet is not None
    # 100 minus 10 + 36 + 8 + 12 and 100 minus 8 + 28 + 4 + 8
    assert pellet.bounds == pytest.approx((0.34, 0.52))


def test_shares_of_a_food_are_per_gram_as_fed() -> None:
    romaine = foods()["romaine"]
    shares = (romaine.water, romaine.protein, romaine.fat, romaine.ash, romaine.phosphorus)
    assert [share.middle for share in shares if share is not None] == pytest.approx(
        [0.9461, 0.0123, 0.003, 0.0058, 0.0003]
    )
    assert {share.unit for share in shares if share is not None} == {"g/g"}


def test_carbohydrate_is_unknown_while_a_share_is() -> None:
    food = foods()["romaine"]
    without = type(food)(
        id="x", names=("x",), facts={key: fact for key, fact in food.facts.items() if key != "ash_pct"}
    )
    assert without.ash is None and without.carbohydrate is None
    assert type(food)(id="y", names=("y",), facts={}).nitrogen is None


def test_shares_that_add_up_to_more_than_the_whole_leave_no_carbohydrate() -> None:
    shrimp = foods()["shrimp_raw"].carbohydrate
    assert shrimp is not None and shrimp.value == 0.0


def test_a_plant_without_its_own_dry_fraction_borrows_from_its_class_and_says_so() -> None:
    own, borrowed = plants()["salvinia_natans"].dry_fraction, plants()["najas_guadalupensis"].dry_fraction
    assert own.low is not None and "proxy" not in own.note
    assert borrowed.middle == plants()["najas_guadalupensis"].plant_class.dry
    assert borrowed.note == "proxy: the class fast_stem"


def test_plant_facts() -> None:
    pistia, hornwort = plants()["pistia_stratiotes"], plants()["ceratophyllum_demersum"]
    assert (pistia.growth_class, pistia.growth_factor) == ("floater", 0.8)
    assert (hornwort.growth_class, hornwort.growth_factor) == ("fast_stem", 1.0)
    assert hornwort.uses_bicarbonate is True
    assert plants()["hygrophila_polysperma"].uses_bicarbonate is False
    assert plants()["anubias_barteri"].uses_bicarbonate is None
    assert hornwort.temperature is not None and hornwort.temperature.bounds == (10.0, 28.0)


def test_animals() -> None:
    reeves, guppy = turtles()["mauremys_reevesii"], tankmates()["poecilia_reticulata"]
    assert (reeves.sort, guppy.sort) == ("turtle", "fish")
    assert reeves.adult_length is not None and reeves.adult_length.middle == 30.0
    assert guppy.adult_length is not None and guppy.adult_length.unit == "cm"
    for animal in (reeves, guppy):
        assert animal.water_temperature is not None and animal.water_temperature.unit == "°C"


def test_lamps() -> None:
    white, uvb = lamps()["led_white"].photons_per_joule, lamps()["t5_uvb_12"]
    # 90 lm/W over 72 lux per PPFD, and 140 over 65
    assert white is not None and white.bounds == pytest.approx((1.25, 140 / 65))
    assert uvb.photons_per_joule is None
    assert [distance for distance, _ in uvb.uvi_by_distance] == [25.0, 35.0, 45.0]
    assert lamps()["led_white"].uvi_by_distance == ()


def test_media_and_conditioners() -> None:
    foam = media()["foam_20ppi"]
    assert foam.specific_surface is not None and foam.specific_surface.bounds == (650.0, 900.0)
    assert foam.void_fraction is not None and foam.void_fraction.unit == "1"
    assert conditioners()["thiosulfate"].dose is not None
    assert conditioners()["standing"].dose is None
    assert conditioners()["thiosulfate"].binds_ammonia is False
    assert conditioners()["hydroxymethanesulfonate"].binds_ammonia is True
    # "claimed; evidence weak" is neither yes nor no
    assert conditioners()["dithionite"].binds_ammonia is None


def test_an_unknown_fact_is_none_and_its_words_are_empty() -> None:
    assert foods()["kale"].fact("hazard") is None
    assert foods()["kale"].words("hazard") == ""
    assert foods()["kale"].words("use") != ""
