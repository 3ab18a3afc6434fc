"""How fast gas goes over between water and air: surface, bubbles, spray, and the time to an alarm."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import CARBON, GAS_CONSTANT, OXYGEN_GAS, STANDARD_PRESSURE

AIR_OXYGEN = 0.2095  # mole fraction of oxygen in dry air [iso_2533]
SATURATION_20 = 9.092  # mg/L at 20 °C and 1 atm, the reference of aeration tests [benson_krause_1984]


def transfer_velocity(velocity_600: Number, schmidt: Number, exponent: Number = 0.5) -> Array:
    """Return the transfer velocity of a gas from that at Schmidt number 600.

    Parameters
    ----------
    velocity_600 : Number
        Transfer velocity at Schmidt number 600. [m/d]
    schmidt : Number
        Schmidt number of the gas at the temperature of the water. [-]
    exponent  : Number
        0.5 for a moving surface, 0.667 for a still film. [-]

    Returns
    -------
    Array
        Transfer velocity; broadcast shape. [m/d]

    Notes
    -----
    ``k600 (Sc / 600)^-n``.

    References
    ----------
    wanninkhof_1992
    """
    result: Array = velocity_600 * np.power(as_array(schmidt) / 600.0, -as_array(exponent))
    return result


def transfer_at(coefficient: Number, temperature: Number) -> Array:
    """Return a transfer coefficient at another temperature.

    Parameters
    ----------
    coefficient : Number
        Transfer coefficient at 20 °C. [1/d]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Transfer coefficient; broadcast shape. [1/d]

    Notes
    -----
    ``k 1.024^(t - 20)``, 10 to 30 °C.

    References
    ----------
    asce_2
    """
    result: Array = coefficient * np.power(1.024, as_array(temperature) - 20.0)
    return result


def equilibrium_with_uptake(saturation: Number, uptake: Number, coefficient: Number) -> Array:
    """Return the concentration at which transfer from the air balances a steady uptake.

    Parameters
    ----------
    saturation : Number
        Concentration in equilibrium with the air. [mg/L]
    uptake : Number
        Uptake by everything that lives in the water. [mg/L/h]
    coefficient : Number
        Transfer coefficient. [1/h]

    Returns
    -------
    Array
        Steady concentration, negative when the uptake cannot be met; broadcast shape. [mg/L]

    Notes
    -----
    ``C* - r / k``.

    References
    ----------
    mass_balance
    """
    return as_array(saturation) - as_array(uptake) / coefficient


def concentration_after(start: Number, steady: Number, coefficient: Number, hours: Number) -> Array:
    """Return the concentration of a gas some time after the conditions changed.

    Parameters
    ----------
    start : Number
        Concentration at the change. [mg/L]
    steady : Number
        Concentration it tends to. [mg/L]
    coefficient : Number
        Transfer coefficient. [1/h]
    hours : Number
        Time since the change. [h]

    Returns
    -------
    Array
        Concentration; broadcast shape. [mg/L]

    Notes
    -----
    ``Ceq + (C - Ceq) exp(-k t)``, exact.

    References
    ----------
    mass_balance
    """
    result: Array = steady + (as_array(start) - steady) * np.exp(-as_array(coefficient) * hours)
    return result


def time_to_alarm(start: Number, limit: Number, steady: Number, coefficient: Number) -> Array:
    """Return the time until a concentration falls to a limit.

    Parameters
    ----------
    start : Number
        Concentration now, at or above the limit. [mg/L]
    limit : Number
        Concentration that must not be passed. [mg/L]
    steady : Number
        Concentration it tends to. [mg/L]
    coefficient : Number
        Transfer coefficient. [1/h]

    Returns
    -------
    Array
        Time; infinite where the limit is never reached; broadcast shape. [h]

    Notes
    -----
    ``-ln((Clim - Ceq) / (C - Ceq)) / k``.

    References
    ----------
    mass_balance
    """
    goal, level = as_array(limit), as_array(steady)
    reached = level < goal
    ratio = np.where(reached, (goal - level) / np.where(reached, start - level, 1.0), 1.0)
    return np.where(reached, -np.log(ratio) / as_array(coefficient), np.inf)


def bubble_transfer(air_flow: Number, efficiency: Number, volume: Number, pressure: Number = 1.0) -> Array:
    """Return the oxygen transfer coefficient of an air stone at 20 °C.

    Parameters
    ----------
    air_flow : Number
        Air at 20 °C and the given pressure. [L/min]
    efficiency : Number
        Share of the oxygen that goes over on the way up: 0.01 to 0.05 at 0.3 to 0.5 m. [-]
    volume : Number
        Volume of the water. [L]
    pressure  : Number
        Air pressure. [atm]

    Returns
    -------
    Array
        Transfer coefficient; broadcast shape. [1/h]

    Notes
    -----
    ``SOTR = e Q 0.2095 · 31.998 P / (R 293.15)`` and ``kLa = SOTR / (9.092 mg/L V)``.

    References
    ----------
    asce_2
    """
    moles = (
        as_array(air_flow) * 60.0 * as_array(pressure) * STANDARD_PRESSURE / 1000.0 / (GAS_CONSTANT * 293.15)
    )
    return moles * AIR_OXYGEN * OXYGEN_GAS * 1000.0 * efficiency / (SATURATION_20 * as_array(volume))


def bubble_exchange(coefficient: Number, air_flow: Number, volume: Number, gas_water_ratio: Number) -> Array:
    """Return the exchange of a gas with bubbles that may saturate on their way up.

    Parameters
    ----------
    coefficient : Number
        Transfer coefficient of the gas without saturation. [1/h]
    air_flow : Number
        Air flow. [L/min]
    volume : Number
        Volume of the water. [L]
    gas_water_ratio : Number
        Concentration in the gas over that in the water at equilibrium. [-]

    Returns
    -------
    Array
        Effective exchange coefficient; broadcast shape. [1/h]

    Notes
    -----
    ``k = (Q H / V)(1 - exp(-kLa V / (Q H)))``: bubbles fill up with carbon dioxide, not with oxygen.

    References
    ----------
    derived_bubble
    """
    carried = as_array(air_flow) * 60.0 * gas_water_ratio / volume
    result: Array = carried * -np.expm1(-as_array(coefficient) / carried)
    return result


def spray_transfer(water_flow: Number, efficiency: Number, volume: Number) -> Array:
    """Return the transfer coefficient of a spray bar or overflow.

    Parameters
    ----------
    water_flow : Number
        Water pumped over it. [L/h]
    efficiency : Number
        Share of the deficit made up in one pass: 0.1 to 0.4. [-]
    volume : Number
        Volume of the water. [L]

    Returns
    -------
    Array
        Transfer coefficient; broadcast shape. [1/h]

    Notes
    -----
    ``eta Q / V``.

    References
    ----------
    common_practice
    """
    return as_array(efficiency) * water_flow / volume


def carbon_ceiling(
    coefficient: Number, volume: Number, equilibrium: Number, carbon_content: Number = 0.40
) -> Array:
    """Return the most plant that the carbon dioxide of the air can build in a tank.

    Parameters
    ----------
    coefficient : Number
        Transfer coefficient of carbon dioxide. [1/d]
    volume : Number
        Volume of the water. [L]
    equilibrium : Number
        Carbon dioxide in equilibrium with the air. [mol/kg]
    carbon_content  : Number
        Carbon in dry plant. [g/g]

    Returns
    -------
    Array
        Dry plant; broadcast shape. [g/d]

    Notes
    -----
    ``k V CO2eq · 12.011 / carbon``: the water drawn down to nothing, no respiration counted.

    References
    ----------
    mass_balance
    """
    return as_array(coefficient) * volume * equilibrium * CARBON / carbon_content
