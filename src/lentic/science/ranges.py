"""The ranges over which the relations were fitted, as data; a relation itself neither clamps nor warns."""

import numpy as np
import numpy.typing as npt

from lentic.science.arrays import Number, as_array

Range = tuple[float, float]
_CELSIUS_90: dict[str, Range] = {"temperature": (0.0, 90.0)}

# By module and function, then by argument, in its unit; the sources are those of the function.
FITTED: dict[str, dict[str, Range]] = {
    "aeration.transfer_at": {"temperature": (10.0, 30.0)},
    "ammonia.acute_criterion_salmonids_absent": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.acute_criterion_salmonids_present": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.acute_criterion_mussels_absent": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.acute_criterion_salmonids_only": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.chronic_criterion_mussels_absent": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.chronic_criterion_no_mussels_no_young": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.chronic_criterion": {"ph": (6.5, 9.0), "temperature": (0.0, 30.0)},
    "ammonia.pk_ammonium_anthonisen_1976": {"temperature": (0.0, 40.0)},
    "ammonia.unionised_share": {"temperature": (0.0, 50.0), "ionic_strength": (0.0, 0.1)},
    "conductivity.conductivity_at": {"temperature": (10.0, 30.0)},
    "disinfectant.copper_acute_criterion": {"hardness": (25.0, 400.0)},
    "disinfectant.lead_chronic_criterion": {"hardness": (25.0, 400.0)},
    "disinfectant.pk_hypochlorous_morris_1966": {"temperature": (5.0, 35.0)},
    "disinfectant.zinc_acute_criterion": {"hardness": (25.0, 400.0)},
    "equilibrium.davies_exponent": {"temperature": (0.0, 50.0), "ionic_strength": (0.0, 0.1)},
    "equilibrium.debye_hueckel_a": {"temperature": (0.0, 50.0)},
    "equilibrium.debye_hueckel_b": {"temperature": (0.0, 50.0)},
    "equilibrium.dielectric_constant": {"temperature": (0.0, 100.0)},
    "equilibrium.first_dissociation_pb82": _CELSIUS_90,
    "equilibrium.henry_carbon_dioxide_pb82": _CELSIUS_90,
    "equilibrium.ion_product_water": {"temperature": (0.0, 50.0)},
    "equilibrium.pk_ammonium_emerson_1975": {"temperature": (0.0, 50.0)},
    "equilibrium.second_dissociation_pb82": _CELSIUS_90,
    "equilibrium.solubility_aragonite_pb82": _CELSIUS_90,
    "equilibrium.solubility_calcite_pb82": _CELSIUS_90,
    "gas.oxygen_saturation": {"temperature": (0.0, 40.0), "salinity": (0.0, 40.0)},
    "gas.schmidt_carbon_dioxide_w14": {"temperature": (-2.0, 40.0)},
    "gas.schmidt_carbon_dioxide_w92": {"temperature": (0.0, 30.0)},
    "gas.schmidt_oxygen_w92": {"temperature": (0.0, 30.0)},
    "gas.standard_pressure": {"altitude": (0.0, 11_000.0)},
    "light.day_length_forsythe_1995": {"latitude": (-60.0, 60.0), "day_of_year": (1.0, 366.0)},
    "light.erythema_weight": {"wavelength": (250.0, 400.0)},
    "pairing.association_constants": _CELSIUS_90,
    "pairing.conditional_constants": {"temperature": (5.0, 35.0)},
    "properties.latent_heat": {"temperature": (10.0, 35.0)},
    "properties.saturation_vapour_pressure": {"temperature": (0.0, 200.0)},
    "properties.water_density": {"temperature": (0.0, 40.0)},
    "properties.water_viscosity": {"temperature": (0.0, 40.0)},
    "scale.calcite_growth_pwp78": {"temperature": (5.0, 48.0)},
    "temperature.eppley_growth": {"temperature": (2.0, 40.0)},
    "winter.resting_energy": {"temperature": (20.0, 30.0)},
}


def outside(relation: str, argument: str, value: Number) -> npt.NDArray[np.bool_]:
    """Return where a value lies outside the range over which a relation was fitted.

    Parameters
    ----------
    relation : str
        Key of ``FITTED``, module and function. [-]
    argument : str
        Name of the argument. [-]
    value : Number
        Value of the argument. [unit of the argument]

    Returns
    -------
    Array of bool
        True outside the range, whose ends are inside; same shape. [-]

    References
    ----------
    definition
    """
    low, high = FITTED[relation][argument]
    given = as_array(value)
    return np.asarray((given < low) | (given > high))
