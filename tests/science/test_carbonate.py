"""The carbonate balance against PHREEQC on random waters, its inverses, its convergence and its limits."""

from dataclasses import dataclass

import numpy as np
import phreeqc
import pytest

from lentic.science import carbonate, conductivity, scale
from lentic.science.arrays import Array
from lentic.science.balance import carbonate_charge, solve_hydrogen

ELEMENTS = {
    "ca": "Ca", "mg": "Mg", "na": "Na", "k": "K", "cl": "Cl", "so4": "S(6)", "no3": "N(5)",
    "tan": "N(-3)", "phosphate": "P", "dic": "C(4)", "alkalinity": "Alkalinity",
}  # fmt: skip
ION_NAMES = ("ca", "mg", "na", "k", "cl", "so4", "no3")


@dataclass(frozen=True, kw_only=True)
class Waters:
    """Random tank waters, all amounts in mol/kg (alkalinity eq/kg)."""

    temperature: Array
    amounts: dict[str, Array]

    @property
    def ions(self) -> carbonate.Ions:
        """The ions that take no part in the acid-base balance."""
        return carbonate.Ions(**{name: self.amounts[name] for name in ION_NAMES})

    def constants(self, passes: int = 2) -> carbonate.Conditional:
        """Constants of the balance in these waters."""
        a = self.amounts
        more = {"tan": a["tan"], "phosphate": a["phosphate"]}
        return carbonate.conditional_constants(
            self.temperature, self.ions, a["alkalinity"], a["dic"], **more, passes=passes
        )

    def ph(self, constants: carbonate.Conditional) -> Array:
        """PH from a cold start."""
        a = self.amounts
        return carbonate.ph(constants, a["dic"], a["alkalinity"], a["tan"], a["phosphate"])


@pytest.fixture(scope="module")
def waters() -> Waters:
    """Return 500 waters, half with ammonia, half with phosphate; sodium and chloride close the charge."""
    draw, count = np.random.default_rng(20240501), 500
    alkalinity = np.exp(draw.uniform(np.log(0.2), np.log(8.0), count))
    amounts = {
        "alkalinity": alkalinity,
        "dic": alkalinity * draw.uniform(0.97, 1.5, count),
        "ca": draw.uniform(0.05, 4.0, count),
        "mg": draw.uniform(0.02, 2.0, count),
        "k": draw.uniform(0.02, 0.6, count),
        "so4": draw.uniform(0.02, 2.0, count),
        "no3": draw.uniform(0.01, 3.0, count),
        "tan": np.where(draw.random(count) < 0.5, draw.uniform(0.0, 0.36, count), 0.0),
        "phosphate": np.where(draw.random(count) < 0.5, draw.uniform(0.0, 0.1, count), 0.0),
    }
    salt = draw.uniform(0.1, 6.0, count)
    positive = 2 * amounts["ca"] + 2 * amounts["mg"] + amounts["k"] + amounts["tan"]
    negative = 2 * amounts["so4"] + amounts["no3"] + alkalinity + amounts["phosphate"]
    amounts["na"] = salt + np.maximum(negative - positive, 0.0)
    amounts["cl"] = salt + np.maximum(positive - negative, 0.0)
    return Waters(
        temperature=draw.uniform(5.0, 35.0, count),
        amounts={key: value / 1e3 for key, value in amounts.items()},
    )


def run_phreeqc(waters: Waters, database: str) -> dict[str, Array]:
    """Return pH, saturation index, ionic strength, conductivity and un-ionised ammonia of each water."""
    engine = phreeqc.Phreeqc()
    assert engine.LoadBuiltInDatabase(database) == 0
    wanted = {"pH": '-LA("H+")', "SI": 'SI("Calcite")', "I": "MU", "EC": "SC"}
    wanted |= {"NH3": 'MOL("NH3")', "CO2": 'MOL("CO2")'}
    text = "SELECTED_OUTPUT 1\n -reset false\n -high_precision true\nUSER_PUNCH 1\n -headings "
    text += f"{' '.join(wanted)}\n -start\n10 PUNCH {', '.join(wanted.values())}\n -end\nEND\n"
    for i, temperature in enumerate(waters.temperature):
        # float() because "np.float64(25.0)" in the input is passed over in silence and the run takes 25 °C.
        text += f"SOLUTION {i + 1}\n temp {float(temperature)}\n units mmol/kgw\n pe 8\n pH 7.5\n"
        for name, element in ELEMENTS.items():
            if (amount := float(waters.amounts[name][i])) > 0.0:
                text += f" {element} {1e3 * amount}\n"
        text += "END\n"
    assert engine.RunString(text) == 0, engine.GetErrorString()
    return {key: np.array(values, dtype=np.float64) for key, values in engine.GetSelectedOutput().items()}


