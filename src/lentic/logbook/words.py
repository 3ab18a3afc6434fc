"""The words of the quick entry line: what a keeper types, and what a bare number means."""

from __future__ import annotations

from lentic.logbook.events import KINDS
from lentic.logbook.units import QUANTITIES

VERBS: dict[str, str] = {
    "fed": "feed", "feed": "feed", "leftovers": "leftovers", "left over": "leftovers", "changed": "change",
    "change": "change", "topped up": "top_up", "top up": "top_up", "top-up": "top_up", "topped": "top_up",
    "scraped": "scrape", "scrape": "scrape", "siphoned": "siphon", "siphon": "siphon", "thinned": "thin",
    "thin": "thin", "planted": "plant", "plant": "plant", "lost": "lost_plant",
    "rinsed": "rinse", "rinse": "rinse",
    "weighed": "weigh", "weigh": "weigh", "measured": "measure", "measure": "measure", "lamp": "lamp",
    "light": "lamp", "power": "power", "dosed": "dose", "dose": "dose", "looked": "look", "look": "look",
    "flow": "flow", "sign": "sign", "resting": "rest", "woke": "wake", "moved in": "animal_in",
    "moved out": "animal_out",
    **{kind: kind for kind in KINDS if kind != "reading"},
}  # fmt: skip
READ_OFF: dict[str, str] = {
    "no3": "nitrate", "no2": "nitrite", "nh4": "ammonia", "nh3": "ammonia", "tan": "ammonia",
    "ammonium": "ammonia",
    "po4": "phosphate", "temp": "temperature", "o2": "oxygen", "ec": "conductivity", "cl2": "chlorine",
    **{name: name for name in QUANTITIES if name != "flow"},
}  # fmt: skip
DEFAULT_UNITS = {
    "feed": "g", "thin": "g", "plant": "g", "lost_plant": "g", "weigh": "g", "measure": "cm", "lamp": "h",
    "rest": "°C",
}  # fmt: skip
"""What a bare number means in this line, as the page that explains it says."""
OFFERED_UNITS = {
    "nitrate": ("mg/L NO3", "mg/L NO3-N"), "nitrite": ("mg/L NO2", "mg/L NO2-N"),
    "ammonia": ("mg/L NH4", "mg/L N"), "phosphate": ("mg/L PO4", "mg/L PO4-P"),
    "kh": ("dKH", "mg/L CaCO3"), "gh": ("dGH", "mg/L CaCO3"), "temperature": ("°C", "°F"),
    "change": ("L", "US gal", "%"), "top_up": ("L", "US gal"), "siphon": ("fraction", "%"),
    "leftovers": ("g", "%"), "dose": ("g", "mL"), "flow": ("L/h", "s/L"),
}  # fmt: skip
"""The units put to the keeper when a bare number could be in any of them."""
PARTS_OF_ONE = {"half": "0.5 fraction", "a third": "0.333 fraction", "a quarter": "0.25 fraction"}
DEMINERALISED = ("demineralised", "demineralized", "distilled", "osmosis", "ro", "rain")
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
