"""Values marked derived equal what they are derived from."""

import pytest

from lentic.catalogue import common, foods, media, plants, turtles
from lentic.catalogue.load import conditioners

LAST = 0.5000001  # half a unit in the last printed digit, with room for binary fractions


@pytest.mark.parametrize("name", foods())
def test_nitrogen_and_phosphorus_follow_from_protein_and_phosphorus(name: str) -> None:
    food = foods()[name]
    facts, nitrogen = food.facts, food.nitrogen
    assert nitrogen is not None
    assert facts["N_mg_per_g"].middle == pytest.approx(1000 * nitrogen.middle, abs=LAST / 100)
    assert facts["P_mg_per_g"].middle == pytest.approx(facts["phosphorus_mg_100g"].middle / 100, abs=LAST / 100)


@pytest.mark.parametrize("name", [name for name, food in foods().items() if food.fact("kcal_100g")])
def test_ratios_of_a_food(name: str) -> None:
    facts = foods()[name].facts
    per_kcal = facts["N_mg_per_g"].middle / (facts["kcal_100g"].middle / 100)
    ratio = facts["calcium_mg_100g"].middle / facts["phosphorus_mg_100g"].middle
    # the nitrogen it was worked out from was itself rounded to 0.01 mg/g
    slack = LAST / 100 + 0.005 / (facts["kcal_100g"].middle / 100)
    assert facts["N_mg_per_kcal"].middle == pytest.approx(per_kcal, abs=slack)
    assert facts["Ca_to_P"].middle == pytest.approx(ratio, abs=LAST / 100)


@pytest.mark.parametrize("name", [name for name, turtle in turtles().items() if turtle.fact("uvi_bask_target")])
def test_the_uv_target_is_the_mean_band_of_the_zone(name: str) -> None:
    facts = turtles()[name].facts
    band = common("turtles")[f"uvi_mean_zone_{facts['uvb_zone'].middle:.0f}"]
    assert facts["uvi_bask_target"].bounds == band.bounds


# crude protein in % of dry mass, as Boyd 1974 and the FAO handbook of aquatic plants print it
PROTEIN = {
    "egeria_densa": (20.5, 20.5),
    "elodea_canadensis": (14.7, 14.7),
    "ceratophyllum_demersum": (17.0, 21.7),
    "vallisneria_spiralis": (15.2, 15.2),
    "sagittaria_subulata": (21.8, 21.8),
    "lemna_minor": (17.9, 17.9),
    "pistia_stratiotes": (13.1, 13.1),
    "pontederia_crassipes": (17.0, 17.0),
    "myriophyllum": (12.3, 12.3),
}


def test_measured_plant_nitrogen_follows_from_protein() -> None:
    held = {name for name, plant in plants().items() if plant.fact("tissue_N_pct_dw_measured")}
    assert held == set(PROTEIN)
    for name, (low, high) in PROTEIN.items():
        bounds = plants()[name].facts["tissue_N_pct_dw_measured"].bounds
        assert bounds == pytest.approx((low / 6.25, high / 6.25), abs=LAST / 100), name


# Harwanto, Oh & Jo 2011, abstract: removal in g TAN per m3 of medium a day at loads of 5 and 50 g/m3/d
REMOVAL = {
    "moving_bed": (500, 32.1, 288.1),
    "microbead": (3287, 35.0, 310.5),
    "fluidised_sand": (7836, 39.3, 322.7),
}


@pytest.mark.parametrize("name", REMOVAL)
def test_areal_rates_follow_from_removal_and_surface(name: str) -> None:
    surface, low, high = REMOVAL[name]
    rate, own = media()[name].facts["areal_rate_g_m2_d"], media()[name].specific_surface
    assert own is not None and own.bounds[0] == surface
    assert rate.bounds == pytest.approx((low / surface, high / surface), abs=LAST / 1000)


