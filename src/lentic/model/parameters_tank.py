# ruff: noqa: E501 - a table reads best with one parameter a line
"""Parameters a keeper's description of the tank fills: heat, size, light, filter, animals at the table.

Defaults describe one example tank (280 L, 25 °C, one 400 g turtle, a little fish) so that a table can be run
at once.
"""

from __future__ import annotations

from lentic.model.parameters import Fixed, LogNormal, Normal, Parameter, Share, row

_OWN = "the keeper's description of the tank"

TANK: tuple[Parameter, ...] = (
    row("gain_k", 1.5, "K", Normal(sd=1.0), "warming by pump and animals above the room", "common practice, no source", "practice"),
    row("lamp_gain_k", 0.5, "K", Normal(sd=0.5), "warming by the plant lamp above the room", "common practice, no source", "practice"),
    row("heat_time_d", 1.07, "d", LogNormal(sd=0.3), "time in which the tank follows the room", "heat balance of a 200 L tank with 9 W/K: 25.7 h", "computed"),
    row("heater_k_per_d", 20.0, "K/d", LogNormal(sd=0.3), "warming by the heater at full power", "200 W in 200 L: 0.86 K/h", "computed"),
    row("heater_set_c", 25.0, "°C", Fixed(), "set point of the heater; far below the room = no heater", _OWN, "tank"),
    row("evaporation_m3_d", 0.0015, "m3/d", LogNormal(sd=0.4), "water lost to the air a day", "learned from top-ups; 3.7 mm/d uncovered after Shah 2014, covers take most", "computed"),
    row("full_volume_m3", 0.28, "m3", Fixed(), "water in the full tank, for the step guard", _OWN, "tank"),
    row("surface_m2", 0.60, "m2", Fixed(), "water surface", _OWN, "tank"),
    row("pane_m2", 1.1, "m2", Fixed(), "panes that get scraped", _OWN, "tank"),
    row("decor_m2", 1.6, "m2", Fixed(), "other lit surfaces", _OWN, "tank"),
    row("media_m2", 3.0, "m2", LogNormal(sd=0.6), "effective area of the filter media", "litres x specific surface x usable share 0.3; common practice, no source", "practice"),
    row("bare_m2", 2.7, "m2", LogNormal(sd=0.5), "glass, ground and decor that carry nitrifiers", _OWN, "tank"),
    row("filter_flow_m3_d", 14.0, "m3/d", LogNormal(sd=0.3), "real flow of the clean filter", _OWN, "tank"),
    row("pressure_factor", 1.0, "-", Fixed(), "air pressure against one atmosphere", "barometric formula for the tank's altitude", "tank"),
    row("gas_exchange", 10.0, "1/d", LogNormal(sd=0.5), "oxygen exchange at 20 °C with the pump on (kLa)", "still 2-3, filter outlet ripple 5-12, air stone 25 and more; common practice, no source", "practice"),
    row("gas_warming", 0.023717, "1/K", Fixed(), "ln 1.024, rise of gas exchange per degree", "ASCE 2, from memory", "memory"),
    row("room_co2_atm", 700e-6, "atm", LogNormal(sd=0.3), "carbon dioxide in the room air", "indoor air 500-1200 ppm; common practice, no source", "practice"),
    row("calcium_mmol_l", 1.25, "mmol/L", LogNormal(sd=0.4), "dissolved calcium", "half the alkalinity of a 7 dKH tap; common practice, no source", "tank"),
    row("lime_rate", 1e-4, "g C/m3/d", LogNormal(sd=1.5), "lime formed per unit of oversaturation", "tuned to about 10 mg CaCO3 a day; a clean seeded surface is 10-1000 times faster (Plummer, Wigley & Parkhurst 1978)", "tuned"),
    row("lamp_umol", 110.0, "umol/m2/s", LogNormal(sd=0.4), "lamp light at the water surface, lamp fully on", _OWN, "tank"),
    row("sun_umol", 100.0, "umol/m2/s", LogNormal(sd=0.7), "direct sun on the panes at full sun", "common practice, no source", "practice"),
    row("room_umol", 3.0, "umol/m2/s", LogNormal(sd=0.4), "room light on the panes", "common practice, no source", "practice"),
    row("water_dimming", 1.0, "1/m", LogNormal(sd=0.4), "loss of light with depth, with the spread of a lamp's beam", "common practice, no source", "practice"),
    row("algae_shade", 0.15, "m2/g", LogNormal(sd=0.5), "shade of floating algae per g dry", "0.015 m2 per mg chlorophyll, 10 mg chlorophyll per g dry, from memory", "memory"),
    row("pane_share", 0.6, "-", Share(low=0.3, high=0.85), "lamp light in the water that meets the panes", "common practice, no source", "practice"),
    row("decor_share", 0.2, "-", Share(low=0.07, high=0.45), "light in the water that meets other surfaces", "common practice, no source", "practice"),
    row("curve_smith", 0.0, "-", Fixed(), "weight of the Smith light curve, 0 or 1 in a member", "Smith 1936, from memory; a structural choice", "memory"),
    row("curve_steele", 0.0, "-", Fixed(), "weight of the Steele light curve, 0 or 1 in a member", "Steele 1962, from memory; a structural choice", "memory"),
)  # fmt: skip
