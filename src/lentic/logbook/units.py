"""Every unit a keeper may write and what it is worth in the units used inside: one table, no other factors.

Inside: nitrate, nitrite and total ammonia in mg/L N, phosphate in mg/L P, KH and GH in meq/L, °C, L, g,
cm, L/h. Molar masses, gallons and degrees of hardness come from `lentic.science`; the ounce, the pound and
the inch are exact by definition (NIST Handbook 44, appendix C).
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field

from lentic.science import constants as m
from lentic.science.hardness import HARDNESS_UNITS

OUNCE_G = 28.349523125
POUND_G = 453.59237
INCH_CM = 2.54


@dataclass(frozen=True)
class Unit:
    """A spelling of a unit and how an amount in it becomes an amount in the unit used inside."""

    name: str
    factor: float = 1.0
    offset: float = 0.0
    reciprocal: bool = False

    def convert(self, amount: float) -> float:
        """Return the amount in the unit used inside."""
        if self.reciprocal:
            return self.factor / amount
        return amount * self.factor + self.offset


def fold(text: str) -> str:
    """Reduce a written unit to what matters: `mg/l NO₃⁻` and `mg/L NO3` fold to the same text."""
    plain = unicodedata.normalize("NFKC", text).casefold().replace("ppm", "mg/l")
    return "".join(sign for sign in plain if sign.isalnum() or sign in "/%")


def table(*units: Unit, **aliases: str) -> dict[str, Unit]:
    """Key units by their folded name; an alias is `folded_spelling="name"`."""
    known = {fold(unit.name): unit for unit in units}
    for spelling, name in aliases.items():
        known[spelling] = known[fold(name)]
    return known


MASS = table(
    Unit("g"), Unit("mg", 0.001), Unit("kg", 1000.0), Unit("oz", OUNCE_G), Unit("lb", POUND_G),
    gram="g", grams="g", gramme="g", grammes="g", gr="g",
)  # fmt: skip
VOLUME = table(
    Unit("L"), Unit("mL", 0.001), Unit("US gal", m.US_GALLON), Unit("imp gal", m.IMPERIAL_GALLON),
    litre="L", litres="L", liter="L", liters="L", ltr="L", usgallon="US gal", usgallons="US gal",
    galus="US gal",
    ukgal="imp gal", ukgallons="imp gal", impgallons="imp gal", imperialgal="imp gal",
    imperialgallons="imp gal",
)  # fmt: skip
OFFERED = frozenset({
    "g", "kg", "oz", "lb", "L", "US gal", "imp gal", "%", "cm", "mm", "in", "h", "°C", "°F", "mg/L NO3", "mg/L NO3-N",
    "mg/L NO2", "mg/L NO2-N", "mg/L NH4", "mg/L N", "mg/L PO4", "mg/L PO4-P", "dKH", "dGH", "mg/L CaCO3", "°fH",
    "meq/L", "mmol/L CaCO3", "L/h", "US gal/h", "µS/cm", "mS/cm", "mg/L",
})  # fmt: skip
"""Units that a keeper may have meant when a number does not fit; the rare ones are read but never guessed."""
WORDLESS = frozenset({"pH", "UVI", "grade", "count", "fraction"})
"""Units that are not said after their number."""
GALLONS = frozenset({"gal", "gals", "gallon", "gallons"})
"""Folded spellings that do not say which gallon."""
PERCENT = {"%": Unit("%"), "percent": Unit("%")}
FRACTION = {"fraction": Unit("fraction"), "%": Unit("%", 0.01), "percent": Unit("%", 0.01)}
SCOOP = "scoop"
SCOOPS = table(Unit(SCOOP), scoops=SCOOP, spoon=SCOOP, spoons=SCOOP)
"""How many of the keeper's own scoops; what one weighs stands in the description of the tank."""
LENGTH = table(Unit("cm"), Unit("mm", 0.1), Unit("m", 100.0), Unit("in", INCH_CM), inch="in", inches="in")
HOURS = table(Unit("h"), Unit("min", 1 / 60), hours="h", hour="h", hr="h", hrs="h", minutes="min")
FLOW = table(
    Unit("L/h"), Unit("s/L", 3600.0, reciprocal=True), Unit("L/min", 60.0), Unit("US gal/h", m.US_GALLON),
    **{"l/hr": "L/h", "lph": "L/h"},
)  # fmt: skip
DOSE_VOLUME = table(Unit("mL"), Unit("L", 1000.0), milliliter="mL", millilitre="mL")
GRADE = {"": Unit("grade"), "grade": Unit("grade")}
COUNT = {"": Unit("count"), "count": Unit("count"), "animals": Unit("count"), "pcs": Unit("count")}

