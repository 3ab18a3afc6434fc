"""How much a turtle needs to eat: resting and field metabolic rate, and the band a ration should lie in."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.temperature import q10_factor

LOWEST_SHARE, HIGHEST_SHARE = (
    0.2,
    1.2,
)  # of the field metabolic rate; outside, ask about the grams [feeding_band]


def field_metabolic_rate_nagy_1999(mass: Number) -> Array:
    """Return the energy a free-living reptile spends in a day.

    Parameters
    ----------
    mass : Number
        Body mass. [g]

    Returns
    -------
    Array
        Energy; same shape. [kJ/d]

    Notes
    -----
    ``0.196 M^0.889`` over 55 species; a single species lies within a factor of 2.5. A kept, warm and idle
    animal spends 0.3 to 0.7 of it.

    References
    ----------
    nagy_1999
    """
    result: Array = 0.196 * np.power(as_array(mass), 0.889)
    return result


def resting_metabolic_rate(mass: Number, temperature: Number = 25.0, q10: Number = 2.2) -> Array:
    """Return the energy a resting freshwater turtle spends in a day.

    Parameters
    ----------
    mass : Number
        Body mass. [g]
    temperature  : Number
        Body temperature. [°C]
    q10  : Number
        Factor per ten degrees. [-]

    Returns
    -------
    Array
        Energy; broadcast shape. [kJ/d]

    Notes
    -----
    ``0.018 mL O2/g/h · 24 h · 20.1 J/mL · M`` at 25 °C, scaled linearly from one species of about 400 g: right in size
    only near that mass. A measured snapping turtle of 3.5 kg used 0.57 of it at 30 °C; ``winter.resting_energy``
    follows mass.

    References
    ----------
    arnall_2015
    """
    at_25 = 0.018 * 24.0 * 20.1 / 1000.0 * as_array(mass)
    return at_25 * q10_factor(temperature, q10, 25.0)


def food_energy(protein: Number, fat: Number, carbohydrate: Number) -> Array:
    """Return the energy of a food that an animal can use.

    Parameters
    ----------
    protein : Number
        Protein as fed. [g/g]
    fat : Number
        Fat as fed. [g/g]
    carbohydrate : Number
        Digestible carbohydrate as fed. [g/g]

    Returns
    -------
    Array
        Metabolisable energy; broadcast shape. [kJ/g]

    Notes
    -----
    ``16.7 protein + 37.7 fat + 16.7 carbohydrate``, general factors of nutrition.

    References
    ----------
    atwater_1910
    """
    return 16.7 * as_array(protein) + 37.7 * as_array(fat) + 16.7 * as_array(carbohydrate)


def ration_share(food: Number, energy: Number, mass: Number) -> Array:
    """Return a ration as a share of the field metabolic rate.

    Parameters
    ----------
    food : Number
        Food eaten. [g/d]
    energy : Number
        Energy of the food. [kJ/g]
    mass : Number
        Body mass. [g]

    Returns
    -------
    Array
        Share; between ``LOWEST_SHARE`` and ``HIGHEST_SHARE`` nothing needs asking; broadcast shape. [-]

    Notes
    -----
    ``food energy / (0.196 M^0.889)``.

    References
    ----------
    nagy_1999, feeding_band
    """
    return as_array(food) * energy / field_metabolic_rate_nagy_1999(mass)


def ration_band(mass: Number, energy: Number) -> tuple[Array, Array]:
    """Return the rations between which nothing needs asking.

    Parameters
    ----------
    mass : Number
        Body mass. [g]
    energy : Number
        Energy of the food. [kJ/g]

    Returns
    -------
    Array
        Least ration; broadcast shape. [g/d]
    Array
        Greatest ration; broadcast shape. [g/d]

    Notes
    -----
    ``LOWEST_SHARE`` and ``HIGHEST_SHARE`` of the field metabolic rate. A band for slips of the pen, not a
    diet.

    References
    ----------
    nagy_1999, feeding_band
    """
    spent = field_metabolic_rate_nagy_1999(mass) / energy
    return LOWEST_SHARE * spent, HIGHEST_SHARE * spent
