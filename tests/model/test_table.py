"""The table is complete and means what it says: names, units, signs, each response against its relation."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np
import pytest

from lentic.engine.expressions import TableError, full_stoichiometry, names_in
from lentic.engine.layout import Layout
from lentic.engine.reference import packed, rate_function
from lentic.engine.table import Table
from lentic.model.expressions import cardinal, evaluate, light_curve
from lentic.model.parameters import Fixed, LogNormal, Normal, Parameter, Share, default_parameters
from lentic.model.parameters_plants import plant_defaults
from lentic.model.parameters_water import fitted_constants, ideal_constants
from lentic.model.processes import build_table
from lentic.science import kinetics
from lentic.science.balance import solve_hydrogen
from lentic.science.conductivity import ions_from_hardness
from lentic.science.equilibrium import first_dissociation_pb82, pk_ammonium_emerson_1975
from lentic.science.gas import oxygen_saturation
from lentic.science.pairing import conditional_constants
from lentic.science.temperature import ctmi

PointOf = Callable[[Table, Mapping[str, float]], Any]


def expressions(table: Table) -> list[str]:
    """Every expression of a table."""
    implicit = table.implicit
    assert implicit is not None
    found = [a.expression for a in table.auxiliaries] + [p.rate for p in table.processes]
    found += [c.relaxation for c in table.components if c.relaxation] + list(table.stiffness)
    found += [e for _, e in implicit.preparation] + [implicit.residual, implicit.slope]
    rows = full_stoichiometry(table).values()
    return found + [c for row in rows for c in row.values() if isinstance(c, str)]


@pytest.mark.parametrize("slots", [0, 1, 2, 4])
def test_all_names_are_defined_once_and_all_parameters_used(slots: int) -> None:
    """A table compiles for any number of plants, and carries no parameter that does nothing."""
    table = build_table(slots)
    Layout(table)
    used = frozenset().union(*(names_in(text) for text in expressions(table)))
    assert set(table.parameters) <= used
    assert set(table.drivers) <= used
    processes = [p.name for p in table.processes]
    assert len(set(processes)) == len(processes)


def test_rows_of_the_state() -> None:
    """Two plants: 53 amounts, temperature, volume and lime; the first two are early and nothing else is."""
    table = build_table(2)
    assert len(table.components) == 56
    assert [c.name for c in table.components if c.early] == ["temperature", "volume"]
    assert {c.name for c in table.components if c.kind == "signed"} == {
        "temperature", "alkalinity", "oxygen_air", "carbon_air",
    }  # fmt: skip


def test_every_row_says_where_it_comes_from(table: Table) -> None:
    """No process without a source, no component or auxiliary without unit and meaning."""
    assert all(process.source.strip() for process in table.processes)
    assert all(c.unit and c.meaning for c in table.components)
    assert all(a.unit and a.meaning for a in table.auxiliaries)


def test_every_parameter_says_how_it_is_known(parameters: dict[str, Parameter]) -> None:
    """Unit, meaning and source are filled, and the source says the same as the mark of how it is known."""
    words = {"memory": "memory", "practice": "common practice, no source", "tuned": "tuned"}
    for parameter in parameters.values():
        assert parameter.unit and parameter.meaning and parameter.source
        assert words.get(parameter.how, "") in parameter.source, parameter.name


def test_priors_hold_their_defaults(parameters: dict[str, Parameter]) -> None:
    """A share lies inside its range, a factor is positive, and names follow the order of the table."""
    assert tuple(parameters) == build_table(3).parameters
    for parameter in parameters.values():
        prior = parameter.prior
        if isinstance(prior, Share):
            assert 0.0 < prior.low <= parameter.default <= prior.high < 1.0, parameter.name
        elif isinstance(prior, LogNormal):
            assert parameter.default >= 0.0 and prior.sd > 0.0, parameter.name
        else:
            assert isinstance(prior, Fixed | Normal)


def test_unknown_plant_class_is_refused() -> None:
    """The message names the classes there are."""
    with pytest.raises(Exception, match="FS, MS, RG, FL, EM, SL"):
        plant_defaults("XX")


def test_outside_the_language_is_refused() -> None:
    """Only arithmetic has a value, and only known names do."""
    with pytest.raises(TableError, match="not defined"):
        evaluate("a + b", {"a": 1.0})
    with pytest.raises(TableError):
        evaluate("a if b else c", {"a": 1.0, "b": 1.0, "c": 1.0})
    assert evaluate("-maximum(a, 2.0)**2", {"a": 3.0}) == -9.0


def test_rates_are_never_negative(table: Table, draws: list[dict[str, float]], point: PointOf) -> None:
    """Only heat may flow both ways: a negative rate would escape the limiter that keeps amounts positive."""
    rng = np.random.default_rng(7)
    for values in draws:
        state = {c.name: 10.0 ** rng.uniform(-6, 2) for c in table.components}
        state |= {"temperature": rng.uniform(2.0, 39.0), "volume": 0.3, "alkalinity": rng.uniform(-0.1, 2.0)}
        drivers = {
            "lamp": rng.uniform(),
            "flow": rng.uniform(),
            "room_temperature": 20.0,
            "sun": rng.uniform(),
        }
        rates = point(table, values | state | drivers).rates
        assert all(math.isfinite(rate) for rate in rates.values())
        negative = {name for name, rate in rates.items() if rate < 0.0 and name != "heat_exchange"}
        assert not negative


def test_an_empty_tank_is_at_rest(table: Table, tank: dict[str, float], point: PointOf) -> None:
    """Without any living or dead matter nothing but gas and heat moves, and nothing divides by nought."""
    nothing = {c.name: 0.0 for c in table.components} | {
        "temperature": 20.0,
        "volume": 0.1,
        "alkalinity": 0.2,
    }
    rates = point(table, tank | nothing | {"carbon": 2.0}).rates
    moving = {name for name, rate in rates.items() if rate != 0.0}
    assert moving <= {
        "heat_exchange", "evaporation", "oxygen_enters", "carbon_dioxide_enters", "carbon_dioxide_leaves",
        "lime_forms",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("temperature", "printed"), [(10.0, 11.29), (15.0, 10.08), (20.0, 9.09), (25.0, 8.26), (30.0, 7.56)]
)
def test_oxygen_saturation_of_the_published_table(
    table: Table, tank: dict[str, float], point: PointOf, temperature: float, printed: float
) -> None:
    """Benson & Krause 1984 as printed in standard tables, mg/L under one atmosphere."""
    found = point(table, tank | {"temperature": temperature}).names["oxygen_full"]
    assert found == pytest.approx(printed, abs=0.006 + 0.001 * printed)


def test_oxygen_saturation_fit(table: Table, tank: dict[str, float]) -> None:
    """The cubic under the exponential stays within 0.1 % of the published relation from 2 to 40 °C."""
    text = next(a.expression for a in table.auxiliaries if a.name == "oxygen_full")
    for temperature in np.linspace(2.0, 40.0, 39):
        fitted = evaluate(text, tank | {"temperature": float(temperature)})
        assert fitted == pytest.approx(float(oxygen_saturation(temperature)), rel=1e-3)


def test_equilibrium_constants_fit() -> None:
    """The quadratics stay within 0.003 decades of Plummer & Busenberg 1982 and Emerson et al. 1975."""
    values = ideal_constants()
    for t in np.linspace(5.0, 38.0, 34):
        k1, kn = (
            values[f"ln_{k}_a"] + t * (values[f"ln_{k}_b"] + t * values[f"ln_{k}_c"]) for k in ("k1", "kn")
        )
        assert k1 / math.log(10.0) == pytest.approx(math.log10(first_dissociation_pb82(t)), abs=3e-3)
        assert kn / math.log(10.0) == pytest.approx(-float(pk_ammonium_emerson_1975(t)), abs=3e-3)


@pytest.mark.parametrize("temperature", [8.0, 18.0, 25.0, 33.0])
def test_ph_of_the_table_is_that_of_the_full_chemistry(
    table: Table, tank: dict[str, float], point: PointOf, temperature: float
) -> None:
    """Fitted constants for one water give its pH within 0.01 of the full speciation."""
    ions = ions_from_hardness(3e-3, 2.4e-3, 1e-4)
    water = conditional_constants(temperature, ions, 2.4e-3, 2.45e-3, tan=3e-5, phosphate=1e-5)
    expected = solve_hydrogen(water, 2.45e-3, 2.4e-3, 3e-5, 1e-5, 1e-7, 16)
    volume = tank["volume"]
    state = {"carbon": 2.45e-3 * 12011 * volume, "alkalinity": 2.4 * volume, "temperature": temperature}
    state |= {"ammonium": 3e-5 * 14007 * volume, "phosphate": 1e-5 * 30974 * volume}
    names = point(table, tank | fitted_constants(ions, 2.4e-3, 2.45e-3) | state).names
    assert math.log10(names["hydrogen"]) == pytest.approx(math.log10(expected), abs=0.01)


def test_slope_of_the_balance(table: Table, tank: dict[str, float], point: PointOf) -> None:
    """The slope Newton uses is minus the derivative of the residual against the logarithm."""
    implicit = table.implicit
    assert implicit is not None
    known: dict[str, float] = point(table, tank).names

    def balance(factor: float) -> dict[str, float]:
        local = known | {"hydrogen": known["hydrogen"] * factor}
        for name, expression in implicit.preparation:
            local[name] = evaluate(expression, local)
        return local

    step = 1e-5
    rise = evaluate(implicit.residual, balance(math.exp(step))) - evaluate(
        implicit.residual, balance(math.exp(-step))
    )
    assert evaluate(implicit.slope, balance(1.0)) == pytest.approx(-rise / (2.0 * step), rel=1e-6)
    assert known["buffering"] == pytest.approx(-rise / (2.0 * step), rel=1e-6)


@pytest.mark.parametrize("carbon", [5.0, 7.5, 9.0])
def test_return_of_carbon_is_the_derivative_of_its_balance(
    table: Table, tank: dict[str, float], point: PointOf, carbon: float
) -> None:
    """The predictor's return rate is minus the derivative of gas exchange and uptake against carbon."""
    rates = rate_function(table, 40)
    content = [c.name for c in table.components]
    row = content.index("carbon")
    values = tank | {"carbon": carbon, "lime_rate": 0.0}
    p, d = packed(table.parameters, values), packed(table.drivers, values)

    def balance(amount: float) -> float:
        return float(rates(packed(tuple(content), values | {"carbon": amount}), p, d)[row])

    # bacteria's small uptake also feels the pH, which the return rate leaves out: hence one percent
    slope = (balance(carbon * 1.0001) - balance(carbon * 0.9999)) / (carbon * 0.0002)
    found = point(table, values).names["carbon_return"]
    assert found == pytest.approx(-slope, rel=1e-2)


