"""Un-ionised ammonia, the criteria of the United States for it, and nitrite."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import CHLORINE, SODIUM_CHLORIDE
from lentic.science.equilibrium import davies_exponent, pk_ammonium_emerson_1975

__all__ = [
    "acute_criterion_mussels_absent",
    "acute_criterion_salmonids_absent",
    "acute_criterion_salmonids_only",
    "acute_criterion_salmonids_present",
    "chronic_criterion",
    "chronic_criterion_mussels_absent",
    "chronic_criterion_no_mussels_no_young",
    "nitrous_acid_share",
    "pk_ammonium_anthonisen_1976",
    "pk_ammonium_emerson_1975",
    "salt_against_nitrite",
    "unionised_share",
]


def pk_ammonium_anthonisen_1976(temperature: Number) -> Array:
    """Return the acidity constant of ammonium as pK, by a second and independent fit.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        pK at zero ionic strength; same shape. [-]

    Notes
    -----
    ``ln(Kb/Kw) = 6344 / (273 + t)``, 0 to 40 °C; within 0.005 of Emerson's.

    References
    ----------
    anthonisen_1976
    """
    result: Array = 6344.0 / (273.0 + as_array(temperature)) / np.log(10.0)
    return result


def unionised_share(ph: Number, temperature: Number, ionic_strength: Number = 0.0) -> Array:
    """Return the share of the total ammonia that is un-ionised, the part that harms gills.

    Parameters
    ----------
    ph : Number
        pH of the water, as an electrode shows it. [-]
    temperature : Number
        Water temperature. [°C]
    ionic_strength  : Number
        Ionic strength; 0 gives the share of the printed tables, 7 % above that at 0.005. [mol/kg]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``1 / (1 + 10^(pK + D(I) + 0.1 I - pH))`` with D of Davies, 0 to 50 °C, up to 0.1 mol/kg.

    References
    ----------
    emerson_1975, davies_1962
    """
    strength = as_array(ionic_strength)
    pk = pk_ammonium_emerson_1975(temperature) + davies_exponent(temperature, strength) + 0.1 * strength
    result: Array = 1.0 / (1.0 + np.power(10.0, pk - as_array(ph)))
    return result


def _acute_shape(ph: Number) -> Array:
    """Return the pH factor of the acute criterion, 1 at pH 8."""
    value = as_array(ph)
    low = 0.0114 / (1.0 + np.power(10.0, 7.204 - value))
    high = 1.6181 / (1.0 + np.power(10.0, value - 7.204))
    result: Array = 0.7249 * (low + high)
    return result


def acute_criterion_salmonids_absent(ph: Number, temperature: Number) -> Array:
    """Return the one-hour criterion for total ammonia where no salmonid fish live.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Total ammonia nitrogen not to be exceeded for an hour; broadcast shape. [mg N/L]

    Notes
    -----
    ``f(pH) min(51.93, 23.12 · 10^(0.036 (20 - t)))`` with ``f = 0.7249 (0.0114/(1 + 10^(7.204 - pH)) +
    1.6181/(1 + 10^(pH - 7.204)))``; pH 6.5 to 9, 0 to 30 °C; printed to two figures. A line for the most
    sensitive wild species, not for turtles.

    References
    ----------
    epa_2013
    """
    warm = 23.12 * np.power(10.0, 0.036 * (20.0 - as_array(temperature)))
    return _acute_shape(ph) * np.minimum(51.93, warm)


def acute_criterion_salmonids_present(ph: Number, temperature: Number) -> Array:
    """Return the one-hour criterion for total ammonia where salmonid fish live.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Total ammonia nitrogen not to be exceeded for an hour; broadcast shape. [mg N/L]

    Notes
    -----
    The smaller of ``0.275/(1 + 10^(7.204 - pH)) + 39.0/(1 + 10^(pH - 7.204))`` and ``f(pH) · 23.12 ·
    10^(0.036 (20 - t))``; pH 6.5 to 9, 0 to 30 °C.

    References
    ----------
    epa_2013
    """
    value = as_array(ph)
    trout = 0.275 / (1.0 + np.power(10.0, 7.204 - value)) + 39.0 / (1.0 + np.power(10.0, value - 7.204))
    mussels = _acute_shape(value) * 23.12 * np.power(10.0, 0.036 * (20.0 - as_array(temperature)))
    result: Array = np.minimum(trout, mussels)
    return result


def acute_criterion_mussels_absent(ph: Number, temperature: Number) -> Array:
    """Return the one-hour criterion for total ammonia where neither mussels nor salmonid fish live.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Total ammonia nitrogen not to be exceeded for an hour; broadcast shape. [mg N/L]

    Notes
    -----
    ``f(pH) min(51.93, 62.15 · 10^(0.036 (20 - t)))`` with ``f`` of `acute_criterion_salmonids_absent`; pH 6.5 to 9, 0
    to 30 °C. Fish set the line instead of mussels.

    References
    ----------
    epa_2013
    """
    warm = 62.15 * np.power(10.0, 0.036 * (20.0 - as_array(temperature)))
    return _acute_shape(ph) * np.minimum(51.93, warm)


def acute_criterion_salmonids_only(ph: Number, temperature: Number) -> Array:
    """Return the one-hour criterion for total ammonia where salmonid fish live and no mussels.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Total ammonia nitrogen not to be exceeded for an hour; broadcast shape. [mg N/L]

    Notes
    -----
    The smaller of ``0.275/(1 + 10^(7.204 - pH)) + 39.0/(1 + 10^(pH - 7.204))`` and ``f(pH) · 62.15 · 10^(0.036 (20 -
    t))``; pH 6.5 to 9, 0 to 30 °C.

    References
    ----------
    epa_2013
    """
    value = as_array(ph)
    trout = 0.275 / (1.0 + np.power(10.0, 7.204 - value)) + 39.0 / (1.0 + np.power(10.0, value - 7.204))
    others = _acute_shape(value) * 62.15 * np.power(10.0, 0.036 * (20.0 - as_array(temperature)))
    result: Array = np.minimum(trout, others)
    return result


def _chronic_shape(ph: Number) -> Array:
    """Return the pH factor of the chronic criterion before its constant, 1 at pH 7."""
    value = as_array(ph)
    low = 0.0278 / (1.0 + np.power(10.0, 7.688 - value))
    result: Array = low + 1.1994 / (1.0 + np.power(10.0, value - 7.688))
    return result


def chronic_criterion_mussels_absent(ph: Number, temperature: Number) -> Array:
    """Return the thirty-day criterion for total ammonia where no mussels live but young fish may.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Thirty-day mean of total ammonia nitrogen not to be exceeded; broadcast shape. [mg N/L]

    Notes
    -----
    ``0.9405 f(pH) min(6.920, 7.547 · 10^(0.028 (20 - t)))`` with ``f = 0.0278/(1 + 10^(7.688 - pH)) + 1.1994/(1 +
    10^(pH - 7.688))``; pH 6.5 to 9, 0 to 30 °C.

    References
    ----------
    epa_2013
    """
    warm = 7.547 * np.power(10.0, 0.028 * (20.0 - as_array(temperature)))
    return 0.9405 * _chronic_shape(ph) * np.minimum(6.920, warm)


def chronic_criterion_no_mussels_no_young(ph: Number, temperature: Number) -> Array:
    """Return the thirty-day criterion for total ammonia where neither mussels nor young fish live.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Thirty-day mean of total ammonia nitrogen not to be exceeded; broadcast shape. [mg N/L]

    Notes
    -----
    ``0.9405 f(pH) · 7.547 · 10^(0.028 (20 - max(t, 7)))`` with ``f`` of `chronic_criterion_mussels_absent`; pH 6.5 to
    9, 0 to 30 °C.

    References
    ----------
    epa_2013
    """
    warm = 7.547 * np.power(10.0, 0.028 * (20.0 - np.maximum(as_array(temperature), 7.0)))
    return 0.9405 * _chronic_shape(ph) * warm


def chronic_criterion(ph: Number, temperature: Number) -> Array:
    """Return the thirty-day criterion for total ammonia.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Thirty-day mean of total ammonia nitrogen not to be exceeded; broadcast shape. [mg N/L]

    Notes
    -----
    ``0.8876 (0.0278/(1 + 10^(7.688 - pH)) + 1.1994/(1 + 10^(pH - 7.688))) · 2.126 · 10^(0.028 (20 - max(t,
    7)))``; pH 6.5 to 9, 0 to 30 °C; a four-day mean may reach 2.5 times this. One public code prints 10 for
    the 20.

    References
    ----------
    epa_2013
    """
    value = as_array(ph)
    shape = 0.0278 / (1.0 + np.power(10.0, 7.688 - value)) + 1.1994 / (1.0 + np.power(10.0, value - 7.688))
    warm = np.power(10.0, 0.028 * (20.0 - np.maximum(as_array(temperature), 7.0)))
    return 0.8876 * shape * 2.126 * warm


def nitrous_acid_share(ph: Number, temperature: Number) -> Array:
    """Return the share of the nitrite that is nitrous acid.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``h / (h + exp(-2300 / (273 + t)))``; literature values of the constant differ by a third.

    References
    ----------
    anthonisen_1976
    """
    acidity = np.exp(-2300.0 / (273.0 + as_array(temperature)))
    hydrogen = np.power(10.0, -as_array(ph))
    result: Array = hydrogen / (hydrogen + acidity)
    return result


def salt_against_nitrite(nitrite: Number, chloride: Number, volume: Number, ratio: Number = 10.0) -> Array:
    """Return the common salt that lifts chloride to a multiple of nitrite, a practice of fish farms.

    Parameters
    ----------
    nitrite : Number
        Nitrite as NO2. [mg/L]
    chloride : Number
        Chloride already there. [mg/L]
    volume : Number
        Volume of the water. [L]
    ratio  : Number
        Wanted chloride per nitrite by mass of ion. [-]

    Returns
    -------
    Array
        Sodium chloride, negative when there is chloride enough; broadcast shape. [g]

    Notes
    -----
    ``(ratio NO2 - Cl) · 1.6485 V / 1000``. Chloride competes with nitrite at gills; it does not protect every
    fish, and nothing is known of animals that breathe air.

    References
    ----------
    tomasso_1986, common_practice
    """
    missing = as_array(ratio) * nitrite - chloride
    return missing * SODIUM_CHLORIDE / CHLORINE * volume / 1000.0
