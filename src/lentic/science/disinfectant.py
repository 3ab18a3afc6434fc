"""Chlorine and chloramine of tap water: what neutralises them and how they fade; and metals."""

import numpy as np

from lentic.science import constants as m
from lentic.science.arrays import Array, Number, as_array
from lentic.science.properties import kelvin


def thiosulfate_per_chlorine(
    chlorine: Number,
    thiosulfate_per_molecule: Number = 2.0,
    molar_mass: float = m.SODIUM_THIOSULFATE_PENTAHYDRATE,
) -> Array:
    """Return the sodium thiosulfate that takes up a given mass of chlorine.

    Parameters
    ----------
    chlorine : Number
        Chlorine, or chloramine expressed as chlorine. [mg]
    thiosulfate_per_molecule  : Number
        Thiosulfate per Cl2: 2 to tetrathionate, 1 to sulfate and sulfur, 0.25 to sulfate. [mol/mol]
    molar_mass : float
        Of the salt that is weighed. [g/mol]

    Returns
    -------
    Array
        Salt; broadcast shape. [mg]

    Notes
    -----
    ``2 S2O3 + Cl2 = S4O6 + 2 Cl`` near neutral with thiosulfate in excess, the reaction to dose for: 7.0 mg
    of the pentahydrate per mg. Real water lies between 2 and 1.

    References
    ----------
    thiosulfate_support_page, iupac_atomic_weights
    """
    return as_array(chlorine) * thiosulfate_per_molecule * molar_mass / m.CHLORINE_GAS


def thiosulfate_dose(volume: Number, chlorine: Number, safety: Number = 1.5) -> Array:
    """Return the thiosulfate pentahydrate for a volume of new tap water.

    Parameters
    ----------
    volume : Number
        New water, or the whole tank when the hose runs straight into it. [L]
    chlorine : Number
        Total chlorine as Cl2. [mg/L]
    safety  : Number
        Factor for what is not known of the supply. [-]

    Returns
    -------
    Array
        Sodium thiosulfate pentahydrate; broadcast shape. [g]

    Notes
    -----
    ``7.00 C V safety / 1000``.

    References
    ----------
    thiosulfate_support_page, iupac_atomic_weights
    """
    return thiosulfate_per_chlorine(as_array(chlorine) * volume) * safety / 1000.0


def ammonia_from_chloramine(chlorine: Number) -> Array:
    """Return the ammonia nitrogen set free when monochloramine is reduced.

    Parameters
    ----------
    chlorine : Number
        Monochloramine as Cl2. [mg/L]

    Returns
    -------
    Array
        Ammonia nitrogen; same shape. [mg N/L]

    Notes
    -----
    One to one by mole: 0.1975 mg N per mg Cl2.

    References
    ----------
    iupac_atomic_weights
    """
    return as_array(chlorine) * m.NITROGEN / m.CHLORINE_GAS


def ammonia_of_chloraminated_supply(chlorine: Number, ratio: Number = 4.0) -> Array:
    """Return the total ammonia nitrogen of a supply that is kept at a ratio of chlorine to nitrogen.

    Parameters
    ----------
    chlorine : Number
        Total chlorine as Cl2. [mg/L]
    ratio  : Number
        Chlorine per ammonia nitrogen by mass, 3 to 5 in practice. [-]

    Returns
    -------
    Array
        Total ammonia nitrogen; broadcast shape. [mg N/L]

    Notes
    -----
    ``C / ratio``.

    References
    ----------
    awwa_m20
    """
    return as_array(chlorine) / ratio


def left_after(hours: Number, half_life: Number) -> Array:
    """Return the share left after a time of first-order decay.

    Parameters
    ----------
    hours : Number
        Time. [h]
    half_life : Number
        Half-life. [h]

    Returns
    -------
    Array
        Share from 0 to 1; broadcast shape. [-]

    Notes
    -----
    ``2^(-t / half-life)``. Half-lives of chlorine belong to one water and one bucket.

    References
    ----------
    definition
    """
    result: Array = np.power(2.0, -as_array(hours) / half_life)
    return result


def pk_hypochlorous_morris_1966(temperature: Number) -> Array:
    """Return the acidity constant of hypochlorous acid as pK.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    Array
        pK; same shape. [-]

    Notes
    -----
    ``3000/T - 10.0686 + 0.0253 T``, 5 to 35 °C.

    References
    ----------
    morris_1966
    """
    k = kelvin(temperature)
    return 3000.0 / k - 10.0686 + 0.0253 * k


def copper_acute_criterion(hardness: Number) -> Array:
    """Return the acute criterion of the United States for dissolved copper, by hardness.

    Parameters
    ----------
    hardness : Number
        Total hardness. [mg/L CaCO3]

    Returns
    -------
    Array
        Dissolved copper; same shape. [µg/L]

    Notes
    -----
    ``0.960 exp(0.9422 ln H - 1.700)``, 25 to 400 mg/L.

    References
    ----------
    epa_hardness_metals
    """
    result: Array = 0.960 * np.exp(0.9422 * np.log(as_array(hardness)) - 1.700)
    return result


def zinc_acute_criterion(hardness: Number) -> Array:
    """Return the acute criterion of the United States for dissolved zinc, by hardness.

    Parameters
    ----------
    hardness : Number
        Total hardness. [mg/L CaCO3]

    Returns
    -------
    Array
        Dissolved zinc; same shape. [µg/L]

    Notes
    -----
    ``0.978 exp(0.8473 ln H + 0.884)``, 25 to 400 mg/L.

    References
    ----------
    epa_hardness_metals
    """
    result: Array = 0.978 * np.exp(0.8473 * np.log(as_array(hardness)) + 0.884)
    return result


def lead_chronic_criterion(hardness: Number) -> Array:
    """Return the chronic criterion of the United States for dissolved lead, by hardness.

    Parameters
    ----------
    hardness : Number
        Total hardness. [mg/L CaCO3]

    Returns
    -------
    Array
        Dissolved lead; same shape. [µg/L]

    Notes
    -----
    ``(1.46203 - 0.145712 ln H) exp(1.273 ln H - 4.705)``, 25 to 400 mg/L.

    References
    ----------
    epa_hardness_metals
    """
    log_hardness = np.log(as_array(hardness))
    result: Array = (1.46203 - 0.145712 * log_hardness) * np.exp(1.273 * log_hardness - 4.705)
    return result
