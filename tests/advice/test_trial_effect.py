"""The share of an expected effect: known cases, and how often the verdict is right on seeded trials."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from lentic.advice.trials.effect import Compared, Effect, can_be_seen, effect_of, sd_of_share

WEEKLY = np.arange(7.0, 57.0, 7.0)
MEMBERS = 200


def _trial(
    rng: np.random.Generator,
    share: float,
    effect: float = 0.25,
    kit: float = 0.2,
    doubt: float = 0.1,
    days: np.ndarray = WEEKLY,
) -> Compared:
    """Return weekly readings of a tank whose control is uncertain as a whole and day by day, on a log scale."""

    def path() -> np.ndarray:
        steps = 0.01 * np.sqrt(np.diff(days, prepend=0.0)) * rng.normal(size=len(days))
        return doubt * rng.normal() + np.cumsum(steps)

    control = np.log(40.0) + np.stack([path() for _ in range(MEMBERS)], axis=1)
    shift = np.log(1.0 - effect) * (1.0 - np.exp(-days / 20.0))
    changed = control + shift[:, None] * np.exp(0.2 * rng.normal(size=MEMBERS))
    true = np.log(40.0) + path() + share * shift
    sd = np.full(len(days), kit)
    return Compared(day=days, observed=true + kit * rng.normal(size=len(days)), sd=sd, control=control, changed=changed)


def test_a_reading_on_the_changed_path_is_a_share_of_one() -> None:
    made = _trial(np.random.default_rng(1), 1.0)
    on_it = replace(made, observed=made.changed.mean(axis=1))
    found = effect_of(on_it)
    assert found is not None and found.share == pytest.approx(1.0)
    none = effect_of(replace(made, observed=made.control.mean(axis=1)))
    assert none is not None and none.share == pytest.approx(0.0, abs=1e-12)


def test_one_reading_alone_gives_the_textbook_ratio() -> None:
    """Share = difference / shift; its error = sqrt(kit^2 + control^2) / shift (propagation of error)."""
    rng = np.random.default_rng(2)
    control = rng.normal(3.0, 0.1, size=(1, 4000))
    one = Compared(
        day=np.array([30.0]), observed=np.array([2.8]), sd=np.array([0.2]), control=control, changed=control - 0.4
    )
    found = effect_of(one)
    assert found is not None
    assert found.share == pytest.approx((2.8 - control.mean()) / -0.4)
    assert found.sd == pytest.approx(np.hypot(0.2, control.std(ddof=1)) / 0.4)


def test_what_cannot_show_an_effect_gives_no_verdict() -> None:
    made = _trial(np.random.default_rng(3), 1.0)
    assert effect_of(replace(made, changed=made.control)) is None
    empty = Compared(
        day=WEEKLY[:0], observed=WEEKLY[:0], sd=WEEKLY[:0], control=made.control[:0], changed=made.changed[:0]
    )
    assert effect_of(empty) is None and sd_of_share(empty) is None and not can_be_seen(None)
    broken = np.full_like(made.control, np.nan)
    assert effect_of(replace(made, control=broken)) is None


@pytest.mark.parametrize(
    ("share", "sd", "verdict"),
    [(1.0, 0.3, "worked"), (-1.0, 0.3, "worse"), (0.05, 0.2, "no effect"), (0.5, 0.6, "too early to say")],
)
def test_the_verdict_follows_from_share_and_error(share: float, sd: float, verdict: str) -> None:
    assert Effect(share=share, sd=sd, readings=5).verdict == verdict


def _designed(rng: np.random.Generator) -> np.ndarray:
    """Return the first days of reading twice a week on which a quarter less can be seen."""
    for last in range(21, 120, 7):
        days = np.arange(3.5, last + 0.1, 3.5)
        if can_be_seen(sd_of_share(_trial(rng, 1.0, kit=0.12, doubt=0.04, days=days))):
            return days
    raise AssertionError("no design can see it")


def test_of_400_seeded_trials_true_effects_are_seen_and_none_is_invented() -> None:
    """A true effect of 25 %: seen in 8 of 10; no effect: called one in 1 of 10, better or worse."""
    rng = np.random.default_rng(11)
    days = _designed(rng)
    assert days[-1] <= 84.0
    true = [effect_of(_trial(rng, 1.0, kit=0.12, doubt=0.04, days=days)) for _ in range(400)]
    none = [effect_of(_trial(rng, 0.0, kit=0.12, doubt=0.04, days=days)) for _ in range(400)]
    noise = 1.645 * (0.1 * 0.9 / 400) ** 0.5  # what 400 draws of a true tenth may stray by
    assert np.mean([e is not None and e.verdict == "worked" for e in true]) >= 0.8
    assert np.mean([e is not None and e.verdict in ("worked", "worse") for e in none]) <= 0.1 + noise


def test_a_design_that_can_see_is_one_that_does_see() -> None:
    rng = np.random.default_rng(12)
    good, poor = _trial(rng, 1.0, kit=0.08, doubt=0.03), _trial(rng, 1.0, effect=0.08, kit=0.3)
    assert can_be_seen(sd_of_share(good)) and not can_be_seen(sd_of_share(poor))
    seen = [effect_of(_trial(rng, 1.0, effect=0.08, kit=0.3)) for _ in range(200)]
    assert np.mean([e is not None and e.verdict == "worked" for e in seen]) < 0.5
