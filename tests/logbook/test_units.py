"""The one table of units against an independent library of units, and against itself."""

import pint
import pytest

from lentic.logbook.units import (
    DOSE_VOLUME,
    FLOW,
    HOURS,
    LENGTH,
    MASS,
    QUANTITIES,
    TEMPERATURE,
    UNITS_OF_KIND,
    VOLUME,
    Unit,
    fold,
    units_for,
)

PINT: pint.UnitRegistry[float] = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)


@pytest.mark.parametrize(
    ("units", "inside", "names"),
    [
        (MASS, "g", {"mg": "mg", "kg": "kg", "oz": "ounce", "lb": "pound"}),
        (VOLUME, "L", {"mL": "mL", "US gal": "gallon", "imp gal": "imperial_gallon"}),
        (DOSE_VOLUME, "mL", {"L": "L"}),
        (LENGTH, "cm", {"mm": "mm", "m": "m", "in": "inch"}),
        (HOURS, "h", {"min": "minute"}),
        (FLOW, "L/h", {"L/min": "L/min", "US gal/h": "gallon/hour"}),
        (TEMPERATURE, "degC", {"°F": "degF", "K": "kelvin"}),
    ],
)
def test_plain_units_agree_with_pint(units: dict[str, Unit], inside: str, names: dict[str, str]) -> None:
    """Ten of each unit are what Pint 0.25 says they are."""
    for name, other in names.items():
        expected = PINT.Quantity(10.0, other).to(inside).magnitude
        assert units[fold(name)].convert(10.0) == pytest.approx(expected, rel=1e-9)


def test_seconds_for_a_litre() -> None:
    """A litre in ten seconds is 360 litres an hour."""
    assert FLOW["s/l"].convert(10.0) == pytest.approx(PINT.Quantity(0.1, "L/s").to("L/h").magnitude)


def test_every_name_is_found_again_by_its_own_spelling() -> None:
    """What the program prints in a question can be typed as the answer."""
    tables = [*UNITS_OF_KIND.values(), *(quantity.units for quantity in QUANTITIES.values())]
    for units in tables:
        for unit in units.values():
            assert units[fold(unit.name)] == unit


def test_an_open_spelling_is_no_unit() -> None:
    """mg/L of nitrate can be two things; it must not be one of the units."""
    for name, quantity in QUANTITIES.items():
        assert not quantity.bare & set(quantity.units), name
        assert quantity.low < quantity.high
    assert "mg/l" in QUANTITIES["nitrate"].bare
    assert units_for("reading", "no such thing") == {}


@pytest.mark.parametrize(
    "written", ["mg/L NO3", "MG/L no3", "mg/l NO₃⁻", "ppm NO3", " mg / L NO3 ", "mg/L (NO3)"]
)
def test_spellings_of_one_unit(written: str) -> None:
    """Capitals, small digits, charges, spaces and brackets make no other unit."""
    assert fold(written) == "mg/lno3"
