"""What a film of algae on a pane looks like, and how its regrowth is read from the days between scrapings."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array


def pane_chlorophyll(film: Number, content: Number = 10.0) -> Array:
    """Return the chlorophyll of a film of algae.

    Parameters
    ----------
    film : Number
        Dry mass of the film. [g/m²]
    content  : Number
        Chlorophyll of the dry mass, 5 to 20. [mg/g]

    Returns
    -------
    Array
        Chlorophyll; broadcast shape. [mg/m²]

    References
    ----------
    pane_optics
    """
    return as_array(film) * content


def pane_absorptance(chlorophyll: Number, specific: Number = 0.015) -> Array:
    """Return the share of blue and red light a film of algae takes.

    Parameters
    ----------
    chlorophyll : Number
        Chlorophyll of the film. [mg/m²]
    specific  : Number
        Absorption by chlorophyll, 0.01 to 0.02. [m²/mg]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``1 - exp(-a chl)``.

    References
    ----------
    pane_optics
    """
    result: Array = -np.expm1(-as_array(specific) * chlorophyll)
    return result


def pane_cover(film: Number) -> Array:
    """Return the share of a pane that looks covered.

    Parameters
    ----------
    film : Number
        Dry mass of the film. [g/m²]

    Returns
    -------
    Array
        Share from 0 to 1; same shape. [-]

    Notes
    -----
    ``1 - exp(-B / 1.5)``.

    References
    ----------
    pane_optics
    """
    result: Array = -np.expm1(-as_array(film) / 1.5)
    return result


def regrowth_rate(left: Number, bothers: Number, days: Number) -> Array:
    """Return the net growth that brings a scraped pane back to the point of scraping.

    Parameters
    ----------
    left : Number
        Film left after scraping. [g/m²]
    bothers : Number
        Film at which the keeper scrapes. [g/m²]
    days : Number
        Days between scrapings. [d]

    Returns
    -------
    Array
        Net growth rate; broadcast shape. [1/d]

    Notes
    -----
    ``ln(Bthr / Bres) / D``. Rates may be averaged, days may not.

    References
    ----------
    mass_balance
    """
    result: Array = np.log(as_array(bothers) / left) / days
    return result


def scraping_interval(left: Number, bothers: Number, growth: Number) -> Array:
    """Return the days until a scraped pane bothers the keeper again.

    Parameters
    ----------
    left : Number
        Film left after scraping. [g/m²]
    bothers : Number
        Film at which the keeper scrapes. [g/m²]
    growth : Number
        Net growth rate, above nought. [1/d]

    Returns
    -------
    Array
        Days; broadcast shape. [d]

    Notes
    -----
    ``ln(Bthr / Bres) / r``.

    References
    ----------
    mass_balance
    """
    result: Array = np.log(as_array(bothers) / left) / growth
    return result
