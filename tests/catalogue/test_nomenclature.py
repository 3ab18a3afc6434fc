"""The page of words holds what the code uses, each word once."""

import re
from pathlib import Path

import pytest

from lentic.catalogue.facts import HOW
from lentic.catalogue.load import PARAMETERS
from lentic.model.components import components

PAGE = (Path(__file__).parents[2] / "docs" / "nomenclature.md").read_text(encoding="utf-8")
ROWS = [[cell.strip() for cell in line.strip("|").split("|")] for line in PAGE.splitlines() if line.startswith("|")]
CODE = {name for row in ROWS if len(row) == 4 for name in re.findall(r"`([^`]+)`", row[2])}


def row_of(name: str) -> list[str]:
    (row,) = [row for row in ROWS if len(row) == 4 and f"`{name}`" in row[2]]
    return row


def listed(state: str) -> str:
    return re.sub(r"(?<=_)(cod|c|n|p)$", "*", state) if not state.startswith("plant_") else state


def test_every_state_of_the_tank_is_on_the_page_with_its_unit() -> None:
    for component in components(1):
        name = listed(component.name)
        assert name in CODE, component.name
        if "*" not in name and component.name not in {"volume", "lime"}:
            assert row_of(name)[3] == component.unit


def test_every_state_on_the_page_is_in_the_tank() -> None:
    table = PAGE.split("## State of a tank")[1].split("\n## ")[0]
    page = {name for line in table.splitlines() if line.startswith("| ") for name in re.findall(r"`([^`]+)`", line)}
    assert page == {listed(component.name) for component in components(1)}


@pytest.mark.parametrize("name", PARAMETERS)
def test_every_number_of_a_growth_class_is_on_the_page_with_its_unit(name: str) -> None:
    assert PARAMETERS[name] in row_of(name)[3]


def test_every_way_of_knowing_is_on_the_page() -> None:
    assert [how for how in HOW if how.replace("-", " ") not in PAGE] == []


def test_a_term_stands_once_and_every_row_is_whole() -> None:
    terms = [row[0] for row in ROWS if len(row) == 4 and not set(row[0]) <= {"-"} and row[0] != "term"]
    assert sorted(terms) == sorted(set(terms))
    assert {len(row) for row in ROWS} == {3, 4}
    assert all(row[0] and row[1] for row in ROWS)


def test_the_printed_ratios_are_those_of_the_molar_masses() -> None:
    # IUPAC 2021 abridged atomic masses
    n, h, o, p, c, ca = 14.007, 1.008, 15.999, 30.974, 12.011, 40.078
    ratios = [(n + 3 * o) / n, (n + 2 * o) / n, (n + 4 * h) / n, (p + 4 * o) / p]
    printed = [float(number) for number in re.findall(r"[NP] × ([\d.]+) = ", PAGE)]
    assert printed == pytest.approx(ratios, abs=0.0005)
    carbonate = (ca + c + 3 * o) / 2
    # a German degree is 10 mg CaO in a litre
    degree = (ca + o) / 2 / 10
    found = re.search(r"1 meq/L = ([\d.]+) dKH = ([\d.]+) mg/L", PAGE)
    assert found is not None
    assert float(found[1]) == pytest.approx(degree, abs=0.0005)
    assert float(found[2]) == pytest.approx(carbonate, abs=0.005)
