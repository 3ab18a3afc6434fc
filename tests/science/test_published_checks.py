"""Every row of the two check tables: computed and compared with its own tolerance, or listed with a reason.

The tables were gathered outside this project: each row names its source and how the value is known. A row
whose source is a run of our own model is a regression and is not compared here. The file is long because each row has
its rule here, in the order of the tables.
"""

import csv
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from lentic.science import (
    aeration,
    ammonia,
    carbonate,
    change,
    conductivity,
    constants,
    disinfectant,
    energy,
    equilibrium,
    evaporation,
    food,
    gas,
    hardness,
    heat,
    kinetics,
    light,
    plate,
    properties,
    scale,
    stoichiometry,
    volume,
)
from lentic.science.arrays import Array

DATA = Path(__file__).parents[1] / "data"
Row = dict[str, str]
Rule = Callable[..., object]


def read_rows(name: str) -> list[Row]:
    """Return the rows of one check table."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


WATER, LIFE = read_rows("checks_water.csv"), read_rows("checks_life.csv")
ROWS = {row["id"]: row for row in [*WATER, *LIFE]}


def inputs_of(row: Row) -> dict[str, float]:
    """Return the inputs that are numbers; units are part of their names."""
    pairs = (part.partition("=") for part in row["inputs"].split(";") if "=" in part)
    return {name: float(value) for name, _, value in pairs if re.fullmatch(r"[-+]?[.\d]+(e-?\d+)?", value)}


def pk(constant: Callable[[float], Array]) -> Rule:
    """Turn an equilibrium constant into its pK at the temperature of the row."""
    return lambda T_C: -np.log10(constant(T_C))


# The arguments of the functions below are the names in the inputs column.


def ions_of(given: dict[str, float]) -> carbonate.Ions:
    """Return the ions of a row; PHREEQC was given none of those the row leaves out."""
    names = {"ca": "Ca", "mg": "Mg", "na": "Na", "k": "K", "cl": "Cl", "so4": "SO4", "no3": "NO3"}
    return carbonate.Ions(**{ours: given.get(f"{theirs}_mmolkg", 0.0) / 1e3 for ours, theirs in names.items()})


def closed_water(**given: float) -> tuple[carbonate.Conditional, float, float]:
    """Return constants, activity of H+ and DIC of a row that gives DIC, or a partial pressure instead."""
    ions, alkalinity = ions_of(given), given["Alk_meqkg"] / 1e3
    tan, phosphate = given.get("TAN_mmolkg", 0.0) / 1e3, given.get("P_mmolkg", 0.0) / 1e3
    if "pCO2_ppm" in given:
        pressure = given["pCO2_ppm"] * 1e-6
        dic, constants_ = carbonate.dic_at_equilibrium(
            given["T_C"], ions, alkalinity, pressure, tan=tan, phosphate=phosphate
        )
    else:
        dic = np.asarray(given["DIC_mmolkg"] / 1e3)
        constants_ = carbonate.conditional_constants(given["T_C"], ions, alkalinity, dic, tan=tan, phosphate=phosphate)
    ph = carbonate.ph(constants_, dic, alkalinity, tan, phosphate)
    return constants_, float(10.0**-ph), float(dic)


def water_ph(**given: float) -> object:
    """PH of the water of a row."""
    return -np.log10(closed_water(**given)[1])


def water_index(**given: float) -> object:
    """Saturation index of the water of a row."""
    return scale.saturation_index(*closed_water(**given))


def water_pressure(**given: float) -> object:
    """Partial pressure of carbon dioxide, in ppm of one atmosphere."""
    c, h, dic = closed_water(**given)
    return carbonate.carbon_dioxide(c, h, dic) / c.kh * 1e6


def water_ammonia(**given: float) -> object:
    """Un-ionised ammonia nitrogen, in mg/L."""
    c, h, _ = closed_water(**given)
    ph = -np.log10(h)
    share = ammonia.unionised_share(ph, given["T_C"], c.ionic_strength)
    return share * given["TAN_mmolkg"] * constants.NITROGEN


def water_ccpp(**given: float) -> object:
    """Calcite that falls until saturation, in mg/L."""
    return scale.ccpp(given["T_C"], ions_of(given), given["Alk_meqkg"] / 1e3, given["DIC_mmolkg"] / 1e3)


def water_growth(**given: float) -> object:
    """Growth of clean calcite."""
    return scale.calcite_growth_pwp78(given["T_C"], *closed_water(**given))


def water_conductivity(**given: float) -> object:
    """Conductivity of the water of a row."""
    bicarbonate = min(given.get("Alk_meqkg", 0.0), given.get("DIC_mmolkg", 0.0)) / 1e3
    return conductivity.conductivity_from_ions(ions_of(given), bicarbonate)


def water_carbon_dioxide(**given: float) -> object:
    """Dissolved carbon dioxide, in mg/L."""
    return carbonate.carbon_dioxide(*closed_water(**given)) * constants.CARBON_DIOXIDE * 1e3


def day_length(row: Row) -> object:
    """Day length at the latitude and date of a row."""
    when = re.search(r"date=(\d+)-(\d+)-(\d+)", row["inputs"])
    assert when
    year, month, day = map(int, when.groups())
    return light.day_length_forsythe_1995(inputs_of(row)["lat"], date(year, month, day).timetuple().tm_yday)


def lamp(row: Row) -> object:
    """Photons per kilolumen of the named spectrum."""
    return light.PHOTONS_PER_KILOLUMEN[row["inputs"].removeprefix("spectrum=")]


def tank_mass(V: float, T: float, t: float) -> object:
    """Water, glass and the 40 kg of gravel of the row's title."""
    return volume.water_mass(V, T) + volume.pane_mass(1.2, 0.5, 0.6, t) + 40.0