@pytest.fixture(scope="module")
def wateq4f(waters: Waters) -> dict[str, Array]:
    """Return what PHREEQC makes of the waters with the constants of Plummer and Busenberg."""
    return run_phreeqc(waters, "wateq4f.dat")


@pytest.fixture(scope="module")
def newest(waters: Waters) -> dict[str, Array]:
    """Return what PHREEQC makes of the waters with its own refitted database."""
    return run_phreeqc(waters, "phreeqc.dat")


def index(waters: Waters, constants: carbonate.Conditional) -> Array:
    """Saturation index of the waters."""
    return scale.saturation_index(constants, 10.0 ** -waters.ph(constants), waters.amounts["dic"])


def test_ph_and_saturation_agree_with_phreeqc(waters: Waters, wateq4f: dict[str, Array]) -> None:
    """Same constants, other pairs and another solver: 0.005 pH and 0.02 of the index."""
    constants = waters.constants()
    assert np.max(np.abs(waters.ph(constants) - wateq4f["pH"])) < 0.005
    assert np.max(np.abs(index(waters, constants) - wateq4f["SI"])) < 0.02


def test_ph_and_saturation_agree_with_the_newest_database(waters: Waters, newest: dict[str, Array]) -> None:
    """Other constants and pairs: the spread of databases, 0.02 pH and 0.06 of the index."""
    constants = waters.constants()
    assert np.max(np.abs(waters.ph(constants) - newest["pH"])) < 0.02
    assert np.max(np.abs(index(waters, constants) - newest["SI"])) < 0.06


def test_ammonia_and_carbon_dioxide_agree_with_phreeqc(waters: Waters, wateq4f: dict[str, Array]) -> None:
    """Within 5 %, what 0.02 pH would allow; ammonia by Emerson's constant against PHREEQC's own."""
    constants, a = waters.constants(), waters.amounts
    h = 10.0 ** -waters.ph(constants)
    some = a["tan"] > 0.0
    ammonia = a["tan"] * constants.kn / (constants.kn + h)
    assert np.max(np.abs(ammonia[some] / wateq4f["NH3"][some] - 1.0)) < 0.05
    gas = carbonate.carbon_dioxide(constants, h, a["dic"])
    assert np.max(np.abs(gas / wateq4f["CO2"] - 1.0)) < 0.05


def test_strength_and_conductivity_agree_with_phreeqc(waters: Waters, newest: dict[str, Array]) -> None:
    """Ionic strength within 5 %; conductivity from 6 % below to 11 % above the diffusion model at 25 °C."""
    constants, a = waters.constants(), waters.amounts
    assert np.max(np.abs(constants.ionic_strength / newest["I"] - 1.0)) < 0.05
    at_25 = Waters(temperature=np.full_like(a["ca"], 25.0), amounts=a)
    measured = run_phreeqc(at_25, "phreeqc.dat")["EC"]
    bicarbonate = np.minimum(a["alkalinity"], a["dic"])
    ratio = conductivity.conductivity_from_ions(at_25.ions, bicarbonate, a["tan"]) / measured
    assert ratio.min() > 0.94 and ratio.max() < 1.11
    guess = newest["I"] / conductivity.ionic_strength_from_conductivity(measured)
    assert guess.min() > 0.75 and guess.max() < 1.3 and abs(np.median(guess) - 1.0) < 0.05
    # Temperature rule of the meter, 2 % a degree.
    cool = run_phreeqc(Waters(temperature=np.full_like(a["ca"], 15.0), amounts=a), "phreeqc.dat")["EC"]
    assert np.max(np.abs(conductivity.conductivity_at(measured, 15.0) / cool - 1.0)) < 0.03


