"""Limits, inverses and independent sums of the relations of living things."""

import numpy as np
import pytest
from scipy.optimize import brentq

from lentic.science import algae, energy, food, kinetics, stoichiometry
from lentic.science.constants import NITROGEN

LIGHT = np.linspace(1.0, 500.0, 200)
FORMS = [kinetics.light_jassby_platt, kinetics.light_smith]


@pytest.mark.parametrize("form", FORMS)
def test_light_forms_start_straight_and_saturate(form: object) -> None:
    """Slope 1/Ik in the dark, 1 in strong light, never falling."""
    assert callable(form)
    assert form(1e-6, 80.0) == pytest.approx(1e-6 / 80.0, rel=1e-6)
    assert form(1e5, 80.0) == pytest.approx(1.0, abs=1e-5)
    assert np.all(np.diff(form(LIGHT, 80.0)) > 0.0)


def test_steele_peaks_at_its_optimum() -> None:
    """1 at the optimum, less on both sides."""
    assert kinetics.light_steele(120.0, 120.0) == pytest.approx(1.0)
    assert LIGHT[np.argmax(kinetics.light_steele(LIGHT, LIGHT[100]))] == LIGHT[100]


def test_monod_runs_from_nought_to_one() -> None:
    """Half at the half-saturation constant."""
    assert kinetics.monod(0.0, 0.5) == 0.0
    assert kinetics.monod(0.5, 0.5) == 0.5
    assert kinetics.monod(1e9, 0.5) == pytest.approx(1.0)


CARDINALS = [(4.0, 28.0, 38.0), (4.0, 31.0, 40.0), (8.0, 27.0, 38.0)]


@pytest.mark.parametrize("cardinals", CARDINALS)
def test_cardinal_temperatures_are_what_they_say(cardinals: tuple[float, float, float]) -> None:
    """Nought at and beyond the limits, 1 and level at the optimum, one peak only."""
    low, best, high = cardinals
    assert np.all(kinetics.ctmi(np.array([low - 5.0, low, high, high + 5.0]), low, best, high) == 0.0)
    assert kinetics.ctmi(best, low, best, high) == pytest.approx(1.0, abs=1e-12)
    near = kinetics.ctmi(np.array([best - 1e-4, best + 1e-4]), low, best, high)
    assert np.all(np.abs(near - 1.0) < 1e-8)
    steps = np.sign(np.diff(kinetics.ctmi(np.linspace(low, high, 301), low, best, high)))
    assert np.count_nonzero(np.diff(steps)) == 1
    assert kinetics.ctmi_factor(20.0, low, best, high) == pytest.approx(1.0)


def test_temperature_factors_agree_where_they_must() -> None:
    """1 at the reference; Q10 is theta to the tenth; Q10 comes back from two rates."""
    t = np.linspace(5.0, 35.0, 31)
    assert np.allclose(kinetics.theta_factor(t, 1.07), kinetics.q10_factor(t, 1.07**10))
    assert kinetics.theta_factor(20.0, 1.07) == 1.0
    cool, warm = kinetics.q10_factor(np.array([17.0, 24.0]), 2.3)
    assert kinetics.q10_from_rates(cool, warm, 17.0, 24.0) == pytest.approx(2.3)


def test_droop_runs_between_its_stores() -> None:
    """Nought at the least store, 1 at the greatest."""
    assert kinetics.droop(0.013, 0.013, 0.045) == 0.0
    assert kinetics.droop(0.045, 0.013, 0.045) == pytest.approx(1.0)


def test_ammonium_preference_has_its_limits() -> None:
    """All ammonium without nitrate, none without ammonium, more of it where there is more."""
    assert kinetics.ammonium_preference(0.3, 0.0) == pytest.approx(1.0)
    assert kinetics.ammonium_preference(0.0, 0.3) == 0.0
    assert kinetics.ammonium_preference(0.0, 0.0) == 0.0
    assert np.all(np.diff(kinetics.ammonium_preference(np.linspace(0.001, 1.0, 50), 0.5)) > 0.0)