def stones_and_turtle(m: float, rho: float, mt: float, sub: float) -> object:
    """Water that stones and a half submerged turtle displace."""
    return volume.body_displacement(m, rho) + volume.body_displacement(mt, 1e3, sub)


def drip(C0: float, Cs: float, lam: float, r: float, t_d: float) -> object:
    """Concentration of a drip change."""
    return change.drip_concentration(C0, Cs, r, lam, t_d)


def impossible(C0: float, Ct: float, Cs: float) -> object:
    """Say in a word what the functions say by a share above one and an endless number."""
    endless = np.isinf(change.changes_needed(C0, Ct, Cs, 0.3)) and change.fraction_for_one_change(C0, Ct, Cs) > 1
    return "impossible" if endless else "possible"


def aerated(kLa_1h: float, Cs: float, r: float, C0: float, t_h: float) -> object:
    """Oxygen of an aerated tank after a time."""
    return aeration.concentration_after(C0, aeration.equilibrium_with_uptake(Cs, r, kLa_1h), kLa_1h, t_h)


def carbon_dioxide_by_bubbles(kLaO2: float, ratio: float, Q_Lmin: float, V_L: float, Hcc: float) -> object:
    """Effective exchange of carbon dioxide with bubbles, from the coefficient of oxygen."""
    return aeration.bubble_exchange(kLaO2 * ratio, Q_Lmin, V_L, Hcc)


def pane_side(braced: bool) -> Rule:
    """Stress coefficient of a glass side pane."""
    return lambda L_H: plate.stress_coefficient(L_H, "glass", braced)


def cooled(T0: float, Troom: float, V_L: float, UA_WK: float, t_h: float) -> object:
    """Temperature during a power cut."""
    tau = heat.time_constant(heat.heat_capacity(V_L, 25.0), UA_WK)
    return heat.temperature_after(T0, Troom, tau, t_h)


def convection(dT_K: float, H_m: float, nu: float, alpha: float, T_K: float) -> object:
    """Free convection at a pane."""
    return heat.pane_convection(dT_K, H_m, T_K - constants.ZERO_CELSIUS, nu, alpha)


ANHYDROUS = constants.SODIUM_THIOSULFATE

