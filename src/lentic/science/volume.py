"""Volumes of tanks by their shape, what their contents displace, and what they weigh."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import STANDARD_GRAVITY
from lentic.science.properties import water_density

GLASS_DENSITY = 2500.0  # kg/m3 [en_572]
ACRYLIC_DENSITY = 1190.0  # kg/m3 [polymer_data_sheets]


def rectangle(length: Number, width: Number, height: Number) -> Array:
    """Return the volume of a rectangular tank.

    Parameters
    ----------
    length : Number
        Inside length. [m]
    width : Number
        Inside width. [m]
    height : Number
        Height of the water. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    References
    ----------
    geometry
    """
    return 1000.0 * as_array(length) * width * height


def bow_front(length: Number, width: Number, bow: Number, height: Number) -> Array:
    """Return the volume of a tank whose front is an arc.

    Parameters
    ----------
    length : Number
        Inside length. [m]
    width : Number
        Inside width at the sides. [m]
    bow : Number
        How far the arc stands out in the middle, above nought. [m]
    height : Number
        Height of the water. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    Notes
    -----
    ``(L W + r²/2 (theta - sin theta)) h`` with ``r = (L²/4 + s²) / (2 s)``; a bow deeper than half the length
    takes the greater arc.

    References
    ----------
    geometry
    """
    chord, rise = as_array(length), as_array(bow)
    radius = (chord**2 / 4.0 + rise**2) / (2.0 * rise)
    narrow = 2.0 * np.arcsin(chord / (2.0 * radius))
    angle = np.where(rise > radius, 2.0 * np.pi - narrow, narrow)
    result: Array = 1000.0 * height * (chord * width + radius**2 / 2.0 * (angle - np.sin(angle)))
    return result


def hexagon(side: Number, height: Number) -> Array:
    """Return the volume of a regular hexagonal tank.

    Parameters
    ----------
    side : Number
        Inside length of a side. [m]
    height : Number
        Height of the water. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    Notes
    -----
    ``(3/2) sqrt(3) a² h``.

    References
    ----------
    geometry
    """
    result: Array = 1500.0 * np.sqrt(3.0) * as_array(side) ** 2 * height
    return result


def cylinder(diameter: Number, height: Number) -> Array:
    """Return the volume of an upright cylinder.

    Parameters
    ----------
    diameter : Number
        Inside diameter. [m]
    height : Number
        Height of the water. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    References
    ----------
    geometry
    """
    return 250.0 * np.pi * as_array(diameter) ** 2 * height


def quarter_cylinder(radius: Number, height: Number) -> Array:
    """Return the volume of a corner tank, a quarter of a cylinder.

    Parameters
    ----------
    radius : Number
        Inside radius. [m]
    height : Number
        Height of the water. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    References
    ----------
    geometry
    """
    return 250.0 * np.pi * as_array(radius) ** 2 * height


def lying_cylinder(radius: Number, length: Number, depth: Number) -> Array:
    """Return the volume of water in a lying cylinder.

    Parameters
    ----------
    radius : Number
        Inside radius. [m]
    length : Number
        Inside length. [m]
    depth : Number
        Depth of the water, at most the diameter. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    Notes
    -----
    ``L (r² acos((r - h)/r) - (r - h) sqrt(2 r h - h²))``.

    References
    ----------
    geometry
    """
    r, h = as_array(radius), as_array(depth)
    segment = r * r * np.arccos((r - h) / r) - (r - h) * np.sqrt(2.0 * r * h - h * h)
    result: Array = 1000.0 * length * segment
    return result


def sloping_tub(bottom: Number, middle: Number, surface: Number, depth: Number) -> Array:
    """Return the volume of a tub with flat sloping walls.

    Parameters
    ----------
    bottom : Number
        Area at the bottom. [m²]
    middle : Number
        Area at half the depth. [m²]
    surface : Number
        Area of the water surface. [m²]
    depth : Number
        Depth of the water. [m]

    Returns
    -------
    Array
        Volume; broadcast shape. [L]

    Notes
    -----
    Simpson's rule ``h/6 (A0 + 4 Am + Ah)``, exact for flat walls.

    References
    ----------
    geometry
    """
    return 1000.0 * as_array(depth) / 6.0 * (as_array(bottom) + 4.0 * as_array(middle) + surface)


def substrate_displacement(area: Number, depth: Number, porosity: Number) -> Array:
    """Return the water a layer of substrate displaces.

    Parameters
    ----------
    area : Number
        Area of the layer. [m²]
    depth : Number
        Depth of the layer. [m]
    porosity : Number
        Share of pores, 0.35 to 0.45 for gravel. [-]

    Returns
    -------
    Array
        Water displaced; broadcast shape. [L]

    Notes
    -----
    ``(1 - porosity) A d``.

    References
    ----------
    geometry
    """
    return 1000.0 * (1.0 - as_array(porosity)) * area * depth


def body_displacement(mass: Number, density: Number = 1000.0, submerged: Number = 1.0) -> Array:
    """Return the water a body displaces.

    Parameters
    ----------
    mass : Number
        Mass. [kg]
    density  : Number
        Density: rock 2650, a hovering animal 1000. [kg/m³]
    submerged  : Number
        Share under water. [-]

    Returns
    -------
    Array
        Water displaced; broadcast shape. [L]

    Notes
    -----
    ``m / rho``; an animal that floats or hovers displaces its whole mass.

    References
    ----------
    archimedes
    """
    return 1000.0 * as_array(mass) * submerged / density


def pane_mass(
    length: Number, width: Number, height: Number, thickness: Number, density: Number = 2500.0
) -> Array:
    """Return the mass of the panes of a rectangular tank without a lid.

    Parameters
    ----------
    length : Number
        Length. [m]
    width : Number
        Width. [m]
    height : Number
        Height of the panes. [m]
    thickness : Number
        Thickness of all panes. [m]
    density  : Number
        Density of the panes. [kg/m³]

    Returns
    -------
    Array
        Mass; broadcast shape. [kg]

    Notes
    -----
    ``(2 L H + 2 W H + L W) t rho``, corners counted twice.

    References
    ----------
    en_572
    """
    long, wide, tall = as_array(length), as_array(width), as_array(height)
    return (2.0 * long * tall + 2.0 * wide * tall + long * wide) * thickness * density


def water_mass(volume: Number, temperature: Number) -> Array:
    """Return the mass of a volume of water.

    Parameters
    ----------
    volume : Number
        Volume. [L]
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        Mass; broadcast shape. [kg]

    References
    ----------
    tanaka_2001
    """
    return as_array(volume) / 1000.0 * water_density(temperature)


def floor_load(mass: Number, area: Number) -> Array:
    """Return the load a tank puts on its footprint.

    Parameters
    ----------
    mass : Number
        Mass of everything on it. [kg]
    area : Number
        Footprint. [m²]

    Returns
    -------
    Array
        Mean load; broadcast shape. [kN/m²]

    Notes
    -----
    ``m g / A / 1000``. A floor of joists sees a line, not this mean: a question for an engineer.

    References
    ----------
    definition
    """
    return as_array(mass) * STANDARD_GRAVITY / area / 1000.0
