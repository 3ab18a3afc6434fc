"""Resting energy against the measured rows it was fitted to, and what fasting takes."""

import pytest

from lentic.catalogue import common
from lentic.science.winter import FAT_ENERGY, LEAN_ENERGY, fasting_loss, resting_energy

OXYGEN_KCAL_ML = 4.8e-3
"""Energy of a millilitre of oxygen, as the catalogue's fit took it."""


def resting(mass: float, temperature: float) -> float:
    facts = common("turtles")
    return float(resting_energy(
        mass, temperature, facts["smr_kcal_per_day_1_kg_20_C"].middle, facts["smr_mass_exponent"].middle,
        facts["smr_q10"].middle,
    ))  # fmt: skip


@pytest.mark.parametrize(
    ("mass", "temperature", "oxygen"), [(305.0, 20.0, 0.0109), (3473.0, 30.0, 0.0153)], ids=["slider", "snapper"]
)
def test_measured_turtles(mass: float, temperature: float, oxygen: float) -> None:
    """Gatten 1974 and 1978, rows of the animal trait database of Herberstein et al.: mL O2 per g and hour."""
    measured = oxygen * mass * 24.0 * OXYGEN_KCAL_ML
    assert resting(mass, temperature) == pytest.approx(measured, rel=0.02)


def test_warmth_doubles_it_and_more() -> None:
    assert resting(1000.0, 30.0) / resting(1000.0, 20.0) == pytest.approx(2.3)
    assert resting(1000.0, 20.0) == pytest.approx(0.99)


def test_fat_is_the_least_loss_and_lean_tissue_the_most() -> None:
    assert fasting_loss(9.4, FAT_ENERGY) == pytest.approx(1.0)
    assert fasting_loss(19.0, LEAN_ENERGY) > 8.0 * fasting_loss(19.0, FAT_ENERGY)
