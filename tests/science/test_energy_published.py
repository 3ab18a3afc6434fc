"""Resting energy against every published rate of a grown freshwater turtle that could be read.

The table `tests/data/energy_published.csv` says for each row what was read: an abstract or a data file. A rate per gram
is turned into energy by mass, 24 h and 20.08 J/mL of oxygen, a rate in watts by 86 400 s, both by 4184 J/kcal. The bar
was eight animals within a quarter; it is not met, and these tests hold how far it is missed, so that decision 0061 and
the page of trust cannot say anything else.
"""

import csv
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from lentic.catalogue import common
from lentic.science.winter import resting_energy

TABLE = Path(__file__).parents[1] / "data" / "energy_published.csv"
OXYGEN_J_ML = 20.08
"""Energy of a millilitre of oxygen. [J/mL]"""
KCAL_J, DAY_S, DAY_H = 4184.0, 86_400.0, 24.0
QUARTER = 0.25


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One published rate, in kcal a day, and what was said of it."""

    key: str
    animal: str
    species: str
    mass_g: float
    mass_how: str
    celsius: float
    kcal: float
    state: str
    fitted: bool
    off: float


def energy_of(rate: float, unit: str, mass_g: float) -> float:
    """Return a published rate in kcal a day."""
    watts_or_joules = rate * DAY_S if unit == "W" else rate * mass_g * DAY_H * OXYGEN_J_ML
    return watts_or_joules / KCAL_J


def read() -> tuple[Measured, ...]:
    """Return the rows of the table."""
    with TABLE.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert {row["unit"] for row in rows} == {"mL O2/g/h", "W"}
    assert {row["state"] for row in rows} == {"standard", "resting", "not said"}
    return tuple(_measured(row) for row in rows)


def _measured(row: dict[str, str]) -> Measured:
    mass = float(row["mass_g"])
    return Measured(
        key=row["id"], animal=row["animal"], species=row["species"], mass_g=mass, mass_how=row["mass_how"],
        celsius=float(row["celsius"]), kcal=energy_of(float(row["rate"]), row["unit"], mass), state=row["state"],
        fitted=row["fitted"] == "yes", off=float(row["off"]),
    )  # fmt: skip


ROWS = read()
STANDARD = tuple(row for row in ROWS if row.state == "standard")


def reckoned(row: Measured) -> float:
    """Return what the project reckons for this mass and warmth."""
    facts = common("turtles")
    return float(resting_energy(
        row.mass_g, row.celsius, facts["smr_kcal_per_day_1_kg_20_C"].middle, facts["smr_mass_exponent"].middle,
        facts["smr_q10"].middle,
    ))  # fmt: skip


def deviation(row: Measured) -> float:
    """Return how far the reckoned energy is off, in parts of the measured."""
    return reckoned(row) / row.kcal - 1.0


def refit(rows: Sequence[Measured], parts: int) -> tuple[float, float, float]:
    """Return level, exponent and factor fitted in logarithms; of fewer than three parts the rest stays as it is."""
    facts = common("turtles")
    exponent, q10 = facts["smr_mass_exponent"].middle, facts["smr_q10"].middle
    mass = np.array([np.log(row.mass_g / 1000.0) for row in rows])
    warmth = np.array([(row.celsius - 20.0) / 10.0 for row in rows])
    energy = np.array([np.log(row.kcal) for row in rows])
    ones = np.ones_like(mass)
    if parts == 1:
        return float(np.exp(np.mean(energy - exponent * mass - np.log(q10) * warmth))), exponent, q10
    level, slope, factor = np.linalg.lstsq(np.stack([ones, mass, warmth], axis=1), energy, rcond=None)[0]
    return float(np.exp(level)), float(slope), float(np.exp(factor))


def leave_one_out(rows: Sequence[Measured], parts: int) -> dict[str, float]:
    """Return the deviation of each row when the relation was fitted without all rows of its kind."""
    found = {}
    for left in rows:
        numbers = refit([row for row in rows if row.species != left.species], parts)
        found[left.key] = float(resting_energy(left.mass_g, left.celsius, *numbers)) / left.kcal - 1.0
    return found


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.key} {row.animal}")
def test_it_is_off_by_what_the_table_says(row: Measured) -> None:
    assert deviation(row) == pytest.approx(row.off, abs=0.006)


def test_steps_from_oxygen_to_energy() -> None:
    """By hand: 0.0109 x 305 = 3.3245 mL/h, 79.788 mL/d, 1602.1 J, 0.3829 kcal; 1 W is 20.65 kcal a day."""
    assert energy_of(0.0109, "mL O2/g/h", 305.0) == pytest.approx(0.3829, abs=1e-4)
    assert energy_of(1.0, "W", 305.0) == pytest.approx(20.65, abs=0.01)


def test_three_kinds_lie_within_a_quarter_and_not_eight() -> None:
    """Six kinds could be read, three lie within a quarter in every row of a standard rate, two of these were fitted."""
    kinds = {row.species for row in ROWS}
    within = {k for k in kinds if all(abs(deviation(row)) <= QUARTER for row in STANDARD if row.species == k)}
    within &= {row.species for row in STANDARD}
    assert len(kinds) == 6
    assert within == {"Trachemys scripta", "Chelydra serpentina", "Terrapene ornata"}
    assert [row.key for row in STANDARD if abs(deviation(row)) > QUARTER] == ["E04"]


def test_the_range_shown_holds_every_rate_of_a_resting_animal() -> None:
    """Rates whose state is said, from the paper itself; E08 is a compiler's copy of E07, a fifth higher."""
    low, high = common("turtles")["smr_spread"].bounds
    said = [row for row in ROWS if row.state != "not said" and row.key != "E08"]
    assert all(low <= row.kcal / reckoned(row) <= high for row in said)


def test_a_refit_would_follow_these_animals_and_fail_on_the_next() -> None:
    """All three numbers fitted again meet every standard rate, but without one kind miss it by up to five times.

    The level alone, fitted again, moves by 3 %: less than any of these animals is known.
    """
    numbers = refit(STANDARD, 3)
    assert all(abs(float(resting_energy(r.mass_g, r.celsius, *numbers)) / r.kcal - 1.0) <= QUARTER for r in STANDARD)
    assert max(leave_one_out(STANDARD, 3).values()) > 4.0
    assert max(abs(off) for off in leave_one_out(STANDARD, 1).values()) == pytest.approx(0.41, abs=0.01)
    assert refit(STANDARD, 1)[0] == pytest.approx(0.965, abs=0.005)
