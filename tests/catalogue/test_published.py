"""The catalogue against numbers others printed."""

import pytest

from lentic.catalogue import Food, common, foods, media, plants, turtles

# Merrill & Watt 1955 (USDA Agriculture Handbook 74), from memory: kcal per gram of protein, fat, carbohydrate
# the general factors 4, 9, 4 are what the table used for red leaf lettuce and shrimp
GENERAL = (4.0, 9.0, 4.0)
LEAF, FRUIT, ROOT = (2.44, 8.37, 3.57), (3.36, 8.37, 3.60), (2.78, 8.37, 3.84)
MEAT, EGG = (4.27, 9.02, 3.87), (4.36, 9.02, 3.68)
FACTORS = {
    **dict.fromkeys(("dandelion", "collards", "turnip_greens", "watercress", "endive", "romaine"), LEAF),
    **dict.fromkeys(("iceberg", "kale", "pak_choi", "spinach", "chard", "zucchini", "butternut"), LEAF),
    **dict.fromkeys(("apple", "strawberry"), FRUIT),
    "carrot": ROOT,
    "red_leaf": GENERAL,
    "shrimp_raw": GENERAL,
    "egg_whole": EGG,
    **dict.fromkeys(("smelt_raw", "mussel_raw", "trout_raw", "crayfish_raw", "chicken_liver"), MEAT),
    "snail_raw": MEAT,
}


def shares(food: Food) -> tuple[float, float, float]:
    assert food.protein is not None and food.fat is not None and food.carbohydrate is not None
    return food.protein.middle, food.fat.middle, food.carbohydrate.middle


@pytest.mark.parametrize("name", FACTORS)
def test_the_energy_the_food_table_prints_follows_from_the_shares(name: str) -> None:
    # one check on all four shares at once, ash (from memory) included: carbohydrate is what they leave
    food = foods()[name]
    energy = 100 * sum(share * factor for share, factor in zip(shares(food), FACTORS[name], strict=True))
    assert energy == pytest.approx(food.facts["kcal_100g"].middle, rel=0.07, abs=1.0)


def test_every_row_of_the_food_table_was_checked() -> None:
    table = {name for name, food in foods().items() if food.facts["moisture_pct"].source == "foods:usda27"}
    assert table == set(FACTORS)


INSECTS = ("earthworm", "cricket_adult", "mealworm", "superworm", "waxworm", "silkworm")


@pytest.mark.parametrize("name", INSECTS)
def test_insects_stay_within_the_ranges_of_finke_2002(name: str) -> None:
    # Finke 2002, Zoo Biol. 21:269, abstract: moisture 57.9-83.6 %, protein 9.3-23.7 %, 674-2741 kcal/kg
    facts = foods()[name].facts
    assert 57.9 <= facts["moisture_pct"].middle <= 83.6
    assert 9.3 <= facts["protein_pct"].middle <= 23.7
    assert 67.4 <= facts["kcal_100g"].middle <= 274.1


def test_energy_and_fat_ends_of_finke_2002_are_the_species_it_names() -> None:
    energy = {name: foods()[name].facts["kcal_100g"].middle for name in INSECTS}
    assert (min(energy, key=energy.__getitem__), max(energy, key=energy.__getitem__)) == (
        "silkworm",
        "waxworm",
    )
    assert (energy["silkworm"], energy["waxworm"]) == (67.4, 274.1)
    assert foods()["waxworm"].facts["fat_pct"].middle == 24.9
    # the least fat in the abstract is 1.6 %; the silkworm row, from memory, lies below and says so
    assert "doubtful" in foods()["silkworm"].facts["fat_pct"].note


def test_kale_in_the_later_release_is_kept_beside_the_earlier() -> None:
    # USDA release 27: 4.28 g protein; the later legacy page for kale: 2.92 g
    kale = foods()["kale"]
    assert kale.facts["protein_pct"].middle == 4.28
    assert "2.92" in kale.words("later_release")


def test_duckweed_facts_follow_its_literature() -> None:
    # general encyclopaedia: Lemna minor grows at 6-33 °C; Driever et al. 2005: growth stops near 180 g/m2 dry
    lemna = plants()["lemna_minor"]
    assert lemna.temperature is not None and lemna.temperature.bounds == (6.0, 33.0)
    assert lemna.facts["crowding_limit_dry_g_m2"].middle == 180.0


def test_tissue_ranges_lie_in_the_textbook_band() -> None:
    # wetland textbook: submerged species hold 2-5 % N and 0.1-1 % P of dry mass
    nitrogen, phosphorus = (common("plants")[f"tissue_{e}_pct_dw_submerged"].bounds for e in "NP")
    assert (nitrogen, phosphorus) == ((2.0, 5.0), (0.1, 1.0))
    for plant in plants().values():
        if plant.growth_class in {"fast_stem", "medium_stem", "ribbon"} and plant.fact("tissue_N_pct_dw"):
            low, high = plant.facts["tissue_N_pct_dw"].bounds
            assert nitrogen[0] - 0.5 <= low < high <= nitrogen[1], plant.id
            low, high = plant.facts["tissue_P_pct_dw"].bounds
            assert phosphorus[0] <= low < high <= phosphorus[1], plant.id


def test_zone_bands_are_those_of_ferguson_2010() -> None:
    # Ferguson et al. 2010, Zoo Biol. 29:317, as tabulated on an educational page
    mean = {1: (0.0, 0.7), 2: (0.7, 1.0), 3: (1.0, 2.6), 4: (2.6, 3.5)}
    highest = {1: (0.6, 1.4), 2: (1.1, 3.0), 3: (2.9, 7.4), 4: (4.5, 9.5)}
    for zone in (1, 2, 3, 4):
        assert common("turtles")[f"uvi_mean_zone_{zone}"].bounds == mean[zone]
        assert common("turtles")[f"uvi_highest_zone_{zone}"].bounds == highest[zone]


def test_surface_of_tested_media_is_what_the_papers_print() -> None:
    # Harwanto et al. 2011 and the tilapia study with 5.1 cm packing, abstracts
    printed = {"moving_bed": 500.0, "fluidised_sand": 7836.0, "random_packing": 164.0}
    for name, surface in printed.items():
        fact = media()[name].specific_surface
        assert fact is not None and fact.middle == surface


def test_no_adult_outgrows_the_greatest_shell_of_its_kind() -> None:
    # lengths and greatest lengths come from different sources, so one is a check on the other
    for turtle in turtles().values():
        greatest = turtle.facts["scl_max_cm"].middle
        for sex in ("female", "male"):
            assert turtle.facts[f"scl_adult_{sex}_cm"].bounds[1] <= greatest, turtle.id
