"""Physical properties of water between 0 and 40 °C: density, vapour pressure, latent heat, viscosity."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import ZERO_CELSIUS

HEAT_CAPACITY = 4182.0  # J/kg/K, IAPWS-95 within 0.15 % from 10 to 35 °C [iapws_95]


def kelvin(temperature: Number) -> Array:
    """Return a Celsius temperature in kelvin.

    Parameters
    ----------
    temperature : Number
        Temperature. [°C]

    Returns
    -------
    Array
        Absolute temperature; same shape. [K]

    References
    ----------
    definition
    """
    return as_array(temperature) + ZERO_CELSIUS


def water_density(temperature: Number) -> Array:
    """Return the density of air-free pure water at one atmosphere.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Density; same shape. [kg/m³]

    Notes
    -----
    ``999.97495 (1 - (t - 3.983035)² (t + 301.797) / (522528.9 (t + 69.34881)))``, 0 to 40 °C.

    References
    ----------
    tanaka_2001
    """
    t = as_array(temperature)
    return 999.97495 * (1.0 - (t - 3.983035) ** 2 * (t + 301.797) / (522528.9 * (t + 69.34881)))


def saturation_vapour_pressure(temperature: Number) -> Array:
    """Return the vapour pressure of water over a flat surface of liquid water.

    Parameters
    ----------
    temperature : Number
        Water or air temperature. [°C]

    Returns
    -------
    Array
        Saturation vapour pressure; same shape. [Pa]

    Notes
    -----
    Logarithmic polynomial of Hyland and Wexler, 0 to 200 °C.

    References
    ----------
    hyland_wexler_1983
    """
    k = kelvin(temperature)
    exponent = (
        -5800.2206 / k + 1.3914993 - 0.048640239 * k + 4.1764768e-5 * k**2 - 1.4452093e-8 * k**3
        + 6.5459673 * np.log(k)
    )  # fmt: skip
    result: Array = np.exp(exponent)
    return result


def latent_heat(temperature: Number) -> Array:
    """Return the latent heat of evaporation of water.

    Parameters
    ----------
    temperature : Number
        Surface temperature of the water. [°C]

    Returns
    -------
    Array
        Latent heat; same shape. [J/kg]

    Notes
    -----
    ``1000 (2500.9 - 2.365 t)``, a straight line through IAPWS-95, within 0.1 % from 10 to 35 °C.

    References
    ----------
    iapws_95
    """
    return 1000.0 * (2500.9 - 2.365 * as_array(temperature))


def water_viscosity(temperature: Number) -> Array:
    """Return the dynamic viscosity of pure water at one atmosphere.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Dynamic viscosity; same shape. [Pa s]

    Notes
    -----
    ``2.414e-5 · 10^(247.8 / (T - 140))`` with T in kelvin, within 1 % from 0 to 40 °C.

    References
    ----------
    vogel_viscosity
    """
    result: Array = 2.414e-5 * np.power(10.0, 247.8 / (kelvin(temperature) - 140.0))
    return result
