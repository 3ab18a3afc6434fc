"""Limits, inverses and independent integrals of gas, heat, light, changes and volumes."""

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from lentic.science import (
    aeration,
    ammonia,
    change,
    constants,
    disinfectant,
    equilibrium,
    evaporation,
    gas,
    hardness,
    heat,
    light,
    properties,
    scale,
    volume,
)
from lentic.science.constants import PLANCK

WARM = np.linspace(5.0, 35.0, 31)


@pytest.mark.parametrize("unit", list(hardness.HARDNESS_UNITS))
def test_hardness_units_go_there_and_back(unit: str) -> None:
    """Every unit through milliequivalents; the scale of each beside German degrees."""
    assert hardness.hardness_from_meq(hardness.hardness_in_meq(7.0, unit), unit) == pytest.approx(7.0)


# Factors to mg/L CaCO3 as printed in tables of units (pint 0.25.3, chempy masses).
PRINTED = {"°dH": 17.848, "°fH": 10.0, "°e": 14.254, "gr/gal": 17.118, "mmol/L": 100.09, "meq/L": 50.04}


@pytest.mark.parametrize(("unit", "expected"), PRINTED.items())
def test_hardness_units_have_their_printed_size(unit: str, expected: float) -> None:
    """One of each unit as calcium carbonate."""
    lime = hardness.hardness_from_meq(hardness.hardness_in_meq(1.0, unit), "mg/L CaCO3")
    assert lime == pytest.approx(expected, rel=5e-4)


PAIRS = [
    (hardness.nitrate_from_nitrogen, hardness.nitrogen_from_nitrate, 4.4268),
    (hardness.nitrite_from_nitrogen, hardness.nitrogen_from_nitrite, 3.2845),
    (hardness.ammonium_from_nitrogen, hardness.nitrogen_from_ammonium, 1.2878),
    (hardness.phosphate_from_phosphorus, hardness.phosphorus_from_phosphate, 3.066),
]


@pytest.mark.parametrize(("there", "back", "factor"), PAIRS)
def test_nutrient_units_go_there_and_back(there: object, back: object, factor: float) -> None:
    """Ion and element; the factor to the digits of textbooks."""
    assert callable(there) and callable(back)
    assert there(1.0) == pytest.approx(factor, rel=1e-4)
    assert back(there(3.7)) == pytest.approx(3.7)


def test_bicarbonate_of_baking_soda() -> None:
    """3.00 g per 100 L for each German degree."""
    assert hardness.bicarbonate_dose(hardness.hardness_in_meq(1.0, "°dH"), 100.0) == pytest.approx(
        3.00, abs=0.005
    )


def test_two_fits_of_ammonium_agree() -> None:
    """Emerson and Anthonisen within 0.03 from 5 to 35 °C."""
    gap = ammonia.pk_ammonium_emerson_1975(WARM) - ammonia.pk_ammonium_anthonisen_1976(WARM)
    assert np.max(np.abs(gap)) < 0.03


def test_share_of_ammonia_runs_from_nought_to_one() -> None:
    """Half where pH equals pK; salt lowers it by 7 % at 0.005 mol/kg and 18 % at 0.05, at pH 8."""
    pk = ammonia.pk_ammonium_emerson_1975(25.0)
    assert ammonia.unionised_share(pk, 25.0) == pytest.approx(0.5)
    assert np.all(np.diff(ammonia.unionised_share(np.linspace(5, 12, 50), 25.0)) > 0.0)
    bare = ammonia.unionised_share(8.0, 25.0)
    assert 1.0 - ammonia.unionised_share(8.0, 25.0, 0.005) / bare == pytest.approx(0.07, abs=0.01)
    assert 1.0 - ammonia.unionised_share(8.0, 25.0, 0.05) / bare == pytest.approx(0.18, abs=0.01)


def test_criteria_are_ordered() -> None:
    """The lasting criterion is the stricter; salmonids are the more tender; warmth and pH tighten all."""
    ph, t = np.meshgrid(np.linspace(6.5, 9.0, 11), np.linspace(5.0, 30.0, 11))
    present, absent = (
        ammonia.acute_criterion_salmonids_present(ph, t),
        ammonia.acute_criterion_salmonids_absent(ph, t),
    )
    lasting = ammonia.chronic_criterion(ph, t)
    assert np.all(lasting < present) and np.all(present <= absent * (1.0 + 1e-12))
    for criterion in (present, absent, lasting):
        assert np.all(np.diff(criterion, axis=1) < 0.0) and np.all(np.diff(criterion, axis=0) <= 1e-12)


