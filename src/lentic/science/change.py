"""The algebra of water changes: what a share of fresh water does now, and where a habit of it leads.

More than half of the file is the description of its functions; they are one subject.
"""

import numpy as np

from lentic.science.arrays import Array, Number, as_array


def mixed(old: Number, new: Number, fraction: Number) -> Array:
    """Return the concentration after a share of the water was replaced; pH does not mix so.

    Parameters
    ----------
    old : Number
        Concentration in the tank. [mg/L]
    new : Number
        Concentration in the new water. [mg/L]
    fraction : Number
        Share of the real water volume that is replaced. [-]

    Returns
    -------
    Array
        Concentration; broadcast shape. [mg/L]

    Notes
    -----
    ``(1 - f) C0 + f Cs``; holds for anything conserved on mixing: ions, alkalinity, inorganic carbon, heat.

    References
    ----------
    mass_balance
    """
    share = as_array(fraction)
    return (1.0 - share) * old + share * new


def after_changes(start: Number, source: Number, fraction: Number, count: Number) -> Array:
    """Return the concentration after several equal changes with nothing happening between.

    Parameters
    ----------
    start : Number
        Concentration in the tank. [mg/L]
    source : Number
        Concentration in the new water. [mg/L]
    fraction : Number
        Share replaced each time. [-]
    count : Number
        How many changes. [-]

    Returns
    -------
    Array
        Concentration; broadcast shape. [mg/L]

    Notes
    -----
    ``Cs + (C0 - Cs)(1 - f)^n``.

    References
    ----------
    mass_balance
    """
    result: Array = source + (as_array(start) - source) * np.power(1.0 - as_array(fraction), count)
    return result


def fraction_for_one_change(start: Number, goal: Number, source: Number) -> Array:
    """Return the share to replace to come to a goal at once.

    Parameters
    ----------
    start : Number
        Concentration in the tank, not that of the source. [mg/L]
    goal : Number
        Concentration wanted. [mg/L]
    source : Number
        Concentration in the new water. [mg/L]

    Returns
    -------
    Array
        Share; above 1 the goal cannot be reached with this source; broadcast shape. [-]

    Notes
    -----
    ``(C0 - Ct) / (C0 - Cs)``.

    References
    ----------
    mass_balance
    """
    return (as_array(start) - goal) / (as_array(start) - source)


def changes_needed(start: Number, goal: Number, source: Number, fraction: Number) -> Array:
    """Return how many equal changes bring a concentration down to a goal.

    Parameters
    ----------
    start : Number
        Concentration in the tank. [mg/L]
    goal : Number
        Concentration wanted. [mg/L]
    source : Number
        Concentration in the new water. [mg/L]
    fraction : Number
        Share replaced each time, above 0 and below 1. [-]

    Returns
    -------
    Array
        Whole number; 0 when the goal is met already, infinite when it never will be; broadcast shape. [-]

    Notes
    -----
    ``ceil(ln((Ct - Cs) / (C0 - Cs)) / ln(1 - f))``. A hair is taken off before rounding up, so that a goal
    met exactly does not cost one change more.

    References
    ----------
    mass_balance
    """
    high, low, tap = as_array(start), as_array(goal), as_array(source)
    met = high <= low
    possible = (low > tap) & ~met
    ratio = np.where(possible, (low - tap) / np.where(possible, high - tap, 1.0), 1.0)
    count = np.ceil(np.log(ratio) / np.log1p(-as_array(fraction)) - 1e-9)
    return np.where(met, 0.0, np.where(possible, count, np.inf))


def steady_peak(source: Number, production: Number, fraction: Number, days: Number) -> Array:
    """Return the concentration just before each change once a habit has settled.

    Parameters
    ----------
    source : Number
        Concentration in the new water. [mg/L]
    production : Number
        Rise between changes. [mg/L/d]
    fraction : Number
        Share replaced each time. [-]
    days : Number
        Days between changes. [d]

    Returns
    -------
    Array
        Peak; broadcast shape. [mg/L]

    Notes
    -----
    ``Cs + r D / f``.

    References
    ----------
    mass_balance
    """
    return as_array(source) + as_array(production) * days / fraction


def steady_trough(source: Number, production: Number, fraction: Number, days: Number) -> Array:
    """Return the concentration just after each change once a habit has settled, the least it can attain.

    Parameters
    ----------
    source : Number
        Concentration in the new water. [mg/L]
    production : Number
        Rise between changes. [mg/L/d]
    fraction : Number
        Share replaced each time. [-]
    days : Number
        Days between changes. [d]

    Returns
    -------
    Array
        Trough; broadcast shape. [mg/L]

    Notes
    -----
    ``Cs + r D (1 - f) / f``.

    References
    ----------
    mass_balance
    """
    share = as_array(fraction)
    return as_array(source) + as_array(production) * days * (1.0 - share) / share


