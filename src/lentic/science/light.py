"""Light from the lamp to the leaf, ultraviolet for the basking place, and the length of the day."""

import numpy as np

from lentic.science.arrays import Array, Number, as_array
from lentic.science.constants import AVOGADRO, LIGHT_SPEED, PLANCK

# Photons of 400 to 700 nm per light seen, µmol/s per klm, integrated over the CIE spectrum of each lamp type
# with the CIE 1924 luminosity function [cie_015]. The names are those of the CIE but for the plain words.
PHOTONS_PER_KILOLUMEN = {
    "A": 20.0, "D50": 17.8, "D65": 18.1, "FL2": 13.1, "FL7": 16.5, "FL11": 13.2,
    "LED-B1": 14.9, "LED-B5": 14.0, "LED-BH1": 13.7, "LED-RGB1": 16.5, "LED-V1": 18.9, "LED-V2": 17.7,
    "HP1": 11.7, "white LED": 14.4,
}  # fmt: skip


def photons_from_illuminance(illuminance: Number, factor: Number) -> Array:
    """Return the photon flux density under a lamp from a reading of illuminance.

    Parameters
    ----------
    illuminance : Number
        Illuminance. [lx]
    factor : Number
        Photons per light seen, of ``PHOTONS_PER_KILOLUMEN``. [µmol/s/klm]

    Returns
    -------
    Array
        Photon flux density from 400 to 700 nm; broadcast shape. [µmol/m²/s]

    Notes
    -----
    ``klx · factor``; not for lamps that look pink, whose lumens say little.

    References
    ----------
    cie_015
    """
    return as_array(illuminance) / 1000.0 * factor


def photons_per_kilolumen(wavelength: Array, power: Array, luminosity: Array) -> Array:
    """Return the photons per light seen of a spectrum.

    Parameters
    ----------
    wavelength : Array
        Equally spaced wavelengths. [nm]
    power : Array
        Spectral power at the wavelengths. [any]
    luminosity : Array
        Luminosity function at the wavelengths. [-]

    Returns
    -------
    Array
        Photons from 400 to 700 nm per kilolumen; no shape. [µmol/s/klm]

    Notes
    -----
    ``sum E l / (h c NA) over 400 to 700 nm`` by ``683.002 sum E V``, both by the trapezoidal rule.

    References
    ----------
    cie_015, codata_2018
    """
    inside = (wavelength >= 400.0) & (wavelength <= 700.0)
    photons = power * wavelength * 1e-9 / (PLANCK * LIGHT_SPEED * AVOGADRO) * 1e6
    seen = 683.002 * np.trapezoid(power * luminosity, wavelength)
    return as_array(np.trapezoid(photons[inside], wavelength[inside]) / seen * 1000.0)


def photons_from_watts(power: Number, factor: Number = 4.57) -> Array:
    """Return photons from the energy of photosynthetically active light.

    Parameters
    ----------
    power : Number
        Irradiance from 400 to 700 nm. [W/m²]
    factor  : Number
        Photons per energy, 4.57 for sun and sky. [µmol/J]

    Returns
    -------
    Array
        Photon flux density; broadcast shape. [µmol/m²/s]

    References
    ----------
    mccree_1972
    """
    return as_array(power) * factor


def daily_light(light: Number, hours: Number) -> Array:
    """Return the light of a day.

    Parameters
    ----------
    light : Number
        Mean photon flux density while the lamp is on. [µmol/m²/s]
    hours : Number
        Hours the lamp is on. [h]

    Returns
    -------
    Array
        Daily light; broadcast shape. [mol/m²/d]

    Notes
    -----
    ``0.0036 · light · hours``.

    References
    ----------
    definition
    """
    return 0.0036 * as_array(light) * hours


def point_ratio(near: Number, far: Number) -> Array:
    """Return how much weaker a small lamp is at another distance.

    Parameters
    ----------
    near : Number
        Distance of the known reading. [m]
    far : Number
        Other distance. [m]

    Returns
    -------
    Array
        Ratio of the light at ``far`` to that at ``near``; broadcast shape. [-]

    Notes
    -----
    Inverse square, for a distance of five lamp sizes and more.

    References
    ----------
    lambert_geometry
    """
    return (as_array(near) / far) ** 2


def tube_illuminance(flux: Number, length: Number, distance: Number) -> Array:
    """Return the illuminance below the middle of a diffuse tube without reflector.

    Parameters
    ----------
    flux : Number
        Luminous flux of the tube. [lm]
    length : Number
        Length of the tube. [m]
    distance : Number
        Distance straight below the middle. [m]

    Returns
    -------
    Array
        Illuminance; broadcast shape. [lx]

    Notes
    -----
    ``flux / (pi² L) (l / (d² + l²) + atan(l/d) / d)`` with l half the length.

    References
    ----------
    lambert_geometry
    """
    half, d = as_array(length) / 2.0, as_array(distance)
    result: Array = flux / (np.pi**2 * 2.0 * half) * (half / (d * d + half * half) + np.arctan(half / d) / d)
    return result