def test_water_properties_against_iapws() -> None:
    """IAPWS R7-97 and R12-08: density, vapour pressure and viscosity at 20 °C."""
    assert properties.water_density(20.0) == pytest.approx(998.21, abs=0.02)
    assert properties.saturation_vapour_pressure(20.0) == pytest.approx(2339.2, rel=0.001)
    assert properties.water_viscosity(20.0) == pytest.approx(1.0016e-3, rel=0.01)


def test_water_is_densest_at_four_degrees() -> None:
    """3.98 °C."""
    t = np.linspace(0.0, 10.0, 1001)
    assert t[np.argmax(properties.water_density(t))] == pytest.approx(3.98, abs=0.01)


def test_oxygen_falls_with_warmth_salt_and_height() -> None:
    """Monotonic; nothing dissolves where water boils."""
    assert np.all(np.diff(gas.oxygen_saturation(WARM)) < 0.0)
    assert np.all(np.diff(gas.oxygen_saturation(20.0, np.linspace(0, 5, 6))) < 0.0)
    assert np.all(
        np.diff(gas.oxygen_saturation(20.0, 0.0, gas.standard_pressure(np.linspace(0, 3000, 7)))) < 0.0
    )
    assert gas.standard_pressure(0.0) == 1.0
    assert gas.salinity_from_conductivity(0.0) == 0.0
    assert gas.salinity_from_conductivity(1000.0) == pytest.approx(0.56, abs=0.01)


def test_saturated_water_is_at_a_hundred_per_cent() -> None:
    """At the pressure and salinity of the place, not of the table."""
    held = gas.oxygen_saturation(24.0, 1.0, 0.9)
    assert gas.oxygen_percent(held, 24.0, 1.0, 0.9) == pytest.approx(100.0)


def test_moist_air_holds_a_little_less_carbon_dioxide() -> None:
    """3.1 % of the air over water of 25 °C is vapour."""
    assert gas.carbon_dioxide_pressure(800e-6, 25.0) == pytest.approx(800e-6 * 0.9687, rel=1e-3)


def test_schmidt_numbers_of_both_revisions_agree() -> None:
    """1992 and 2014 within 3 % from 5 to 30 °C, and 600 at 20 °C for carbon dioxide."""
    t = WARM[WARM <= 30.0]
    assert np.max(np.abs(gas.schmidt_carbon_dioxide_w92(t) / gas.schmidt_carbon_dioxide_w14(t) - 1.0)) < 0.03
    assert aeration.transfer_velocity(1.3, gas.schmidt_carbon_dioxide_w14(20.0)) == pytest.approx(
        1.3, rel=0.001
    )


def test_alarm_time_is_when_the_concentration_gets_there() -> None:
    """The inverse of the exponential; endless when it levels off above the limit."""
    hours = aeration.time_to_alarm(8.0, 4.0, 1.0, 0.25)
    assert aeration.concentration_after(8.0, 1.0, 0.25, hours) == pytest.approx(4.0)
    assert np.array_equal(aeration.time_to_alarm(8.0, 4.0, np.array([4.0, 5.0]), 0.25), [np.inf, np.inf])
    assert aeration.time_to_alarm(4.0, 4.0, 1.0, 0.25) == 0.0


def test_bubbles_fill_up_with_a_soluble_gas_only() -> None:
    """Little air caps the exchange at what it can carry; plenty leaves the coefficient as it is."""
    assert aeration.bubble_exchange(0.5, 1e6, 200.0, 1.2) == pytest.approx(0.5, rel=1e-3)
    assert aeration.bubble_exchange(50.0, 1.0, 200.0, 1.2) == pytest.approx(60.0 * 1.2 / 200.0, rel=1e-6)
    ratio = gas.gas_water_ratio(equilibrium.henry_carbon_dioxide_pb82(25.0), 25.0)
    assert ratio == pytest.approx(1.20, abs=0.01)


def test_a_spray_bar_makes_up_its_share_of_the_deficit() -> None:
    """All of the deficit in one pass is one exchange of the volume."""
    assert aeration.spray_transfer(400.0, 1.0, 200.0) == 2.0


def test_disinfectants_leave_what_chemistry_says() -> None:
    """7.0 mg of thiosulfate and 0.1975 mg of nitrogen per mg; half is left after a half-life."""
    assert disinfectant.thiosulfate_per_chlorine(1.0) == pytest.approx(7.00, abs=0.005)
    assert disinfectant.ammonia_from_chloramine(1.0) == pytest.approx(0.1975, abs=5e-4)
    assert disinfectant.ammonia_of_chloraminated_supply(3.0, np.array([3.0, 5.0])) == pytest.approx(
        [1.0, 0.6]
    )
    assert disinfectant.left_after(8.0, 8.0) == 0.5