@pytest.mark.parametrize(("name", "void", "diameter_m"), [("gravel_4mm", 0.40, 0.004), ("lava_15mm", 0.45, 0.015)])
def test_surface_of_grains_is_that_of_packed_spheres(name: str, void: float, diameter_m: float) -> None:
    surface = media()[name].specific_surface
    assert surface is not None
    assert surface.middle == pytest.approx(6 * (1 - void) / diameter_m)


def test_resting_energy_gives_back_the_two_measurements_it_was_fitted_to() -> None:
    # Gatten 1974, 1978 in the trait data base of Herberstein et al.; 4.8 kcal per litre of oxygen (textbook)
    facts = common("turtles")
    base, exponent = facts["smr_kcal_per_day_1_kg_20_C"].middle, facts["smr_mass_exponent"].middle
    rows = ((305.0, 0.0109, 20.0), (3473.0, 0.0153, 30.0))
    for mass_g, oxygen_ml_g_h, celsius in rows:
        measured = mass_g * oxygen_ml_g_h * 24 / 1000 * 4.8
        fitted = base * (mass_g / 1000) ** exponent * facts["smr_q10"].middle ** ((celsius - 20) / 10)
        assert fitted == pytest.approx(measured, rel=0.01)


def test_conditioner_stoichiometry() -> None:
    # molar masses N 14.007, Cl2 70.906, Na2S2O3.5H2O 248.18; two thiosulfate to a chlorine give tetrathionate
    released = common("conditioners")["N_released_per_mg_Cl2_chloramine"].middle
    assert released == pytest.approx(14.007 / 70.906, abs=LAST / 10000)
    dose = conditioners()["thiosulfate"].dose
    assert dose is not None and dose.middle == pytest.approx(2 * 248.18 / 70.906, abs=LAST / 10)


# mg N per kcal and calcium over phosphorus, worked out by hand from USDA release 27, Finke and packets and printed
# with two digits before this catalogue was written; a slip in any of four columns shows here
BY_HAND = {
    "carrot": 3.6, "turnip_greens": 7.5, "dandelion": 9.6, "romaine": 11.6, "kale": 14.0, "collards": 15.0,
    "pellet_adult": 15.5, "pellet_juvenile": 19.7, "silkworm": 22.0, "earthworm": 24.0, "bloodworm_frozen": 26.0,
    "snail_raw": 29.0, "watercress": 33.0, "shrimp_raw": 38.0,
}  # fmt: skip
CALCIUM = {
    "collards": 9.3, "gammarus_dried": 6.4, "turnip_greens": 4.5, "dandelion": 2.8, "pak_choi": 2.8, "bsf_larva": 2.6,
    "pellet_adult": 2.0, "shrimp_raw": 0.30, "earthworm": 0.28, "trout_raw": 0.11, "chicken_liver": 0.03,
}  # fmt: skip


@pytest.mark.parametrize("name", BY_HAND)
def test_nitrogen_for_the_energy_is_what_was_worked_out_by_hand(name: str) -> None:
    food = foods()[name]
    assert food.nitrogen is not None and food.energy is not None
    found = 1000.0 * food.nitrogen.middle / food.energy.middle
    assert found == pytest.approx(BY_HAND[name], abs=0.06 if BY_HAND[name] < 12 or "pellet" in name else 0.51)


@pytest.mark.parametrize("name", CALCIUM)
def test_calcium_over_phosphorus_is_what_was_worked_out_by_hand(name: str) -> None:
    food = foods()[name]
    assert food.calcium is not None and food.phosphorus is not None
    ratio = food.calcium.middle / food.phosphorus.middle
    assert ratio == pytest.approx(CALCIUM[name], abs=0.051 if CALCIUM[name] >= 1 else 0.0051)


def test_all_common_insects_lack_calcium() -> None:
    """Finke 2002, abstract: all low in calcium; under 0.3 of the phosphorus in the table, soldier fly apart."""
    for name in ("cricket_adult", "mealworm", "superworm", "waxworm", "silkworm", "earthworm"):
        food = foods()[name]
        assert food.calcium is not None and food.phosphorus is not None
        assert food.calcium.middle / food.phosphorus.middle < 0.3
