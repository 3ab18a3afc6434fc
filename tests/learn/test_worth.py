"""What a reading is worth: the unit normal loss, and fewer tests for the same decision in seeded simulations."""

from __future__ import annotations

import numpy as np
import pytest

from lentic.learn.worth import Candidate, after, normal_loss, worth_of

MEMBERS = 400


@pytest.mark.parametrize(("z", "loss"), [(0.0, 0.3989), (0.5, 0.1978), (1.0, 0.08332), (1.5, 0.02931), (2.0, 0.008491)])
def test_the_unit_normal_loss_is_that_of_the_tables(z: float, loss: float) -> None:
    """Raiffa and Schlaifer 1961, table of the unit normal loss integral, from memory; four digits as printed."""
    assert normal_loss(z, 1.0) == pytest.approx(loss, rel=6e-4)
    assert normal_loss(-3.0 * z, 3.0) == pytest.approx(3.0 * loss, rel=6e-4)


def _candidate(name: str, shows: np.ndarray, sd: float = 0.1, minutes: float = 5.0, price: float = 0.0) -> Candidate:
    return Candidate(name=name, shows=shows, sd=sd, minutes=minutes, price=price)


def test_a_reading_that_has_nothing_to_do_with_it_is_worth_nothing() -> None:
    rng = np.random.default_rng(1)
    gain = rng.normal(0.0, 1.0, 20000)
    worth = worth_of(gain, [_candidate("other", rng.normal(size=20000)), _candidate("itself", gain)])
    assert [w.name for w in worth] == ["itself", "other"]
    # var 1 of 1 + 0.1^2 is learned: 0.3989 / sqrt(1.01)
    assert worth[0].value == pytest.approx(0.3989 / 1.01**0.5, rel=0.03)
    assert worth[0].turns == pytest.approx(0.5, abs=0.01)
    assert worth[1].value < 0.02


def test_work_and_price_count() -> None:
    gain = np.random.default_rng(2).normal(size=2000)
    cheap, dear = _candidate("cheap", gain, minutes=2.0), _candidate("dear", gain, minutes=2.0, price=1.0)
    worth = {w.name: w for w in worth_of(gain, [dear, cheap], None, minutes_per_price=10.0)}
    assert worth["cheap"].value == worth["dear"].value
    assert worth["cheap"].a_minute == pytest.approx(6.0 * worth["dear"].a_minute)


def test_what_is_known_for_sure_is_not_worth_a_test() -> None:
    gain = np.full(50, 2.0)
    only = worth_of(gain, [_candidate("x", np.random.default_rng(3).normal(size=50))])[0]
    assert only.value == 0.0 and only.turns == 0.0
    assert worth_of(gain, [_candidate("same", np.zeros(50), sd=0.0)])[0].value == 0.0


def test_a_reading_moves_the_weights_as_bayes_says() -> None:
    """A normal prior of mean 0 and sd 1 and a reading of 2 with sd 1 give mean 1 (conjugate normal)."""
    shows = np.random.default_rng(4).normal(size=200_000)
    assert after(shows, 1.0, 2.0) @ shows == pytest.approx(1.0, abs=0.02)


def _world(rng: np.random.Generator) -> tuple[np.ndarray, list[Candidate]]:
    """Return a made-up decision that hangs on a few of eight things that can be read, each badly or well."""
    hidden = rng.normal(size=(8, MEMBERS))
    weight = rng.normal(size=8) * (rng.random(8) < 0.4)
    gain = 0.7 * rng.normal() + weight @ hidden + 0.05 * rng.normal(size=MEMBERS)
    candidates = [
        _candidate(str(n), hidden[n], sd=float(rng.uniform(0.15, 0.5)), minutes=float(rng.uniform(1.0, 10.0)))
        for n in range(8)
    ]
    return gain, candidates


def test_the_same_decision_comes_from_at_most_seven_tenths_of_the_tests() -> None:
    """300 seeded worlds: all tests at once against the best first until none is worth its while (bar: 70 %)."""
    rng = np.random.default_rng(5)
    used, same = 0, 0
    for _ in range(300):
        gain, candidates = _world(rng)
        truth = int(rng.integers(MEMBERS))
        read = {c.name: c.shows[truth] + c.sd * rng.normal() for c in candidates}
        whole: np.ndarray | None = None
        for each in candidates:
            whole = after(each.shows, each.sd, read[each.name], whole)
        weights: np.ndarray | None = None
        left = list(candidates)
        while left:
            best = worth_of(gain, left, weights)[0]
            if best.value < 0.001:
                break
            each = next(c for c in left if c.name == best.name)
            weights = after(each.shows, each.sd, read[each.name], weights)
            left.remove(each)
            used += 1
        decided = float((np.full(MEMBERS, 1.0 / MEMBERS) if weights is None else weights) @ gain) > 0.0
        assert whole is not None
        same += decided == (float(whole @ gain) > 0.0)
    assert used <= 0.7 * 300 * 8
    assert same >= 0.95 * 300