def test_metals_are_less_harmful_in_hard_water() -> None:
    """All three criteria rise with hardness."""
    h = np.linspace(25.0, 400.0, 20)
    for criterion in (
        disinfectant.copper_acute_criterion,
        disinfectant.zinc_acute_criterion,
        disinfectant.lead_chronic_criterion,
    ):
        assert np.all(np.diff(criterion(h)) > 0.0)


def simulate(
    start: float, source: float, fraction: float, count: int, rise: float, uptake: float = 0.0
) -> float:
    """Change, then grow for a week, again and again; return the last peak."""
    c = start
    for _ in range(count):
        c = (1.0 - fraction) * c + fraction * source
        if uptake:
            c = solve_ivp(lambda _, y: rise - uptake * y, (0.0, 7.0), [c], rtol=1e-9, atol=1e-12).y[0, -1]
        else:
            c += 7.0 * rise
    return c


def test_habits_settle_where_simulation_settles() -> None:
    """Peak, trough, and the peak with uptake, against a loop over many weeks."""
    peak = simulate(50.0, 10.0, 0.3, 200, 3.0)
    assert change.steady_peak(10.0, 3.0, 0.3, 7.0) == pytest.approx(peak)
    assert change.steady_trough(10.0, 3.0, 0.3, 7.0) == pytest.approx(change.mixed(peak, 10.0, 0.3))
    with_plant = simulate(39.0, 10.0, 0.3, 40, 3.0, 0.05)
    assert change.steady_peak_with_uptake(10.0, 3.0, 0.3, 7.0, 0.05) == pytest.approx(with_plant, rel=1e-4)


def test_the_number_of_changes_is_the_first_that_will_do() -> None:
    """One fewer leaves too much; a goal met exactly costs no further change; below the tap never."""
    for fraction in (0.1, 0.25, 0.3, 0.5, 0.9):
        n = float(change.changes_needed(160.0, 40.0, 10.0, fraction))
        assert change.after_changes(160.0, 10.0, fraction, n) <= 40.0
        assert change.after_changes(160.0, 10.0, fraction, n - 1) > 40.0
    assert change.changes_needed(160.0, 40.0, 0.0, 0.5) == 2.0
    assert np.array_equal(
        change.changes_needed(np.array([30.0, 80.0]), 40.0, np.array([10.0, 40.0]), 0.5), [0.0, np.inf]
    )


def test_one_change_of_the_computed_share_reaches_the_goal() -> None:
    """Inverse of mixing."""
    share = change.fraction_for_one_change(80.0, 40.0, 10.0)
    assert change.mixed(80.0, 10.0, share) == pytest.approx(40.0)
    assert change.mixed(0.3, 14.0, change.blend_share(14.0, 0.3, 6.0)) == pytest.approx(6.0)


def test_a_drip_tends_to_its_steady_state() -> None:
    """And starts where it starts; production comes back from two readings."""
    assert change.drip_concentration(80.0, 10.0, 3.0, 0.1, 0.0) == pytest.approx(80.0)
    assert change.drip_concentration(80.0, 10.0, 3.0, 0.1, 1e3) == pytest.approx(
        change.drip_steady(10.0, 3.0, 0.1)
    )
    after = change.mixed(40.0, 10.0, 0.3) + 7.0 * 3.0
    assert change.learned_production(40.0, after, -0.3 * 30.0, 7.0) == pytest.approx(3.0)


def test_evaporation_leaves_its_salts() -> None:
    """Topped up with itself: doubled when one volume has gone; with soft water nothing happens."""
    assert change.evaporation_rise(100.0, 100.0, 0.02, 50.0) == pytest.approx(200.0)
    assert change.evaporation_peak(100.0, 0.0, 0.25, 0.1) == 100.0


def test_evaporation_grows_with_dryness_and_never_stops_short() -> None:
    """Drier rooms take more; a warm, saturated room gives water back."""
    dry = evaporation.evaporation_still(25.0, 22.0, np.linspace(0.9, 0.2, 8))
    assert np.all(np.diff(dry) > 0.0)
    assert evaporation.evaporation_still(20.0, 28.0, 0.9) < 0.0
    assert evaporation.surface_loss(25.0, 22.0, 0.5, 0.5, 0.03) == pytest.approx(
        0.03 * evaporation.surface_loss(25.0, 22.0, 0.5, 0.5)
    )
    assert heat.heater_power(9.0, 26.0, 18.0, 0.5, 0.3) == pytest.approx(
        72.0 + float(evaporation.surface_loss(26.0, 18.0, 0.5, 0.3))
    )


