"""Relations that need a whole water, as hand sums: the water is given by the tests a keeper has.

Each is the relation of the same name in the science room; what no kit shows is estimated from hardness, KH and nitrate.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, Final

from lentic.science import carbonate, conductivity, scale
from lentic.science.arrays import Array, Number, as_array
from lentic.science.conductivity import ions_from_hardness
from lentic.science.constants import NITROGEN
from lentic.science.ions import Ions
from lentic.science.water import Water, water_from_tests

_INPUTS = """
    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    ph_value : Number
        Measured pH. [-]
    alkalinity : Number
        Carbonate hardness as alkalinity. [meq/L]
    hardness : Number
        Total hardness. [meq/L]
    nitrate : Number
        Nitrate nitrogen. [mg N/L]
"""


def dic_from_ph(
    temperature: Number, ph_value: Number, alkalinity: Number, hardness: Number, nitrate: Number = 0.0
) -> Array:
    """Return the inorganic carbon of a water whose pH and KH were measured.
    {inputs}
    Returns
    -------
    Array
        Dissolved inorganic carbon. [mol/kg]

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    return as_array(water_from_tests(temperature, ph_value, alkalinity, hardness, nitrate=nitrate).dic)


def carbon_dioxide(
    temperature: Number, ph_value: Number, alkalinity: Number, hardness: Number, nitrate: Number = 0.0
) -> Array:
    """Return the dissolved carbon dioxide of a water whose pH and KH were measured.
    {inputs}
    Returns
    -------
    Array
        Carbon dioxide; times 44.01 it is g/kg. [mol/kg]

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    water = water_from_tests(temperature, ph_value, alkalinity, hardness, nitrate=nitrate)
    return carbonate.carbon_dioxide(water.constants, 10.0 ** -as_array(ph_value), water.dic)


def saturation_index(
    temperature: Number, ph_value: Number, alkalinity: Number, hardness: Number, nitrate: Number = 0.0
) -> Array:
    """Return the calcite saturation index of a water whose pH, KH and hardness were measured.
    {inputs}
    Returns
    -------
    Array
        Index; above nought lime can fall. [-]

    Notes
    -----
    A softened water can be wrong by more than 1: its calcium is guessed from the hardness.

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    water = water_from_tests(temperature, ph_value, alkalinity, hardness, nitrate=nitrate)
    return scale.saturation_index(water.constants, 10.0 ** -as_array(ph_value), water.dic)


def calcite_growth_pwp78(
    temperature: Number, ph_value: Number, alkalinity: Number, hardness: Number, nitrate: Number = 0.0
) -> Array:
    """Return the growth of clean calcite in a water whose pH, KH and hardness were measured.
    {inputs}
    Returns
    -------
    Array
        Growth, below nought where calcite dissolves. [g/m²/d]

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    water = water_from_tests(temperature, ph_value, alkalinity, hardness, nitrate=nitrate)
    return scale.calcite_growth_pwp78(temperature, water.constants, 10.0 ** -as_array(ph_value), water.dic)


def ccpp(temperature: Number, ph_value: Number, alkalinity: Number, hardness: Number, nitrate: Number = 0.0) -> Array:
    """Return the lime that falls from a water until it is saturated, whose pH, KH and hardness were measured.
    {inputs}
    Returns
    -------
    Array
        Lime; below nought what would dissolve. [mg/L CaCO3]

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    water = water_from_tests(temperature, ph_value, alkalinity, hardness, nitrate=nitrate)
    return scale.ccpp(temperature, water.ions, water.alkalinity, water.dic)