TEMPERATURE = table(
    Unit("°C"), Unit("°F", 5 / 9, -160 / 9), Unit("K", 1.0, -m.ZERO_CELSIUS),
    celsius="°C", degc="°C", fahrenheit="°F", degf="°F",
)  # fmt: skip
OF_NITROGEN = (Unit("mg/L N"),)
NITRATE = table(Unit("mg/L NO3", m.NITROGEN / m.NITRATE), Unit("mg/L NO3-N"), *OF_NITROGEN)
NITRITE = table(Unit("mg/L NO2", m.NITROGEN / m.NITRITE), Unit("mg/L NO2-N"), *OF_NITROGEN)
AMMONIA = table(
    Unit("mg/L NH4", m.NITROGEN / m.AMMONIUM), Unit("mg/L NH4-N"),
    Unit("mg/L NH3", m.NITROGEN / (m.NITROGEN + 3 * m.HYDROGEN)), Unit("mg/L NH3-N"), *OF_NITROGEN,
    **{"mg/ltan": "mg/L N"},
)  # fmt: skip
PHOSPHATE = table(Unit("mg/L PO4", m.PHOSPHORUS / m.PHOSPHATE), Unit("mg/L PO4-P"), Unit("mg/L P"))
_HARDNESS = (
    Unit("meq/L"), Unit("mg/L CaCO3", HARDNESS_UNITS["mg/L CaCO3"]), Unit("°fH", HARDNESS_UNITS["°fH"]),
    Unit("°e", HARDNESS_UNITS["°e"]), Unit("gr/US gal", HARDNESS_UNITS["gr/gal"]),
    Unit("°dH", HARDNESS_UNITS["°dH"]), Unit("mmol/L CaCO3", HARDNESS_UNITS["mmol/L"]),
)  # fmt: skip
_ALKALINITY = (Unit("mmol/L HCO3"), Unit("mg/L HCO3", 1 / (m.HYDROGEN + m.CARBON + 3 * m.OXYGEN)))
DROPS = "drops"
KH = table(
    Unit("dKH", HARDNESS_UNITS["°dH"]), Unit(DROPS, HARDNESS_UNITS["°dH"]), *_HARDNESS, *_ALKALINITY,
    drop=DROPS, gpg="gr/US gal", mval="meq/L", **{"mval/l": "meq/L"},
)  # fmt: skip
GH = table(
    Unit("dGH", HARDNESS_UNITS["°dH"]), Unit(DROPS, HARDNESS_UNITS["°dH"]), *_HARDNESS,
    drop=DROPS, gpg="gr/US gal", mval="meq/L", **{"mval/l": "meq/L"},
)  # fmt: skip
MILLIGRAMS = table(Unit("mg/L"))
PHOTONS = table(Unit("µmol/m2/s"), **{"μmolm2s1": "µmol/m2/s", "umol/m2/s": "µmol/m2/s"})
CHLORINE = table(Unit("mg/L"), **{"mg/lcl2": "mg/L"})


@dataclass(frozen=True, kw_only=True)
class Quantity:
    """Something a keeper reads off: its unit inside, the units it may be written in, its bounds."""

    unit: str
    units: Mapping[str, Unit]
    low: float
    high: float
    colour_kit: bool = False
    bare: frozenset[str] = field(default_factory=frozenset)
    """Folded units that leave open what is meant, such as mg/L of nitrate."""


_BARE_MG = frozenset({"", "mg/l"})
_BARE = frozenset({""})
_BARE_DEGREES = frozenset({"", "mg/l", "deg", "degrees", "degree", "d"})


def _kit(unit: str, units: Mapping[str, Unit], high: float) -> Quantity:
    return Quantity(unit=unit, units=units, low=0.0, high=high, colour_kit=True, bare=_BARE_MG)