def test_evaporated_litres_and_their_heat_belong_together() -> None:
    """The latent part of the surface loss is the heat of the water that left."""
    per_day = float(evaporation.evaporation_still(26.0, 20.0, 0.5)) * 24.0
    latent = evaporation.surface_loss(26.0, 20.0, 0.5, 1.0) / (1.0 + evaporation.bowen_ratio(26.0, 20.0, 0.5))
    assert latent == pytest.approx(float(heat.evaporation_power(per_day, 26.0)), rel=0.01)


def test_cooling_follows_its_equation() -> None:
    """Against a numerical integration; at nought hours nothing has happened."""
    tau = float(heat.time_constant(heat.heat_capacity(200.0, 25.0), 9.0))
    run = solve_ivp(lambda _, y: -(y - 18.0) / tau, (0.0, 12.0), [26.0], rtol=1e-10)
    assert heat.temperature_after(26.0, 18.0, tau, 12.0) == pytest.approx(run.y[0, -1], rel=1e-7)
    assert heat.temperature_after(26.0, 18.0, tau, 0.0) == 26.0
    assert heat.heat_capacity(200.0, 25.0, 30.0, 40.0) - heat.heat_capacity(200.0, 25.0) == pytest.approx(
        57_200.0
    )


def test_foam_halves_the_loss_of_a_wall() -> None:
    """7 mm of foam double the resistance of a 10 mm glass pane, whose own thickness hardly matters."""
    bare = heat.wall_transmittance(0.010, 1.0)
    assert heat.wall_transmittance(0.010, 1.0, 0.035 / bare) == pytest.approx(bare / 2.0)
    assert heat.wall_transmittance(0.020, 1.0) > 0.9 * bare


def test_the_largest_change_just_keeps_the_step() -> None:
    """Inverse of mixing temperatures; water of the same temperature sets no limit."""
    share = heat.largest_fraction(2.0, 26.0, 15.0)
    assert 26.0 - change.mixed(26.0, 15.0, share) == pytest.approx(2.0)
    assert heat.largest_fraction(2.0, 26.0, 26.0) == np.inf
    assert heat.electricity(100.0, 24.0, 0.5) == pytest.approx(1.2)


def test_a_small_panel_is_a_point_and_a_large_one_a_ceiling() -> None:
    """View factor: four times the area over pi d² far away, 1 at the touch; a short tube likewise."""
    far = light.panel_view_factor(0.01, 0.01, 1.0)
    assert far == pytest.approx(1e-4 / np.pi, rel=1e-3)
    assert light.panel_view_factor(1e4, 1e4, 0.1) == pytest.approx(1.0, abs=1e-4)
    # A short diffuse tube sends flux/pi² per steradian straight down.
    assert light.tube_illuminance(1000.0, 1e-3, 1.0) == pytest.approx(1000.0 / np.pi**2, rel=1e-4)


def test_a_tube_is_the_integral_of_its_pieces() -> None:
    """Cosine emitters along a line, summed by quadrature."""
    length, distance = 0.9, 0.3
    total = quad(lambda x: distance**2 / (distance**2 + x * x) ** 2, -length / 2, length / 2)[0]
    assert light.tube_illuminance(1000.0, length, distance) == pytest.approx(
        1000.0 / (np.pi**2 * length) * total
    )


# CIE 1924 luminosity function at every 10 nm from 380 to 780 nm, as printed in handbooks (from memory).
LUMINOSITY = (
    "0.00004 0.00012 0.0004 0.0012 0.0040 0.0116 0.023 0.038 0.060 0.091 0.139 0.208 0.323 0.503 0.710 0.862 "
    "0.954 0.995 0.995 0.952 0.870 0.757 0.631 0.503 0.381 0.265 0.175 0.107 0.061 0.032 0.017 0.0082 0.0041 "
    "0.0021 0.00105 0.00052 0.00025 0.00012 0.00006 0.00003 0.000015"
)


