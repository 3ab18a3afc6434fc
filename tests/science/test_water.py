"""A change and a dose in one step against PHREEQC on 500 random pairs of waters, ammonia and phosphate in them."""

import numpy as np
import phreeqc
import pytest

from lentic.science import scale
from lentic.science.arrays import Array
from lentic.science.ions import Ions
from lentic.science.water import Water, mixed_water, water_from_tests, with_bicarbonate

ION_ELEMENTS = {"ca": "Ca", "mg": "Mg", "na": "Na", "k": "K", "cl": "Cl", "so4": "S(6)", "no3": "N(5)"}
# Ammonia as an element of its own, as in the database Amm.dat that comes with PHREEQC: mixing must not let it react
# with nitrate to nitrogen gas, which no tank does in an afternoon. Constants are those of wateq4f.dat.
AMMONIA = """SOLUTION_MASTER_SPECIES
 Amm AmmH+ 0 AmmH 17.031
SOLUTION_SPECIES
AmmH+ = AmmH+
 log_k 0
 -gamma 2.5 0
AmmH+ = Amm + H+
 log_k -9.252
 -analytic 0.6322 -0.001225 -2835.76
AmmH+ + SO4-2 = AmmHSO4-
 log_k 1.11
 -gamma 5 0
END
"""


def random_waters(draw: np.random.Generator, count: int, ammonia: float) -> Water:
    """Return waters whose charge sodium and chloride close; half with ammonia, half with phosphate."""
    alkalinity = np.exp(draw.uniform(np.log(0.2), np.log(8.0), count))
    so4, no3 = draw.uniform(0.02, 2.0, count), draw.uniform(0.01, 3.0, count)
    ca, mg, k = draw.uniform(0.05, 4.0, count), draw.uniform(0.02, 2.0, count), draw.uniform(0.02, 0.6, count)
    tan = np.where(draw.random(count) < 0.5, draw.uniform(0.0, ammonia, count), 0.0)
    phosphate = np.where(draw.random(count) < 0.5, draw.uniform(0.0, 0.1, count), 0.0)
    salt = draw.uniform(0.1, 6.0, count)
    surplus = 2 * ca + 2 * mg + k + tan - (2 * so4 + no3 + alkalinity + phosphate)
    na, cl = salt + np.maximum(-surplus, 0.0), salt + np.maximum(surplus, 0.0)
    ions = Ions(ca=ca / 1e3, mg=mg / 1e3, na=na / 1e3, k=k / 1e3, cl=cl / 1e3, so4=so4 / 1e3, no3=no3 / 1e3)
    return Water(
        temperature=draw.uniform(5.0, 35.0, count), ions=ions, alkalinity=alkalinity / 1e3,
        dic=alkalinity * draw.uniform(0.97, 1.5, count) / 1e3, tan=tan / 1e3, phosphate=phosphate / 1e3,
    )  # fmt: skip


def solution(water: Water, index: int, number: int) -> str:
    """Write one water as PHREEQC reads it."""
    amounts = {element: getattr(water.ions, name) for name, element in ION_ELEMENTS.items()}
    amounts |= {"Amm": water.tan, "P": water.phosphate, "C(4)": water.dic, "Alkalinity": water.alkalinity}
    text = f"SOLUTION {number}\n temp {float(np.asarray(water.temperature)[index])}\n units mmol/kgw\n pe 8\n pH 7.5\n"
    for element, values in amounts.items():
        if (amount := float(np.asarray(values)[index])) > 0.0:
            text += f" {element} {1e3 * amount}\n"
    return text


