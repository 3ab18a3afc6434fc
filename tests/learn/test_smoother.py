"""The smoother against a problem whose answer is known, and its manners with odd and open readings."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt
import pytest

from lentic.learn.smoother import Predict, Targets, damp_odd, shrink_spurious, smooth

Array = npt.NDArray[np.float64]


def _targets(low: Array, high: Array, sd: float, kind: str = "a") -> Targets:
    return Targets(low=low, high=high, sd=np.full(len(low), sd), kind=np.array([kind] * len(low)))


def _linear(design: Array) -> Predict:
    def predict(z: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
        return design @ z, np.ones(z.shape[1], dtype=bool)

    return predict


def test_linear_gaussian_answer_is_the_textbook_posterior() -> None:
    """Prior N(0, 1), y = G z + N(0, s2): mean and spread of the posterior are known in closed form (Bayes)."""
    rng = np.random.default_rng(3)
    design = rng.normal(size=(40, 4))
    truth = np.array([1.0, -0.5, 0.3, 0.8])
    sd = 0.7
    seen = design @ truth + sd * rng.standard_normal(40)
    precision = np.eye(4) + design.T @ design / sd**2
    mean = np.linalg.solve(precision, design.T @ seen / sd**2)
    spread = np.sqrt(np.diag(np.linalg.inv(precision)))
    z = smooth(rng.standard_normal((4, 3000)), _linear(design), _targets(seen, seen, sd), 8, np.random.default_rng(1))
    assert np.abs(z.mean(axis=1) - mean) == pytest.approx(np.zeros(4), abs=0.35 * float(spread.max()))
    assert z.std(axis=1) == pytest.approx(spread, rel=0.25)


def test_a_value_within_its_interval_moves_nothing() -> None:
    """Members that all lie inside an open interval stay where they are."""
    rng = np.random.default_rng(0)
    z = rng.standard_normal((2, 400))
    targets = _targets(np.full(3, -50.0), np.full(3, 50.0), 0.1)
    moved = smooth(z, _linear(np.ones((3, 2))), targets, 4, np.random.default_rng(1))
    assert moved == pytest.approx(z)


def test_one_odd_reading_hardly_moves_the_answer_but_many_do() -> None:
    """A tenfold slip among good readings is widened; a whole kind that disagrees is not."""
    rng = np.random.default_rng(5)
    design = np.ones((12, 1))
    good = np.full(12, 0.5)
    slipped = good.copy()
    slipped[4] = 40.0
    start = rng.standard_normal((1, 500))

    def answer(seen: Array) -> float:
        targets = _targets(seen, seen, 0.3)
        return float(smooth(start, _linear(design), targets, 8, np.random.default_rng(2)).mean())

    assert answer(slipped) == pytest.approx(answer(good), abs=0.1)
    assert answer(np.full(12, 3.0)) > 2.0


def test_damping_spares_a_kind_that_is_far_as_a_whole() -> None:
    """If every reading of a kind is far, the members are wrong, not the readings."""
    predicted = np.random.default_rng(1).normal(0.0, 0.1, size=(6, 300))
    far = np.full(6, 3.0)
    mixed = np.array([0.0, 0.0, 0.0, 0.0, 0.0, 3.0])
    sd = np.full(6, 0.1)
    assert (
        damp_odd(_targets(far, far, 0.1), predicted, sd).max()
        < 0.1 * damp_odd(_targets(mixed, mixed, 0.1), predicted, sd)[5]
    )


def test_chance_correlations_fade_and_real_ones_stay() -> None:
    """Between few members, a correlation at the noise level counts for nothing."""
    members = 100
    covariance = np.array([[0.08, 0.9]])
    kept = shrink_spurious(covariance, np.ones(1), np.ones(2), members)
    assert kept[0, 0] == 0.0
    assert kept[0, 1] == pytest.approx(0.9)


def test_unsound_members_are_replaced_by_sound_ones() -> None:
    """A member that broke takes the place of one that did not and never comes back as NaN."""
    rng = np.random.default_rng(7)
    z = rng.standard_normal((2, 200))

    def predict(z: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
        seen = z[:1].copy()
        sound = z[1] > -0.5
        seen[:, ~sound] = np.nan
        return seen, sound

    moved = smooth(z, predict, _targets(np.ones(1), np.ones(1), 0.5), 5, rng)
    assert np.isfinite(moved).all()
