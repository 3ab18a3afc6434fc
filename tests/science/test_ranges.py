"""The table of fitted ranges names real relations, and each gives a number at both ends."""

import importlib
import inspect

import numpy as np
import pytest

from lentic.science.ranges import FITTED, outside


@pytest.mark.parametrize("relation", FITTED)
def test_a_range_belongs_to_an_argument(relation: str) -> None:
    """Module, function and argument exist, and the docstring of the function tells its range."""
    module, name = relation.split(".")
    function = getattr(importlib.import_module(f"lentic.science.{module}"), name)
    assert set(FITTED[relation]) <= set(inspect.signature(function).parameters)
    for low, high in FITTED[relation].values():
        assert low < high
        told = " ".join((inspect.getdoc(function) or "").split())
        assert f"{high:g}" in told or "below 60°" in told, f"{relation} does not tell {high:g}"


ALONE = [
    (relation, argument)
    for relation, ranges in FITTED.items()
    for argument in ranges
    if relation.split(".")[0] not in {"pairing", "scale"}
]


@pytest.mark.parametrize(("relation", "argument"), ALONE)
def test_a_relation_gives_numbers_up_to_the_ends_of_its_range(relation: str, argument: str) -> None:
    """Finite and without a warning at the ends; the other arguments take a value from the middle."""
    module, name = relation.split(".")
    function = getattr(importlib.import_module(f"lentic.science.{module}"), name)
    given: dict[str, object] = {}
    for parameter in inspect.signature(function).parameters.values():
        low, high = FITTED[relation].get(parameter.name, (0.5, 1.5))
        given[parameter.name] = np.array([low, high]) if parameter.name == argument else (low + high) / 2.0
    assert np.all(np.isfinite(function(**given)))


def test_the_ends_are_inside() -> None:
    """0 to 40 °C for dissolved oxygen."""
    flags = outside("gas.oxygen_saturation", "temperature", np.array([-0.1, 0.0, 25.0, 40.0, 40.1]))
    assert np.array_equal(flags, [True, False, False, False, True])