# Rules for the table of water: a pattern of ids, a pattern of quantities, and what computes them.
WATER_RULES: list[tuple[str, str, Rule]] = [
    ("C", r"pK1", pk(equilibrium.first_dissociation_pb82)),
    ("C", r"pK2", pk(equilibrium.second_dissociation_pb82)),
    ("C", r"pKH", pk(equilibrium.henry_carbon_dioxide_pb82)),
    ("C", r"pKw", pk(equilibrium.ion_product_water)),
    ("C", r"pKsp calcite", pk(equilibrium.solubility_calcite_pb82)),
    ("C", r"pKsp aragonite", pk(equilibrium.solubility_aragonite_pb82)),
    ("C", r"Debye-Hueckel", lambda T_C: equilibrium.debye_hueckel_a(T_C)),
    ("C", r"pH (from|of|after)", water_ph),
    ("C", r"SI calcite", water_index),
    ("C", r"pCO2", water_pressure),
    ("C", r"un-ionised", water_ammonia),
    ("C", r"CCPP", water_ccpp),
    ("C", r"PWP", water_growth),
    ("C", r"electrical", water_conductivity),
    ("C182", "", water_carbon_dioxide),
    ("C170", "", lambda dH: hardness.hardness_from_meq(hardness.hardness_in_meq(dH, "°dH"), "mg/L CaCO3")),
    ("C171", "", lambda dH: hardness.hardness_in_meq(dH, "°dH")),
    ("C172", "", lambda dH: hardness.calcium_for_hardness(hardness.hardness_in_meq(dH, "°dH"))),
    ("C173", "", lambda dH: hardness.magnesium_for_hardness(hardness.hardness_in_meq(dH, "°dH"))),
    ("C178", "", lambda Ca_mgL, Mg_mgL: hardness.hardness_from_meq(
        hardness.hardness_from_ions(Ca_mgL, Mg_mgL), "mg/L CaCO3")),
    ("C179", "", lambda Ca_mgL, Mg_mgL: hardness.hardness_from_meq(
        hardness.hardness_from_ions(Ca_mgL, Mg_mgL), "°dH")),
    ("A006", "", lambda T_C: ammonia.pk_ammonium_anthonisen_1976(T_C)),
    ("A", r"pKa NH4", lambda T_C: ammonia.pk_ammonium_emerson_1975(T_C)),
    ("A", r"un-ionised", lambda T_C, pH, I_molkg=0.0: 100.0 * ammonia.unionised_share(pH, T_C, I_molkg)),
    ("A", r".*CMC salmonids present", lambda T_C, pH: ammonia.acute_criterion_salmonids_present(pH, T_C)),
    ("A", r".*CMC salmonids absent", lambda T_C, pH: ammonia.acute_criterion_salmonids_absent(pH, T_C)),
    ("A", r".*CCC", lambda T_C, pH: ammonia.chronic_criterion(pH, T_C)),
    ("A081", "", lambda T_C, pH: 100.0 * ammonia.nitrous_acid_share(pH, T_C)),
    ("A082", "", lambda NO3_mgL: hardness.nitrogen_from_nitrate(NO3_mgL)),
    ("A089", "", lambda NO2_mgL, Cl_now_mgL, V_L: ammonia.salt_against_nitrite(NO2_mgL, Cl_now_mgL, V_L)),
    ("O", r"DO saturation at altitude", lambda T_C, z_m, P_atm: gas.oxygen_saturation(T_C, 0.0, P_atm)),
    ("O", r"DO saturation", lambda T_C, S, P_atm: gas.oxygen_saturation(T_C, S, P_atm)),
    ("O026", "", lambda z_m: gas.standard_pressure(z_m)),
    ("O028", "", lambda T_C: gas.schmidt_oxygen_w92(T_C)),
    ("O029", "", lambda T_C: gas.schmidt_carbon_dioxide_w92(T_C)),
    ("O030", "", lambda T_C: gas.schmidt_carbon_dioxide_w14(T_C)),
    ("O031", "", lambda T_C: aeration.transfer_velocity(1.0, gas.schmidt_carbon_dioxide_w92(T_C))
        / aeration.transfer_velocity(1.0, gas.schmidt_oxygen_w92(T_C))),
    ("O033", "", aerated),
    ("O034", "", lambda Q_Lmin, SOTE, V_L: aeration.bubble_transfer(Q_Lmin, SOTE, V_L)),
    ("O035", "", lambda theta, T_C: aeration.transfer_at(1.0, T_C)),
    ("O039", "", carbon_dioxide_by_bubbles),
    ("D001", "", lambda: constants.SODIUM_THIOSULFATE_PENTAHYDRATE),
    ("D003", "", lambda Cl2_mg: disinfectant.thiosulfate_per_chlorine(Cl2_mg, 2.0, ANHYDROUS)),
    ("D004", "", lambda Cl2_mg: disinfectant.thiosulfate_per_chlorine(Cl2_mg, 1.0)),
    ("D005", "", lambda Cl2_mg: disinfectant.thiosulfate_per_chlorine(Cl2_mg, 0.25)),
    ("D006", "", lambda Cl2_mg: disinfectant.thiosulfate_per_chlorine(Cl2_mg, 0.25, ANHYDROUS)),
    ("D007", "", lambda V_L, Cl2_mgL, SF: disinfectant.thiosulfate_dose(V_L, Cl2_mgL, SF)),
    ("D010", "", lambda f, TAN_new: change.mixed(0.0, TAN_new, f)),
    ("D02", r"copper acute", lambda H_mgCaCO3L: disinfectant.copper_acute_criterion(H_mgCaCO3L)),
    ("D02", r"zinc acute", lambda H_mgCaCO3L: disinfectant.zinc_acute_criterion(H_mgCaCO3L)),
    ("D02", r"lead chronic", lambda H_mgCaCO3L: disinfectant.lead_chronic_criterion(H_mgCaCO3L)),
    ("D031", "", lambda T_C: disinfectant.pk_hypochlorous_morris_1966(T_C)),
    ("D032", "", lambda t_h, th_h: disinfectant.left_after(t_h, th_h)),
    ("H00", r"saturation vapour", lambda T_C: properties.saturation_vapour_pressure(T_C)),
    ("H007", "", lambda T_C: properties.latent_heat(T_C)),
    ("H011", "", lambda T_C: properties.water_density(T_C)),
    ("H014", "", lambda T_C: properties.HEAT_CAPACITY),
    ("H015", "", lambda T_C: properties.water_viscosity(T_C)),
    ("H", r"evaporation", lambda Tw, Ta, RH, v=0.0: evaporation.evaporation_still(Tw, Ta, RH)),
    ("H022", "", lambda Tw, Ta, RH, v, act: evaporation.evaporation_moving(Tw, Ta, RH, v, act)),
    ("H025", "", convection),
    ("H026", "", lambda eps, T_K: heat.radiative_coefficient(T_K - constants.ZERO_CELSIUS, eps)),
    ("H02", r"U of a", lambda t_mm, k, Rsi, hi: heat.wall_transmittance(t_mm / 1e3, k, 0.0, hi, Rsi)),
    ("H029", "", cooled),
    ("H030", "", lambda V_L, UA_WK: heat.time_constant(heat.heat_capacity(V_L, 25.0), UA_WK)),
    ("H03[12]", "", lambda Th, Tc, Tt: heat.hot_share(Th, Tc, Tt)),
    ("H033", "", lambda T0, Tn, f: change.mixed(T0, Tn, f)),
    ("H034", "", lambda T0, Tn, dT: heat.largest_fraction(dT, T0, Tn)),
    # The row sums walls and latent heat only; `heater_power` adds the sensible heat of the surface too.
    ("H035", "", lambda UA, Ta, Tw, A, RH: UA * (Tw - Ta)
        + evaporation.surface_loss(Tw, Ta, RH, A) / (1.0 + evaporation.bowen_ratio(Tw, Ta, RH))),
    ("H036", "", lambda Tw, Ta, RH: evaporation.bowen_ratio(Tw, Ta, RH)),
    ("W001", "", lambda C0, Cs, f, n: change.after_changes(C0, Cs, f, n)),
    ("W002", "", lambda C0, Ct, Cs: change.fraction_for_one_change(C0, Ct, Cs)),
    ("W00[34]", "", lambda C0, Ct, Cs, f: change.changes_needed(C0, Ct, Cs, f)),
    ("W00[5]|W018", "", lambda Cs, r, dt_d, f: change.steady_peak(Cs, r, f, dt_d)),
    ("W007", "", lambda Cs, r, dt_d, f, k: change.steady_peak_with_uptake(Cs, r, f, dt_d, k)),
    ("W008", "", drip),
    ("W009", "", lambda Cs, lam, r: change.drip_steady(Cs, r, lam)),
    ("W012", "", lambda Cs, Ctop, f, ev: change.evaporation_peak(Cs, Ctop, f, ev)),
    ("W016", "", lambda Ctap, Cro, Ct: change.blend_share(Ctap, Cro, Ct)),
    ("W017", "", impossible),
    ("G001", "", lambda L, W, h: volume.rectangle(L, W, h)),
    ("G002", "", lambda L, W, bow, h: volume.bow_front(L, W, bow, h)),
    ("G004", "", lambda D, h: volume.cylinder(D, h)),
    ("G005", "", lambda r, L, h: volume.lying_cylinder(r, L, h)),
    ("G007", "", lambda r, h: volume.quarter_cylinder(r, h)),
    ("G008", "", lambda A, d, eps: volume.substrate_displacement(A, d, eps)),
    ("G009", "", stones_and_turtle),
    ("G010", "", tank_mass),
    ("G011", "", lambda m, A: volume.floor_load(m, A)),
    ("G0", r"beta.*top free", pane_side(False)),
    ("G0", r"beta.*top supported", pane_side(True)),
    ("G049", "", lambda L_H: plate.deflection_coefficient(L_H, "glass", True)),
    ("L016", "", lambda I0, Kd, z: light.underwater_light(I0, Kd, z)),
    ("L017", "", lambda n: 100.0 * light.normal_reflection(n)),
    ("L019", "", lambda phi, L, d: light.tube_illuminance(phi, L, d)),
    ("L020", "", lambda a, b, d: light.panel_view_factor(a, b, d)),
    ("L021", "", lambda d1, d2: light.point_ratio(d1, d2)),
    ("L", r"erythema", lambda lambda_nm: light.erythema_weight(lambda_nm)),
    ("L028", "", lambda E, lam: light.ultraviolet_index(E * light.erythema_weight(lam))),
    ("E004", "", lambda V, dT, h: heat.warming_power(V, dT, h)),
    ("E005", "", lambda L_d, T: heat.evaporation_power(L_d, T)),
]  # fmt: skip