def test_hardness_alone_is_enough_for_ph(waters: Waters, wateq4f: dict[str, Array]) -> None:
    """With calcium and magnesium guessed and salts unknown the pH stays within 0.08, the index does not."""
    a = waters.amounts
    ions = conductivity.ions_from_hardness(2.0 * (a["ca"] + a["mg"]), a["alkalinity"], a["no3"])
    guessed = carbonate.conditional_constants(
        waters.temperature, ions, a["alkalinity"], a["dic"], tan=a["tan"], phosphate=a["phosphate"]
    )
    off = np.abs(waters.ph(guessed) - wateq4f["pH"])
    assert np.max(off) < 0.08 and np.median(off) < 0.01
    assert np.max(np.abs(index(waters, guessed) - wateq4f["SI"])) > 0.3
    charge = 2 * (ions.ca + ions.mg) + ions.na + ions.k - ions.cl - 2 * ions.so4 - ions.no3 - a["alkalinity"]
    assert np.max(np.abs(charge)) < 1e-15


def test_more_passes_change_nothing_that_matters(waters: Waters) -> None:
    """Two passes are within 0.001 pH and 0.003 of the index of many."""
    two, many = waters.constants(2), waters.constants(8)
    assert np.max(np.abs(waters.ph(two) - waters.ph(many))) < 0.001
    assert np.max(np.abs(index(waters, two) - index(waters, many))) < 0.003


def test_inorganic_carbon_comes_back_from_ph(waters: Waters) -> None:
    """Inverse pair: DIC to pH to DIC."""
    constants, a = waters.constants(), waters.amounts
    back = carbonate.dic_from_ph(constants, waters.ph(constants), a["alkalinity"], a["tan"], a["phosphate"])
    assert np.max(np.abs(back / a["dic"] - 1.0)) < 1e-10


def test_alkalinity_comes_back_from_ph(waters: Waters) -> None:
    """Inverse pair: alkalinity to pH to alkalinity."""
    constants, a = waters.constants(), waters.amounts
    h = 10.0 ** -waters.ph(constants)
    back = carbonate.alkalinity_from_hydrogen(constants, h, a["dic"], a["tan"], a["phosphate"])
    assert np.max(np.abs(back / a["alkalinity"] - 1.0)) < 1e-10


@pytest.mark.parametrize(
    ("step", "sweeps", "error"),
    [(0.01, 1, 2e-4), (0.01, 2, 1e-7), (0.05, 2, 2e-5), (0.1, 3, 1e-7), (0.3, 4, 1e-7), (0.5, 4, 1e-5)],
)
def test_newton_converges_as_fast_as_promised(waters: Waters, step: float, sweeps: int, error: float) -> None:
    """Greatest error in pH over the waters after a start that far off, from both sides."""
    constants, a = waters.constants(), waters.amounts
    exact = waters.ph(constants)
    for side in (-step, step):
        start = 10.0 ** -(exact + side)
        h = solve_hydrogen(constants, a["dic"], a["alkalinity"], a["tan"], a["phosphate"], start, sweeps)
        assert np.max(np.abs(-np.log10(h) - exact)) < error


