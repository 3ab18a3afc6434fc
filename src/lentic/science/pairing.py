"""The pairs that ions form, and the constants of the acid-base balance that follow from them.

This is the slow part of the carbonate chemistry: it changes with temperature and composition, not with the
hour.
"""

import numpy as np

from lentic.science import equilibrium as eq
from lentic.science.arrays import Array, Number, as_array
from lentic.science.balance import solve_hydrogen
from lentic.science.ions import Conditional, Ions
from lentic.science.properties import kelvin

LN10 = np.log(10.0)

# Association constants at zero ionic strength: log K at 25 °C and reaction enthalpy in kJ/mol.
_VAN_T_HOFF = {
    "caso4": (2.25, 5.54),
    "mgso4": (2.37, 19.04),
    "naso4": (0.70, 4.69),
    "kso4": (0.85, 9.41),
    "nh4so4": (1.11, 0.0),
    "nahco3": (-0.25, -4.18),
    "naco3": (1.27, 37.3),
    "mgoh": (-11.44, 66.7),
    "caoh": (-12.78, 66.7),
    "nahpo4": (0.29, 0.0),
    "khpo4": (0.29, 0.0),
    "cah2po4": (1.408, 14.2),
    "mgh2po4": (1.513, 14.2),
    "cahpo4": (2.739, 13.8),
    "mghpo4": (2.87, 13.8),
    "capo4": (6.459, 13.0),
    "mgpo4": (6.589, 13.0),
    "h2po4": (-7.207, 4.14),
    "hpo4": (-12.346, 14.8),
}


# Extended Debye-Hückel parameters: charge, ion size in ångström, slope of the linear term. Singly charged
# pairs without an entry of their own and dihydrogen phosphate share the size of bicarbonate.
_ACTIVITY = {
    "h": (1, 9.0, 0.0), "oh": (1, 3.5, 0.0), "nh4": (1, 2.5, 0.0),
    "na": (1, 4.0, 0.075), "k": (1, 3.5, 0.015),
    "ca": (2, 5.0, 0.165), "mg": (2, 5.5, 0.2), "so4": (2, 5.0, -0.04), "co3": (2, 5.4, 0.0),
    "hco3": (1, 5.4, 0.0), "hpo4": (2, 5.0, 0.0), "po4": (3, 5.0, 0.0),
    "cahco3": (1, 6.0, 0.0), "mghco3": (1, 4.0, 0.0), "caoh": (1, 6.0, 0.0), "mgoh": (1, 6.5, 0.0),
}  # fmt: skip


def association_constants(temperature: Number) -> dict[str, Array]:
    """Return the ion-pair constants and the acidity constants of phosphate at zero ionic strength.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]

    Returns
    -------
    dict of Array
        Constant by name of the pair; ``mgoh``, ``caoh``, ``h2po4`` and ``hpo4`` set free a proton. [kg/mol]

    Notes
    -----
    Carbonate pairs by their own polynomials (0 to 90 °C), the rest by `van_t_hoff` from 25 °C.

    References
    ----------
    plummer_busenberg_1982, phreeqc_3
    """
    k = kelvin(temperature)
    log_k = np.log10(k)
    pairs = {name: eq.van_t_hoff(temperature, *pair) for name, pair in _VAN_T_HOFF.items()}
    pairs["cahco3"] = np.power(10.0, 1209.120 + 0.31294 * k - 34765.05 / k - 478.782 * log_k)
    pairs["caco3"] = np.power(10.0, -1228.732 - 0.299444 * k + 35512.75 / k + 485.818 * log_k)
    pairs["mghco3"] = np.power(10.0, -59.2150 + 2537.455 / k + 20.92298 * log_k)
    pairs["mgco3"] = np.power(10.0, 0.991 + 0.00667 * k)
    return pairs


def conditional_constants(
    temperature: Number,
    ions: Ions,
    alkalinity: Number,
    dic: Number,
    *,
    tan: Number = 0.0,
    phosphate: Number = 0.0,
    passes: int = 2,
) -> Conditional:
    """Return the constants of the acid-base balance in a water of known composition.

    Parameters
    ----------
    temperature : Number
        Water temperature. [°C]
    ions : Ions
        Total dissolved ions. [mol/kg]
    alkalinity : Number
        Titration alkalinity, ammonia and phosphate included. [eq/kg]
    dic : Number
        Dissolved inorganic carbon. [mol/kg]
    tan : Number
        Total ammonia. [mol/kg]
    phosphate : Number
        Total dissolved phosphate. [mol/kg]
    passes : int
        How often the pairs are worked out; 2 suffice below 0.1 mol/kg. [-]

    Returns
    -------
    Conditional
        Constants of the broadcast shape. [mixed]

    Notes
    -----
    Extended Debye-Hückel activity coefficients; each anion counts its pairs with calcium, magnesium and
    sodium, so that ``K1e = K1 g0/g1 S1``, ``K2e = K2 g1/g2 S2/S1`` with ``S1 = 1 + sum K' [cation]`` over
    bicarbonate pairs and ``S2`` over carbonate pairs. The first pass takes HCO3 = min(alkalinity, DIC), the
    next solve for it. From 5 to 35 °C and up to 0.1 mol/kg.

    References
    ----------
    plummer_busenberg_1982, truesdell_jones_1974, phreeqc_3
    """
    work = _Speciation(temperature, ions, alkalinity, dic, tan, phosphate)
    for _ in range(passes - 1):
        work.associate()
        work.dissociate()
    work.associate()
    return work.conditional()