NITROGEN, CHALK = constants.NITROGEN, constants.CALCIUM_CARBONATE
FILM = {"concentration": 0.5, "half_saturation": 0.12}  # the other two inputs: 0.4 g/d and 4 m³/d


def stem_plant() -> object:
    """Net growth of a fast stem plant at 15 °C in 16 h of 250 µmol, as its inputs column says."""
    gross = 0.60 * kinetics.ctmi(15.0, 8.0, 27.0, 38.0) * kinetics.light_jassby_platt(250.0, 80.0) * 0.8 * 16 / 24
    return gross - 0.015 * kinetics.q10_factor(15.0, 2.0)


def plant_ceiling() -> object:
    """Dry plant per week that carbon dioxide of 700 µatm can build in 280 L."""
    solubility = equilibrium.henry_carbon_dioxide_pb82(25.0)
    return 7.0 * aeration.carbon_ceiling(aeration.transfer_at(10.0 * 0.92, 25.0), 280.0, solubility * 700e-6)


def excreted() -> object:
    """Weekly rise of nitrate from 1.3 g of pellet and 0.15 g of flake (44 % protein) a day in 280 L."""
    turtle = food.excreted_nitrogen(1.3, 0.40, 0.05, 0.90, 0.10)
    fish = food.excreted_nitrogen(0.15, 0.44, 0.05, 0.85, 0.25)
    return 7.0 * food.nitrate_rise(turtle + fish, 280.0)


