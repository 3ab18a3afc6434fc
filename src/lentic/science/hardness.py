"""Units of hardness through milliequivalents per litre, and of nutrients through the element."""

from lentic.science import constants as m
from lentic.science.arrays import Array, Number, as_array

# Milliequivalents per litre in one of each unit; each is a definition by mass of lime [hardness_units].
HARDNESS_UNITS = {
    "meq/L": 1.0,
    "mmol/L": 2.0,
    "mg/L CaCO3": 2.0 / m.CALCIUM_CARBONATE,
    "°dH": 20.0 / m.CALCIUM_OXIDE,
    "°fH": 20.0 / m.CALCIUM_CARBONATE,
    "°e": 2.0 * m.GRAIN / m.IMPERIAL_GALLON / m.CALCIUM_CARBONATE,
    "gr/gal": 2.0 * m.GRAIN / m.US_GALLON / m.CALCIUM_CARBONATE,
}


def hardness_in_meq(value: Number, unit: str) -> Array:
    """Return a hardness or alkalinity in milliequivalents per litre.

    Parameters
    ----------
    value : Number
        Amount in the named unit. [unit]
    unit : str
        One of the keys of ``HARDNESS_UNITS``. [-]

    Returns
    -------
    Array
        Hardness or alkalinity; same shape. [meq/L]

    Notes
    -----
    German degree 10 mg/L CaO, French degree 10 mg/L CaCO3, English degree one grain of CaCO3 per imperial
    gallon, the grain per US gallon likewise.

    References
    ----------
    hardness_units
    """
    return as_array(value) * HARDNESS_UNITS[unit]


def hardness_from_meq(value: Number, unit: str) -> Array:
    """Return milliequivalents per litre in another unit of hardness or alkalinity.

    Parameters
    ----------
    value : Number
        Hardness or alkalinity. [meq/L]
    unit : str
        One of the keys of ``HARDNESS_UNITS``. [-]

    Returns
    -------
    Array
        Amount in the named unit; same shape. [unit]

    Notes
    -----
    The inverse of `hardness_in_meq`.

    References
    ----------
    hardness_units
    """
    return as_array(value) / HARDNESS_UNITS[unit]


def hardness_from_ions(calcium: Number, magnesium: Number) -> Array:
    """Return the total hardness of a water of known calcium and magnesium.

    Parameters
    ----------
    calcium : Number
        Calcium. [mg/L]
    magnesium : Number
        Magnesium. [mg/L]

    Returns
    -------
    Array
        Total hardness; broadcast shape. [meq/L]

    Notes
    -----
    ``2 Ca / 40.078 + 2 Mg / 24.305``.

    References
    ----------
    hardness_units, iupac_atomic_weights
    """
    return 2.0 * as_array(calcium) / m.CALCIUM + 2.0 * as_array(magnesium) / m.MAGNESIUM


def calcium_for_hardness(hardness: Number) -> Array:
    """Return the calcium of a hardness that is all calcium.

    Parameters
    ----------
    hardness : Number
        Hardness. [meq/L]

    Returns
    -------
    Array
        Calcium; same shape. [mg/L]

    References
    ----------
    hardness_units, iupac_atomic_weights
    """
    return as_array(hardness) * m.CALCIUM / 2.0


def magnesium_for_hardness(hardness: Number) -> Array:
    """Return the magnesium of a hardness that is all magnesium.

    Parameters
    ----------
    hardness : Number
        Hardness. [meq/L]

    Returns
    -------
    Array
        Magnesium; same shape. [mg/L]

    References
    ----------
    hardness_units, iupac_atomic_weights
    """
    return as_array(hardness) * m.MAGNESIUM / 2.0


def bicarbonate_dose(rise: Number, volume: Number) -> Array:
    """Return the sodium bicarbonate that raises the alkalinity of a tank.

    Parameters
    ----------
    rise : Number
        Wanted rise of the alkalinity. [meq/L]
    volume : Number
        Volume of the water. [L]

    Returns
    -------
    Array
        Sodium bicarbonate; broadcast shape. [g]

    Notes
    -----
    ``84.006 g/mol · rise · volume / 1000``.

    References
    ----------
    mass_balance, iupac_atomic_weights
    """
    return m.SODIUM_BICARBONATE * as_array(rise) * volume / 1000.0


def nitrate_from_nitrogen(nitrogen: Number) -> Array:
    """Return nitrate as the ion from nitrate as nitrogen.

    Parameters
    ----------
    nitrogen : Number
        Nitrate nitrogen. [mg/L]

    Returns
    -------
    Array
        Nitrate as NO3; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(nitrogen) * m.NITRATE / m.NITROGEN


def nitrogen_from_nitrate(nitrate: Number) -> Array:
    """Return nitrate as nitrogen from nitrate as the ion.

    Parameters
    ----------
    nitrate : Number
        Nitrate as NO3. [mg/L]

    Returns
    -------
    Array
        Nitrate nitrogen; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(nitrate) * m.NITROGEN / m.NITRATE


def nitrite_from_nitrogen(nitrogen: Number) -> Array:
    """Return nitrite as the ion from nitrite as nitrogen.

    Parameters
    ----------
    nitrogen : Number
        Nitrite nitrogen. [mg/L]

    Returns
    -------
    Array
        Nitrite as NO2; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(nitrogen) * m.NITRITE / m.NITROGEN


def nitrogen_from_nitrite(nitrite: Number) -> Array:
    """Return nitrite as nitrogen from nitrite as the ion.

    Parameters
    ----------
    nitrite : Number
        Nitrite as NO2. [mg/L]

    Returns
    -------
    Array
        Nitrite nitrogen; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(nitrite) * m.NITROGEN / m.NITRITE


def ammonium_from_nitrogen(nitrogen: Number) -> Array:
    """Return total ammonia as the ammonium ion from total ammonia as nitrogen.

    Parameters
    ----------
    nitrogen : Number
        Total ammonia nitrogen. [mg/L]

    Returns
    -------
    Array
        Total ammonia as NH4; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(nitrogen) * m.AMMONIUM / m.NITROGEN


def nitrogen_from_ammonium(ammonium: Number) -> Array:
    """Return total ammonia as nitrogen from total ammonia as the ammonium ion.

    Parameters
    ----------
    ammonium : Number
        Total ammonia as NH4. [mg/L]

    Returns
    -------
    Array
        Total ammonia nitrogen; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(ammonium) * m.NITROGEN / m.AMMONIUM


def phosphate_from_phosphorus(phosphorus: Number) -> Array:
    """Return phosphate as the ion from phosphate as phosphorus.

    Parameters
    ----------
    phosphorus : Number
        Phosphate phosphorus. [mg/L]

    Returns
    -------
    Array
        Phosphate as PO4; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(phosphorus) * m.PHOSPHATE / m.PHOSPHORUS


def phosphorus_from_phosphate(phosphate: Number) -> Array:
    """Return phosphate as phosphorus from phosphate as the ion.

    Parameters
    ----------
    phosphate : Number
        Phosphate as PO4. [mg/L]

    Returns
    -------
    Array
        Phosphate phosphorus; same shape. [mg/L]

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(phosphate) * m.PHOSPHORUS / m.PHOSPHATE
