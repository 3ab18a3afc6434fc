"""The engine's matrix against a published process table: rows BIO-KIN-012 to 017, activated sludge model no. 1.

Expected values are those of the library bsm2-python 0.0.16 (its asm1equations, one state, no aeration, no flow) with
the parameters of the benchmark BSM1 at 15 °C. Oxygen, ammonium and alkalinity are hardly written down here: the engine
solves them from the composition, so the rows check its closing of COD, nitrogen and charge as well as its rates. The
model counts 14 g/mol of nitrogen, and 4.57 and 1.71 g of oxygen per g as COD of nitrate and of nitrogen gas; so does
this table.
"""

import csv
import re
from pathlib import Path

import numpy as np
import pytest

from lentic.engine.layout import Layout
from lentic.engine.reference import packed, rate_function
from lentic.engine.table import Auxiliary, Component, Process, Table

DATA = Path(__file__).parents[1] / "data" / "checks_life.csv"
IN_CELLS, IN_INERT, MOLE = 0.08, 0.06, 14.0
OF: dict[str, dict[str, float]] = {
    "S_S": {"COD": 1.0}, "X_S": {"COD": 1.0}, "X_BH": {"COD": 1.0, "N": IN_CELLS}, "X_BA": {"COD": 1.0, "N": IN_CELLS},
    "X_P": {"COD": 1.0, "N": IN_INERT}, "S_O": {"COD": -1.0}, "S_NO": {"COD": -4.57, "N": 1.0, "charge": -1.0 / MOLE},
    "S_N2": {"COD": -1.71, "N": 1.0}, "S_NH": {"N": 1.0, "charge": 1.0 / MOLE}, "S_ND": {"N": 1.0}, "X_ND": {"N": 1.0},
    "S_ALK": {"charge": -1.0},
}  # fmt: skip
PARAMETERS = {
    "mu_H": 4.0, "K_S": 10.0, "K_OH": 0.2, "K_NO": 0.5, "b_H": 0.3, "mu_A": 0.5, "K_NH": 1.0, "K_OA": 0.4, "b_A": 0.05,
    "eta_g": 0.8, "k_a": 0.05, "k_h": 3.0, "K_X": 0.1, "eta_h": 0.8, "Y_A": 0.24, "Y_H": 0.67, "f_P": 0.08,
}  # fmt: skip
ALL = {"COD": "S_O", "N": "S_NH", "charge": "S_ALK"}


def process(name: str, stoichiometry: dict[str, float | str], rate: str, **solve: str) -> Process:
    """Return a row of the model."""
    return Process(name=name, stoichiometry=stoichiometry, solve=solve, rate=rate, source="Henze et al. 2000")


DECAY: dict[str, float | str] = {"X_S": "1.0 - f_P", "X_P": "f_P"}
DENITRIFIED = "(1.0 - Y_H)/(2.86*Y_H)"
SLUDGE = Table(
    name="sludge",
    components=tuple(Component(name=n, unit="g/m3", meaning=n, composition=c) for n, c in OF.items()),
    processes=(
        process("growth", {"S_S": "-1.0/Y_H", "X_BH": 1.0}, "mu_H*fed*S_O/(K_OH + S_O)*X_BH", **ALL),
        process(
            "growth without oxygen",
            {"S_S": "-1.0/Y_H", "X_BH": 1.0, "S_NO": f"-{DENITRIFIED}", "S_N2": DENITRIFIED},
            "mu_H*fed*K_OH/(K_OH + S_O)*nitrate*eta_g*X_BH", N="S_NH", charge="S_ALK",
        ),
        process(
            "nitrification", {"X_BA": 1.0, "S_NO": "1.0/Y_A"},
            "mu_A*S_NH/(K_NH + S_NH)*S_O/(K_OA + S_O)*X_BA", N="S_NH", COD="S_O", charge="S_ALK",
        ),
        process("decay", {"X_BH": -1.0, **DECAY}, "b_H*X_BH", N="X_ND"),
        process("decay of nitrifiers", {"X_BA": -1.0, **DECAY}, "b_A*X_BA", N="X_ND"),
        process("ammonification", {"S_ND": -1.0}, "k_a*S_ND*X_BH", N="S_NH", charge="S_ALK"),
        process("hydrolysis", {"X_S": -1.0}, "split", COD="S_S"),
        process("hydrolysis of nitrogen", {"X_ND": -1.0}, "split*X_ND/X_S", N="S_ND"),
    ),
    auxiliaries=(
        Auxiliary(name="fed", expression="S_S/(K_S + S_S)", unit="-", meaning="substrate"),
        Auxiliary(name="nitrate", expression="S_NO/(K_NO + S_NO)", unit="-", meaning="nitrate"),
        Auxiliary(
            name="split", unit="g/m3/d", meaning="hydrolysis",
            expression="k_h*X_S/X_BH/(K_X + X_S/X_BH)"
            "*(S_O/(K_OH + S_O) + eta_h*K_OH/(K_OH + S_O)*nitrate)*X_BH",
        ),
    ),
    parameters=tuple(PARAMETERS),
    conserved=("COD", "N", "charge"),
)  # fmt: skip


def rows() -> list[dict[str, str]]:
    """Return the rows of the check table."""
    with DATA.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if row["quantity"].startswith("ASM1 derivative")]


@pytest.mark.parametrize("row", rows(), ids=lambda row: row["id"])
def test_a_published_process_table_gives_its_published_rates(row: dict[str, str]) -> None:
    """Tolerance of the row: 1e-4 relative."""
    state = {name: float(value) for name, value in re.findall(r"(\w+)=([\d.]+)", row["inputs"]) if name in OF}
    start = np.array([state.get(name, 0.0) for name in OF])
    rates = rate_function(SLUDGE)(start, packed(SLUDGE.parameters, PARAMETERS), np.zeros(0))
    asked = re.search(r"d\((\w+)\)", row["quantity"])
    assert asked is not None and row["tolerance"] == "1e-4 rel"
    found = rates[list(OF).index(asked[1])]
    assert found == pytest.approx(float(row["expected"]), rel=1e-4)


def test_the_rows_are_all_there() -> None:
    """Six rows, and every process of the table closes in what it conserves."""
    assert [row["id"] for row in rows()] == [f"BIO-KIN-{n:03d}" for n in range(12, 18)]
    assert len(Layout(SLUDGE).stoichiometry) == 8