# Rules for the table of life: its inputs are prose, so each rule writes them out.
LIFE_RULES: dict[str, Callable[[], object]] = {
    "BIO-STO-001": lambda: food.food_nitrogen(0.40),
    "BIO-STO-002": lambda: hardness.nitrate_from_nitrogen(1.0),
    "BIO-STO-004": lambda: hardness.ammonium_from_nitrogen(1.0),
    "BIO-STO-005": lambda: hardness.phosphate_from_phosphorus(1.0),
    "BIO-STO-006": lambda: hardness.hardness_in_meq(1.0, "°dH"),
    "BIO-STO-007": lambda: hardness.hardness_from_meq(hardness.hardness_in_meq(1.0, "°dH"), "mg/L CaCO3"),
    "BIO-STO-008": lambda: stoichiometry.oxygen_per_nitrogen(8),
    "BIO-STO-009": lambda: stoichiometry.oxygen_per_nitrogen(6),
    "BIO-STO-010": lambda: stoichiometry.oxygen_per_nitrogen(2),
    "BIO-STO-011": lambda: -stoichiometry.alkalinity_per_nitrogen(-2),
    "BIO-STO-012": lambda: stoichiometry.alkalinity_per_nitrogen(1),
    "BIO-STO-013": lambda: stoichiometry.alkalinity_per_nitrogen(1 - 2),
    "BIO-STO-014": lambda: stoichiometry.nitrate_per_hardness_lost(hardness.hardness_in_meq(1.0, "°dH")),
    "BIO-STO-015": lambda: stoichiometry.nitrification_with_growth()[0],
    "BIO-STO-016": lambda: stoichiometry.nitrification_with_growth()[1],
    "BIO-STO-017": lambda: stoichiometry.nitrification_with_growth()[2],
    "BIO-STO-021": lambda: stoichiometry.oxygen_demand_by_mass(1.0, 1.58, 0.31, 0.27),
    "BIO-STO-025": lambda: stoichiometry.alkalinity_per_nitrogen(1),
    # The row prints 4.57 for the oxygen of nitrification; its note says what the exact value gives.
    "BIO-STO-026": lambda: 1.0 - round(float(stoichiometry.oxygen_per_nitrogen(8)), 2) / 0.24,
    "BIO-STO-027": lambda: stoichiometry.growth_ammonium(0.24, 0.08),
    "BIO-STO-031": lambda: stoichiometry.growth_oxygen(6, 0.18),
    "BIO-STO-035": lambda: -stoichiometry.nitrogen_oxidised(0.06),
    "BIO-STO-036": lambda: stoichiometry.nitrogen_oxidised(0.06),
    "BIO-STO-037": lambda: stoichiometry.growth_ammonium(np.inf, 0.086),
    "BIO-STO-039": lambda: stoichiometry.alkalinity_change(-0.086, -1 / 0.06, 1 / 0.06, -0.020),
    "BIO-STO-040": lambda: stoichiometry.alkalinity_change(-0.065, 0.0, 0.0, -0.008),
    "BIO-STO-041": lambda: stoichiometry.alga_oxygen(1.12, 0.065, 1.0),
    "BIO-STO-043": lambda: stoichiometry.urea_carbon(1.0),
    "BIO-STO-044": lambda: stoichiometry.alkalinity_change(0.0, 0.0, 0.0, 1.0),
    "BIO-STO-045": lambda: stoichiometry.oxygen_demand_in_moles(106, 263, 110, 16, 1) / 106,
    "BIO-STO-047": lambda: stoichiometry.alkalinity_change(-16 * NITROGEN, 0, 0, -constants.PHOSPHORUS) / 106,
    "BIO-LOD-001": lambda: food.fish_feed_ammonia(60.0, 0.40),
    "BIO-LOD-004": lambda: food.fish_feed_ammonia(1000.0 * 0.027, 0.46),
    "BIO-LOD-006": lambda: food.excreted_nitrogen(1.3, 0.40, 0.05, 0.90, 0.10),
    "BIO-LOD-007": excreted,
    "BIO-LOD-011": lambda: change.steady_peak(1.0, 2.11, 0.30, 1.0),
    "BIO-LOD-012": lambda: change.steady_trough(1.0, 2.11, 0.30, 1.0),
    "BIO-LOD-013": lambda: energy.field_metabolic_rate_nagy_1999(400.0),
    "BIO-LOD-014": lambda: energy.field_metabolic_rate_nagy_1999(1000.0),
    "BIO-LOD-016": lambda: energy.resting_metabolic_rate(400.0),
    "BIO-LOD-017": lambda: kinetics.q10_from_rates(0.007, 0.030, 20.0, 30.0),
    "BIO-LOD-023": lambda: stoichiometry.feed_oxygen_demand(
        food.food_oxygen_demand(0.40, 0.08, 0.30), 0.064, 0.90, 0.75),
    "BIO-LOD-025": lambda: food.food_carbon(0.40, 0.08, 0.30),
    "BIO-LOD-026": lambda: 1000.0 * food.food_nitrogen(0.105),
    "BIO-KIN-010": lambda: 0.05 * kinetics.theta_factor(25.0, (0.05 / 0.03) ** 0.2, 15.0),
    "BIO-KIN-023": lambda: kinetics.share_left(0.03, 3.0),
    "BIO-KIN-029": lambda: kinetics.lowest_substrate(0.12, 0.168, 0.60),
    "BIO-KIN-031": lambda: kinetics.film_uptake(capacity=1e6, conductance=4.0, **FILM)[0],
    "BIO-KIN-032": lambda: kinetics.film_uptake(capacity=0.4, conductance=1e6, **FILM)[0],
    "BIO-KIN-033": lambda: kinetics.ctmi(28.0, 4.0, 28.0, 38.0),
    "BIO-KIN-034": lambda: kinetics.ctmi_factor(25.0, 4.0, 28.0, 38.0),
    "BIO-KIN-035": lambda: kinetics.ctmi_factor(25.0, 4.0, 31.0, 40.0),
    "BIO-KIN-036": lambda: kinetics.ctmi(15.0, 8.0, 27.0, 38.0),
    "BIO-KIN-037": lambda: kinetics.eppley_growth(20.0),
    "BIO-KIN-038": lambda: kinetics.eppley_growth(25.0),
    "BIO-KIN-039": lambda: kinetics.eppley_growth(30.0) / kinetics.eppley_growth(20.0),
    "BIO-KIN-049": stem_plant,
    "BIO-KIN-063": lambda: kinetics.droop(0.026, 0.013, 0.045),
    "BIO-KIN-064": lambda: kinetics.light_jassby_platt(80.0, 80.0),
    "BIO-KIN-065": lambda: kinetics.light_smith(80.0, 80.0),
    "BIO-KIN-068": lambda: kinetics.ammonium_preference(0.1, 1.0, 0.025),
    "BIO-KIN-070": plant_ceiling,
    "BIO-KIN-075": lambda: gas.oxygen_saturation(25.0),
}  # fmt: skip