@pytest.mark.parametrize("capacity", [1e-9, 0.01, 0.4, 10.0, 1e6])
@pytest.mark.parametrize("bulk", [0.0, 1e-6, 0.05, 0.5, 20.0])
def test_the_film_solves_its_two_equations(bulk: float, capacity: float) -> None:
    """What crosses the layer is what the film eats; the same root as a bracketing solver finds."""
    k, g = 0.12, 4.0
    uptake, at_film = kinetics.film_uptake(bulk, capacity, k, g)
    root = brentq(lambda s: g * (bulk - s) - capacity * s / (k + s), 0.0, bulk, xtol=1e-300, rtol=1e-14)
    assert at_film == pytest.approx(root, rel=1e-9, abs=1e-300)
    assert uptake == pytest.approx(capacity * root / (k + root), rel=1e-9)
    assert uptake == pytest.approx(g * (bulk - float(at_film)), rel=1e-9, abs=1e-13 * g * bulk + 1e-300)
    assert 0.0 <= at_film <= bulk


def test_mean_light_is_the_integral_over_the_layer() -> None:
    """Compared with a fine sum; without attenuation it is the light of the surface."""
    depth = np.linspace(0.0, 0.5, 100_001)
    assert kinetics.mean_light(100.0, 3.0, 0.5) == pytest.approx(
        np.trapezoid(100.0 * np.exp(-3.0 * depth), depth) / 0.5, rel=1e-8
    )
    assert kinetics.mean_light(100.0, 0.0, 0.5) == 100.0
    assert kinetics.mean_light(100.0, 1e-12, 0.5) == pytest.approx(100.0)


def test_the_window_of_ph_is_half_at_its_limits() -> None:
    """Half at 5.9 and 9.6, nearly 1 between, nearly 0 far off."""
    assert np.allclose(kinetics.ph_window(np.array([5.9, 9.6]), 5.9, 9.6), 0.5, atol=1e-6)
    assert kinetics.ph_window(7.75, 5.9, 9.6) > 0.999
    assert kinetics.ph_window(3.0, 5.9, 9.6) < 1e-5


def test_at_the_lowest_substrate_growth_equals_decay() -> None:
    """The chemostat's washout point."""
    s = kinetics.lowest_substrate(0.12, 0.168, 0.60)
    assert 0.60 * kinetics.monod(s, 0.12) == pytest.approx(0.168)


def test_food_adds_up() -> None:
    """Pure protein, fat and carbohydrate carry their own coefficients; the difference closes the whole."""
    assert food.carbohydrate_by_difference(0.40, 0.08, 0.12, 0.09) == pytest.approx(0.31)
    assert food.food_oxygen_demand(1.0, 0.0, 0.0) == pytest.approx(
        stoichiometry.oxygen_demand_by_mass(1.0, 1.58, 0.31, 0.27), rel=0.01
    )
    # Glucose unit of starch C6H10O5 by atoms: 1.185 g O2 and 0.444 g C per gram.
    assert food.food_oxygen_demand(0.0, 0.0, 1.0) == pytest.approx(
        stoichiometry.oxygen_demand_by_mass(6.0, 10.0, 5.0), rel=0.002
    )
    assert food.food_carbon(0.0, 0.0, 1.0) == pytest.approx(6 * 12.011 / 162.14, rel=0.002)
    # Tripalmitin C51H98O6 by atoms: a common fat.
    assert food.food_oxygen_demand(0.0, 1.0, 0.0) == pytest.approx(
        stoichiometry.oxygen_demand_by_mass(51.0, 98.0, 6.0), rel=0.01
    )


def test_nothing_retained_means_all_nitrogen_reaches_the_water() -> None:
    """Mass balance at both ends."""
    assert food.excreted_nitrogen(10.0, 0.4, 0.0, 1.0, 0.0) == pytest.approx(food.food_nitrogen(0.4) * 10.0)
    assert food.excreted_nitrogen(10.0, 0.4, 0.0, 1.0, 1.0) == pytest.approx(0.0, abs=1e-12)