def _plain(unit: str, low: float, high: float, units: Mapping[str, Unit] | None = None) -> Quantity:
    return Quantity(unit=unit, units=units if units is not None else table(Unit(unit)), low=low, high=high, bare=_BARE)


# Bounds are what no keeper's tank can show: common practice, no source; they catch slips, they judge nothing.
_OF_WATER: dict[str, Quantity] = {
    "nitrate": _kit("mg/L N", NITRATE, 230.0),
    "nitrite": _kit("mg/L N", NITRITE, 50.0),
    "ammonia": _kit("mg/L N", AMMONIA, 100.0),
    "phosphate": _kit("mg/L P", PHOSPHATE, 50.0),
    "kh": Quantity(unit="meq/L", units=KH, low=0.0, high=18.0, bare=_BARE_DEGREES),
    "gh": Quantity(unit="meq/L", units=GH, low=0.0, high=40.0, bare=_BARE_DEGREES),
    "ph": Quantity(unit="", units={"": Unit("pH"), "ph": Unit("pH")}, low=2.0, high=12.0),
    "temperature": _plain("°C", -1.0, 50.0, TEMPERATURE),
    "oxygen": _plain("mg/L", 0.0, 40.0, table(Unit("mg/L"), **{"mg/lo2": "mg/L"})),
    "oxygen_saturation": _plain("%", 0.0, 400.0, PERCENT),
    "conductivity": _plain("µS/cm", 0.0, 60000.0, table(Unit("µS/cm"), Unit("mS/cm", 1000.0))),
    "chlorine": Quantity(unit="mg/L", units=CHLORINE, low=0.0, high=20.0, colour_kit=True, bare=_BARE),
    "chloramine": Quantity(unit="mg/L", units=CHLORINE, low=0.0, high=20.0, colour_kit=True, bare=_BARE),
    "calcium": _plain("mg/L", 0.0, 2000.0, table(Unit("mg/L"), **{"mg/lca": "mg/L"})),
    "magnesium": _plain("mg/L", 0.0, 2000.0, table(Unit("mg/L"), **{"mg/lmg": "mg/L"})),
    "carbon_dioxide": _plain("mg/L", 0.0, 500.0, table(Unit("mg/L"), **{"mg/lco2": "mg/L"})),
}
QUANTITIES: dict[str, Quantity] = {
    **_OF_WATER,
    **{f"tap_{name}": quantity for name, quantity in _OF_WATER.items()},
    "level": _plain("cm", 0.0, 300.0, LENGTH),
    "flow": _plain("L/h", 0.0, 50000.0, FLOW),
    "ppfd": _plain("µmol/m2/s", 0.0, 3000.0, PHOTONS),
    "lux": _plain("lx", 0.0, 200000.0, table(Unit("lx"), Unit("klx", 1000.0), lux="lx")),
    "uvi": Quantity(unit="", units={"": Unit("UVI"), "uvi": Unit("UVI")}, low=0.0, high=30.0),
    "surface_temperature": _plain("°C", -20.0, 150.0, TEMPERATURE),
    "room_temperature": _plain("°C", -40.0, 60.0, TEMPERATURE),
    "room_humidity": _plain("%", 0.0, 100.0, PERCENT),
    "heater_duty": _plain("%", 0.0, 100.0, PERCENT),
    "room_co2": _plain("ppm", 0.0, 50000.0, {"mg/l": Unit("ppm")}),
}  # fmt: skip

UNITS_OF_KIND: dict[str, Mapping[str, Unit]] = {
    "feed": {**MASS, **SCOOPS}, "leftovers": {**MASS, **FRACTION}, "look": GRADE, "scrape": GRADE,
    "change": {**VOLUME, **PERCENT},
    "top_up": VOLUME, "siphon": FRACTION, "thin": MASS, "plant": MASS, "lost_plant": MASS, "lamp": HOURS,
    "flow": FLOW, "weigh": MASS, "measure": LENGTH, "dose": {**MASS, **DOSE_VOLUME}, "animal_in": COUNT,
    "animal_out": COUNT, "rest": TEMPERATURE,
}  # fmt: skip


def units_for(kind: str, what: str) -> Mapping[str, Unit]:
    """Return the units a line of this kind may be written in, by folded spelling."""
    if kind == "reading":
        return QUANTITIES[what].units if what in QUANTITIES else {}
    return UNITS_OF_KIND.get(kind, {})