REGULATION = "a limit set by law; belongs to the catalogue, not to a relation"
PUBLISHED = "a published value or range without a relation; belongs to the catalogue"
OWN_RUN = "a run of a model, not a value from outside; a regression of the model room"
NOT_COVERED = {
    **dict.fromkeys(("A087", "A088", "D011", "D012", "D013", "D014", "D015", "D016", "D021"), REGULATION),
    "L029": "needs the ASTM G173 spectrum, which is not shipped",
    "L032": PUBLISHED,
    "O032": PUBLISHED,
    **dict.fromkeys(("BIO-LOD-008", "BIO-LOD-009", "BIO-LOD-010"), OWN_RUN),
    **dict.fromkeys((f"BIO-LOD-{n:03d}" for n in (19, 20, 27)), PUBLISHED),
    **dict.fromkeys((f"BIO-KIN-{n:03d}" for n in (1, 2, 3, 4, 6, 22, 25)), PUBLISHED),
    **dict.fromkeys((f"BIO-KIN-{n:03d}" for n in (43, 44, 45, 50, 51, 53, 55)), PUBLISHED),
    **dict.fromkeys((f"BIO-KIN-{n:03d}" for n in (57, 59, 60, 62, 77, 78)), PUBLISHED),
    "BIO-STO-033": "the carbon content of the cells as given, nothing computed",
    "BIO-KIN-072": "a ratio of two rounded numbers; no relation in it",
}  # fmt: skip


