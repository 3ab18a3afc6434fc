"""Shell length over the years, and the mass that belongs to a length."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array


def shell_length(asymptote: Number, length: Number, rate: Number, years: Number) -> Array:
    """Return the shell length some years after a known one.

    Parameters
    ----------
    asymptote : Number
        Length the animal grows towards. [cm]
    length : Number
        Length at the start. [cm]
    rate : Number
        Share of the missing length gained in a year, as an exponent. [1/a]
    years : Number
        Time since the start; negative before it. [a]

    Returns
    -------
    Array
        Shell length; broadcast shape. [cm]

    Notes
    -----
    ``L∞ - (L∞ - L) exp(-k t)``; one curve for a whole life, without the slow start some hatchlings make.

    References
    ----------
    von_bertalanffy_1938
    """
    result: Array = asymptote - (as_array(asymptote) - length) * np.exp(-as_array(rate) * years)
    return result


def years_to_length(asymptote: Number, length: Number, rate: Number, goal: Number) -> Array:
    """Return the time until an animal reaches a length.

    Parameters
    ----------
    asymptote : Number
        Length the animal grows towards. [cm]
    length : Number
        Length at the start. [cm]
    rate : Number
        Share of the missing length gained in a year, as an exponent. [1/a]
    goal : Number
        Length to be reached. [cm]

    Returns
    -------
    Array
        Time, negative where it is past, infinite where it is never reached; broadcast shape. [a]

    Notes
    -----
    ``ln((L∞ - L) / (L∞ - goal)) / k``, the inverse of `shell_length`.

    References
    ----------
    von_bertalanffy_1938
    """
    asymptote, missing = as_array(asymptote), as_array(asymptote) - goal
    start = np.maximum(asymptote - length, 1e-9)
    reached = np.log(start / np.where(missing > 0.0, missing, 1.0)) / rate
    result: Array = np.where(missing > 0.0, reached, np.where(as_array(length) >= goal, -np.inf, np.inf))
    return result


def mass_from_length(coefficient: Number, length: Number) -> Array:
    """Return the body mass that belongs to a shell length.

    Parameters
    ----------
    coefficient : Number
        Mass of a cube of the shell length. [g/cm³]
    length : Number
        Straight shell length. [cm]

    Returns
    -------
    Array
        Body mass; broadcast shape. [g]

    Notes
    -----
    ``k SCL³``; k is 0.129 to 0.135 in one well measured species.

    References
    ----------
    amp_japonica
    """
    return as_array(coefficient) * as_array(length) ** 3


def length_from_mass(coefficient: Number, mass: Number) -> Array:
    """Return the shell length that belongs to a body mass.

    Parameters
    ----------
    coefficient : Number
        Mass of a cube of the shell length. [g/cm³]
    mass : Number
        Body mass. [g]

    Returns
    -------
    Array
        Straight shell length; broadcast shape. [cm]

    Notes
    -----
    ``(m / k)^(1/3)``, the inverse of `mass_from_length`.

    References
    ----------
    amp_japonica
    """
    result: Array = np.cbrt(as_array(mass) / coefficient)
    return result