def test_temperature_response_is_the_published_one() -> None:
    """The expression is Rosso's form, nought outside the limits."""
    text = cardinal("t", "low", "best", "high")
    for t in (-2.0, 4.0, 10.0, 20.0, 31.0, 36.0, 40.0, 45.0):
        found = evaluate(text, {"t": t, "low": 4.0, "best": 31.0, "high": 40.0})
        assert found == pytest.approx(float(ctmi(t, 4.0, 31.0, 40.0)), abs=1e-12)


@pytest.mark.parametrize("light", [1.0, 20.0, 80.0, 300.0])
def test_light_curves_are_the_published_ones(light: float) -> None:
    """One weight at a time gives the curve of its author; Steele's best light is e times the onset."""
    onset = 60.0
    curves = {
        "curve_tanh": kinetics.light_jassby_platt(light, onset),
        "curve_smith": kinetics.light_smith(light, onset),
        "curve_steele": kinetics.light_steele(light, math.e * onset),
    }
    for name, expected in curves.items():
        weights = dict.fromkeys(curves, 0.0) | {name: 1.0, "x": light / onset}
        assert evaluate(light_curve("x"), weights) == pytest.approx(float(expected), rel=1e-12)


@pytest.mark.parametrize("place", ["filter", "surfaces"])
@pytest.mark.parametrize("step", ["ammonia", "nitrite"])
def test_film_equation(table: Table, tank: dict[str, float], point: PointOf, place: str, step: str) -> None:
    """What the film turns over is the published closed form for diffusion in series with Monod uptake."""
    names = point(table, tank).names
    feed = {"ammonia": "ammonium", "nitrite": "nitrite"}[step]
    expected, _ = kinetics.film_uptake(
        names[f"{feed}_mg_l"],
        names[f"{step}_capacity_{place}"],
        names[f"half_{step}"],
        names[f"reach_{place}"],
    )
    assert names[f"{step}_turned_{place}"] == pytest.approx(float(expected), rel=1e-9)