def panel_view_factor(length: Number, width: Number, distance: Number) -> Array:
    """Return the view factor of a diffuse panel from a point below its centre.

    Parameters
    ----------
    length : Number
        Length of the panel. [m]
    width : Number
        Width of the panel. [m]
    distance : Number
        Distance below the centre. [m]

    Returns
    -------
    Array
        View factor; the illuminance is ``flux / (length width)`` times this; broadcast shape. [-]

    Notes
    -----
    ``(2/pi)(X/sqrt(1 + X²) atan(Y/sqrt(1 + X²)) + Y/sqrt(1 + Y²) atan(X/sqrt(1 + Y²)))``, X and Y half sides
    over distance.

    References
    ----------
    lambert_geometry
    """
    x, y = as_array(length) / (2.0 * as_array(distance)), as_array(width) / (2.0 * as_array(distance))
    along, across = np.sqrt(1.0 + x * x), np.sqrt(1.0 + y * y)
    result: Array = 2.0 / np.pi * (x / along * np.arctan(y / along) + y / across * np.arctan(x / across))
    return result


def normal_reflection(index: Number = 1.333) -> Array:
    """Return the share of light reflected where it falls straight on water.

    Parameters
    ----------
    index  : Number
        Refractive index. [-]

    Returns
    -------
    Array
        Share from 0 to 1; same shape. [-]

    Notes
    -----
    ``((n - 1) / (n + 1))²``.

    References
    ----------
    fresnel
    """
    n = as_array(index)
    return ((n - 1.0) / (n + 1.0)) ** 2


def underwater_light(light: Number, attenuation: Number, depth: Number, transmission: Number = 1.0) -> Array:
    """Return the light at a depth.

    Parameters
    ----------
    light : Number
        Light above the water. [µmol/m²/s]
    attenuation : Number
        Attenuation coefficient of the water and what floats in it. [1/m]
    depth : Number
        Depth. [m]
    transmission  : Number
        Share a cover pane lets through. [-]

    Returns
    -------
    Array
        Photon flux density; broadcast shape. [µmol/m²/s]

    Notes
    -----
    ``I0 T (1 - R) exp(-K z)`` with R of `normal_reflection`.

    References
    ----------
    beer_lambert, fresnel
    """
    above = as_array(light) * transmission * (1.0 - normal_reflection())
    result: Array = above * np.exp(-as_array(attenuation) * depth)
    return result


def erythema_weight(wavelength: Number) -> Array:
    """Return the weight of a wavelength in the ultraviolet index.

    Parameters
    ----------
    wavelength : Number
        Wavelength, 250 to 400. [nm]

    Returns
    -------
    Array
        Weight, 1 to 298 nm and falling; same shape. [-]

    Notes
    -----
    ``1`` to 298, ``10^(0.094 (298 - l))`` to 328, ``10^(0.015 (140 - l))`` to 400; the text of 1987 had 139.

    References
    ----------
    iso_cie_17166
    """
    nm = as_array(wavelength)
    steep, flat = np.power(10.0, 0.094 * (298.0 - nm)), np.power(10.0, 0.015 * (140.0 - nm))
    return np.where(nm <= 298.0, 1.0, np.where(nm <= 328.0, steep, flat))


def ultraviolet_index(weighted: Number) -> Array:
    """Return the ultraviolet index of a weighted irradiance.

    Parameters
    ----------
    weighted : Number
        Irradiance weighted by `erythema_weight` and summed over the wavelengths. [W/m²]

    Returns
    -------
    Array
        Ultraviolet index; same shape. [-]

    Notes
    -----
    ``40 m²/W`` times the weighted irradiance.

    References
    ----------
    iso_cie_17166
    """
    return 40.0 * as_array(weighted)


def mesh_transmission(wire: Number, pitch: Number) -> Array:
    """Return the share of light a square mesh lets through straight on.

    Parameters
    ----------
    wire : Number
        Diameter of the wire. [mm]
    pitch : Number
        Distance from wire to wire. [mm]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``(1 - d/p)²``, less when the light falls aslant.

    References
    ----------
    lambert_geometry
    """
    return (1.0 - as_array(wire) / pitch) ** 2


def lamp_ageing(age: Number, half_life: Number) -> Array:
    """Return what is left of the output of a lamp.

    Parameters
    ----------
    age : Number
        Time the lamp was in use since the reading. [d]
    half_life : Number
        Time in which the output halves, learned from readings. [d]

    Returns
    -------
    Array
        Share; broadcast shape. [-]

    Notes
    -----
    ``2^(-t / half-life)``; visible light says nothing about ultraviolet.

    References
    ----------
    common_practice
    """
    result: Array = np.power(2.0, -as_array(age) / half_life)
    return result


def day_length_forsythe_1995(latitude: Number, day_of_year: Number) -> Array:
    """Return the length of the day outdoors, from first to last sun over the horizon.

    Parameters
    ----------
    latitude : Number
        Latitude, south negative. [°]
    day_of_year : Number
        1 on the first of January. [-]

    Returns
    -------
    Array
        Day length, 0 to 24; broadcast shape. [h]

    Notes
    -----
    ``24 - (24/pi) acos((sin 0.8333° + sin lat sin phi) / (cos lat cos phi))`` with ``phi = asin(0.39795 cos
    theta)``, ``theta = 0.2163108 + 2 atan(0.9671396 tan(0.00860 (J - 186)))``; within 0.1 h below 60°. The
    argument is held to [-1, 1]: midnight sun and polar night.

    References
    ----------
    forsythe_1995
    """
    theta = 0.2163108 + 2.0 * np.arctan(0.9671396 * np.tan(0.00860 * (as_array(day_of_year) - 186.0)))
    phi, lat = np.arcsin(0.39795 * np.cos(theta)), np.radians(as_array(latitude))
    height = (np.sin(np.radians(0.8333)) + np.sin(lat) * np.sin(phi)) / (np.cos(lat) * np.cos(phi))
    result: Array = 24.0 - 24.0 / np.pi * np.arccos(np.clip(height, -1.0, 1.0))
    return result
