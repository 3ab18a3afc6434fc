"""One whole water, held as what is conserved when waters meet: mixing, dosing, and the pH that follows."""

from dataclasses import dataclass

from lentic.science.arrays import Array, Number, as_array
from lentic.science.carbonate import dic_from_ph, ph
from lentic.science.conductivity import ions_from_hardness
from lentic.science.constants import NITROGEN, PHOSPHORUS
from lentic.science.ions import Conditional, Ions
from lentic.science.pairing import conditional_constants

_ION_NAMES = ("ca", "mg", "na", "k", "cl", "so4", "no3")


@dataclass(frozen=True, kw_only=True)
class Water:
    """A water by its conserved amounts; pH is worked out, never held.

    Attributes
    ----------
    temperature : Number
        Water temperature, conserved on mixing to well within a tenth of a degree. [°C]
    ions : Ions
        Total dissolved ions. [mol/kg]
    alkalinity : Number
        Titration alkalinity, ammonia and phosphate included. [eq/kg]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]
    tan, phosphate : Number
        Total ammonia and total dissolved phosphate. [mol/kg]
    """

    temperature: Number
    ions: Ions
    alkalinity: Number
    dic: Number
    tan: Number = 0.0
    phosphate: Number = 0.0

    @property
    def constants(self) -> Conditional:
        """Constants of the acid-base balance of this water."""
        return conditional_constants(
            self.temperature, self.ions, self.alkalinity, self.dic, tan=self.tan, phosphate=self.phosphate
        )

    @property
    def ph(self) -> Array:
        """PH an electrode would show."""
        return ph(self.constants, self.dic, self.alkalinity, self.tan, self.phosphate)


def mixed_water(old: Water, new: Water, fraction: Number) -> Water:
    """Return the water of a tank after a share of it was replaced by another water.

    Parameters
    ----------
    old : Water
        Water of the tank. [mixed]
    new : Water
        Water that is put in. [mixed]
    fraction : Number
        Share of the tank that is replaced, 0 to 1. [-]

    Returns
    -------
    Water
        Every conserved amount mixed; the pH of the result is solved from them, it is no mean. [mixed]

    Notes
    -----
    ``(1 - f) old + f new`` for each amount, and for heat.

    References
    ----------
    mass_balance
    """
    share = as_array(fraction)

    def between(first: Number, second: Number) -> Array:
        return (1.0 - share) * first + share * second

    return Water(
        temperature=between(old.temperature, new.temperature),
        ions=Ions(**{name: between(getattr(old.ions, name), getattr(new.ions, name)) for name in _ION_NAMES}),
        alkalinity=between(old.alkalinity, new.alkalinity),
        dic=between(old.dic, new.dic),
        tan=between(old.tan, new.tan),
        phosphate=between(old.phosphate, new.phosphate),
    )


def with_bicarbonate(water: Water, bicarbonate: Number) -> Water:
    """Return a water in which sodium bicarbonate was dissolved.

    Parameters
    ----------
    water : Water
        Water before. [mixed]
    bicarbonate : Number
        Sodium bicarbonate dissolved in it. [mol/kg]

    Returns
    -------
    Water
        Water after, before any gas is exchanged with the air. [mixed]

    Notes
    -----
    Each mole brings one of sodium, one of inorganic carbon and one equivalent of alkalinity.

    References
    ----------
    mass_balance
    """
    more = as_array(bicarbonate)
    ions = {name: getattr(water.ions, name) for name in _ION_NAMES}
    return Water(
        temperature=water.temperature,
        ions=Ions(**{**ions, "na": ions["na"] + more}),
        alkalinity=water.alkalinity + more,
        dic=water.dic + more,
        tan=water.tan,
        phosphate=water.phosphate,
    )


def water_from_tests(
    temperature: Number,
    ph_value: Number,
    alkalinity: Number,
    hardness: Number,
    *,
    nitrate: Number = 0.0,
    tan: Number = 0.0,
    phosphate: Number = 0.0,
) -> Water:
    """Return a water from what a keeper can test.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    ph_value : Number
        Measured pH. [-]
    alkalinity : Number
        Carbonate hardness as alkalinity. [meq/L]
    hardness : Number
        Total hardness. [meq/L]
    nitrate : Number
        Nitrate nitrogen. [mg N/L]
    tan : Number
        Total ammonia nitrogen. [mg N/L]
    phosphate : Number
        Phosphate phosphorus. [mg P/L]

    Returns
    -------
    Water
        The water; what no kit shows is estimated by `ions_from_hardness`. [mixed]

    Notes
    -----
    A litre is taken as a kilogram. Inorganic carbon follows from pH and alkalinity, so its error is that of
    both readings together; below pH 6 it is a guess.

    References
    ----------
    plummer_busenberg_1982, common_practice
    """
    alk, ammonia = as_array(alkalinity) / 1e3, as_array(tan) / NITROGEN / 1e3
    phosphorus = as_array(phosphate) / PHOSPHORUS / 1e3
    ions = ions_from_hardness(as_array(hardness) / 1e3, alk, as_array(nitrate) / NITROGEN / 1e3)
    dic: Array = as_array(alk) + 0.0
    for _ in range(3):
        constants = conditional_constants(temperature, ions, alk, dic, tan=ammonia, phosphate=phosphorus)
        dic = dic_from_ph(constants, ph_value, alk, ammonia, phosphorus)
    return Water(temperature=temperature, ions=ions, alkalinity=alk, dic=dic, tan=ammonia, phosphate=phosphorus)