def test_ammonium_preference(table: Table, tank: dict[str, float], point: PointOf) -> None:
    """One quotient for the preference formula of river models."""
    names = point(table, tank).names
    expected = kinetics.ammonium_preference(names["ammonium_mg_l"], names["nitrate_mg_l"])
    assert names["ammonium_share_algae"] == pytest.approx(float(expected), rel=1e-6)


def test_droop_limit(table: Table, tank: dict[str, float], point: PointOf) -> None:
    """The scarcer store rules, as Droop's law has it."""
    names = point(table, tank).names
    limits = [
        kinetics.droop(
            names[f"plant_{e}_1"] / names["plant_1"], names[f"quota_{e}_min_1"], names[f"quota_{e}_max_1"]
        )
        for e in ("n", "p")
    ]
    assert names["fullness_1"] == pytest.approx(float(min(limits)), rel=1e-6)


def test_nitrifiers_at_half_speed(table: Table, tank: dict[str, float], point: PointOf) -> None:
    """At the acidity called half rate, the speed is half of that at the middle of the window."""
    low = point(table, tank | {"hydrogen": tank["nitrifier_h_lo"]}).names
    middle = math.sqrt(tank["nitrifier_h_lo"] * tank["nitrifier_h_hi"])
    best = point(table, tank | {"hydrogen": middle}).names
    ratio = low["ammonia_oxidiser_speed"] / best["ammonia_oxidiser_speed"]
    assert ratio == pytest.approx(0.5, rel=1e-3)


def test_floaters_live_on_air(table: Table, tank: dict[str, float], point: PointOf) -> None:
    """A plant with its leaves in air takes no carbon from the water, but shades it."""
    rates = point(table, tank).rates
    assert rates["plant_2_grows_in_water"] == 0.0 < rates["plant_2_grows_in_air"]
    assert rates["plant_1_grows_in_air"] == 0.0 < rates["plant_1_grows_in_water"]
    bare = point(table, tank | {"plant_2": 0.0}).names
    assert bare["lamp_light"] > point(table, tank).names["lamp_light"]


def test_defaults_of_plant_classes_differ() -> None:
    """The class of a slot is what its defaults come from."""
    one, other = default_parameters(1, ("FS",)), default_parameters(1, ("SL",))
    assert one["mu_1"].default > other["mu_1"].default
