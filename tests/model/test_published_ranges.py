"""Numbers the model starts from against published ranges: rows of the check table of life that hold no relation."""

import csv
import re
from pathlib import Path

import pytest

from lentic.model.parameters import default_parameters

DATA = Path(__file__).parents[1] / "data" / "checks_life.csv"
with DATA.open(encoding="utf-8", newline="") as file:
    ROWS = {row["id"]: row for row in csv.DictReader(file)}
START = {name: parameter.default for name, parameter in default_parameters(1).items()}
WITHIN = {
    "BIO-KIN-019": ("mu_ammonia", 1.0), "BIO-KIN-020": ("mu_nitrite", 1.0), "BIO-KIN-021": ("decay_ammonia", 1.0),
    "BIO-LOD-021": ("turtle_ammonia_share", 100.0),
}  # fmt: skip


@pytest.mark.parametrize("key", WITHIN)
def test_a_starting_number_lies_in_its_published_range(key: str) -> None:
    """The range is the row's own: Pedersen 2018 as cited in a fish-farm model, Lei et al. 2005."""
    name, factor = WITHIN[key]
    low, high = (float(part) for part in re.findall(r"[\d.]+", ROWS[key]["expected"])[:2])
    assert low <= START[name] * factor <= high


def test_decay_of_nitrite_oxidisers_lies_in_the_same_range() -> None:
    """Row BIO-KIN-021 gives 0.05 to 0.15 for both steps."""
    assert 0.05 <= START["decay_nitrite"] <= 0.15


def test_both_steps_yield_what_the_sludge_model_gives_for_one() -> None:
    """Row BIO-KIN-005: 0.24 g COD per g N over both steps, exact."""
    assert START["yield_ammonia"] + START["yield_nitrite"] == pytest.approx(float(ROWS["BIO-KIN-005"]["expected"]))
