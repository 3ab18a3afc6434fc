"""Stress and bending of a pane under water: a check of a tank that stands, never a licence to build one."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import STANDARD_GRAVITY

GLASS_MODULUS = 70e9  # Pa [en_572]
GLASS_POISSON, ACRYLIC_POISSON = 0.22, 0.37  # [en_572], [polymer_data_sheets]
CORNER_RATIO = 2.25  # length per height above which the corner twist of an unbraced pane governs [levy_series]

# Coefficients over the ratio of pane length to water height; water to the rim, sides and bottom simply
# supported, summed from the exact series for a thin plate and compared with finite elements [levy_series].
_RATIO = (0.5, 0.75, 1.0, 1.25, 1.5, 1.75, 2.0, 2.5, 3.0, 4.0)
_STRESS = {
    ("glass", False): (0.084, 0.138, 0.197, 0.278, 0.351, 0.411, 0.458, 0.554, 0.680, 0.930),
    ("glass", True): (0.082, 0.121, 0.154, 0.207, 0.251, 0.287, 0.313, 0.348, 0.366, 0.380),
    ("acrylic", False): (0.087, 0.145, 0.206, 0.284, 0.363, 0.430, 0.485, 0.565, 0.679, 0.928),
    ("acrylic", True): (0.086, 0.130, 0.169, 0.221, 0.263, 0.296, 0.321, 0.352, 0.368, 0.381),
}
_DEFLECTION = {
    ("glass", False): (0.0040, 0.0147, 0.0399, 0.0898, 0.165, 0.264, 0.389, 0.706, 1.11, 2.17),
    ("glass", True): (0.0039, 0.0123, 0.0235, 0.0346, 0.0443, 0.0520, 0.0580, 0.0658, 0.0700, 0.0733),
    ("acrylic", False): (0.0036, 0.0134, 0.0403, 0.0918, 0.170, 0.277, 0.411, 0.758, 1.21, 2.38),
    ("acrylic", True): (0.0035, 0.0111, 0.0213, 0.0314, 0.0402, 0.0472, 0.0526, 0.0597, 0.0635, 0.0665),
}
# Bottom pane on its four edges under even pressure, glass, over length per width [levy_series].
_BOTTOM_RATIO = (1.0, 1.5, 2.0, 3.0)
_BOTTOM_STRESS = (0.270, 0.474, 0.602, 0.711)


def _between(ratio: Number, nodes: tuple[float, ...], values: tuple[float, ...]) -> Array:
    """Interpolate, with not-a-number outside the table rather than its last value."""
    return as_array(np.interp(as_array(ratio), nodes, values, left=np.nan, right=np.nan))


def stress_coefficient(ratio: Number, material: str, braced: bool) -> Array:
    """Return the stress coefficient of a side pane.

    Parameters
    ----------
    ratio : Number
        Pane length over water height, 0.5 to 4; not a number beyond. [-]
    material : str
        ``glass`` or ``acrylic``. [-]
    braced : bool
        Whether a rim or brace holds the upper edge. [-]

    Returns
    -------
    Array
        Coefficient beta of the greatest principal stress, corner twist included; same shape. [-]

    Notes
    -----
    ``sigma = beta rho g H³ / t²``; straight lines between ten nodes, within 4 % of the series between them.

    References
    ----------
    levy_series, timoshenko_1959
    """
    return _between(ratio, _RATIO, _STRESS[material, braced])


def deflection_coefficient(ratio: Number, material: str, braced: bool) -> Array:
    """Return the deflection coefficient of a side pane.

    Parameters
    ----------
    ratio : Number
        Pane length over water height, 0.5 to 4; not a number beyond. [-]
    material : str
        ``glass`` or ``acrylic``. [-]
    braced : bool
        Whether a rim or brace holds the upper edge. [-]

    Returns
    -------
    Array
        Coefficient alpha of the greatest deflection; same shape. [-]

    Notes
    -----
    ``w = alpha rho g H⁵ / (E t³)``, valid while w stays below half the thickness.

    References
    ----------
    levy_series, timoshenko_1959
    """
    return _between(ratio, _RATIO, _DEFLECTION[material, braced])


def bottom_coefficient(ratio: Number) -> Array:
    """Return the stress coefficient of a glass bottom that rests on its edges only.

    Parameters
    ----------
    ratio : Number
        Longer over shorter side, 1 to 3; not a number beyond. [-]

    Returns
    -------
    Array
        Coefficient beta on the shorter side; same shape. [-]

    Notes
    -----
    ``sigma = beta rho g H W² / t²``.

    References
    ----------
    levy_series, roark_2002
    """
    return _between(ratio, _BOTTOM_RATIO, _BOTTOM_STRESS)


def pane_stress(coefficient: Number, height: Number, thickness: Number, density: Number = 998.0) -> Array:
    """Return the greatest stress of a side pane under water to its rim.

    Parameters
    ----------
    coefficient : Number
        Of `stress_coefficient`. [-]
    height : Number
        Height of the water. [m]
    thickness : Number
        Thickness of the pane. [m]
    density : Number
        Density of the water. [kg/m³]

    Returns
    -------
    Array
        Stress; broadcast shape. [Pa]

    Notes
    -----
    ``beta rho g H³ / t²``.

    References
    ----------
    timoshenko_1959
    """
    return coefficient * as_array(density) * STANDARD_GRAVITY * as_array(height) ** 3 / as_array(thickness) ** 2


def pane_deflection(
    coefficient: Number,
    height: Number,
    thickness: Number,
    modulus: Number = GLASS_MODULUS,
    density: Number = 998.0,
) -> Array:
    """Return the greatest deflection of a side pane under water to its rim.

    Parameters
    ----------
    coefficient : Number
        Of `deflection_coefficient`. [-]
    height : Number
        Height of the water. [m]
    thickness : Number
        Thickness of the pane. [m]
    modulus : Number
        Young's modulus of the pane. [Pa]
    density : Number
        Density of the water. [kg/m³]

    Returns
    -------
    Array
        Deflection; broadcast shape. [m]

    Notes
    -----
    ``alpha rho g H⁵ / (E t³)``.

    References
    ----------
    timoshenko_1959
    """
    load = coefficient * as_array(density) * STANDARD_GRAVITY * as_array(height) ** 5
    return load / (as_array(modulus) * as_array(thickness) ** 3)


def pane_thickness(coefficient: Number, height: Number, allowable: Number, density: Number = 998.0) -> Array:
    """Return the thickness at which a side pane just reaches an allowable stress.

    Parameters
    ----------
    coefficient : Number
        Of `stress_coefficient`. [-]
    height : Number
        Height of the water. [m]
    allowable : Number
        Allowable stress. [Pa]
    density : Number
        Density of the water. [kg/m³]

    Returns
    -------
    Array
        Thickness; broadcast shape. [m]

    Notes
    -----
    ``H sqrt(beta rho g H / sigma)``, the inverse of `pane_stress`.

    References
    ----------
    timoshenko_1959
    """
    load = coefficient * as_array(density) * STANDARD_GRAVITY * as_array(height)
    result: Array = height * np.sqrt(load / as_array(allowable))
    return result


def partly_filled_coefficient(length: float, pane: float, water: float, poisson: float = GLASS_POISSON) -> Array:
    """Return the stress coefficient of a side pane that is held on all four edges and stands higher than the water.

    Parameters
    ----------
    length : float
        Length of the pane. [m]
    pane : float
        Height of the pane, from the bottom to the rim or brace that holds it. [m]
    water : float
        Height of the water, at most that of the pane. [m]
    poisson : float
        Poisson's ratio. [-]

    Returns
    -------
    Array
        Coefficient beta on the height of the water, for `pane_stress`; no shape. [-]

    Notes
    -----
    Navier's double series for four simply supported edges under ``rho g (H - y)`` up to the water line. With the water
    at the rim it is that of `stress_coefficient`; below the rim it is larger, because the pane spans farther than the
    water stands.

    References
    ----------
    timoshenko_1959
    """
    a = np.arange(1, 42, 2) * np.pi / length
    k = np.arange(1, 81) * np.pi / pane
    load = np.outer(4.0 / (a * length), 2.0 / pane * (water / k - np.sin(k * water) / k**2))
    bent = load / (a[:, None] ** 2 + k[None, :] ** 2) ** 2
    x, y = np.linspace(0.0, length, 41), np.linspace(0.0, pane, 81)
    along, up = np.outer(x, a), np.outer(k, y)
    in_x = np.sin(along) @ (bent * a[:, None] ** 2) @ np.sin(up)
    in_y = np.sin(along) @ (bent * k[None, :] ** 2) @ np.sin(up)
    twist = (1.0 - poisson) * np.cos(along) @ (bent * np.outer(a, k)) @ np.cos(up)
    mx, my = in_x + poisson * in_y, in_y + poisson * in_x
    principal = (mx + my) / 2.0 + np.hypot((mx - my) / 2.0, twist)
    return as_array(6.0 * principal.max() / water**3)
