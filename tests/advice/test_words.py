"""Numbers in a keeper's words."""

from __future__ import annotations

import numpy as np
import pytest

from lentic.advice.words import NOTHING, buckets, chance, listed, number, ranged, rounded, spread_of


@pytest.mark.parametrize(
    ("value", "said"), [(0.0, "0"), (0.0123, "0.012"), (3.14159, "3.1"), (12.6, "13"), (149.0, "150"), (1234.0, "1230")]
)
def test_two_significant_digits(value: float, said: str) -> None:
    assert number(value) == said


def test_a_spread_leaves_out_what_cannot_be_said() -> None:
    spread = spread_of(np.array([1.0, 2.0, 3.0, np.nan, np.inf]))
    assert spread.p50 == 2.0
    assert spread_of(np.array([np.nan])) == NOTHING
    assert ranged(NOTHING, "mg/L") == "cannot be said"


def test_chances_are_never_falsely_precise() -> None:
    assert chance(0.937) == "about 9 in 10"
    assert chance(1.0) == "nearly sure"
    assert chance(0.0) == "very unlikely"
    assert chance(float("nan")) == "not known"


def test_litres_are_said_in_buckets() -> None:
    assert buckets(40.0) == "40 L (4 buckets of 10 L)"
    assert buckets(10.0) == "10 L (1 bucket of 10 L)"
    assert listed(["a", "b", "c"]) == "a, b and c"
    assert rounded(0.0, 2) == 0.0
