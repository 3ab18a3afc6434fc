"""What a fresh water holds: its ions, and the constants of its acid-base balance."""

from dataclasses import dataclass

from lentic.science.arrays import Array, Number, as_array


@dataclass(frozen=True, kw_only=True)
class Ions:
    """Total dissolved ions that do not take part in the acid-base balance, all of one broadcast shape.

    A value must be given for each: what nobody has measured is estimated openly by the caller
    (`ions_from_hardness`), never taken as nought in silence.

    Attributes
    ----------
    ca, mg, na, k : Number
        Calcium, magnesium, sodium and potassium. [mol/kg]
    cl, so4, no3 : Number
        Chloride, sulfate and nitrate. [mol/kg]
    """

    ca: Number
    mg: Number
    na: Number
    k: Number
    cl: Number
    so4: Number
    no3: Number

    def concentrated(self, factor: Number) -> "Ions":
        """Return the same water with every ion multiplied by a factor.

        Parameters
        ----------
        factor : Number
            Concentration factor, 1 leaves the water as it is. [-]

        Returns
        -------
        Ions
            Water that lost volume by evaporation, or was diluted. [mol/kg]

        References
        ----------
        definition
        """
        scale = as_array(factor)
        return Ions(
            **{name: scale * getattr(self, name) for name in ("ca", "mg", "na", "k", "cl", "so4", "no3")}
        )


@dataclass(frozen=True, kw_only=True)
class Conditional:
    """Constants of the acid-base balance for one temperature and composition, in terms of the activity of H+.

    Attributes
    ----------
    k1, k2 : Array
        First and second dissociation of carbonic acid, pairs counted with their anion. [mol/kg]
    kw : Array
        Ion product of water, hydroxide pairs included. [mol²/kg²]
    kn : Array
        Dissociation of ammonium. [mol/kg]
    kp, kpp : Array
        Dissociations of dihydrogen phosphate and of hydrogen phosphate. [mol/kg]
    inverse_gamma_h : Array
        Concentration per activity of H+. [-]
    kh : Array
        Carbon dioxide dissolved per partial pressure. [mol/kg/atm]
    ks : Array
        Solubility product of calcite, thermodynamic. [mol²/kg²]
    calcium_activity : Array
        Activity of free calcium. [mol/kg]
    carbonate_activity : Array
        Activity of carbonate times h² per CO2*, ``K1 K2 g0``. [mol²/kg²]
    neutral_activity : Array
        Activity coefficient of CO2*. [-]
    ionic_strength : Array
        Ionic strength. [mol/kg]
    """

    k1: Array
    k2: Array
    kw: Array
    kn: Array
    kp: Array
    kpp: Array
    inverse_gamma_h: Array
    kh: Array
    ks: Array
    calcium_activity: Array
    carbonate_activity: Array
    neutral_activity: Array
    ionic_strength: Array
