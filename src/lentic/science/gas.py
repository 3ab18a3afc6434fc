"""Oxygen and carbon dioxide between water and air: how much dissolves, and how fast it diffuses."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import GAS_CONSTANT, STANDARD_PRESSURE
from lentic.science.properties import kelvin, saturation_vapour_pressure, water_density


def oxygen_saturation(temperature: Number, salinity: Number = 0.0, pressure: Number = 1.0) -> Array:
    """Return the oxygen of a water in equilibrium with moist air.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    salinity  : Number
        Practical salinity. [g/kg]
    pressure  : Number
        Air pressure. [atm]

    Returns
    -------
    Array
        Dissolved oxygen at saturation; broadcast shape. [mg/L]

    Notes
    -----
    ``ln C = -139.34411 + 1.575701e5/T - 6.642308e7/T² + 1.2438e10/T³ - 8.621949e11/T⁴ - S (0.017674 -
    10.754/T + 2140.7/T²)``, times ``(P - u)(1 - th P) / ((1 - u)(1 - th))`` with ``ln u = 11.8571 - 3840.70/T
    - 216961/T²`` and ``th = 0.000975 - 1.426e-5 t + 6.436e-8 t²``; 0 to 40 °C, S 0 to 40. A widely copied
    code has 9.672e-3 for 0.000975.

    References
    ----------
    benson_krause_1984
    """
    t, k, p = as_array(temperature), kelvin(temperature), as_array(pressure)
    fresh = -139.34411 + 1.575701e5 / k - 6.642308e7 / k**2 + 1.243800e10 / k**3 - 8.621949e11 / k**4
    salt = as_array(salinity) * (0.017674 - 10.754 / k + 2140.7 / k**2)
    vapour = np.exp(11.8571 - 3840.70 / k - 216961.0 / k**2)
    theta = 0.000975 - 1.426e-5 * t + 6.436e-8 * t**2
    result: Array = np.exp(fresh - salt) * (p - vapour) * (1.0 - theta * p) / ((1.0 - vapour) * (1.0 - theta))
    return result


def oxygen_percent(
    oxygen: Number, temperature: Number, salinity: Number = 0.0, pressure: Number = 1.0
) -> Array:
    """Return dissolved oxygen as a share of what the water would hold in equilibrium with the local air.

    Parameters
    ----------
    oxygen : Number
        Dissolved oxygen. [mg/L]
    temperature : Number
        Water temperature. [°C]
    salinity : Number
        Practical salinity. [g/kg]
    pressure : Number
        Local air pressure. [atm]

    Returns
    -------
    Array
        Saturation; broadcast shape. [%]

    Notes
    -----
    ``100 DO / C`` with C of `oxygen_saturation`.

    References
    ----------
    benson_krause_1984
    """
    return 100.0 * as_array(oxygen) / oxygen_saturation(temperature, salinity, pressure)


def carbon_dioxide_pressure(fraction: Number, temperature: Number, pressure: Number = 1.0) -> Array:
    """Return the partial pressure of carbon dioxide over water from its share of the dry air.

    Parameters
    ----------
    fraction : Number
        Mole fraction in dry air: 420e-6 outdoors, 600e-6 to 1500e-6 in rooms with people. [mol/mol]
    temperature : Number
        Temperature of the water, at which the air over it is moist. [°C]
    pressure : Number
        Air pressure. [atm]

    Returns
    -------
    Array
        Partial pressure; broadcast shape. [atm]

    Notes
    -----
    ``x (P - pw)``.

    References
    ----------
    hyland_wexler_1983
    """
    moisture = saturation_vapour_pressure(temperature) / STANDARD_PRESSURE
    return as_array(fraction) * (as_array(pressure) - moisture)


def standard_pressure(altitude: Number) -> Array:
    """Return the air pressure of the standard atmosphere at an altitude.

    Parameters
    ----------
    altitude : Number
        Height above the sea. [m]

    Returns
    -------
    Array
        Pressure; same shape. [atm]

    Notes
    -----
    ``(1 - 2.25577e-5 z)^5.25588``, to 11000 m; weather moves it by 3 %.

    References
    ----------
    iso_2533
    """
    result: Array = np.power(1.0 - 2.25577e-5 * as_array(altitude), 5.25588)
    return result


def salinity_from_conductivity(conductivity: Number) -> Array:
    """Return the salinity that a conductivity stands for in the oxygen formula.

    Parameters
    ----------
    conductivity : Number
        Electrical conductivity at 25 °C. [µS/cm]

    Returns
    -------
    Array
        Practical salinity; same shape. [g/kg]

    Notes
    -----
    ``5.572e-4 EC + 2.02e-9 EC²``.

    References
    ----------
    usgs_2011
    """
    ec = as_array(conductivity)
    return 5.572e-4 * ec + 2.02e-9 * ec * ec


def schmidt_oxygen_w92(temperature: Number) -> Array:
    """Return the Schmidt number of oxygen in fresh water.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Schmidt number; same shape. [-]

    Notes
    -----
    Cubic in t, fitted 0 to 30 °C; it turns up above 32 °C.

    References
    ----------
    wanninkhof_1992
    """
    t = as_array(temperature)
    return 1800.6 - 120.10 * t + 3.7818 * t**2 - 0.047608 * t**3


def schmidt_carbon_dioxide_w92(temperature: Number) -> Array:
    """Return the Schmidt number of carbon dioxide in fresh water, as revised in 1992.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Schmidt number; same shape. [-]

    Notes
    -----
    Cubic in t, fitted 0 to 30 °C.

    References
    ----------
    wanninkhof_1992
    """
    t = as_array(temperature)
    return 1911.1 - 118.11 * t + 3.4527 * t**2 - 0.041320 * t**3


def schmidt_carbon_dioxide_w14(temperature: Number) -> Array:
    """Return the Schmidt number of carbon dioxide in fresh water, as revised in 2014.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Schmidt number; same shape. [-]

    Notes
    -----
    Quartic in t, fitted -2 to 40 °C.

    References
    ----------
    wanninkhof_2014
    """
    t = as_array(temperature)
    return 1923.6 - 125.06 * t + 4.3773 * t**2 - 0.085681 * t**3 + 0.00070284 * t**4


def gas_water_ratio(henry: Number, temperature: Number) -> Array:
    """Return the dimensionless Henry constant of a gas, concentration in the air over that in the water.

    Parameters
    ----------
    henry : Number
        Solubility of the gas. [mol/kg/atm]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Ratio; about 1.2 for carbon dioxide at 25 °C; broadcast shape. [-]

    Notes
    -----
    ``1 / (KH · 0.082057 T rho)`` with rho in kg/L.

    References
    ----------
    definition
    """
    litre_atmospheres = GAS_CONSTANT / STANDARD_PRESSURE * 1000.0
    return 1.0 / (
        as_array(henry) * litre_atmospheres * kelvin(temperature) * water_density(temperature) / 1000.0
    )
