"""Saturation with calcite, how much lime can fall, and how fast on clean crystals."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.balance import solve_hydrogen
from lentic.science.carbonate import carbon_dioxide
from lentic.science.constants import CALCIUM_CARBONATE, SECONDS_PER_DAY
from lentic.science.ions import Conditional, Ions
from lentic.science.pairing import conditional_constants
from lentic.science.properties import kelvin


def saturation_index(conditional: Conditional, hydrogen: Number, dic: Number) -> Array:
    """Return the saturation index of calcite.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    hydrogen : Number
        Activity of H+. [mol/kg]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]

    Returns
    -------
    Array
        Index: above nought lime may fall, below it dissolves; minus infinity without calcium; broadcast
        shape. [-]

    Notes
    -----
    ``log10(aCa aCO3 / Ks)`` with activities of the free ions, ``aCO3 = K1 K2 aCO2 / h²``. Databases differ by
    ±0.045: one decimal is all that can be shown.

    References
    ----------
    plummer_busenberg_1982, phreeqc_3
    """
    c, h = conditional, as_array(hydrogen)
    carbonate = c.carbonate_activity * carbon_dioxide(c, h, dic) / (h * h)
    with np.errstate(
        divide="ignore"
    ):  # water without calcium has no saturation, and says so by minus infinity
        result: Array = np.log10(c.calcium_activity * carbonate / c.ks)
    return result


def ccpp(
    temperature: Number,
    ions: Ions,
    alkalinity: Number,
    dic: Number,
    *,
    tan: Number = 0.0,
    phosphate: Number = 0.0,
    halvings: int = 40,
) -> Array:
    """Return how much calcite would fall until a closed water is just saturated.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    ions : Ions
        Total dissolved ions, calcium above nought. [mol/kg]
    alkalinity : Number
        Titration alkalinity. [eq/kg]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]
    halvings : int
        Steps of the bisection. [-]

    Returns
    -------
    Array
        Calcite that falls, negative when it dissolves; broadcast shape. [mg/L as CaCO3]

    Notes
    -----
    Bisection for x in ``SI(Ca - x, DIC - x, Alk - 2x) = 0`` between -2 mmol and 0.99 of the scarcest partner.

    References
    ----------
    plummer_busenberg_1982
    """
    calcium, alk, carbon = as_array(ions.ca), as_array(alkalinity), as_array(dic)
    high = 0.99 * np.minimum(np.minimum(calcium, alk / 2.0), carbon)
    high = high + 0.0 * as_array(temperature)
    low = np.full_like(high, -2e-3)
    for _ in range(halvings):
        x = 0.5 * (low + high)
        left = Ions(ca=calcium - x, mg=ions.mg, na=ions.na, k=ions.k, cl=ions.cl, so4=ions.so4, no3=ions.no3)
        c = conditional_constants(temperature, left, alk - 2 * x, carbon - x, tan=tan, phosphate=phosphate)
        h = solve_hydrogen(c, carbon - x, alk - 2 * x, tan, phosphate, start=1e-7, sweeps=16)
        falls = saturation_index(c, h, carbon - x) > 0.0
        low, high = np.where(falls, x, low), np.where(falls, high, x)
    return 1000.0 * CALCIUM_CARBONATE * 0.5 * (low + high)


def calcite_growth_pwp78(
    temperature: Number, conditional: Conditional, hydrogen: Number, dic: Number
) -> Array:
    """Return the growth of clean, seeded calcite: an upper bound for scale on glass.

    Parameters
    ----------
    temperature : Number
        Temperature at the surface of the crystals. [°C]
    conditional : Conditional
        Constants of the water at that temperature. [mixed]
    hydrogen : Number
        Activity of H+. [mol/kg]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]

    Returns
    -------
    Array
        Growth, negative when calcite dissolves; broadcast shape. [g/m²/d]

    Notes
    -----
    ``R = (k1 aH + k2 aCO2 + k3)(10^(2 SI/3) - 1)`` mmol/cm²/s with ``log k1 = 0.198 - 444/T``,
    ``log k2 = 2.84 - 2177/T``, ``log k3 = -5.86 - 317/T`` to 25 °C and ``-1.1 - 1737/T`` above; 5 to 48 °C.

    References
    ----------
    plummer_wigley_parkhurst_1978, phreeqc_3
    """
    t, k, h = as_array(temperature), kelvin(temperature), as_array(hydrogen)
    k1 = np.power(10.0, 0.198 - 444.0 / k)
    k2 = np.power(10.0, 2.84 - 2177.0 / k)
    k3 = np.power(10.0, np.where(t <= 25.0, -5.86 - 317.0 / k, -1.1 - 1737.0 / k))
    co2 = conditional.neutral_activity * carbon_dioxide(conditional, h, dic)
    drive = np.power(10.0, 2.0 * saturation_index(conditional, h, dic) / 3.0) - 1.0
    # mmol/cm²/s to mol/m²/s is a factor of ten.
    result: Array = (k1 * h + k2 * co2 + k3) * drive * 10.0 * SECONDS_PER_DAY * CALCIUM_CARBONATE
    return result


def heater_wall_temperature(water: Number, heat_flux: Number, coefficient: Number = 700.0) -> Array:
    """Return the temperature at the wall of a submerged heater, where lime falls first.

    Parameters
    ----------
    water : Number
        Water temperature. [°C]
    heat_flux : Number
        Power per wall area. [W/m²]
    coefficient : Number
        Heat transfer by free convection in water, 500 to 900. [W/m²/K]

    Returns
    -------
    Array
        Wall temperature; broadcast shape. [°C]

    Notes
    -----
    ``t + q / h``. Solve pH and saturation there with the inorganic carbon and alkalinity of the tank.

    References
    ----------
    common_practice
    """
    return as_array(water) + as_array(heat_flux) / coefficient


def waterline_scale(evaporation: Number, calcium: Number, alkalinity: Number, wetted_share: Number) -> Array:
    """Return the lime an evaporating waterline can leave, by mass balance.

    Parameters
    ----------
    evaporation : Number
        Water evaporated. [L/d]
    calcium : Number
        Calcium. [mol/kg]
    alkalinity : Number
        Titration alkalinity. [eq/kg]
    wetted_share : Number
        Share of the evaporation that happens where splashed water dries; learned, 0.005 to 0.05. [-]

    Returns
    -------
    Array
        Lime left behind; broadcast shape. [g/d as CaCO3]

    Notes
    -----
    ``share E M min(Ca, Alk/2)``: all water of the film dries, so kinetics do not matter.

    References
    ----------
    mass_balance, common_practice
    """
    scarce = np.minimum(as_array(calcium), as_array(alkalinity) / 2.0)
    result: Array = wetted_share * evaporation * CALCIUM_CARBONATE * scarce
    return result