def rule_of(row: Row) -> Callable[[], object] | None:
    """Return what computes a row, or nothing."""
    if row["id"] in LIFE_RULES:
        return LIFE_RULES[row["id"]]
    if row["id"].startswith("BIO"):
        return None
    if row["quantity"].startswith("PAR photons"):
        return lambda: lamp(row)
    if row["quantity"].startswith("day length"):
        return lambda: day_length(row)
    # A rule for one id stands before one for a whole letter.
    for ids, quantity, rule in sorted(WATER_RULES, key=lambda item: -len(item[0])):
        if re.match(ids, row["id"]) and re.match(quantity, row["quantity"]):
            return lambda: rule(**inputs_of(row))
    return None


def margin_of(row: Row) -> float:
    """Return how far off the row allows a value to be, half of its last printed digit included."""
    printed, expected = row["tolerance"], abs(float(row["expected"]))
    digits = re.fullmatch(r"(?P<whole>-?\d*\.?(?P<behind>\d*))(e(?P<power>[-+]\d+))?", row["expected"])
    assert digits, row["expected"]
    half = 0.501 * 10.0 ** (int(digits["power"] or 0) - len(digits["behind"]))
    if found := re.match(r"abs:([\d.e-]+)", printed) or re.search(r"± ?([\d.]+)", printed):
        return float(found[1]) + half
    if found := re.match(r"rel:([\d.e-]+)", printed) or re.match(r"([\d.e-]+) rel", printed):
        return float(found[1]) * expected + half
    if found := re.match(r"([\d.]+) %", printed):
        return float(found[1]) / 100.0 * expected + half
    if found := re.fullmatch(r"[\d.e-]+", printed):
        return float(found[0]) + half
    # "exact" and remarks in words: the row promises the digits it prints.
    return half


COVERED = {key: rule for key, row in ROWS.items() if (rule := rule_of(row)) and key != "W017"}


@pytest.mark.parametrize("key", COVERED, ids=lambda key: f"{key}: {ROWS[key]['quantity'][:40]}")
def test_it_meets_the_published_value(key: str) -> None:
    """The value and its tolerance are those of the row, never our own."""
    row = ROWS[key]
    value = float(np.asarray(COVERED[key]()))
    off = abs(value - float(row["expected"]))
    assert off <= margin_of(row), f"{key} from {row['source']} ({row['how_known']}): {value} for {row['expected']}"


def test_a_goal_below_the_tap_is_called_impossible() -> None:
    """Row W017: no number of changes brings nitrate below that of the tap."""
    assert impossible(**inputs_of(ROWS["W017"])) == ROWS["W017"]["expected"]


def test_the_stem_plant_stays_below_the_published_ceiling() -> None:
    """Row BIO-KIN-049: the fastest of 14 species of Nielsen and Sand-Jensen 1991 grew 0.109 a day."""
    assert float(np.asarray(stem_plant())) <= 0.13


def test_food_needs_the_oxygen_that_ponds_measure() -> None:
    """Row BIO-LOD-022: Boyd gives 1.25 ± 0.25 g oxygen per g of feed."""
    row = ROWS["BIO-LOD-022"]
    pellet = float(np.asarray(LIFE_RULES["BIO-LOD-023"]()))
    assert abs(pellet - float(row["expected"])) <= 0.25


EPA = [key for key, row in ROWS.items() if row["quantity"].startswith("EPA 2013 ammonia criterion")]


@pytest.mark.parametrize("key", EPA)
def test_the_criterion_rounds_to_the_printed_cell(key: str) -> None:
    """The criteria document prints two significant figures; rounded, every cell agrees exactly."""
    assert float(f"{float(np.asarray(COVERED[key]())):.1e}") == float(ROWS[key]["expected"])


def test_the_page_quoted_for_the_criteria_agrees() -> None:
    """Row BIO-KIN-076: 17 acute, 1.9 chronic and 4.75 over four days at pH 7 and 20 °C."""
    acute, chronic, four_days = (float(part) for part in ROWS["BIO-KIN-076"]["expected"].split(";"))
    assert float(f"{ammonia.acute_criterion_salmonids_absent(7.0, 20.0):.1e}") == acute
    assert float(f"{ammonia.chronic_criterion(7.0, 20.0):.1e}") == chronic
    assert 2.5 * float(f"{ammonia.chronic_criterion(7.0, 20.0):.1e}") == pytest.approx(four_days)


