"""What an open water surface loses to the room: water, the heat that goes with it, and warmed air."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import STANDARD_PRESSURE
from lentic.science.properties import kelvin, latent_heat, saturation_vapour_pressure

PSYCHROMETRIC = 66.0  # Pa/K at one atmosphere [bowen_1926]


def humidity_ratio(vapour_pressure: Number, pressure: float = STANDARD_PRESSURE) -> Array:
    """Return the water carried by each kilogram of dry air.

    Parameters
    ----------
    vapour_pressure : Number
        Partial pressure of water. [Pa]
    pressure : float
        Air pressure. [Pa]

    Returns
    -------
    Array
        Humidity ratio; same shape. [kg/kg]

    Notes
    -----
    ``0.621945 p / (P - p)``.

    References
    ----------
    ashrae_fundamentals
    """
    vapour = as_array(vapour_pressure)
    return 0.621945 * vapour / (pressure - vapour)


def dry_air_density(
    temperature: Number, vapour_pressure: Number, pressure: float = STANDARD_PRESSURE
) -> Array:
    """Return the mass of dry air in each cubic metre of moist air.

    Parameters
    ----------
    temperature : Number
        Air temperature. [°C]
    vapour_pressure : Number
        Partial pressure of water. [Pa]
    pressure : float
        Air pressure. [Pa]

    Returns
    -------
    Array
        Dry air; broadcast shape. [kg/m³]

    Notes
    -----
    ``(P - p) / (287.042 T)``.

    References
    ----------
    ashrae_fundamentals
    """
    return (pressure - as_array(vapour_pressure)) / (287.042 * kelvin(temperature))


def evaporation_still(water: Number, air: Number, humidity: Number) -> Array:
    """Return the evaporation of an open, undisturbed water surface in a still room.

    Parameters
    ----------
    water : Number
        Water temperature. [°C]
    air : Number
        Air temperature. [°C]
    humidity : Number
        Relative humidity of the room, 0 to 1. [-]

    Returns
    -------
    Array
        Evaporation, negative when water condenses; broadcast shape. [kg/m²/h]

    Notes
    -----
    Where the air over the water is lighter than the room's, the larger of ``35 rw (rr - rw)^(1/3) (Ww - Wr)``
    (w over the water and r in the room; r density of dry air, W humidity ratio) and ``5e-5 (pw - pr)``,
    otherwise the latter. Models of still surfaces differ by 30 %.

    References
    ----------
    shah_2014
    """
    pw = saturation_vapour_pressure(water)
    pr = as_array(humidity) * saturation_vapour_pressure(air)
    rw, rr = dry_air_density(water, pw), dry_air_density(air, pr)
    rise = np.cbrt(np.maximum(rr - rw, 0.0))
    convection = 35.0 * rw * rise * (humidity_ratio(pw) - humidity_ratio(pr))
    plain = 5e-5 * (pw - pr)
    return np.where(rise > 0.0, np.maximum(convection, plain), plain)


def evaporation_moving(
    water: Number, air: Number, humidity: Number, wind: Number, activity: Number = 0.74
) -> Array:
    """Return the evaporation of an open water surface under moving air.

    Parameters
    ----------
    water : Number
        Water temperature. [°C]
    air : Number
        Air temperature. [°C]
    humidity : Number
        Relative humidity of the room, 0 to 1. [-]
    wind : Number
        Air speed over the water. [m/s]
    activity  : Number
        0.74 for an undisturbed surface, up to 1 for a busy one. [-]

    Returns
    -------
    Array
        Evaporation; broadcast shape. [kg/m²/h]

    Notes
    -----
    ``a (0.089 + 0.0782 v)(pw - pr) / hfg · 3600``, pressures in Pa.

    References
    ----------
    smith_loef_jones_1998
    """
    gap = saturation_vapour_pressure(water) - as_array(humidity) * saturation_vapour_pressure(air)
    return as_array(activity) * (0.089 + 0.0782 * as_array(wind)) * gap / latent_heat(water) * 3600.0


def bowen_ratio(water: Number, air: Number, humidity: Number) -> Array:
    """Return the sensible over the latent heat of an open water surface.

    Parameters
    ----------
    water : Number
        Water temperature. [°C]
    air : Number
        Air temperature. [°C]
    humidity : Number
        Relative humidity of the room, 0 to 1. [-]

    Returns
    -------
    Array
        Ratio, negative when the room is warmer; broadcast shape. [-]

    Notes
    -----
    ``66 (T - Ta) / (psat(T) - RH psat(Ta))``.

    References
    ----------
    bowen_1926
    """
    gap = saturation_vapour_pressure(water) - as_array(humidity) * saturation_vapour_pressure(air)
    return PSYCHROMETRIC * (as_array(water) - air) / gap


def surface_loss(water: Number, air: Number, humidity: Number, area: Number, openness: Number = 1.0) -> Array:
    """Return the heat that leaves an open water surface by evaporation and with the air it warms.

    Parameters
    ----------
    water : Number
        Water temperature. [°C]
    air : Number
        Air temperature. [°C]
    humidity : Number
        Relative humidity of the room, 0 to 1. [-]
    area : Number
        Water surface. [m²]
    openness  : Number
        Share of the evaporation a cover leaves: 0.03 tight to 1 open. [-]

    Returns
    -------
    Array
        Loss; broadcast shape. [W]

    Notes
    -----
    ``A f E hfg (1 + B)`` with E of `evaporation_still`; long-wave radiation of the surface is not included.

    References
    ----------
    shah_2014, bowen_1926
    """
    flux = evaporation_still(water, air, humidity) / 3600.0 * latent_heat(water)
    return as_array(area) * openness * flux * (1.0 + bowen_ratio(water, air, humidity))