def ph(
    temperature: Number, alkalinity: Number, hardness: Number, partial_pressure: Number = 700e-6, nitrate: Number = 0.0
) -> Array:
    """Return the pH of a water that stands open to air of known carbon dioxide.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    alkalinity : Number
        Carbonate hardness as alkalinity. [meq/L]
    hardness : Number
        Total hardness. [meq/L]
    partial_pressure : Number
        Partial pressure of carbon dioxide, that of a lived-in room where not given. [atm]
    nitrate : Number
        Nitrate nitrogen. [mg N/L]

    Returns
    -------
    Array
        PH at equilibrium with the air. [-]

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    water = _open(temperature, alkalinity, hardness, partial_pressure, nitrate)
    return as_array(water.ph)


def dic_at_equilibrium(
    temperature: Number, alkalinity: Number, hardness: Number, partial_pressure: Number = 700e-6, nitrate: Number = 0.0
) -> Array:
    """Return the inorganic carbon of a water that stands open to air of known carbon dioxide.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    alkalinity : Number
        Carbonate hardness as alkalinity. [meq/L]
    hardness : Number
        Total hardness. [meq/L]
    partial_pressure : Number
        Partial pressure of carbon dioxide, that of a lived-in room where not given. [atm]
    nitrate : Number
        Nitrate nitrogen. [mg N/L]

    Returns
    -------
    Array
        Dissolved inorganic carbon. [mol/kg]

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    return as_array(_open(temperature, alkalinity, hardness, partial_pressure, nitrate).dic)


def ionic_strength(alkalinity: Number, hardness: Number, nitrate: Number = 0.0) -> Array:
    """Return the ionic strength of a water of known KH and hardness.

    Parameters
    ----------
    alkalinity : Number
        Carbonate hardness as alkalinity. [meq/L]
    hardness : Number
        Total hardness. [meq/L]
    nitrate : Number
        Nitrate nitrogen. [mg N/L]

    Returns
    -------
    Array
        Ionic strength. [mol/kg]

    References
    ----------
    phreeqc_3, common_practice
    """
    return conductivity.ionic_strength(_ions(alkalinity, hardness, nitrate), as_array(alkalinity) / 1e3)


def conductivity_from_ions(alkalinity: Number, hardness: Number, nitrate: Number = 0.0) -> Array:
    """Return the conductivity that KH, hardness and nitrate alone would give a water at 25 °C.

    Parameters
    ----------
    alkalinity : Number
        Carbonate hardness as alkalinity. [meq/L]
    hardness : Number
        Total hardness. [meq/L]
    nitrate : Number
        Nitrate nitrogen. [mg N/L]

    Returns
    -------
    Array
        Conductivity. [µS/cm]

    References
    ----------
    phreeqc_3, common_practice
    """
    return conductivity.conductivity_from_ions(_ions(alkalinity, hardness, nitrate), as_array(alkalinity) / 1e3)


def _ions(alkalinity: Number, hardness: Number, nitrate: Number) -> Ions:
    return ions_from_hardness(as_array(hardness) / 1e3, as_array(alkalinity) / 1e3, as_array(nitrate) / NITROGEN / 1e3)


def _open(
    temperature: Number, alkalinity: Number, hardness: Number, partial_pressure: Number, nitrate: Number
) -> Water:
    ions, alk = _ions(alkalinity, hardness, nitrate), as_array(alkalinity) / 1e3
    dic, _ = carbonate.dic_at_equilibrium(temperature, ions, alk, partial_pressure)
    return Water(temperature=temperature, ions=ions, alkalinity=alk, dic=dic)


for _each in (dic_from_ph, carbon_dioxide, saturation_index, calcite_growth_pwp78, ccpp):
    _each.__doc__ = (_each.__doc__ or "").replace("{inputs}", _INPUTS)

SUMS: Final[Mapping[str, Callable[..., Any]]] = {
    "carbonate.carbon_dioxide": carbon_dioxide, "carbonate.dic_from_ph": dic_from_ph, "carbonate.ph": ph,
    "carbonate.dic_at_equilibrium": dic_at_equilibrium, "conductivity.conductivity_from_ions": conductivity_from_ions,
    "conductivity.ionic_strength": ionic_strength, "scale.saturation_index": saturation_index, "scale.ccpp": ccpp,
    "scale.calcite_growth_pwp78": calcite_growth_pwp78,
}  # fmt: skip
