"""The alkalinity balance, solved for the activity of H+ with a fixed number of branch-free sweeps."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.ions import Conditional


def solve_hydrogen(
    conditional: Conditional,
    dic: Number,
    alkalinity: Number,
    tan: Number,
    phosphate: Number,
    start: Number,
    sweeps: int,
) -> Array:
    """Solve the alkalinity balance for the activity of H+ by a fixed number of branch-free Newton sweeps.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]
    alkalinity : Number
        Titration alkalinity, ammonia and phosphate included. [eq/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]
    start : Number
        Activity of H+ to start from; the last one while following a tank, 1e-7 when nothing is known.
        [mol/kg]
    sweeps : int
        Newton sweeps: 2 from a start within 0.05 pH (error 5e-6), 16 from pH 7. [-]

    Returns
    -------
    Array
        Activity of H+; broadcast shape. [mol/kg]

    Notes
    -----
    ``Alk = DIC (K1 h + 2 K1 K2)/(h² + K1 h + K1 K2) + TAN KN/(KN + h) + P (KP h + 2 KP KPP)/(h² + KP h + KP
    KPP) + Kw/h - h/gH``. Newton in ln h; its step is bounded to 1.5 and taken by the (2,2) Padé form of exp,
    so h stays positive without a logarithm, a root or a branch.

    References
    ----------
    plummer_busenberg_1982, derived_newton
    """
    k1, kp = conditional.k1, conditional.kp
    k12, kpp = k1 * conditional.k2, kp * conditional.kpp
    h = as_array(start)
    for _ in range(sweeps):
        per_carbon = 1.0 / (h * (h + k1) + k12)
        per_ammonia = 1.0 / (conditional.kn + h)
        per_phosphate = 1.0 / (h * (h + kp) + kpp)
        carbon, phosphorus = dic * per_carbon, phosphate * per_phosphate
        ammonia = tan * conditional.kn * per_ammonia
        hydroxide, proton = conditional.kw / h, h * conditional.inverse_gamma_h
        excess = (
            carbon * (k1 * h + 2.0 * k12) + ammonia + phosphorus * (kp * h + 2.0 * kpp) + hydroxide - proton
            - alkalinity
        )  # fmt: skip
        slope = (
            carbon * per_carbon * h * (k1 * h * h + 4.0 * k12 * h + k1 * k12)
            + ammonia * h * per_ammonia
            + phosphorus * per_phosphate * h * (kp * h * h + 4.0 * kpp * h + kp * kpp)
            + hydroxide + proton
        )  # fmt: skip
        step: Array = np.minimum(np.maximum(excess / slope, -1.5), 1.5)
        square = step * step / 12.0
        h = h * (1.0 + 0.5 * step + square) / (1.0 - 0.5 * step + square)
    return h


def alkalinity_from_hydrogen(
    conditional: Conditional, hydrogen: Number, dic: Number, tan: Number, phosphate: Number
) -> Array:
    """Return the alkalinity of a water whose pH is known.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    hydrogen : Number
        Activity of H+. [mol/kg]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]

    Returns
    -------
    Array
        Titration alkalinity; broadcast shape. [eq/kg]

    Notes
    -----
    The balance of `solve_hydrogen`, read from right to left.

    References
    ----------
    plummer_busenberg_1982
    """
    c, h = conditional, as_array(hydrogen)
    return dic * carbonate_charge(c, h) + other_alkalinity(c, h, tan, phosphate)


def carbonate_charge(conditional: Conditional, hydrogen: Number) -> Array:
    """Return the alkalinity carried by each mole of inorganic carbon.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    hydrogen : Number
        Activity of H+. [mol/kg]

    Returns
    -------
    Array
        Charge per carbon, between 0 and 2; broadcast shape. [eq/mol]

    Notes
    -----
    ``(K1 h + 2 K1 K2) / (h² + K1 h + K1 K2)``.

    References
    ----------
    plummer_busenberg_1982
    """
    c, h = conditional, as_array(hydrogen)
    return (c.k1 * h + 2.0 * c.k1 * c.k2) / (h * (h + c.k1) + c.k1 * c.k2)


def other_alkalinity(conditional: Conditional, hydrogen: Number, tan: Number, phosphate: Number) -> Array:
    """Return the alkalinity that is not carbonate: ammonia, phosphate and hydroxide less H+.

    Parameters
    ----------
    conditional : Conditional
        Constants of the water. [mixed]
    hydrogen : Number
        Activity of H+. [mol/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]

    Returns
    -------
    Array
        Alkalinity without carbonate, may be negative; broadcast shape. [eq/kg]

    Notes
    -----
    ``TAN KN/(KN + h) + P (KP h + 2 KP KPP)/(h² + KP h + KP KPP) + Kw/h - h/gH``.

    References
    ----------
    plummer_busenberg_1982
    """
    c, h = conditional, as_array(hydrogen)
    return (
        tan * c.kn / (c.kn + h)
        + phosphate * (c.kp * h + 2.0 * c.kp * c.kpp) / (h * (h + c.kp) + c.kp * c.kpp)
        + c.kw / h
        - h * c.inverse_gamma_h
    )
