"""Water, heat, light, acid-base balance, gas exchange and lime.

Reads: temperature, volume, oxygen, carbon, alkalinity, ammonium, phosphate, plants and floating algae
(shade); drivers lamp, flow, room_temperature, sun. Writes: temperature, volume, oxygen, carbon, alkalinity,
lime and the air accounts. Parameters: groups "heat", "water", "gas" and "light" of
``lentic.model.parameters``. Sources: stated at each row.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from lentic.engine.table import Auxiliary, Implicit, Process
from lentic.science.constants import CARBON, NITROGEN, PHOSPHORUS
from lentic.science.gas import oxygen_saturation

CONSTANTS = {
    "k1": ("mol/L", "first dissociation of carbonic acid, conditional"),
    "k12": ("mol2/L2", "product of both dissociations of carbonic acid, conditional"),
    "kw": ("mol2/L2", "ion product of water, conditional"),
    "kn": ("mol/L", "dissociation of ammonium, conditional"),
    "kp": ("mol/L", "second dissociation of phosphoric acid, conditional"),
    "kpp": ("mol2/L2", "product of second and third dissociation of phosphoric acid, conditional"),
    "kh": ("mol/L/atm", "solubility of carbon dioxide"),
    "ks": ("mol2/L2", "solubility product of calcite, conditional"),
}
"""Equilibrium constants the table needs, each exp(a + b T + c T^2) with T in °C."""

_RESIDUAL = (
    "balance_carbon*(k1*hydrogen + 2.0*k12) + balance_ammonia"
    " + balance_phosphate*(kp*hydrogen + 2.0*kpp) + balance_oh - balance_h - balance_total"
)


def _slope(carbon: str, share_c: str, ammonia: str, share_n: str, phosphate: str, share_p: str) -> str:
    return (
        f"{carbon}*{share_c}*hydrogen*(k1*hydrogen*hydrogen + 4.0*k12*hydrogen + k1*k12)"
        f" + {ammonia}*hydrogen*{share_n}"
        f" + {phosphate}*{share_p}*hydrogen*(kp*hydrogen*hydrogen + 4.0*kpp*hydrogen + kp*kpp)"
    )


_MOLAR = {
    "carbon": f"carbon*per_m3*{0.001 / CARBON!r}",
    "ammonium": f"ammonium*per_m3*{0.001 / NITROGEN!r}",
    "phosphate": f"phosphate*per_m3*{0.001 / PHOSPHORUS!r}",
    "alkalinity": "0.001*alkalinity*per_m3",
}
_BALANCE = (
    ("balance_c", "1.0/(hydrogen*(hydrogen + k1) + k12)"),
    ("balance_carbon", f"{_MOLAR['carbon']}*balance_c"),
    ("balance_n", "1.0/(kn + hydrogen)"),
    ("balance_ammonia", f"{_MOLAR['ammonium']}*kn*balance_n"),
    ("balance_p", "1.0/(hydrogen*(hydrogen + kp) + kpp)"),
    ("balance_phosphate", f"{_MOLAR['phosphate']}*balance_p"),
    ("balance_oh", "kw/hydrogen"),
    ("balance_h", "hydrogen*inverse_gamma_h"),
    ("balance_total", _MOLAR["alkalinity"]),
)

HYDROGEN = Implicit(
    name="hydrogen",
    unit="mol/L",
    meaning="activity of the hydrogen ion, what a pH electrode shows",
    start=1e-8,
    preparation=_BALANCE,
    residual=_RESIDUAL,
    slope=_slope(
        "balance_carbon", "balance_c", "balance_ammonia", "balance_n", "balance_phosphate", "balance_p"
    )
    + " + balance_oh + balance_h",
)
"""The alkalinity balance over carbonate, ammonia, phosphate and water, solved for the hydrogen ion."""


def _saturation_expression() -> str:
    # a cubic in temperature under one exp costs a quarter of the four quotients of the published form
    grid = np.linspace(2.0, 40.0, 381)
    c3, c2, c1, c0 = np.polyfit(grid, np.log(oxygen_saturation(grid)), 3).tolist()
    cubic = f"{c0!r} + temperature*({c1!r} + temperature*({c2!r} + temperature*{c3!r}))"
    return f"pressure_factor*exp({cubic})"


def _quadratic(name: str) -> str:
    return f"exp(ln_{name}_a + temperature*(ln_{name}_b + temperature*ln_{name}_c))"


def water_auxiliaries() -> tuple[Auxiliary, ...]:
    """Everything that depends on temperature and volume, and what the balance of acids needs.

    Returns
    -------
    tuple of Auxiliary
        Equilibrium constants, warmth factors and concentrations.
    """
    warmth = "exp({}*(temperature - 20.0))"
    return (
        *(Auxiliary(name=k, expression=_quadratic(k), unit=u, meaning=m) for k, (u, m) in CONSTANTS.items()),
        _aux("per_m3", "1.0/volume", "1/m3", "inverse of the volume"),
        _aux("warmth", warmth.format("warming"), "-", "speed of rotting and decay against 20 °C"),
        _aux("gas_warmth", warmth.format("gas_warming"), "-", "speed of gas exchange against 20 °C"),
        _aux("oxygen_full", _saturation_expression(), "g/m3", "oxygen in equilibrium with air"),
        *(
            _aux(f"{name}_mg_l", f"maximum({name}, 0.0)*per_m3", "g/m3", f"concentration of {name}")
            for name in ("oxygen", "ammonium", "nitrite", "nitrate", "phosphate")
        ),
        _aux(
            "alkalinity_eq_m3", "maximum(alkalinity, 0.0)*per_m3", "eq/m3", "alkalinity that bacteria can use"
        ),
        *(
            _aux(f"{name}_mol", _MOLAR[name], "mol/L", f"concentration of {name}")
            for name in ("carbon", "ammonium", "phosphate")
        ),
    )


def acid_auxiliaries() -> tuple[Auxiliary, ...]:
    """What follows from the solved hydrogen activity: forms of carbon, gas exchange and how stiff it is.

    Returns
    -------
    tuple of Auxiliary
        Carbon forms [g C/m3] and, per unit of carbon at fixed alkalinity, the change of each.

    Notes
    -----
    With F(h, D) = 0 the balance and S = -dF/d ln h: d ln h/dD = charge/S, where charge = (K1 h + 2 K12)/(h2 +
    K1 h + K12) is the alkalinity per carbon; d CO2/dD = share h^2 (1 + D charge^2/S); d ln HCO3/d ln h = (K12
    - h^2) share.
    """
    gram = 1000.0 * CARBON
    slope = _slope(
        "carbon_mol*carbon_share",
        "carbon_share",
        "ammonium_mol*kn*ammonium_share",
        "ammonium_share",
        "phosphate_mol*phosphate_share",
        "phosphate_share",
    )
    return (
        _aux("carbon_share", "1.0/(hydrogen*(hydrogen + k1) + k12)", "L2/mol2", "one over the carbonate sum"),
        _aux("per_hydrogen", "1.0/hydrogen", "L/mol", "inverse of the hydrogen activity"),
        _aux("ammonium_share", "1.0/(kn + hydrogen)", "L/mol", "one over the ammonia sum"),
        _aux(
            "phosphate_share", "1.0/(hydrogen*(hydrogen + kp) + kpp)", "L2/mol2", "one over the phosphate sum"
        ),
        _aux("co2", f"{gram!r}*carbon_mol*hydrogen*hydrogen*carbon_share", "g C/m3", "free carbon dioxide"),
        _aux("bicarbonate", f"{gram!r}*carbon_mol*k1*hydrogen*carbon_share", "g C/m3", "bicarbonate"),
        _aux("carbonate_mol", "carbon_mol*k12*carbon_share", "mol/L", "carbonate"),
        _aux("carbon_charge", "(k1*hydrogen + 2.0*k12)*carbon_share", "-", "alkalinity per carbon"),
        _aux(
            "buffering",
            f"{slope} + kw*per_hydrogen + hydrogen*inverse_gamma_h",
            "mol/L",
            "minus slope of the balance against ln h",
        ),
        _aux("hydrogen_gain", "carbon_charge/buffering", "L/mol", "change of ln h per inorganic carbon"),
        _aux(
            "co2_gain",
            "hydrogen*hydrogen*carbon_share*(1.0 + carbon_mol*carbon_charge*hydrogen_gain)",
            "-",
            "change of carbon dioxide per inorganic carbon at fixed alkalinity",
        ),
        _aux(
            "bicarbonate_gain",
            "k1*hydrogen*carbon_share"
            "*(1.0 + carbon_mol*(k12 - hydrogen*hydrogen)*carbon_share*hydrogen_gain)",
            "-",
            "change of bicarbonate per inorganic carbon at fixed alkalinity",
        ),
        _aux("oxygen_exchange", "gas_exchange*gas_warmth*(0.35 + 0.65*flow)", "1/d", "oxygen exchange now"),
        _aux("co2_exchange", "0.92*oxygen_exchange", "1/d", "carbon dioxide exchange now"),
        _aux(
            "lime_excess", "maximum(calcium_mmol_l*0.001*carbonate_mol/ks - 1.0, 0.0)", "-", "oversaturation"
        ),
    )


def light_auxiliaries(plant_slots: int) -> tuple[Auxiliary, ...]:
    """Light on the floating leaves, in the water, on the panes and on everything else.

    Parameters
    ----------
    plant_slots : int
        How many kinds of plant shade the water.

    Returns
    -------
    tuple of Auxiliary
        Photon flux. [umol/m2/s]

    Notes
    -----
    Mean of I exp(-K z) over the depth (Lambert-Beer), under the part of the surface that floating leaves
    leave open. Direct sun comes through the panes: it reaches plants, water and panes undimmed, other
    surfaces like lamp light.
    """
    slots = range(1, plant_slots + 1)
    leaves = " + ".join(f"cover_{j}*plant_{j}" for j in slots) or "0.0"
    stems = "".join(f" + shade_{j}*plant_{j}" for j in slots)
    optical = f"(water_dimming*volume + algae_shade*(green_water + algae_adrift){stems})*per_surface"
    return (
        _aux("per_surface", "1.0/surface_m2", "1/m2", "inverse of the water surface"),
        _aux("sunlight", "sun_umol*sun", "umol/m2/s", "direct sun through the panes"),
        _aux("top_light", "lamp_umol*lamp + sunlight", "umol/m2/s", "light on floating or emerged leaves"),
        _aux("leaf_cover", f"1.0 - exp(-({leaves})*per_surface)", "-", "surface under floating leaves"),
        _aux("optical_depth", optical, "-", "dimming from surface to ground, exponent"),
        _aux(
            "lamp_light",
            "lamp_umol*lamp*(1.0 - 0.9*leaf_cover)*(1.0 - exp(-optical_depth))/optical_depth",
            "umol/m2/s",
            "mean lamp light in the water",
        ),
        _aux("water_light", "lamp_light + sunlight", "umol/m2/s", "light on submerged leaves"),
        _aux(
            "pane_light",
            "pane_share*lamp_light + room_umol*lamp + sunlight",
            "umol/m2/s",
            "light on the panes",
        ),
        _aux(
            "decor_light",
            "decor_share*water_light + 0.3*room_umol*lamp",
            "umol/m2/s",
            "light on other surfaces",
        ),
        _aux("curve_tanh", "1.0 - curve_smith - curve_steele", "-", "weight of the Jassby-Platt curve"),
    )


def heat_processes() -> tuple[Process, ...]:
    """Heat and evaporation; nothing but room, lamp and heater feeds them.

    Returns
    -------
    tuple of Process
        Rows that fill temperature and volume.
    """
    thermostat = "heater_k_per_d*0.5*(1.0 - tanh((temperature - heater_set_c)/0.3))"
    warm = "(room_temperature + gain_k + lamp_gain_k*lamp - temperature)/heat_time_d"
    return (
        Process(
            name="heat_exchange",
            stoichiometry={"temperature": 1.0},
            rate=f"{warm} + {thermostat}",
            source="Newton's law of cooling; thermostat as a logistic switch 0.15 K wide, our own smoothing",
        ),
        Process(
            name="evaporation",
            stoichiometry={"volume": -1.0},
            rate="evaporation_m3_d",
            source="measured by what the keeper tops up; common practice, no source",
        ),
    )


def gas_in() -> tuple[Process, ...]:
    """Gases entering the water.

    Returns
    -------
    tuple of Process
        Oxygen and carbon dioxide from the room.
    """
    film = "two-film gas exchange with 1.024 per degree (ASCE, from memory)"
    return (
        Process(
            name="oxygen_enters",
            stoichiometry={"oxygen": 1.0, "oxygen_air": -1.0},
            rate="oxygen_exchange*oxygen_full*volume",
            source=f"{film}; saturation of Benson & Krause 1984",
        ),
        Process(
            name="carbon_dioxide_enters",
            stoichiometry={"carbon": 1.0, "carbon_air": -1.0},
            rate=f"co2_exchange*{1000.0 * CARBON!r}*kh*room_co2_atm*volume",
            source=f"{film}; 0.92 of the oxygen rate; Henry's law",
        ),
    )


def gas_out() -> tuple[Process, ...]:
    """Gases leaving the water, and lime; last in the order, so a step never empties a pool before it is fed.

    Returns
    -------
    tuple of Process
        Oxygen and carbon dioxide to the room, calcite to heater and panes.
    """
    film = "two-film gas exchange with 1.024 per degree (ASCE, from memory)"
    return (
        Process(
            name="oxygen_leaves",
            stoichiometry={"oxygen": -1.0, "oxygen_air": 1.0},
            rate="oxygen_exchange*maximum(oxygen, 0.0)",
            source=film,
        ),
        Process(
            name="carbon_dioxide_leaves",
            stoichiometry={"carbon": -1.0, "carbon_air": 1.0},
            rate="co2_exchange*co2*volume",
            source=f"{film}; 0.92 of the oxygen rate",
        ),
        Process(
            name="lime_forms",
            stoichiometry={"lime": 1.0},
            solve={"C": "carbon", "charge": "alkalinity"},
            rate="lime_rate*lime_excess*volume",
            source="linear in the oversaturation of calcite; tuned, real deposits are inhibited, no source",
        ),
    )


@dataclass(frozen=True, kw_only=True)
class CarbonUser:
    """Names of what makes an uptake of carbon: demand usable h access.

    access = 1/((usable + half)(h + limit)); ``demand`` [g C/d] is the uptake with plenty of carbon,
    ``usable`` [g C/m3] counts bicarbonate by ``bicarbonate``.
    """

    demand: str
    usable: str
    access: str
    half: str
    bicarbonate: str
    limit: str


def access(usable: str, half: str, limit: str) -> str:
    """How carbon and pH act together on growth, as one quotient.

    Parameters
    ----------
    usable, half : str
        Carbon within reach and its half-saturation. [g C/m3]
    limit : str
        Hydrogen activity that halves growth on the alkaline side. [mol/L]

    Returns
    -------
    str
        1/((usable + half)(h + limit)); times usable times h it is the factor on growth.
    """
    return f"1.0/(({usable} + {half})*(hydrogen + {limit}))"


def carbon_return(users: tuple[CarbonUser, ...]) -> Auxiliary:
    """How fast inorganic carbon goes back after a disturbance, for the integrator's predictor.

    Parameters
    ----------
    users : tuple of CarbonUser
        Everything that takes carbon by its concentration.

    Returns
    -------
    Auxiliary
        Minus the derivative of the carbon balance per carbon in the tank. [1/d]

    Notes
    -----
    beta k of the gas exchange plus, for each uptake U = demand Ce h access, dU/dCe = demand h K (h + hm)
    access^2 and dU/d ln h = demand Ce h (Ce + K) hm access^2, carried to total carbon by the gains of Ce and
    ln h.
    """
    slopes = [
        f"{u.demand}*hydrogen*{u.access}*{u.access}*({u.half}*(hydrogen + {u.limit})"
        f"*(co2_gain + {u.bicarbonate}*bicarbonate_gain)"
        f" + {0.001 / CARBON!r}*{u.usable}*({u.usable} + {u.half})*{u.limit}*hydrogen_gain)"
        for u in users
    ]
    text = f"co2_gain*co2_exchange + per_m3*({' + '.join(slopes)})"
    return _aux("carbon_return", text, "1/d", "return rate of inorganic carbon")


STIFFNESS = (
    "1.3*gas_exchange",
    "(filter_flow_m3_d*film_filter_m_d*media_m2/(filter_flow_m3_d + film_filter_m_d*media_m2 + 1e-9)"
    " + film_surfaces_m_d*bare_m2)/full_volume_m3",
    "1.0/heat_time_d + heater_k_per_d/0.6",
)
"""Bounds of the fastest rates of return: gas exchange at 31 °C, ammonia to films, heater at its set point."""


def _aux(name: str, expression: str, unit: str, meaning: str) -> Auxiliary:
    return Auxiliary(name=name, expression=expression, unit=unit, meaning=meaning)
