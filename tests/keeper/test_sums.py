"""Hand sums: every relation by name, its steps that agree with the code, typed units, sources and ranges."""

import importlib
import inspect
import pkgutil

import numpy as np
import pytest

import lentic.science
from lentic.keeper import sums
from lentic.keeper.opening import AskError
from lentic.keeper.steps import steps_of

RELATIONS = sums.relations()


def public_functions() -> set[str]:
    """Return every public function of the science room by module and name."""
    found = set()
    for info in pkgutil.iter_modules(lentic.science.__path__):
        module = importlib.import_module(f"lentic.science.{info.name}")
        for name, function in inspect.getmembers(module, inspect.isfunction):
            if not name.startswith("_") and function.__module__ == module.__name__ and info.name not in sums.SKIPPED:
                found.add(f"{info.name}.{name}")
    return found


def test_every_relation_is_a_hand_sum_or_says_why_not() -> None:
    """The index of what the project can compute leaves nothing out and promises nothing that is not there."""
    assert public_functions() - set(RELATIONS) - set(sums.NOT_BY_HAND) == set()
    assert set(sums.NOT_BY_HAND) <= public_functions() and not set(sums.NOT_BY_HAND) & set(RELATIONS)
    assert len(RELATIONS) > 180
    for name, reason in sums.NOT_BY_HAND.items():
        with pytest.raises(AskError, match="is no hand sum"):
            sums.find(name)
        assert len(reason) > 10


def middling(relation: sums.Relation) -> dict[str, float | str | bool]:
    """Return inputs that any relation can be asked for."""
    words = {"unit": "°dH", "material": "glass", "edges": "four"}
    found: dict[str, float | str | bool] = {}
    for at, each in enumerate(relation.arguments):
        if each.default is not None:
            found[each.name] = each.default
        elif each.kind is bool:
            found[each.name] = True
        else:
            found[each.name] = words[each.name] if each.kind is str else 0.5 + at / 7.0
    return found


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize("name", RELATIONS)
def test_the_steps_end_in_the_value(name: str) -> None:
    """The last step is the result to six digits, whatever the relation; none shows what it cannot say."""
    relation = RELATIONS[name]
    inputs = middling(relation)
    result = relation.compute(**inputs)
    values = [float(np.asarray(each)) for each in (result if isinstance(result, tuple) else (result,))]
    steps = steps_of(relation.compute, inputs)
    assert steps, "no steps"
    assert steps[-1].value == ", ".join(f"{value:.6g}" for value in values)
    assert not any("…" in step.value or " ? " in step.formula for step in steps)
    assert len(relation.results) == len(values) and relation.sentence.startswith("Return ")


def test_the_steps_fill_the_formula_with_numbers() -> None:
    """A change of a quarter from 80 to 40 with tap 10: ln(30/70)/ln(0.75) = 2.945, so three changes."""
    found = sums.sum_of("changes_needed", {"start": "80", "goal": "40", "source": "10", "fraction": "0.25"})
    assert found.value == 3.0
    by_name = {step.name: step for step in found.steps}
    assert by_name["ratio"].filled == "(40 - 10) / (80 - 10)"
    assert by_name["ratio"].value == "0.428571"
    one = sums.sum_of("bicarbonate_dose", {"rise": "1.2", "volume": "25"})
    assert one.steps[-1].formula == "sodium_bicarbonate · rise · volume / 1000"
    assert one.steps[-1].filled == "84.006 · 1.2 · 25 / 1000"


@pytest.mark.parametrize(
    ("name", "typed", "plain"),
    [
        ("unionised_share", {"ph": "8", "temperature": "77°F"}, {"ph": "8", "temperature": "25"}),
        ("bicarbonate_dose", {"rise": "1 dKH", "volume": "10 US gal"}, {"rise": "0.3566", "volume": "37.854"}),
        ("field_metabolic_rate_nagy_1999", {"mass": "1 kg"}, {"mass": "1000"}),
        ("left_after", {"hours": "90 min", "half_life": "6 h"}, {"hours": "1.5", "half_life": "6"}),
        ("rectangle", {"length": "100 cm", "width": "1,5 m", "height": "20 in"},
         {"length": "1", "width": "1.5", "height": "0.508"}),
    ],
)  # fmt: skip
def test_inputs_may_carry_a_unit(name: str, typed: dict[str, str], plain: dict[str, str]) -> None:
    """Degrees, gallons, inches and kilograms become what the relation wants, and it is said."""
    found = sums.sum_of(name, typed)
    assert found.value == pytest.approx(sums.sum_of(name, plain).value, rel=1e-3)
    assert found.converted and not sums.sum_of(name, plain).converted


@pytest.mark.parametrize(
    ("name", "given", "said"),
    [
        ("unionised_share", {"ph": "8", "temperature": "25 dKH"}, "'dKH' is no unit for it; it takes °C, °F, K"),
        ("hardness_in_meq", {"value": "5", "unit": "grain"}, "Known are: meq/L"),
        ("stress_coefficient", {"ratio": "2", "material": "glass", "braced": "perhaps"}, "write yes or no"),
        ("unionised_shares", {}, "Did you mean unionised_share"),
    ],
)
def test_slips_are_named(name: str, given: dict[str, str], said: str) -> None:
    """What is wrong, and what it takes."""
    with pytest.raises(AskError, match=said):
        sums.sum_of(name, given)


def test_a_whole_water_is_asked_for_by_its_tests() -> None:
    """PH 7.8, 7 dKH and 9 dGH at 25 °C hold about 4.5 mg/L of carbon dioxide; open to 420 ppm pH is about 8.5."""
    given = {"temperature": "25", "alkalinity": "7 dKH", "hardness": "9 dGH"}
    gas = sums.sum_of("carbon_dioxide", {**given, "ph_value": "7.8"}).value * 44.01e3
    assert gas == pytest.approx(4.0, abs=0.8)
    # Row C136 of the check table has 4 meq/L at 8.7; a water of 2.5 meq/L lies between it and the 8.44 of 2 meq/L.
    ph = sums.sum_of("carbonate.ph", {**given, "partial_pressure": "420e-6"}).value
    assert 8.44 < ph < 8.70


def test_sources_are_told_in_words_and_how_they_are_known() -> None:
    """The citation, not its key; a warning outside the range."""
    found = sums.sum_of("unionised_share", {"ph": "8", "temperature": "55"})
    assert any("Emerson" in each and "(read)" in each for each in found.citations)
    assert found.warnings and "0 to 50" in found.warnings[0]
    assert set(sums.found_by("nitrite chloride")) == {"ammonia.salt_against_nitrite"}