def test_photons_of_a_filament_follow_from_planck() -> None:
    """Illuminant A is a black body of 2856 K: its entry in the table comes out of its own spectrum."""
    nm = np.linspace(380.0, 780.0, 401)
    seen = np.interp(nm, np.linspace(380.0, 780.0, 41), [float(v) for v in LUMINOSITY.split()])
    metre = nm * 1e-9
    exponent = PLANCK * constants.LIGHT_SPEED / (metre * 1.380649e-23 * 2856.0)
    power = 1.0 / (metre**5 * np.expm1(exponent))
    assert light.photons_per_kilolumen(nm, power, seen) == pytest.approx(
        light.PHOTONS_PER_KILOLUMEN["A"], rel=0.01
    )
    assert light.photons_from_illuminance(5000.0, 20.0) == 100.0


def test_light_of_a_day_and_of_the_deep() -> None:
    """100 µmol for ten hours are 3.6 mol; nothing is left out at the surface but the reflection."""
    assert light.daily_light(100.0, 10.0) == pytest.approx(3.6)
    assert light.underwater_light(100.0, 1.0, 0.0) == pytest.approx(100.0 - 2.04, abs=0.01)
    assert light.underwater_light(100.0, 1.0, 0.5, 0.9) < light.underwater_light(100.0, 1.0, 0.5)


def test_the_erythema_weight_has_no_steps() -> None:
    """Its branches meet at 298 nm exactly and at 328 nm within 1 %."""
    assert light.erythema_weight(np.array([298.0, 298.0 + 1e-9])) == pytest.approx([1.0, 1.0])
    assert light.erythema_weight(328.0 + 1e-9) / light.erythema_weight(328.0) == pytest.approx(1.0, rel=0.01)


def test_mesh_and_age_weaken_a_lamp() -> None:
    """0.45 mm wire every 3.2 mm lets 74 % through; after one half-life half is left."""
    assert light.mesh_transmission(0.45, 3.2) == pytest.approx(0.74, abs=0.005)
    assert light.lamp_ageing(365.0, 365.0) == 0.5


def test_days_at_the_ends_of_the_earth() -> None:
    """Twelve hours and some at the equator, none or all beyond the polar circle."""
    assert np.max(np.abs(light.day_length_forsythe_1995(0.0, np.arange(1.0, 366.0)) - 12.12)) < 0.03
    assert light.day_length_forsythe_1995(80.0, 172) == 24.0
    assert light.day_length_forsythe_1995(80.0, 355) == 0.0


def test_volumes_meet_in_their_common_shapes() -> None:
    """A tub with upright walls, a full lying cylinder, a bow of half a circle, a hexagon by triangles."""
    assert volume.sloping_tub(0.6, 0.6, 0.6, 0.5) == pytest.approx(float(volume.rectangle(1.2, 0.5, 0.5)))
    full = volume.lying_cylinder(0.3, 1.2, 0.6)
    assert full == pytest.approx(float(volume.cylinder(0.6, 1.2)))
    assert volume.lying_cylinder(0.3, 1.2, 0.3) == pytest.approx(float(full) / 2.0)
    half_circle = volume.bow_front(1.0, 0.0, 0.5, 0.4)
    assert half_circle == pytest.approx(2.0 * float(volume.quarter_cylinder(0.5, 0.4)))
    assert volume.bow_front(1.0, 0.0, 1.0, 0.4) > half_circle
    assert volume.hexagon(0.5, 0.4) == pytest.approx(1000.0 * 0.4 * 6.0 * 0.25 * np.sqrt(3.0) / 4.0)


def test_a_frustum_is_exact_by_simpson() -> None:
    """A tub from 0.8 by 0.4 m to 1.0 by 0.6 m, against the integral of its areas."""

    def area(z: float) -> float:
        return (0.8 + 0.2 * z / 0.5) * (0.4 + 0.2 * z / 0.5)

    exact = 1000.0 * quad(area, 0.0, 0.5)[0]
    assert volume.sloping_tub(area(0.0), area(0.25), area(0.5), 0.5) == pytest.approx(exact)


def test_calcite_of_both_forms() -> None:
    """Aragonite dissolves more readily than calcite at every temperature."""
    assert np.all(equilibrium.solubility_aragonite_pb82(WARM) > equilibrium.solubility_calcite_pb82(WARM))
    assert np.all(np.diff(equilibrium.solubility_calcite_pb82(WARM)) < 0.0)
    assert scale.waterline_scale(0.0, 1e-3, 2e-3, 0.02) == 0.0


def test_activity_coefficients_tend_to_one() -> None:
    """Without salt nothing is slowed; B of Debye and Hückel is 0.33 at 25 °C."""
    assert equilibrium.davies_exponent(25.0, 0.0) == 0.0
    assert equilibrium.neutral_activity_coefficient(0.0) == 1.0
    assert equilibrium.debye_hueckel_b(25.0) == pytest.approx(0.3286, abs=0.001)
