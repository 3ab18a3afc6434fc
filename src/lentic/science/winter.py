"""What a resting turtle burns, and how much lighter fasting alone can make it."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.temperature import q10_factor

FAT_ENERGY = 9.4  # kcal/g [tissue_energy]
LEAN_ENERGY = 1.1  # kcal/g, with the water that goes with it [tissue_energy]


def resting_energy(mass: Number, temperature: Number, at_1_kg: Number, exponent: Number, q10: Number) -> Array:
    """Return the energy a resting turtle spends in a day.

    Parameters
    ----------
    mass : Number
        Body mass. [g]
    temperature : Number
        Body temperature. [°C]
    at_1_kg : Number
        Energy of an animal of 1 kg at 20 °C. [kcal/d]
    exponent : Number
        How the energy rises with mass. [-]
    q10 : Number
        Factor per ten degrees. [-]

    Returns
    -------
    Array
        Energy; broadcast shape. [kcal/d]

    Notes
    -----
    ``E M^b Q10^((T - 20)/10)`` with M in kg. Measured from 20 to 30 °C; below 15 °C it is carried on, and good for an
    upper and lower bound only. Of six kinds whose rates could be read three lie within a quarter; resting animals of
    the others use 0.68 to 1.64 times what is reckoned.

    References
    ----------
    gatten_1974
    """
    result: Array = at_1_kg * np.power(as_array(mass) / 1000.0, exponent) * q10_factor(temperature, q10, 20.0)
    return result


def fasting_loss(energy: Number, tissue: Number) -> Array:
    """Return the mass that disappears when energy comes from the body.

    Parameters
    ----------
    energy : Number
        Energy spent. [kcal]
    tissue : Number
        Energy of the tissue that is used up, ``FAT_ENERGY`` or ``LEAN_ENERGY``. [kcal/g]

    Returns
    -------
    Array
        Mass; broadcast shape. [g]

    Notes
    -----
    ``E / e``. An animal lives on both: fat alone is the least loss, lean tissue alone the most.

    References
    ----------
    tissue_energy
    """
    return as_array(energy) / tissue
