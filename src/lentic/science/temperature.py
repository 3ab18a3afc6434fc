"""How living rates change with temperature."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array


def theta_factor(temperature: Number, theta: Number, reference: Number = 20.0) -> Array:
    """Return the rate at a temperature over that at the reference, by a constant factor per degree.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    theta : Number
        Factor per degree. [-]
    reference : Number
        Temperature at which the factor is 1. [°C]

    Returns
    -------
    Array
        Ratio of rates; broadcast shape. [-]

    Notes
    -----
    ``theta^(t - reference)``, used between about 5 and 30 °C; it has no upper limit and overstates heat.

    References
    ----------
    bowie_1985
    """
    result: Array = np.power(theta, as_array(temperature) - reference)
    return result


def q10_factor(temperature: Number, q10: Number, reference: Number = 20.0) -> Array:
    """Return the rate at a temperature over the rate at the reference, from the factor per ten degrees.

    Parameters
    ----------
    temperature : Number
        Body or water temperature. [°C]
    q10 : Number
        Factor per ten degrees. [-]
    reference : Number
        Temperature at which the factor is 1. [°C]

    Returns
    -------
    Array
        Ratio of rates; broadcast shape. [-]

    Notes
    -----
    ``Q10^((t - reference) / 10)``.

    References
    ----------
    definition
    """
    result: Array = np.power(q10, (as_array(temperature) - reference) / 10.0)
    return result


def q10_from_rates(
    rate_low: Number, rate_high: Number, temperature_low: Number, temperature_high: Number
) -> Array:
    """Return the factor per ten degrees between two measured rates.

    Parameters
    ----------
    rate_low : Number
        Rate at the lower temperature. [1/d]
    rate_high : Number
        Rate at the higher temperature. [1/d]
    temperature_low : Number
        Lower temperature. [°C]
    temperature_high : Number
        Higher temperature. [°C]

    Returns
    -------
    Array
        Factor per ten degrees; broadcast shape. [-]

    Notes
    -----
    ``(r2 / r1)^(10 / (t2 - t1))``; rounded rates give a poor Q10.

    References
    ----------
    definition
    """
    span = as_array(temperature_high) - temperature_low
    result: Array = np.power(as_array(rate_high) / rate_low, 10.0 / span)
    return result


def ctmi(temperature: Number, minimum: Number, optimum: Number, maximum: Number) -> Array:
    """Return the cardinal temperature response, 1 at the optimum and 0 at and beyond both limits.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    minimum : Number
        Temperature at and below which growth stops. [°C]
    optimum : Number
        Temperature of the fastest growth. [°C]
    maximum : Number
        Temperature at and above which growth stops. [°C]

    Returns
    -------
    Array
        Share of the rate at the optimum; broadcast shape. [-]

    Notes
    -----
    ``(T - Tx)(T - Tn)² / {(To - Tn)[(To - Tn)(T - To) - (To - Tx)(To + Tn - 2T)]}`` within the limits. The
    optimum must lie above the middle of the limits.

    References
    ----------
    rosso_1993
    """
    t, low, best, high = as_array(temperature), as_array(minimum), as_array(optimum), as_array(maximum)
    above, span = t - low, best - low
    bottom = span * (span * (t - best) - (best - high) * (best + low - 2.0 * t))
    inside = (t > low) & (t < high)
    # The denominator has a zero below the minimum; dividing by 1 there keeps the untaken branch quiet.
    return np.where(inside, (t - high) * above * above / np.where(inside, bottom, 1.0), 0.0)


def ctmi_factor(
    temperature: Number, minimum: Number, optimum: Number, maximum: Number, reference: Number = 20.0
) -> Array:
    """Return the cardinal temperature response over its value at a reference temperature.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    minimum : Number
        Temperature at and below which growth stops. [°C]
    optimum : Number
        Temperature of the fastest growth. [°C]
    maximum : Number
        Temperature at and above which growth stops. [°C]
    reference : Number
        Temperature at which the factor is 1; within the limits. [°C]

    Returns
    -------
    Array
        Ratio of rates; broadcast shape. [-]

    Notes
    -----
    ``CTMI(t) / CTMI(reference)``.

    References
    ----------
    rosso_1993
    """
    return ctmi(temperature, minimum, optimum, maximum) / ctmi(reference, minimum, optimum, maximum)


def eppley_growth(temperature: Number) -> Array:
    """Return the upper bound of the growth rate of algae in unbroken light.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Specific growth rate; same shape. [1/d]

    Notes
    -----
    ``ln 2 · 10^(0.0275 t - 0.070)``, an envelope of cultures from 2 to 40 °C.

    References
    ----------
    eppley_1972, kremer_nixon_1978
    """
    result: Array = np.log(2.0) * np.power(10.0, 0.0275 * as_array(temperature) - 0.070)
    return result