def test_a_cold_start_always_arrives() -> None:
    """20 000 extreme waters, alkalinity below nought among them: 16 sweeps close the balance."""
    draw, count = np.random.default_rng(7), 20_000
    alkalinity = draw.uniform(-0.3, 8.0, count) / 1e3
    dic = np.exp(draw.uniform(np.log(0.005), np.log(12), count)) / 1e3
    tan, phosphate = draw.uniform(0.0, 2.0, count) / 1e3, draw.uniform(0.0, 0.3, count) / 1e3
    ions = carbonate.Ions(ca=1e-3, mg=4e-4, na=8e-4, k=8e-5, cl=9e-4, so4=3.5e-4, no3=3e-4)
    constants = carbonate.conditional_constants(
        draw.uniform(5.0, 35.0, count), ions, alkalinity, dic, tan=tan, phosphate=phosphate
    )
    h = solve_hydrogen(constants, dic, alkalinity, tan, phosphate, 1e-7, 16)
    again = solve_hydrogen(constants, dic, alkalinity, tan, phosphate, h, 1)
    assert np.all(h > 0.0)
    assert np.max(np.abs(np.log10(again / h))) < 1e-12
    balance = carbonate.alkalinity_from_hydrogen(constants, h, dic, tan, phosphate)
    assert np.max(np.abs(balance - alkalinity)) < 1e-12


def test_ph_rises_with_alkalinity_and_falls_with_carbon(waters: Waters) -> None:
    """Monotonic where theory says so: more base, higher pH; more carbon dioxide, lower."""
    constants, a = waters.constants(), waters.amounts
    rest = (a["tan"], a["phosphate"])
    more = np.linspace(0.5, 1.5, 21)[:, None]
    assert np.all(np.diff(carbonate.ph(constants, a["dic"], a["alkalinity"] * more, *rest), axis=0) > 0.0)
    assert np.all(np.diff(carbonate.ph(constants, a["dic"] * more, a["alkalinity"], *rest), axis=0) < 0.0)


def test_charge_per_carbon_runs_from_nought_to_two(waters: Waters) -> None:
    """Acid water holds no alkalinity as carbonate, strongly alkaline water two equivalents per carbon."""
    constants = waters.constants()
    charge = carbonate_charge(constants, np.logspace(-1, -14, 50)[:, None])
    assert np.all(np.diff(charge, axis=0) > 0.0)
    assert np.max(charge[0]) < 1e-4 and np.min(charge[-1]) > 1.99


PURE = carbonate.Ions(ca=0.0, mg=0.0, na=0.0, k=0.0, cl=0.0, so4=0.0, no3=0.0)


def test_pure_water_is_neutral() -> None:
    """PH is half of pKw, 13.995 at 25 °C (IAPWS R11-07)."""
    constants = carbonate.conditional_constants(25.0, PURE, 0.0, 0.0)
    assert carbonate.ph(constants, 0.0, 0.0) == pytest.approx(13.995 / 2.0, abs=0.005)


def test_unbuffered_rain_has_ph_5_6() -> None:
    """Pure water under 400 ppm of carbon dioxide, the textbook value 5.6."""
    dic, constants = carbonate.dic_at_equilibrium(25.0, PURE, 0.0, 400e-6)
    assert carbonate.ph(constants, dic, 0.0) == pytest.approx(5.6, abs=0.05)


def test_equilibrium_holds_the_pressure_it_was_asked_for(waters: Waters) -> None:
    """The carbon dioxide of the solved water has the partial pressure of the air."""
    a = waters.amounts
    dic, constants = carbonate.dic_at_equilibrium(
        waters.temperature, waters.ions, a["alkalinity"], 700e-6, tan=a["tan"], phosphate=a["phosphate"]
    )
    h = 10.0 ** -carbonate.ph(constants, dic, a["alkalinity"], a["tan"], a["phosphate"])
    pressure = carbonate.carbon_dioxide(constants, h, dic) / constants.kh
    assert np.max(np.abs(pressure / 700e-6 - 1.0)) < 1e-6


def test_mixing_waters_is_not_averaging_ph() -> None:
    """Equal parts of two waters, hard and soft with carbon dioxide, against PHREEQC."""
    hard = {"ca": 1.0, "mg": 0.4, "na": 0.8, "k": 0.08, "cl": 0.9, "so4": 0.35, "no3": 0.3}
    soft = {"ca": 0.1, "mg": 0.04, "na": 0.2, "k": 0.03, "cl": 0.15, "so4": 0.04, "no3": 0.05}
    columns = [
        {**hard, "dic": 2.05, "alkalinity": 2.0},
        {**soft, "dic": 0.5, "alkalinity": 0.2},
    ]
    columns.append({key: (columns[0][key] + columns[1][key]) / 2.0 for key in columns[0]})
    amounts = {key: np.array([column[key] for column in columns]) / 1e3 for key in columns[0]}
    amounts |= {"tan": np.zeros(3), "phosphate": np.zeros(3)}
    three = Waters(temperature=np.full(3, 25.0), amounts=amounts)
    ph = three.ph(three.constants())
    assert np.max(np.abs(ph - run_phreeqc(three, "wateq4f.dat")["pH"])) < 0.005
    assert abs(ph[2] - (ph[0] + ph[1]) / 2.0) > 0.1