@pytest.mark.parametrize(
    ("line", "printed"),
    [
        (ammonia.acute_criterion_salmonids_present, 17.0), (ammonia.acute_criterion_salmonids_absent, 17.0),
        (ammonia.acute_criterion_salmonids_only, 24.0), (ammonia.acute_criterion_mussels_absent, 38.0),
        (ammonia.chronic_criterion, 1.9), (ammonia.chronic_criterion_mussels_absent, 6.5),
        (ammonia.chronic_criterion_no_mussels_no_young, 7.1),
    ],
)  # fmt: skip
def test_the_lines_with_and_without_mussels_at_ph_7_and_20_degrees(line: Rule, printed: float) -> None:
    """Summary table of EPA-822-R-13-001 from memory; formulas without mussels read in a state agency's script."""
    assert float(f"{float(np.asarray(line(7.0, 20.0))):.1e}") == printed


def test_a_line_without_mussels_is_never_stricter() -> None:
    """Over the whole range, and trout never make a line laxer."""
    ph, warm = np.meshgrid(np.linspace(6.5, 9.0, 26), np.linspace(0.0, 30.0, 31))
    pairs = (
        (ammonia.acute_criterion_salmonids_absent, ammonia.acute_criterion_mussels_absent),
        (ammonia.acute_criterion_salmonids_present, ammonia.acute_criterion_salmonids_only),
        (ammonia.acute_criterion_salmonids_only, ammonia.acute_criterion_mussels_absent),
        (ammonia.chronic_criterion, ammonia.chronic_criterion_mussels_absent),
        (ammonia.chronic_criterion_mussels_absent, ammonia.chronic_criterion_no_mussels_no_young),
    )
    for strict, lax in pairs:
        assert np.all(strict(ph, warm) <= lax(ph, warm) * (1.0 + 1e-9))


def test_half_saturation_light_of_a_lake_model_converts() -> None:
    """Row BIO-KIN-054: 17 W/m² of photosynthetically active light are 78 µmol, within 3 %."""
    assert light.photons_from_watts(17.0) == pytest.approx(78.0, rel=0.03)


def test_equilibrium_with_the_room_agrees_with_an_ideal_solver() -> None:
    """Row BIO-KIN-073: its solver counted no activities, so neither do the constants here; 8.360 ± 0.02."""
    none = carbonate.Ions(ca=0.0, mg=0.0, na=0.0, k=0.0, cl=0.0, so4=0.0, no3=0.0)
    ideal = carbonate.conditional_constants(25.0, none, 0.0, 0.0)
    h = np.logspace(-9.0, -7.0, 20001)
    gas_side = ideal.kh * 700e-6
    dic = gas_side * (h * h + ideal.k1 * h + ideal.k1 * ideal.k2) / (h * h)
    alkalinity = carbonate.alkalinity_from_hydrogen(ideal, h, dic, 0.0, 0.0)
    ph = -np.log10(h[np.argmin(np.abs(alkalinity - 2.5e-3))])
    assert ph == pytest.approx(float(ROWS["BIO-KIN-073"]["expected"]), abs=0.02)


# Compared in a test of their own, by the file that does it.
ELSEWHERE = {
    **dict.fromkeys(("G013", "G014", "G015"), "tests/science/test_plate.py"),
    **dict.fromkeys(("W017", "BIO-LOD-022", "BIO-KIN-076", "BIO-KIN-054", "BIO-KIN-073"), "this file"),
    **dict.fromkeys((f"BIO-KIN-{n:03d}" for n in range(12, 18)), "tests/engine/test_published_sludge.py"),
    **dict.fromkeys(
        ("BIO-KIN-005", "BIO-KIN-019", "BIO-KIN-020", "BIO-KIN-021"), "tests/model/test_published_ranges.py"
    ),
    "BIO-LOD-021": "tests/model/test_published_ranges.py",
}
BY_HAND = set(ELSEWHERE)


def test_every_row_is_covered_or_listed_with_a_reason() -> None:
    """A row added to a table must not pass by unseen, and no reason may outlive its row."""
    listed = {*NOT_COVERED, *(key for key in ROWS if key.startswith("BIO-MOD"))}
    done = {*COVERED, *BY_HAND}
    assert set(ROWS) - done - listed == set(), "rows neither compared nor listed"
    assert (listed - BY_HAND) & set(COVERED) == set(), "rows listed as not covered that are compared"
    assert set(NOT_COVERED) | BY_HAND | set(LIFE_RULES) <= set(ROWS), "reasons without a row"
    assert len(ROWS) == len(WATER) + len(LIFE), "an id appears twice"
    assert (len(WATER), len(LIFE)) == (250, 131)
