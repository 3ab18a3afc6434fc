"""Every row of the matrix closes, and the solved coefficients are those of the published stoichiometry."""

from __future__ import annotations

import pytest

from lentic.engine.expressions import full_stoichiometry, solved_row
from lentic.engine.table import Component, Process, Table
from lentic.model.components import (
    BACTERIA,
    OXYGEN_IN_NITRATE,
    OXYGEN_IN_NITRITE,
    components,
)
from lentic.model.expressions import evaluate
from lentic.model.parameters import Parameter, default_values
from lentic.science.constants import CALCIUM_CARBONATE, CARBON, NITROGEN, OXYGEN, PHOSPHORUS

Rows = dict[str, dict[str, float]]


@pytest.fixture(scope="module")
def rows(table: Table, parameters: dict[str, Parameter]) -> Rows:
    """All coefficients at the defaults."""
    values = default_values(parameters)
    return {
        name: {component: evaluate(text, values) for component, text in row.items()}
        for name, row in full_stoichiometry(table).items()
    }


def test_every_row_closes_for_every_draw(table: Table, draws: list[dict[str, float]]) -> None:
    """Coefficients times contents add up to nought for COD, carbon, nitrogen, phosphorus and charge."""
    content = {component.name: component.composition for component in table.components}
    for values in draws:
        for name, row in full_stoichiometry(table).items():
            numbers = {component: evaluate(text, values) for component, text in row.items()}
            for quantity in table.conserved:
                terms = [
                    number * content[component].get(quantity, 0.0) for component, number in numbers.items()
                ]
                size = max(map(abs, terms), default=0.0)
                assert abs(sum(terms)) <= 1e-12 * max(1.0, size), (name, quantity)


def test_only_heat_and_evaporation_hold_nothing(table: Table) -> None:
    """A row without any conserved quantity would close without meaning anything."""
    content = {component.name: component.composition for component in table.components}
    empty = {p.name for p in table.processes if not any(content[c] for c in p.stoichiometry)}
    assert empty == {"heat_exchange", "evaporation"}


@pytest.mark.parametrize(
    ("process", "component", "expected", "relative"),
    [
        # an independent prototype of the same rows with masses 14, 31, 12: they differ by up to 1e-3
        ("ammonia_oxidisers_filter_grow", "oxygen", -18.0476, 1e-3),
        ("ammonia_oxidisers_filter_grow", "carbon", -0.366, 1e-3),
        ("ammonia_oxidisers_filter_grow", "ammonium", -5.642, 1e-3),
        ("ammonia_oxidisers_filter_grow", "alkalinity", -0.7991, 1e-3),
        ("nitrite_oxidisers_filter_grow", "nitrite", -16.6667, 1e-3),
        ("nitrite_oxidisers_filter_grow", "nitrate", 16.6667, 1e-3),
        ("nitrite_oxidisers_filter_grow", "ammonium", -0.086, 1e-3),
        ("nitrite_oxidisers_filter_grow", "alkalinity", -0.0054977, 1e-3),
        ("algae_panes_grow_on_ammonium", "alkalinity", -0.00438479, 1e-3),
        ("algae_panes_grow_on_ammonium", "oxygen", 1.12, 1e-12),
        ("algae_panes_grow_on_nitrate", "oxygen", 1.41714, 1e-3),
        ("algae_panes_grow_on_nitrate", "alkalinity", 0.00490, 1e-3),
        # CO(NH2)2, one carbon to two nitrogens
        ("urea_hydrolysis", "carbon", 0.42875, 1e-4),
        # Wolf-Gladrow et al. 2007 (from memory): alkalinity -1 per phosphate, +1 per ammonium
        ("labile_p_mineralises", "alkalinity", -0.0322851, 1e-4),
        ("labile_n_mineralises", "alkalinity", 1.0 / 14.007, 1e-4),
        # five electrons a nitrogen atom: 40 g of oxygen replaced by 14.007 g of nitrate nitrogen
        ("labile_rots_in_nitrate", "nitrate", -0.3502, 1e-4),
        ("labile_rots_in_nitrate", "dinitrogen", 0.3502, 1e-4),
    ],
)
def test_solved_coefficients(
    rows: Rows, process: str, component: str, expected: float, relative: float
) -> None:
    """Coefficients come out of the composition as published or worked out by hand."""
    assert rows[process][component] == pytest.approx(expected, rel=relative)


