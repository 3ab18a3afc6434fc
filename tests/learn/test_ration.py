"""What an animal spends, learned from food and weight: a known answer comes back within its range."""

from __future__ import annotations

import numpy as np
import pytest

from lentic.learn.ration import activity_multiplier, usual_multiplier, weight_trend

PRIOR = usual_multiplier(3.0, 2.0, 5.0)
GROWTH = (1.85, 0.5)


def test_before_the_scale_speaks_the_range_is_that_of_the_trade() -> None:
    """Eight in ten between the ends of the range, whose ratio is kept about the usual value."""
    found = activity_multiplier(PRIOR, 1.0)
    assert found.p50 == pytest.approx(3.0, rel=0.01)
    assert found.p90 / found.p10 == pytest.approx(5.0 / 2.0, rel=0.01)


def test_a_trend_is_the_textbook_line_with_its_textbook_error() -> None:
    """Least squares by hand: three weighings 10 days apart, 2 % noise of 402 g over a lever of 200 d²."""
    trend = weight_trend(np.array([0.0, 10.0, 20.0]), np.array([400.0, 401.0, 405.0]), 0.02)
    assert trend is not None
    assert trend.grams_per_day == pytest.approx(0.25)
    assert trend.sd == pytest.approx(0.02 * 402.0 / 200.0**0.5)
    assert weight_trend(np.array([3.0]), np.array([400.0]), 0.02) is None
    assert weight_trend(np.array([3.0, 3.2]), np.array([400.0, 401.0]), 0.02) is None


@pytest.mark.parametrize("truth", [1.8, 2.5, 3.0, 4.2])
def test_a_known_multiplier_is_recovered_within_its_range(truth: float) -> None:
    """Forty seeded keepers: weights follow food less spending, grams and scale are off; the range holds 8 in 10."""
    resting, cost, held = 1.0, 1.85, 0
    for seed in range(40):
        rng = np.random.default_rng([seed, round(10 * truth)])
        eaten = resting * truth * rng.uniform(0.85, 1.2)
        slope = (eaten - truth * resting) / cost
        days = np.sort(rng.uniform(0.0, 110.0, 5))
        grams = (500.0 + slope * days) * np.exp(rng.normal(0.0, 0.02, 5))
        logged = eaten * np.exp(rng.normal(0.0, 0.1))
        found = activity_multiplier(PRIOR, resting, (logged, 0.1 * logged), weight_trend(days, grams, 0.02), GROWTH)
        held += found.p10 <= truth <= found.p90
    assert held >= 28


def test_more_evidence_narrows_and_none_changes_nothing() -> None:
    """Two weighings a month apart say less than four months of them; food without a scale says nothing."""
    days = np.array([0.0, 30.0])
    short = activity_multiplier(PRIOR, 1.0, (3.0, 0.3), weight_trend(days, np.array([500.0, 500.0]), 0.02), GROWTH)
    days = np.linspace(0.0, 120.0, 9)
    long = activity_multiplier(PRIOR, 1.0, (3.0, 0.3), weight_trend(days, np.full(9, 500.0), 0.02), GROWTH)
    assert long.p90 - long.p10 < short.p90 - short.p10
    assert activity_multiplier(PRIOR, 1.0, (9.0, 0.1), None, GROWTH) == activity_multiplier(PRIOR, 1.0)


def test_food_that_became_weight_was_not_spent() -> None:
    """The same food with a rising weight means a lower multiplier, and with a falling one a higher."""
    days = np.linspace(0.0, 100.0, 6)
    found = [
        activity_multiplier(PRIOR, 1.0, (3.0, 0.2), weight_trend(days, 500.0 + slope * days, 0.02), GROWTH).p50
        for slope in (-0.4, 0.0, 0.4)
    ]
    assert found[0] > found[1] > found[2]