def steady_peak_with_uptake(
    source: Number, production: Number, fraction: Number, days: Number, uptake: Number
) -> Array:
    """Return the settled peak when plants take up in proportion to the concentration.

    Parameters
    ----------
    source : Number
        Concentration in the new water. [mg/L]
    production : Number
        Production between changes. [mg/L/d]
    fraction : Number
        Share replaced each time. [-]
    days : Number
        Days between changes. [d]
    uptake : Number
        First-order uptake, above nought. [1/d]

    Returns
    -------
    Array
        Peak; broadcast shape. [mg/L]

    Notes
    -----
    ``(f Cs e + (r/k)(1 - e)) / (1 - (1 - f) e)`` with ``e = exp(-k D)``.

    References
    ----------
    mass_balance
    """
    rate, share = as_array(uptake), as_array(fraction)
    left = np.exp(-rate * days)
    result: Array = (share * source * left + production / rate * (1.0 - left)) / (1.0 - (1.0 - share) * left)
    return result


def drip_steady(source: Number, production: Number, exchange: Number) -> Array:
    """Return the concentration a steady drip change leads to.

    Parameters
    ----------
    source : Number
        Concentration in the new water. [mg/L]
    production : Number
        Production. [mg/L/d]
    exchange : Number
        Volumes replaced per day. [1/d]

    Returns
    -------
    Array
        Steady concentration; broadcast shape. [mg/L]

    Notes
    -----
    ``Cs + r / lambda``.

    References
    ----------
    mass_balance
    """
    return as_array(source) + as_array(production) / exchange


def drip_concentration(
    start: Number, source: Number, production: Number, exchange: Number, days: Number
) -> Array:
    """Return the concentration some time after a drip change began.

    Parameters
    ----------
    start : Number
        Concentration at the beginning. [mg/L]
    source : Number
        Concentration in the new water. [mg/L]
    production : Number
        Production. [mg/L/d]
    exchange : Number
        Volumes replaced per day. [1/d]
    days : Number
        Time since the beginning. [d]

    Returns
    -------
    Array
        Concentration; broadcast shape. [mg/L]

    Notes
    -----
    ``Cinf + (C0 - Cinf) exp(-lambda t)``; one volume by drip leaves 37 %.

    References
    ----------
    mass_balance
    """
    end = drip_steady(source, production, exchange)
    result: Array = end + (as_array(start) - end) * np.exp(-as_array(exchange) * days)
    return result


def evaporation_peak(source: Number, top_up: Number, fraction: Number, evaporated: Number) -> Array:
    """Return the settled peak of a salt where evaporated water is topped up.

    Parameters
    ----------
    source : Number
        Concentration in the water of the changes. [mg/L]
    top_up : Number
        Concentration in the water of the top-ups. [mg/L]
    fraction : Number
        Share replaced each time. [-]
    evaporated : Number
        Share of the volume that evaporates between changes. [-]

    Returns
    -------
    Array
        Peak; broadcast shape. [mg/L]

    Notes
    -----
    ``Cs + e Ct / f``: what evaporates leaves its salts.

    References
    ----------
    mass_balance
    """
    return as_array(source) + as_array(evaporated) * top_up / fraction


def evaporation_rise(start: Number, top_up: Number, evaporated: Number, days: Number) -> Array:
    """Return the concentration of a salt where evaporated water is topped up and never changed.

    Parameters
    ----------
    start : Number
        Concentration at the beginning. [mg/L]
    top_up : Number
        Concentration in the water of the top-ups. [mg/L]
    evaporated : Number
        Share of the volume that evaporates per day. [1/d]
    days : Number
        Time. [d]

    Returns
    -------
    Array
        Concentration; broadcast shape. [mg/L]

    Notes
    -----
    ``C0 + t (E/V) Ct``.

    References
    ----------
    mass_balance
    """
    return as_array(start) + as_array(days) * evaporated * top_up


def blend_share(first: Number, second: Number, goal: Number) -> Array:
    """Return the share of the first of two waters that makes a blend of a wanted concentration.

    Parameters
    ----------
    first : Number
        Concentration in the first water. [mg/L]
    second : Number
        Concentration in the second water. [mg/L]
    goal : Number
        Concentration wanted. [mg/L]

    Returns
    -------
    Array
        Share of the first water; outside 0 to 1 no blend will do; broadcast shape. [-]

    Notes
    -----
    ``(Ct - C2) / (C1 - C2)``.

    References
    ----------
    mass_balance
    """
    return (as_array(goal) - second) / (as_array(first) - second)


def learned_production(first: Number, second: Number, changed: Number, days: Number) -> Array:
    """Return the production between two readings with changes in between.

    Parameters
    ----------
    first : Number
        Earlier reading. [mg/L]
    second : Number
        Later reading. [mg/L]
    changed : Number
        What the changes in between alone would have done to the concentration, a fall below nought. [mg/L]
    days : Number
        Time between the readings. [d]

    Returns
    -------
    Array
        Production; broadcast shape. [mg/L/d]

    Notes
    -----
    ``(C2 - C1 - effect) / dt``.

    References
    ----------
    mass_balance
    """
    return (as_array(second) - first - changed) / days