def test_lime_falls_until_the_water_is_saturated(waters: Waters) -> None:
    """Where lime can fall or dissolve freely, what is left has an index of nought."""
    a = {key: value[:40] for key, value in waters.amounts.items()}
    some = Waters(temperature=waters.temperature[:40], amounts=a)
    falls = scale.ccpp(
        some.temperature, some.ions, a["alkalinity"], a["dic"], tan=a["tan"], phosphate=a["phosphate"]
    )
    x = falls / 100.086e3
    left = {**a, "ca": a["ca"] - x, "dic": a["dic"] - x, "alkalinity": a["alkalinity"] - 2.0 * x}
    after = Waters(temperature=some.temperature, amounts=left)
    assert np.max(np.abs(index(after, after.constants()))) < 1e-6
    assert np.all(np.sign(falls) == np.sign(index(some, some.constants())))


def test_scale_grows_from_supersaturated_water_only(waters: Waters) -> None:
    """The sign of the rate is that of the index."""
    constants, a = waters.constants(), waters.amounts
    h = 10.0 ** -waters.ph(constants)
    rate = scale.calcite_growth_pwp78(waters.temperature, constants, h, a["dic"])
    assert np.all(np.sign(rate) == np.sign(index(waters, constants)))


def test_lime_grows_faster_at_the_wall_of_a_heater() -> None:
    """The hard water of row C161 grows 16 g/m² a day at 25 °C and about three times that at 45 °C."""
    ions = carbonate.Ions(ca=2.3e-3, mg=0.7e-3, na=1.1e-3, k=0.1e-3, cl=1.3e-3, so4=0.7e-3, no3=0.4e-3)
    wall = scale.heater_wall_temperature(25.0, 14_000.0)
    assert wall == pytest.approx(45.0)
    growth = []
    for t in (25.0, float(wall)):
        constants = carbonate.conditional_constants(t, ions, 4e-3, 4.1e-3)
        h = 10.0 ** -carbonate.ph(constants, 4.1e-3, 4e-3)
        growth.append(float(scale.calcite_growth_pwp78(t, constants, h, 4.1e-3)))
    assert growth[0] == pytest.approx(15.8, rel=0.12)
    assert growth[1] / growth[0] == pytest.approx(51.0 / 16.0, rel=0.12)


def test_water_without_calcium_has_no_saturation() -> None:
    """Minus infinity, without a warning."""
    constants = carbonate.conditional_constants(25.0, PURE, 2e-3, 2e-3)
    assert scale.saturation_index(constants, 1e-8, 2e-3) == -np.inf


def test_the_waterline_takes_the_scarcer_partner() -> None:
    """3 L a day of 4 meq/L with plenty of calcium and a fiftieth drying leave 12 mg of lime."""
    assert scale.waterline_scale(3.0, 5e-3, 4e-3, 0.02) == pytest.approx(0.0120, rel=0.01)
    assert scale.waterline_scale(3.0, 1e-3, 4e-3, 0.02) == pytest.approx(0.0060, rel=0.01)


def test_evaporation_concentrates_every_ion() -> None:
    """A factor multiplies each ion and leaves the original as it was."""
    water = carbonate.Ions(ca=1e-3, mg=2e-3, na=3e-3, k=4e-3, cl=5e-3, so4=6e-3, no3=7e-3)
    twice = water.concentrated(2.0)
    assert [getattr(twice, name) for name in ION_NAMES] == [2.0 * getattr(water, name) for name in ION_NAMES]
    assert water.ca == 1e-3