class _Speciation:
    """One water on its way from totals to free ions; private because it changes as it is worked on."""

    def __init__(
        self, temperature: Number, ions: Ions, alkalinity: Number, dic: Number, tan: Number, phosphate: Number
    ) -> None:
        self.ions, self.temperature = ions, temperature
        self.alkalinity, self.dic = as_array(alkalinity), as_array(dic)
        self.tan, self.phosphate = as_array(tan), as_array(phosphate)
        self.bare = association_constants(temperature)
        self.k1 = eq.first_dissociation_pb82(temperature)
        self.k2 = eq.second_dissociation_pb82(temperature)
        self.kw = eq.ion_product_water(temperature)
        self.kn = np.power(10.0, -eq.pk_ammonium_emerson_1975(temperature))
        self.hydrogen = as_array(1e-8)
        # Never below nought: a water without alkalinity has no bicarbonate, not a negative amount of it.
        self.hco3_total = np.maximum(np.minimum(self.alkalinity, self.dic), 0.0)
        self.hco3 = self.hco3_total
        self.co3 = 0.002 * self.hco3
        self.nh4 = self.tan
        self.h2po4, self.hpo4 = 0.15 * self.phosphate, 0.85 * self.phosphate
        self.po4 = 1e-5 * self.phosphate
        self.so4 = as_array(ions.so4)
        self.ca, self.mg = as_array(ions.ca), as_array(ions.mg)
        self.na, self.k = as_array(ions.na), as_array(ions.k)
        self.single_pairs = as_array(0.0)
        self.slope_a, self.slope_b = eq.debye_hueckel_a(temperature), eq.debye_hueckel_b(temperature)

    def associate(self) -> None:
        """Work out activity coefficients, free cations and free sulfate from the anions of the last pass."""
        self._activities()
        g, b = self.gamma, self.bare
        g0, one = self.g0, g["hco3"]
        pair = {
            "caco3": g["ca"] * g["co3"] / g0, "mgco3": g["mg"] * g["co3"] / g0,
            "caso4": g["ca"] * g["so4"] / g0, "mgso4": g["mg"] * g["so4"] / g0,
            "cahpo4": g["ca"] * g["hpo4"] / g0, "mghpo4": g["mg"] * g["hpo4"] / g0,
            "cahco3": g["ca"] * one / g["cahco3"], "mghco3": g["mg"] * one / g["mghco3"],
            "cah2po4": g["ca"], "mgh2po4": g["mg"],  # the pair and H2PO4- share one coefficient
            "capo4": g["ca"] * g["po4"] / one, "mgpo4": g["mg"] * g["po4"] / one,
            "naso4": g["na"] * g["so4"] / one, "kso4": g["k"] * g["so4"] / one,
            "nh4so4": g["nh4"] * g["so4"] / one,
            "nahpo4": g["na"] * g["hpo4"] / one, "khpo4": g["k"] * g["hpo4"] / one,
            "naco3": g["na"] * g["co3"] / one, "nahco3": g["na"] * one / g0,
            "caoh": g["ca"] / g["caoh"], "mgoh": g["mg"] / g["mgoh"],
        }  # fmt: skip
        self.pair = {name: b[name] * factor for name, factor in pair.items()}
        self._free_ions()

    def _activities(self) -> None:
        """Work out the ionic strength of the ions left free, then the activity coefficients."""
        i = self.ions
        double = self.ca + self.mg + self.so4 + self.co3 + self.hpo4
        single = self.na + self.k + i.cl + i.no3 + self.nh4 + self.h2po4 + self.hco3_total + self.single_pairs
        self.strength = 0.5 * (4.0 * double + single)
        root = np.sqrt(self.strength)
        top, bottom = LN10 * self.slope_a * root, self.slope_b * root
        linear = LN10 * self.strength
        self.gamma = {
            name: np.exp(slope * linear - charge * charge * top / (1.0 + size * bottom))
            for name, (charge, size, slope) in _ACTIVITY.items()
        }
        self.g0 = eq.neutral_activity_coefficient(self.strength)

    def _free_ions(self) -> None:
        """Share cations among their pairs, then sulfate among the cations."""
        p, i, h = self.pair, self.ions, self.hydrogen
        ca_co3, mg_co3 = p["caco3"] * self.co3, p["mgco3"] * self.co3
        ca_so4, mg_so4 = p["caso4"] * self.so4, p["mgso4"] * self.so4
        self.ca = as_array(i.ca) / (
            1.0 + p["cahco3"] * self.hco3 + ca_co3 + ca_so4 + p["caoh"] / h
            + p["cahpo4"] * self.hpo4 + p["cah2po4"] * self.h2po4 + p["capo4"] * self.po4
        )  # fmt: skip
        self.mg = as_array(i.mg) / (
            1.0 + p["mghco3"] * self.hco3 + mg_co3 + mg_so4 + p["mgoh"] / h
            + p["mghpo4"] * self.hpo4 + p["mgh2po4"] * self.h2po4 + p["mgpo4"] * self.po4
        )  # fmt: skip
        self.na = as_array(i.na) / (
            1.0
            + p["nahco3"] * self.hco3
            + p["naco3"] * self.co3
            + p["naso4"] * self.so4
            + p["nahpo4"] * self.hpo4
        )
        self.k = as_array(i.k) / (1.0 + p["kso4"] * self.so4 + p["khpo4"] * self.hpo4)
        self.ammonium_pairs = 1.0 + p["nh4so4"] * self.so4
        self.so4 = as_array(i.so4) / (
            1.0 + p["caso4"] * self.ca + p["mgso4"] * self.mg + p["naso4"] * self.na + p["kso4"] * self.k
        )
        self.single_pairs = self.so4 * (p["naso4"] * self.na + p["kso4"] * self.k)
        self._pair_sums()

    def _pair_sums(self) -> None:
        """Total per free concentration of each anion of the balance."""
        p, ca, mg, na, k = self.pair, self.ca, self.mg, self.na, self.k
        self.s1 = 1.0 + p["cahco3"] * ca + p["mghco3"] * mg + p["nahco3"] * na
        self.s2 = 1.0 + p["caco3"] * ca + p["mgco3"] * mg + p["naco3"] * na
        self.sp1 = 1.0 + p["cah2po4"] * ca + p["mgh2po4"] * mg
        self.sp2 = 1.0 + p["cahpo4"] * ca + p["mghpo4"] * mg + p["nahpo4"] * na + p["khpo4"] * k
        self.sp3 = 1.0 + p["capo4"] * ca + p["mgpo4"] * mg

    def dissociate(self) -> None:
        """Solve the balance with the constants of this pass and take its anions into the next."""
        c = self.conditional()
        h = solve_hydrogen(
            c, self.dic, self.alkalinity, self.tan, self.phosphate, start=self.hydrogen, sweeps=8
        )
        carbon = self.dic / (h * (h + c.k1) + c.k1 * c.k2)
        phosphorus = self.phosphate / (h * (h + c.kp) + c.kp * c.kpp)
        self.hydrogen = h
        self.hco3_total = carbon * c.k1 * h
        self.hco3 = self.hco3_total / self.s1
        self.co3 = carbon * c.k1 * c.k2 / self.s2
        self.h2po4 = phosphorus * h * h / self.sp1
        self.hpo4 = phosphorus * c.kp * h / self.sp2
        self.po4 = phosphorus * c.kp * c.kpp / self.sp3
        self.nh4 = self.tan * h / (h + c.kn)

    def conditional(self) -> Conditional:
        """Return the constants of the last pass."""
        g, g0 = self.gamma, self.g0
        hydroxide_pairs = self.pair["mgoh"] * self.mg + self.pair["caoh"] * self.ca
        return Conditional(
            k1=self.k1 * g0 / g["hco3"] * self.s1,
            k2=self.k2 * g["hco3"] / g["co3"] * self.s2 / self.s1,
            kw=self.kw / g["oh"] + hydroxide_pairs,
            kn=self.kn * g["nh4"] / g0 / self.ammonium_pairs,
            kp=self.bare["h2po4"] * g["hco3"] / g["hpo4"] * self.sp2 / self.sp1,
            kpp=self.bare["hpo4"] * g["hpo4"] / g["po4"] * self.sp3 / self.sp2,
            inverse_gamma_h=1.0 / g["h"],
            kh=eq.henry_carbon_dioxide_pb82(self.temperature) / g0,
            ks=eq.solubility_calcite_pb82(self.temperature) + 0.0 * g0,
            calcium_activity=self.ca * g["ca"],
            carbonate_activity=self.k1 * self.k2 * g0,
            neutral_activity=g0,
            ionic_strength=self.strength,
        )