def run_phreeqc(old: Water, new: Water, after: Water, fraction: Array, dose: Array) -> dict[str, Array]:
    """Mix, dose and speciate in PHREEQC, at the temperature of the mix."""
    engine = phreeqc.Phreeqc()
    assert engine.LoadBuiltInDatabase("wateq4f.dat") == 0
    assert engine.RunString(AMMONIA) == 0, engine.GetErrorString()
    wanted = {"pH": '-LA("H+")', "SI": 'SI("Calcite")', "NH3": 'MOL("Amm")'}
    text = ""
    for i, share in enumerate(fraction):
        text += solution(old, i, 1) + solution(new, i, 2) + "END\n"
        if i == 0:
            text += "SELECTED_OUTPUT 1\n -reset false\n -high_precision true\nUSER_PUNCH 1\n -headings "
            text += f"{' '.join(wanted)}\n -start\n10 PUNCH {', '.join(wanted.values())}\n -end\n"
        text += "SELECTED_OUTPUT 1\n -active true\n" if i else ""
        text += f"MIX 3\n 1 {1.0 - float(share)}\n 2 {float(share)}\nREACTION 3\n NaHCO3 1\n {float(dose[i])} moles\n"
        text += f"REACTION_TEMPERATURE 3\n {float(np.asarray(after.temperature)[i])}\nEND\n"
        text += "SELECTED_OUTPUT 1\n -active false\n"
    assert engine.RunString(text) == 0, engine.GetErrorString()
    return {key: np.array(values, dtype=np.float64) for key, values in engine.GetSelectedOutput().items()}


@pytest.fixture(scope="module")
def changed() -> tuple[Water, Water, dict[str, Array]]:
    """Return 500 tanks before and after a change of 5 to 95 % with a dose of bicarbonate, and PHREEQC's answer."""
    draw, count = np.random.default_rng(20260411), 500
    old, new = random_waters(draw, count, 0.36), random_waters(draw, count, 0.03)
    fraction = draw.uniform(0.05, 0.95, count)
    dose = np.where(draw.random(count) < 0.7, draw.uniform(0.0, 2.0, count), 0.0) / 1e3
    after = with_bicarbonate(mixed_water(old, new, fraction), dose)
    return old, after, run_phreeqc(old, new, after, fraction, dose)


def test_a_change_and_a_dose_agree_with_phreeqc(changed: tuple[Water, Water, dict[str, Array]]) -> None:
    """PHREEQC mixes and reacts by itself, ours adds conserved amounts: 0.005 pH, 0.02 of the calcite index."""
    _, after, reference = changed
    assert len(reference["pH"]) == 500
    index = scale.saturation_index(after.constants, 10.0**-after.ph, after.dic)
    assert np.max(np.abs(after.ph - reference["pH"])) < 0.005
    assert np.max(np.abs(index - reference["SI"])) < 0.02


def test_free_ammonia_after_the_change_agrees_with_phreeqc(
    changed: tuple[Water, Water, dict[str, Array]],
) -> None:
    """Within 5 %, what 0.02 pH would allow."""
    _, after, reference = changed
    constants = after.constants
    free = after.tan * constants.kn / (constants.kn + 10.0**-after.ph)
    some = np.asarray(after.tan) > 1e-6
    assert some.sum() > 300
    assert np.max(np.abs(free[some] / reference["NH3"][some] - 1.0)) < 0.05


def test_a_water_comes_back_from_its_tests() -> None:
    """PH and hardness in, the same pH out; a part of nothing changes nothing, all of it is the other water."""
    tank = water_from_tests(24.0, 7.4, 1.5, 2.5, nitrate=9.0, tan=1.0, phosphate=0.3)
    tap = water_from_tests(15.0, 7.9, 3.2, 4.6)
    assert float(tank.ph) == pytest.approx(7.4, abs=0.001)
    assert float(mixed_water(tank, tap, 0.0).ph) == pytest.approx(float(tank.ph), abs=1e-9)
    assert float(mixed_water(tank, tap, 1.0).ph) == pytest.approx(float(tap.ph), abs=1e-9)
    assert float(with_bicarbonate(tank, 0.0).ph) == pytest.approx(float(tank.ph), abs=1e-9)
