"""How fast living things work: saturation, temperature, light, stored nutrients and films."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.temperature import (
    ctmi,
    ctmi_factor,
    eppley_growth,
    q10_factor,
    q10_from_rates,
    theta_factor,
)

__all__ = [
    "ammonium_preference",
    "ctmi",
    "ctmi_factor",
    "droop",
    "eppley_growth",
    "film_uptake",
    "light_jassby_platt",
    "light_smith",
    "light_steele",
    "lowest_substrate",
    "mean_light",
    "monod",
    "ph_window",
    "q10_factor",
    "q10_from_rates",
    "share_left",
    "theta_factor",
]


def monod(concentration: Number, half_saturation: Number) -> Array:
    """Return the share of the greatest rate at a concentration.

    Parameters
    ----------
    concentration : Number
        Concentration of what is consumed. [mg/L]
    half_saturation : Number
        Concentration at half the greatest rate. [mg/L]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``c / (c + K)``.

    References
    ----------
    monod_1949
    """
    c = as_array(concentration)
    return c / (c + half_saturation)


def droop(quota: Number, minimum: Number, maximum: Number) -> Array:
    """Return the growth a stored nutrient allows, 0 at the least store and 1 at the greatest.

    Parameters
    ----------
    quota : Number
        Store of nutrient in the tissue. [g/g]
    minimum : Number
        Store at which growth stops. [g/g]
    maximum : Number
        Store of a sated plant. [g/g]

    Returns
    -------
    Array
        Share of unlimited growth; broadcast shape. [-]

    Notes
    -----
    ``(1 - qmin/q) / (1 - qmin/qmax)``.

    References
    ----------
    droop_1973
    """
    return (1.0 - minimum / as_array(quota)) / (1.0 - minimum / as_array(maximum))


def light_jassby_platt(light: Number, onset: Number) -> Array:
    """Return the share of the greatest photosynthesis by the hyperbolic tangent.

    Parameters
    ----------
    light : Number
        Photon flux density. [µmol/m²/s]
    onset : Number
        Light at which the straight line from the origin meets the plateau. [µmol/m²/s]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``tanh(I / Ik)``.

    References
    ----------
    jassby_platt_1976
    """
    result: Array = np.tanh(as_array(light) / onset)
    return result


def light_smith(light: Number, onset: Number) -> Array:
    """Return the share of the greatest photosynthesis by Smith's form.

    Parameters
    ----------
    light : Number
        Photon flux density. [µmol/m²/s]
    onset : Number
        Light at which the straight line from the origin meets the plateau. [µmol/m²/s]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``I / sqrt(I² + Ik²)``.

    References
    ----------
    smith_1936
    """
    i = as_array(light)
    result: Array = i / np.sqrt(i * i + as_array(onset) ** 2)
    return result


def light_steele(light: Number, optimum: Number) -> Array:
    """Return the share of the greatest photosynthesis by Steele's form, which falls again in strong light.

    Parameters
    ----------
    light : Number
        Photon flux density. [µmol/m²/s]
    optimum : Number
        Light of the greatest photosynthesis. [µmol/m²/s]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``(I / Io) exp(1 - I / Io)``.

    References
    ----------
    steele_1962
    """
    relative = as_array(light) / optimum
    result: Array = relative * np.exp(1.0 - relative)
    return result


def mean_light(surface_light: Number, attenuation: Number, depth: Number) -> Array:
    """Return the mean light in a mixed layer.

    Parameters
    ----------
    surface_light : Number
        Light just below the surface. [µmol/m²/s]
    attenuation : Number
        Attenuation coefficient. [1/m]
    depth : Number
        Depth of the layer. [m]

    Returns
    -------
    Array
        Mean photon flux density; broadcast shape. [µmol/m²/s]

    Notes
    -----
    ``I0 (1 - exp(-K H)) / (K H)``, and I0 where K H is nought.

    References
    ----------
    beer_lambert
    """
    path = as_array(attenuation) * depth
    clear = path == 0.0
    thickness = np.where(clear, 1.0, path)
    return np.where(clear, surface_light, surface_light * -np.expm1(-thickness) / thickness)


def ammonium_preference(ammonium: Number, nitrate: Number, half_saturation: Number = 0.025) -> Array:
    """Return the share of nitrogen uptake that is taken as ammonium.

    Parameters
    ----------
    ammonium : Number
        Total ammonia nitrogen. [mg/L]
    nitrate : Number
        Nitrate nitrogen. [mg/L]
    half_saturation : Number
        Half-saturation constant of uptake. [mg/L]

    Returns
    -------
    Array
        Share from 0 (no ammonium) to 1 (no nitrate); 0 where there is neither; broadcast shape.
        [-]

    Notes
    -----
    ``NH NO3 / ((k + NH)(k + NO3)) + NH k / ((NH + NO3)(k + NO3))``.

    References
    ----------
    thomann_fitzpatrick_1982
    """
    nh, no3 = as_array(ammonium), as_array(nitrate)
    k, both = half_saturation, nh + no3
    # Without any nitrogen nothing is taken up, and the share of nothing must not spoil a sum.
    total = np.where(both == 0.0, 1.0, both)
    return nh * no3 / ((k + nh) * (k + no3)) + nh * k / (total * (k + no3))


def film_uptake(
    concentration: Number, capacity: Number, half_saturation: Number, conductance: Number
) -> tuple[Array, Array]:
    """Return what a film of bacteria takes up behind a layer that what it eats must cross.

    Parameters
    ----------
    concentration : Number
        Concentration in the open water. [mg/L]
    capacity : Number
        Uptake of the film when sated. [g/d]
    half_saturation : Number
        Concentration at the film at half that uptake. [mg/L]
    conductance : Number
        Volume of water the layer lets pass, above nought. [m³/d]

    Returns
    -------
    Array
        Uptake; broadcast shape. [g/d]
    Array
        Concentration at the film; broadcast shape. [mg/L]

    Notes
    -----
    The positive root s of ``G (S - s) = V s / (K + s)``: with ``b = S - K - V/G``,
    ``s = (b + sqrt(b² + 4 S K)) / 2``, taken as ``2 S K / (sqrt(b² + 4 S K) - b)`` where b is negative, so
    that a great capacity loses no digits.

    References
    ----------
    derived_film, monod_1949
    """
    bulk, k = as_array(concentration), as_array(half_saturation)
    b = bulk - k - as_array(capacity) / conductance
    root = np.sqrt(b * b + 4.0 * bulk * k)
    at_film = np.where(b > 0.0, 0.5 * (b + root), 2.0 * bulk * k / (root + np.abs(b)))
    return capacity * at_film / (k + at_film), at_film


def ph_window(ph: Number, low: Number, high: Number) -> Array:
    """Return the share of the greatest rate within a window of pH.

    Parameters
    ----------
    ph : Number
        pH of the water. [-]
    low : Number
        pH of half the rate on the acid side. [-]
    high : Number
        pH of half the rate on the alkaline side. [-]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``1 / (1 + 10^(2 (low - pH)) + 10^(2 (pH - high)))``.

    References
    ----------
    derived_ph_window
    """
    value = as_array(ph)
    result: Array = 1.0 / (1.0 + np.power(10.0, 2.0 * (low - value)) + np.power(10.0, 2.0 * (value - high)))
    return result


def lowest_substrate(half_saturation: Number, decay: Number, growth: Number) -> Array:
    """Return the least concentration on which a population of bacteria can hold itself.

    Parameters
    ----------
    half_saturation : Number
        Half-saturation constant. [mg/L]
    decay : Number
        Decay rate. [1/d]
    growth : Number
        Growth rate when sated, above the decay rate. [1/d]

    Returns
    -------
    Array
        Concentration where growth equals decay; broadcast shape. [mg/L]

    Notes
    -----
    ``K b / (mu - b)``.

    References
    ----------
    monod_1949
    """
    return as_array(half_saturation) * decay / (as_array(growth) - decay)


def share_left(rate: Number, days: Number) -> Array:
    """Return the share of a population or substance left after first-order decay.

    Parameters
    ----------
    rate : Number
        Decay rate. [1/d]
    days : Number
        Time. [d]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``exp(-k t)``.

    References
    ----------
    definition
    """
    result: Array = np.exp(-as_array(rate) * days)
    return result
