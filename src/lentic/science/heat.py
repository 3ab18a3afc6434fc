"""Heat of a tank in a room: what its walls lose, what a heater must give, how it cools and mixes."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import STANDARD_GRAVITY, STEFAN_BOLTZMANN
from lentic.science.evaporation import surface_loss
from lentic.science.properties import HEAT_CAPACITY, kelvin, latent_heat, water_density


def radiative_coefficient(temperature: Number, emissivity: Number = 0.9) -> Array:
    """Return the heat transfer by long-wave radiation per degree.

    Parameters
    ----------
    temperature : Number
        Mean of surface and surroundings. [°C]
    emissivity  : Number
        Emissivity of the surface. [-]

    Returns
    -------
    Array
        Coefficient; broadcast shape. [W/m²/K]

    Notes
    -----
    ``4 eps sigma T³``.

    References
    ----------
    codata_2018
    """
    return 4.0 * as_array(emissivity) * STEFAN_BOLTZMANN * kelvin(temperature) ** 3


def pane_convection(
    difference: Number,
    height: Number,
    film: Number,
    viscosity: Number = 1.53e-5,
    diffusivity: Number = 2.16e-5,
    conductivity: Number = 0.0259,
) -> Array:
    """Return the heat transfer by free convection at the outside of an upright pane.

    Parameters
    ----------
    difference : Number
        Surface temperature above the room. [K]
    height : Number
        Height of the pane. [m]
    film : Number
        Mean of surface and room temperature. [°C]
    viscosity  : Number
        Kinematic viscosity of air. [m²/s]
    diffusivity  : Number
        Thermal diffusivity of air. [m²/s]
    conductivity  : Number
        Thermal conductivity of air. [W/m/K]

    Returns
    -------
    Array
        Coefficient; broadcast shape. [W/m²/K]

    Notes
    -----
    ``Nu = (0.825 + 0.387 Ra^(1/6) / (1 + (0.492/Pr)^(9/16))^(8/27))²`` with ``Ra = g dT H³ / (T nu alpha)``,
    up to Ra 1e12.

    References
    ----------
    churchill_chu_1975
    """
    nu, alpha, tall = as_array(viscosity), as_array(diffusivity), as_array(height)
    rayleigh = STANDARD_GRAVITY * as_array(difference) * tall**3 / (kelvin(film) * nu * alpha)
    bottom = np.power(1.0 + np.power(0.492 * alpha / nu, 9.0 / 16.0), 8.0 / 27.0)
    nusselt = (0.825 + 0.387 * np.power(rayleigh, 1.0 / 6.0) / bottom) ** 2
    result: Array = nusselt * conductivity / tall
    return result


def wall_transmittance(
    thickness: Number,
    conductivity: Number,
    insulation: Number = 0.0,
    inside: Number = 250.0,
    outside_resistance: Number = 0.13,
) -> Array:
    """Return the heat a wall lets through per area and degree.

    Parameters
    ----------
    thickness : Number
        Thickness of the pane. [m]
    conductivity : Number
        Thermal conductivity of the pane: glass 1.0, acrylic 0.19. [W/m/K]
    insulation  : Number
        Thickness of foam at 0.035 W/m/K behind it. [m]
    inside  : Number
        Coefficient of the water side. [W/m²/K]
    outside_resistance  : Number
        Resistance of the room side. [m²K/W]

    Returns
    -------
    Array
        Transmittance; broadcast shape. [W/m²/K]

    Notes
    -----
    ``1 / (1/hi + d/k + foam/0.035 + Rs)``: the film of air governs, not the glass.

    References
    ----------
    iso_6946
    """
    resistance = 1.0 / as_array(inside) + as_array(thickness) / conductivity + as_array(insulation) / 0.035
    return 1.0 / (resistance + outside_resistance)


def heater_power(
    conductance: Number, water: Number, air: Number, humidity: Number, area: Number, openness: Number = 1.0
) -> Array:
    """Return the heat a tank needs to stay at its temperature.

    Parameters
    ----------
    conductance : Number
        Walls, floor and cover together. [W/K]
    water : Number
        Water temperature. [°C]
    air : Number
        Air temperature. [°C]
    humidity : Number
        Relative humidity of the room, 0 to 1. [-]
    area : Number
        Water surface. [m²]
    openness  : Number
        Share of the evaporation a cover leaves. [-]

    Returns
    -------
    Array
        Mean power; choose 1.5 to 2 times this; broadcast shape. [W]

    Notes
    -----
    ``UA (T - Ta) + A f E hfg (1 + B)``.

    References
    ----------
    shah_2014, bowen_1926
    """
    walls = as_array(conductance) * (as_array(water) - air)
    return walls + surface_loss(water, air, humidity, area, openness)


def heat_capacity(volume: Number, temperature: Number, glass: Number = 0.0, substrate: Number = 0.0) -> Array:
    """Return the heat a tank takes up per degree.

    Parameters
    ----------
    volume : Number
        Volume of the water. [L]
    temperature : Number
        Water temperature. [°C]
    glass  : Number
        Mass of glass. [kg]
    substrate  : Number
        Mass of gravel and stone. [kg]

    Returns
    -------
    Array
        Heat capacity; broadcast shape. [J/K]

    Notes
    -----
    ``V rho 4182 + 840 glass + 800 gravel``.

    References
    ----------
    iapws_95, common_practice
    """
    water = as_array(volume) / 1000.0 * water_density(temperature) * HEAT_CAPACITY
    return water + 840.0 * as_array(glass) + 800.0 * as_array(substrate)


def time_constant(capacity: Number, conductance: Number) -> Array:
    """Return the time in which a tank loses 63 % of its excess temperature.

    Parameters
    ----------
    capacity : Number
        Heat capacity. [J/K]
    conductance : Number
        Heat lost per degree, surface included. [W/K]

    Returns
    -------
    Array
        Time constant; broadcast shape. [h]

    Notes
    -----
    ``C / UA``.

    References
    ----------
    mass_balance
    """
    return as_array(capacity) / conductance / 3600.0


def temperature_after(start: Number, room: Number, constant: Number, hours: Number) -> Array:
    """Return the temperature of a tank some time after its heater stopped.

    Parameters
    ----------
    start : Number
        Temperature at the stop. [°C]
    room : Number
        Temperature it tends to. [°C]
    constant : Number
        Time constant. [h]
    hours : Number
        Time since the stop. [h]

    Returns
    -------
    Array
        Temperature; broadcast shape. [°C]

    Notes
    -----
    ``Tinf + (T0 - Tinf) exp(-t / tau)``.

    References
    ----------
    mass_balance
    """
    result: Array = room + (as_array(start) - room) * np.exp(-as_array(hours) / constant)
    return result


def warming_power(volume: Number, rise: Number, hours: Number, temperature: Number = 20.0) -> Array:
    """Return the mean power that warms a volume of water in a given time, without losses.

    Parameters
    ----------
    volume : Number
        Volume of the water. [L]
    rise : Number
        Wanted rise. [K]
    hours : Number
        Time. [h]
    temperature  : Number
        Temperature at which the volume was measured. [°C]

    Returns
    -------
    Array
        Power; broadcast shape. [W]

    Notes
    -----
    ``V rho cp dT / t``.

    References
    ----------
    iapws_95
    """
    return heat_capacity(volume, temperature) * rise / (as_array(hours) * 3600.0)


def evaporation_power(evaporated: Number, temperature: Number) -> Array:
    """Return the mean power that an evaporation takes from the water.

    Parameters
    ----------
    evaporated : Number
        Water evaporated. [L/d]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Power; broadcast shape. [W]

    Notes
    -----
    ``E hfg``; a litre is taken as a kilogram, as the keeper's jug does.

    References
    ----------
    iapws_95
    """
    return as_array(evaporated) * latent_heat(temperature) / 86400.0


def hot_share(hot: Number, cold: Number, goal: Number) -> Array:
    """Return the share of hot water in a mix of a wanted temperature.

    Parameters
    ----------
    hot : Number
        Temperature of the hot water. [°C]
    cold : Number
        Temperature of the cold water. [°C]
    goal : Number
        Temperature wanted. [°C]

    Returns
    -------
    Array
        Share of hot water; broadcast shape. [-]

    Notes
    -----
    ``(Tt - Tc) / (Th - Tc)``, within 0.001 of real enthalpies.

    References
    ----------
    mass_balance
    """
    return (as_array(goal) - cold) / (as_array(hot) - cold)


def largest_fraction(step: Number, tank: Number, new: Number) -> Array:
    """Return the greatest share of new water that keeps a change within an allowed step.

    Parameters
    ----------
    step : Number
        Allowed change of temperature. [K]
    tank : Number
        Temperature in the tank. [°C]
    new : Number
        Temperature of the new water. [°C]

    Returns
    -------
    Array
        Share, infinite for water of the same temperature and then no limit; broadcast shape. [-]

    Notes
    -----
    ``dT / |T0 - Tn|``; holds for any quantity that mixes in proportion.

    References
    ----------
    mass_balance
    """
    gap = np.abs(as_array(tank) - new)
    same = gap == 0.0
    return np.where(same, np.inf, as_array(step) / np.where(same, 1.0, gap))


def electricity(power: Number, hours: Number, duty: Number = 1.0) -> Array:
    """Return the electrical energy a device uses.

    Parameters
    ----------
    power : Number
        Power when on. [W]
    hours : Number
        Time. [h]
    duty  : Number
        Share of the time it is on. [-]

    Returns
    -------
    Array
        Energy; broadcast shape. [kWh]

    Notes
    -----
    ``P h duty / 1000``.

    References
    ----------
    definition
    """
    return as_array(power) * hours * duty / 1000.0
