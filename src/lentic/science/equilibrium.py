"""Equilibrium constants of the carbonate system at infinite dilution, and activity coefficients."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.properties import kelvin, water_density


def _analytical(temperature: Number, a: float, b: float, c: float, d: float, e: float) -> Array:
    """Return 10^(a + b T + c/T + d log T + e/T²), the five-term form all constants of this file share."""
    k = kelvin(temperature)
    result: Array = np.power(10.0, a + b * k + c / k + d * np.log10(k) + e / k**2)
    return result


def first_dissociation_pb82(temperature: Number) -> Array:
    """Return K1 of carbonic acid, CO2* + H2O = H+ + HCO3-.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Thermodynamic constant at zero ionic strength; same shape. [mol/kg]

    Notes
    -----
    Five-term polynomial in T, fitted 0 to 90 °C.

    References
    ----------
    plummer_busenberg_1982
    """
    return _analytical(temperature, -356.3094, -0.06091964, 21834.37, 126.8339, -1684915.0)


def second_dissociation_pb82(temperature: Number) -> Array:
    """Return K2 of carbonic acid, HCO3- = H+ + CO3--.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Thermodynamic constant at zero ionic strength; same shape. [mol/kg]

    Notes
    -----
    Five-term polynomial in T, fitted 0 to 90 °C.

    References
    ----------
    plummer_busenberg_1982
    """
    return _analytical(temperature, -107.8871, -0.03252849, 5151.79, 38.92561, -563713.9)


def henry_carbon_dioxide_pb82(temperature: Number) -> Array:
    """Return the solubility of carbon dioxide, CO2(g) = CO2*.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Henry constant at zero ionic strength; same shape. [mol/kg/atm]

    Notes
    -----
    Five-term polynomial in T, fitted 0 to 90 °C.

    References
    ----------
    plummer_busenberg_1982
    """
    return _analytical(temperature, 108.3865, 0.01985076, -6919.53, -40.45154, 669365.0)


def ion_product_water(temperature: Number) -> Array:
    """Return the ion product of water.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Ion product at zero ionic strength; same shape. [mol²/kg²]

    Notes
    -----
    ``log Kw = 293.29227 + 0.1360833 T - 10576.913/T - 123.73158 log T - 6.996455e-5 T²``, within 0.005 of the
    IAPWS formulation from 0 to 50 °C.

    References
    ----------
    phreeqc_3
    """
    k = kelvin(temperature)
    log_kw = 293.29227 + 0.1360833 * k - 10576.913 / k - 123.73158 * np.log10(k) - 6.996455e-5 * k**2
    result: Array = np.power(10.0, log_kw)
    return result


def solubility_calcite_pb82(temperature: Number) -> Array:
    """Return the solubility product of calcite.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Solubility product at zero ionic strength; same shape. [mol²/kg²]

    Notes
    -----
    Four-term polynomial in T, fitted 0 to 90 °C.

    References
    ----------
    plummer_busenberg_1982
    """
    return _analytical(temperature, -171.9065, -0.077993, 2839.319, 71.595, 0.0)


def solubility_aragonite_pb82(temperature: Number) -> Array:
    """Return the solubility product of aragonite.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Solubility product at zero ionic strength; same shape. [mol²/kg²]

    Notes
    -----
    Four-term polynomial in T, fitted 0 to 90 °C.

    References
    ----------
    plummer_busenberg_1982
    """
    return _analytical(temperature, -171.9773, -0.077993, 2903.293, 71.595, 0.0)


def pk_ammonium_emerson_1975(temperature: Number) -> Array:
    """Return the acidity constant of ammonium as pK, in fresh water.

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
    ``0.09018 + 2729.92 / T``, fitted 0 to 50 °C; T is t + 273.15 here where the printed tables took t +
    273.2.

    References
    ----------
    emerson_1975
    """
    return 0.09018 + 2729.92 / kelvin(temperature)


def van_t_hoff(temperature: Number, log_k25: float, enthalpy: float) -> Array:
    """Return an equilibrium constant carried from 25 °C to another temperature by its reaction enthalpy.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    log_k25 : float
        Decimal logarithm of the constant at 25 °C. [-]
    enthalpy : float
        Reaction enthalpy. [kJ/mol]

    Returns
    -------
    Array
        Constant at the temperature; same shape. [as log_k25]

    Notes
    -----
    ``log K = log K25 - dH / (2.302585 R) (1/T - 1/298.15)``.

    References
    ----------
    phreeqc_3
    """
    slope = enthalpy / (2.302585093 * 8.314462618e-3)
    result: Array = np.power(10.0, log_k25 - slope * (1.0 / kelvin(temperature) - 1.0 / 298.15))
    return result


def dielectric_constant(temperature: Number) -> Array:
    """Return the relative permittivity of water.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Relative permittivity; same shape. [-]

    Notes
    -----
    ``87.740 - 0.40008 t + 9.398e-4 t² - 1.410e-6 t³``, 0 to 100 °C.

    References
    ----------
    malmberg_maryott_1956
    """
    t = as_array(temperature)
    return 87.740 - 0.40008 * t + 9.398e-4 * t**2 - 1.410e-6 * t**3


def debye_hueckel_a(temperature: Number) -> Array:
    """Return the Debye-Hückel slope for decimal logarithms.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Slope A; same shape. [kg^0.5/mol^0.5]

    Notes
    -----
    ``1.82483e6 sqrt(rho) (eps T)^-1.5`` with the density rho in g/mL; 0 to 50 °C.

    References
    ----------
    stumm_morgan_1996
    """
    rho = water_density(temperature) / 1000.0
    result: Array = (
        1.82483e6 * np.sqrt(rho) * np.power(dielectric_constant(temperature) * kelvin(temperature), -1.5)
    )
    return result


def debye_hueckel_b(temperature: Number) -> Array:
    """Return the Debye-Hückel parameter that goes with the size of an ion.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Parameter B; same shape. [kg^0.5/mol^0.5/Å]

    Notes
    -----
    ``50.2916 sqrt(rho) (eps T)^-0.5`` with the density rho in g/mL; 0 to 50 °C.

    References
    ----------
    stumm_morgan_1996
    """
    rho = water_density(temperature) / 1000.0
    result: Array = 50.2916 * np.sqrt(rho / (dielectric_constant(temperature) * kelvin(temperature)))
    return result


def davies_exponent(temperature: Number, ionic_strength: Number) -> Array:
    """Return -log10 of the activity coefficient of a monovalent ion after Davies.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    ionic_strength : Number
        Ionic strength. [mol/kg]

    Returns
    -------
    Array
        ``D``; the activity coefficient of charge z is ``10^(-z² D)``; broadcast shape. [-]

    Notes
    -----
    ``D = A (sqrt(I) / (1 + sqrt(I)) - 0.3 I)``, 0 to 50 °C, for I up to 0.1 (0.5 at a pinch).

    References
    ----------
    davies_1962
    """
    strength = as_array(ionic_strength)
    root = np.sqrt(strength)
    return debye_hueckel_a(temperature) * (root / (1.0 + root) - 0.3 * strength)


def neutral_activity_coefficient(ionic_strength: Number) -> Array:
    """Return the activity coefficient of a dissolved molecule without charge.

    Parameters
    ----------
    ionic_strength : Number
        Ionic strength. [mol/kg]

    Returns
    -------
    Array
        ``10^(0.1 I)``; same shape. [-]

    References
    ----------
    phreeqc_3
    """
    result: Array = np.power(10.0, 0.1 * as_array(ionic_strength))
    return result