def test_a_ration_between_the_bands_is_inside_them() -> None:
    """Band and share are one statement; 1.3 g of 14 kJ/g is 0.45 of a 400 g turtle's field rate."""
    low, high = energy.ration_band(400.0, 14.0)
    assert energy.ration_share(low, 14.0, 400.0) == pytest.approx(energy.LOWEST_SHARE)
    assert energy.ration_share(high, 14.0, 400.0) == pytest.approx(energy.HIGHEST_SHARE)
    assert energy.ration_share(1.3, 14.0, 400.0) == pytest.approx(0.45, abs=0.01)
    assert energy.resting_metabolic_rate(400.0) < energy.field_metabolic_rate_nagy_1999(400.0)


def test_a_pellet_holds_the_energy_of_the_trade() -> None:
    """40 % protein, 8 % fat and 30 % starch come to 13 to 16 kJ/g."""
    assert 13.0 < energy.food_energy(0.40, 0.08, 0.30) < 16.0


def test_scraping_interval_and_rate_are_inverse() -> None:
    """0.576 a day behind four days from a tenth of the film that bothers."""
    rate = algae.regrowth_rate(0.25, 2.5, 4.0)
    assert rate == pytest.approx(0.576, abs=0.001)
    assert algae.scraping_interval(0.25, 2.5, rate) == pytest.approx(4.0)


def test_a_pane_darkens_as_its_grades_say() -> None:
    """0.8, 2 and 6 g/m² take 11, 26 and 59 % of the light; a clean pane takes none."""
    film = np.array([0.0, 0.8, 2.0, 6.0])
    share = algae.pane_absorptance(algae.pane_chlorophyll(film))
    assert np.allclose(share, [0.0, 0.11, 0.26, 0.59], atol=0.005)
    assert algae.pane_cover(0.0) == 0.0 and np.all(np.diff(algae.pane_cover(film)) > 0.0)


def test_atoms_and_charge_close_in_nitrification() -> None:
    """Two steps sum to the whole; the equivalents sum to those of food nitrogen that becomes nitrate."""
    whole, first, second = (stoichiometry.oxygen_per_nitrogen(n) for n in (8, 6, 2))
    assert whole == pytest.approx(first + second)
    change = stoichiometry.alkalinity_change(-1.0, 0.0, 1.0, 0.0) * NITROGEN
    assert change == pytest.approx(-2.0)
    assert stoichiometry.alkalinity_change(-1.0, 1.0, 0.0, 0.0) == pytest.approx(
        stoichiometry.alkalinity_change(-1.0, 0.0, 1.0, 0.0)
    )
    released = stoichiometry.alkalinity_change(1.0, 0.0, 0.0, 0.0)
    oxidised = stoichiometry.alkalinity_change(-1.0, 0.0, 1.0, 0.0)
    assert released + oxidised == pytest.approx(-1.0 / NITROGEN)


def test_oxygen_demand_by_atoms() -> None:
    """Methane needs two molecules, glucose six, ammonia none."""
    assert stoichiometry.oxygen_demand_in_moles(1, 4, 0) == 2.0
    assert stoichiometry.oxygen_demand_in_moles(6, 12, 6) == 6.0
    assert stoichiometry.oxygen_demand_in_moles(0, 3, 0, 1) == 0.0


def test_growth_rows_of_nitrifiers_close_in_oxygen_demand() -> None:
    """Oxygen used plus cells built equal what the nitrogen gave: for both steps."""
    for electrons, growth_yield in ((6, 0.18), (2, 0.06)):
        given = stoichiometry.nitrogen_oxidised(growth_yield) * stoichiometry.oxygen_per_nitrogen(electrons)
        assert given == pytest.approx(1.0 - stoichiometry.growth_oxygen(electrons, growth_yield))
    assert stoichiometry.growth_ammonium(0.18, 0.086) == pytest.approx(-5.642, abs=0.001)


def test_algae_on_nitrate_give_more_oxygen() -> None:
    """By the oxygen that nitrate brings along."""
    extra = stoichiometry.alga_oxygen(1.12, 0.065, 1.0) - stoichiometry.alga_oxygen(1.12, 0.065, 0.0)
    assert extra == pytest.approx(0.065 * 4.56886, rel=1e-5)