def test_oxygen_held_by_forms_of_nitrogen() -> None:
    """NH4 -> NO2 takes 3.42664 g O2/g N, NH4 -> NO3 4.56886 (stoichiometry; river models print 4.57)."""
    assert pytest.approx(3.42664, rel=1e-5) == OXYGEN_IN_NITRITE
    assert pytest.approx(4.56886, rel=1e-5) == OXYGEN_IN_NITRATE
    assert pytest.approx(1.14221, rel=1e-5) == OXYGEN_IN_NITRATE - OXYGEN_IN_NITRITE


def test_alkalinity_from_food_to_nitrate(rows: Rows) -> None:
    """Ammonification gives 3.573 g CaCO3 per g N, nitrification takes 7.145: food to nitrate nets 3.573."""
    gram_per_eq = CALCIUM_CARBONATE / 2.0
    given = rows["labile_n_mineralises"]["alkalinity"] * gram_per_eq
    taken = -2.0 / NITROGEN * gram_per_eq
    assert given == pytest.approx(3.57271, rel=1e-3)
    assert taken == pytest.approx(-7.14543, rel=1e-3)
    bred = (
        rows["nitrite_oxidisers_filter_grow"]["alkalinity"] / rows["nitrite_oxidisers_filter_grow"]["nitrate"]
    )
    bred += (
        rows["ammonia_oxidisers_filter_grow"]["alkalinity"] / rows["ammonia_oxidisers_filter_grow"]["nitrite"]
    )
    assert bred == pytest.approx(-2.0 / NITROGEN, rel=0.02)  # cells take a little ammonium, too


def test_denitrification_returns_one_equivalent(rows: Rows) -> None:
    """Denitrification returns 3.573 g CaCO3 per g N (stoichiometry)."""
    row = rows["labile_rots_in_nitrate"]
    assert row["alkalinity"] / row["dinitrogen"] * CALCIUM_CARBONATE / 2.0 == pytest.approx(3.57271, rel=1e-3)


def test_lime_takes_two_equivalents_a_carbon(rows: Rows) -> None:
    """CaCO3 forming takes one carbon and two equivalents."""
    assert rows["lime_forms"]["carbon"] == -1.0
    assert rows["lime_forms"]["alkalinity"] * CARBON == pytest.approx(-2.0)


def test_one_step_nitrification_of_a_published_model() -> None:
    """The autotroph row of ASM1 (Henze et al. 2000): Y 0.24, 0.08 N; its 4.57 is rounded to the hundredth."""
    autotrophs = Component(name="autotrophs", unit="g COD", meaning="", composition={"COD": 1.0, "N": 0.08})
    growth = Process(
        name="growth",
        stoichiometry={"autotrophs": 1.0, "nitrate": 1.0 / 0.24},
        solve={"N": "ammonium", "COD": "oxygen", "charge": "alkalinity"},
        rate="1.0",
        source="Henze et al. 2000",
    )
    table = Table(name="asm1", components=(*components(0), autotrophs), processes=(growth,))
    row = solved_row(growth, table)
    assert row["ammonium"] == pytest.approx(-4.24667, rel=1e-4)
    assert row["oxygen"] == pytest.approx(-18.0417, abs=0.005 / 0.24)


def test_redfield_growth() -> None:
    """C106H263O110N16P on ammonium gives 1 mol O2 a carbon (Redfield) and -15/106 eq (Wolf-Gladrow 2007)."""
    demand = 106 + 263 / 4 - 110 / 2 - 16 * 3 / 4 + 5 / 4  # mol O2 from the formula's valences
    composition = {
        "COD": demand * 2.0 * OXYGEN,
        "C": 106 * CARBON,
        "N": 16 * NITROGEN,
        "P": PHOSPHORUS,
    }
    alga = Component(name="alga", unit="mol", meaning="", composition=composition)
    growth = Process(
        name="growth",
        stoichiometry={"alga": 1.0},
        solve={"N": "ammonium", "P": "phosphate", "C": "carbon", "COD": "oxygen", "charge": "alkalinity"},
        rate="1.0",
        source="Redfield",
    )
    row = solved_row(growth, Table(name="redfield", components=(*components(0), alga), processes=(growth,)))
    oxygen, alkalinity = row["oxygen"], row["alkalinity"]
    assert isinstance(oxygen, float) and isinstance(alkalinity, float)
    assert oxygen / (106 * 2.0 * OXYGEN) == pytest.approx(1.0, rel=1e-12)
    assert alkalinity / 106 == pytest.approx(-0.141509, rel=1e-5)


def test_bacteria_are_counted_by_their_oxygen_demand() -> None:
    """The unit of bacteria is g COD, so a gram holds exactly one."""
    assert BACTERIA["COD"] == 1.0
