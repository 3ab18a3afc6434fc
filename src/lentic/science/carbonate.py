"""The alkalinity balance solved for pH and its inverses; DIC and alkalinity are the state, pH never is."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.balance import (
    alkalinity_from_hydrogen,
    carbonate_charge,
    other_alkalinity,
    solve_hydrogen,
)
from lentic.science.ions import Conditional, Ions
from lentic.science.pairing import conditional_constants

__all__ = [
    "Conditional",
    "Ions",
    "alkalinity_from_hydrogen",
    "carbon_dioxide",
    "conditional_constants",
    "dic_at_equilibrium",
    "dic_from_ph",
    "ph",
    "solve_hydrogen",
]


def ph(
    conditional: Conditional,
    dic: Number,
    alkalinity: Number,
    tan: Number = 0.0,
    phosphate: Number = 0.0,
    start: Number = 1e-7,
    sweeps: int = 16,
) -> Array:
    """Return the pH an electrode shows in a water of known inorganic carbon and alkalinity.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]
    alkalinity : Number
        Titration alkalinity. [eq/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]
    start : Number
        Activity of H+ to start from. [mol/kg]
    sweeps : int
        Newton sweeps of `solve_hydrogen`. [-]

    Returns
    -------
    Array
        ``-log10`` of the activity of H+; broadcast shape. [-]

    Notes
    -----
    Within 0.005 of PHREEQC (wateq4f.dat) on fresh waters from 5 to 35 °C.

    References
    ----------
    plummer_busenberg_1982, phreeqc_3
    """
    result: Array = -np.log10(solve_hydrogen(conditional, dic, alkalinity, tan, phosphate, start, sweeps))
    return result


def dic_from_ph(
    conditional: Conditional, ph_value: Number, alkalinity: Number, tan: Number = 0.0, phosphate: Number = 0.0
) -> Array:
    """Return the inorganic carbon of a water whose pH and alkalinity were measured.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    ph_value : Number
        Measured pH. [-]
    alkalinity : Number
        Titration alkalinity. [eq/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]

    Returns
    -------
    Array
        Dissolved inorganic carbon; broadcast shape. [mol/kg]

    Notes
    -----
    The balance of `solve_hydrogen` divided by the charge per carbon; ill-conditioned below pH 5.

    References
    ----------
    plummer_busenberg_1982
    """
    h = np.power(10.0, -as_array(ph_value))
    return (alkalinity - other_alkalinity(conditional, h, tan, phosphate)) / carbonate_charge(conditional, h)


def carbon_dioxide(conditional: Conditional, hydrogen: Number, dic: Number) -> Array:
    """Return the dissolved carbon dioxide, CO2*.

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
        CO2* = CO2(aq) + H2CO3; broadcast shape. [mol/kg]

    Notes
    -----
    ``DIC h² / (h² + K1 h + K1 K2)``.

    References
    ----------
    plummer_busenberg_1982
    """
    h, c = as_array(hydrogen), conditional
    return dic * h * h / (h * (h + c.k1) + c.k1 * c.k2)


def dic_at_equilibrium(
    temperature: Number,
    ions: Ions,
    alkalinity: Number,
    partial_pressure: Number,
    *,
    tan: Number = 0.0,
    phosphate: Number = 0.0,
    passes: int = 6,
) -> tuple[Array, Conditional]:
    """Return the inorganic carbon of a water in equilibrium with a gas, and the constants that go with it.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    ions : Ions
        Total dissolved ions. [mol/kg]
    alkalinity : Number
        Titration alkalinity. [eq/kg]
    partial_pressure : Number
        Partial pressure of carbon dioxide in the gas. [atm]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]
    passes : int
        Rounds in which inorganic carbon and ion pairs are made to agree. [-]

    Returns
    -------
    Array
        Dissolved inorganic carbon; broadcast shape. [mol/kg]
    Conditional
        Constants of the water at that inorganic carbon. [mixed]

    Notes
    -----
    CO2* is held at ``KH pCO2`` while Newton in ln h closes the alkalinity balance.

    References
    ----------
    plummer_busenberg_1982
    """
    dic = as_array(alkalinity) + 0.0 * as_array(partial_pressure)
    constants = conditional_constants(temperature, ions, alkalinity, dic, tan=tan, phosphate=phosphate)
    h = as_array(1e-8)
    for _ in range(passes):
        h = _hydrogen_open(constants, constants.kh * partial_pressure, alkalinity, tan, phosphate, h)
        dic = (
            constants.kh * partial_pressure * (h * (h + constants.k1) + constants.k1 * constants.k2) / (h * h)
        )
        constants = conditional_constants(temperature, ions, alkalinity, dic, tan=tan, phosphate=phosphate)
    h = _hydrogen_open(constants, constants.kh * partial_pressure, alkalinity, tan, phosphate, h)
    dic = constants.kh * partial_pressure * (h * (h + constants.k1) + constants.k1 * constants.k2) / (h * h)
    return dic, constants


def _hydrogen_open(
    c: Conditional, gas: Array, alkalinity: Number, tan: Number, phosphate: Number, start: Array
) -> Array:
    """Solve the alkalinity balance with dissolved carbon dioxide held by the gas."""
    kp, kpp, k12 = c.kp, c.kp * c.kpp, c.k1 * c.k2
    h = start
    for _ in range(12):
        bicarbonate, carbonate = gas * c.k1 / h, gas * k12 / (h * h)
        excess = bicarbonate + 2.0 * carbonate + other_alkalinity(c, h, tan, phosphate) - alkalinity
        per_phosphate = 1.0 / (h * (h + kp) + kpp)
        slope = (
            bicarbonate + 4.0 * carbonate + tan * c.kn * h / (c.kn + h) ** 2
            + phosphate * per_phosphate**2 * h * (kp * h * h + 4.0 * kpp * h + kp * kpp)
            + c.kw / h + h * c.inverse_gamma_h
        )  # fmt: skip
        h = h * np.exp(np.clip(excess / slope, -1.5, 1.5))
    return h
