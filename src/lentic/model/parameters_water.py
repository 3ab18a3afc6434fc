"""Constants of the acid-base balance as quadratics in temperature, fitted to one water.

Ion pairs and activities change with the composition, not with the hour, so they are worked out once per water
and the table carries only exp(a + b T + c T^2) for each constant.
"""

from __future__ import annotations

import numpy as np

from lentic.model.parameters import Fixed, Parameter, row
from lentic.science.conductivity import ions_from_hardness
from lentic.science.equilibrium import (
    first_dissociation_pb82,
    henry_carbon_dioxide_pb82,
    ion_product_water,
    pk_ammonium_emerson_1975,
    second_dissociation_pb82,
    solubility_calcite_pb82,
)
from lentic.science.ions import Conditional, Ions
from lentic.science.pairing import association_constants, conditional_constants

GRID_C = np.linspace(5.0, 38.0, 67)
"""Temperatures the constants are fitted on. [°C]"""

_UNITS = {
    "k1": "mol/L",
    "k12": "mol2/L2",
    "kw": "mol2/L2",
    "kn": "mol/L",
    "kp": "mol/L",
    "kpp": "mol2/L2",
    "kh": "mol/L/atm",
    "ks": "mol2/L2",
}
_PART = {"a": ("", "at 0 °C"), "b": ("1/K", "slope"), "c": ("1/K2", "curvature")}


def fitted_constants(ions: Ions, alkalinity_eq_l: float, dic_mol_l: float) -> dict[str, float]:
    """Values of all acid-base parameters for one water.

    Parameters
    ----------
    ions : Ions
        Dissolved ions. [mol/kg]
    alkalinity_eq_l : float
        Alkalinity. [eq/kg]
    dic_mol_l : float
        Dissolved inorganic carbon. [mol/kg]

    Returns
    -------
    dict of str to float
        ``ln_k1_a`` and so on, ``inverse_gamma_h``.

    Notes
    -----
    Conditional constants of Plummer & Busenberg 1982 with Davies activities and ion pairs; the calcite
    product is scaled so that total calcium times total carbonate over it is the oversaturation.
    """
    water = conditional_constants(GRID_C, ions, alkalinity_eq_l, dic_mol_l)
    k12 = water.k1 * water.k2
    free = water.calcium_activity * water.carbonate_activity / (ions.ca * k12)
    constants = {
        "k1": water.k1,
        "k12": k12,
        "kw": water.kw,
        "kn": water.kn,
        "kp": water.kp,
        "kpp": water.kp * water.kpp,
        "kh": water.kh,
        "ks": water.ks / free,
    }
    return {**_fit(constants), "inverse_gamma_h": float(_mean_inverse_gamma(water))}


def ideal_constants() -> dict[str, float]:
    """Values of all acid-base parameters at infinite dilution, without activities and ion pairs.

    Returns
    -------
    dict of str to float
        ``ln_k1_a`` and so on, ``inverse_gamma_h`` = 1.
    """
    pairs = association_constants(GRID_C)
    k1, k2 = first_dissociation_pb82(GRID_C), second_dissociation_pb82(GRID_C)
    constants = {
        "k1": k1,
        "k12": k1 * k2,
        "kw": ion_product_water(GRID_C),
        "kn": np.power(10.0, -pk_ammonium_emerson_1975(GRID_C)),
        "kp": pairs["h2po4"],
        "kpp": pairs["h2po4"] * pairs["hpo4"],
        "kh": henry_carbon_dioxide_pb82(GRID_C),
        "ks": solubility_calcite_pb82(GRID_C),
    }
    return {**_fit(constants), "inverse_gamma_h": 1.0}


def acid_parameters() -> tuple[Parameter, ...]:
    """Acid-base parameters of a default tap water: hardness 3 meq/L, alkalinity 2.5 meq/L.

    Returns
    -------
    tuple of Parameter
        Fixed numbers; a tank with its own water analysis replaces the defaults by ``fitted_constants``.
    """
    ions = ions_from_hardness(3e-3, 2.5e-3, 1.0 / 14007.0)
    values = fitted_constants(ions, 2.5e-3, 2.5e-3)
    source = "fit to Plummer & Busenberg 1982, Emerson 1975 and the ion pairs of a geochemical database"
    return tuple(
        row(name, value, _unit(name), Fixed(), _meaning(name), source, "computed")
        for name, value in values.items()
    )


def _fit(constants: dict[str, np.ndarray]) -> dict[str, float]:
    values: dict[str, float] = {}
    for name, constant in constants.items():
        c, b, a = np.polyfit(GRID_C, np.log(constant), 2).tolist()
        values |= {f"ln_{name}_a": a, f"ln_{name}_b": b, f"ln_{name}_c": c}
    return values


def _mean_inverse_gamma(water: Conditional) -> float:
    return float(np.mean(water.inverse_gamma_h))


def _unit(name: str) -> str:
    if name == "inverse_gamma_h":
        return "-"
    _, constant, part = name.split("_")
    unit = _PART[part][0]
    return unit or f"ln({_UNITS[constant]})"


def _meaning(name: str) -> str:
    if name == "inverse_gamma_h":
        return "concentration per activity of the hydrogen ion"
    _, constant, part = name.split("_")
    return f"ln of {constant}, {_PART[part][1]}"
