"""The growth curve: exact where it must be, right as often as it says on invented animals."""

from __future__ import annotations

import numpy as np
import pytest

from lentic.learn.growth import Asymptote, Growth, GrowthPrior, Sight, grow
from lentic.science.growth import length_from_mass, mass_from_length, shell_length, years_to_length

PRIOR = GrowthPrior(
    asymptotes=(Asymptote(mean_cm=23.0, sd_cm=2.0),), rate=0.2, rate_sd=0.5, coefficient=0.13, coefficient_sd=0.2,
    hatchling_cm=3.0,
)  # fmt: skip


def sights(asymptote: float, rate: float, times: list[float], rng: np.random.Generator) -> list[Sight]:
    """Calipers to a millimetre, a mass with a full or an empty gut."""
    lengths = shell_length(asymptote, 3.0, rate, np.array(times) + 6.0)
    return [
        Sight(
            years=time, centimetres=round(float(cm) + float(rng.normal(0, 0.1)), 1),
            grams=0.135 * float(cm) ** 3 * float(np.exp(rng.normal(0, 0.03))),
        )
        for time, cm in zip(times, lengths, strict=True)
    ]  # fmt: skip


def known(growth: Growth | None) -> Growth:
    assert growth is not None
    return growth


def test_length_and_time_are_inverse() -> None:
    years = years_to_length(25.0, 12.0, 0.2, 18.0)
    assert shell_length(25.0, 12.0, 0.2, years) == pytest.approx(18.0)
    assert years_to_length(25.0, 12.0, 0.2, 30.0) == np.inf
    assert years_to_length(25.0, 26.0, 0.2, 25.5) == -np.inf
    assert length_from_mass(0.13, mass_from_length(0.13, 17.0)) == pytest.approx(17.0)


def test_published_masses_of_a_well_measured_kind() -> None:
    """AmP entry Mauremys japonica (Yabe 1989): hatchling 3.5 cm and 5.65 g; females 18 cm and 750 g."""
    assert mass_from_length(0.132, 3.5) == pytest.approx(5.65, rel=0.02)
    assert mass_from_length(0.129, 18.0) == pytest.approx(750.0, rel=0.02)


def test_nothing_seen_is_no_curve() -> None:
    assert grow(PRIOR, [], hatched_years=-4.0) is None


def test_one_length_keeps_what_is_known_of_the_kind() -> None:
    growth = known(grow(PRIOR, [Sight(years=0.0, centimetres=12.0)]))
    low, middle, high = growth.quantiles(growth.length)
    assert 11.5 < low < high < 12.5
    assert middle == pytest.approx(12.0, abs=0.1)
    ends = growth.quantiles(growth.asymptote)
    assert ends[1] == pytest.approx(23.0, abs=0.7)
    assert ends[2] - ends[0] == pytest.approx(2 * 1.2816 * 2.0, rel=0.15)


def test_a_mass_alone_gives_a_length_with_the_doubt_of_the_coefficient() -> None:
    growth = known(grow(PRIOR, [Sight(years=0.0, grams=0.13 * 15.0**3)]))
    low, middle, high = growth.quantiles(growth.length)
    assert middle == pytest.approx(15.0, abs=0.3)
    assert (high - low) / 2 / 1.2816 == pytest.approx(15.0 * 0.2 / 3.0, rel=0.25)


def test_length_and_mass_together_tell_how_heavy_it_is() -> None:
    growth = known(grow(PRIOR, [Sight(years=0.0, centimetres=15.0, grams=0.16 * 15.0**3)]))
    assert growth.quantiles(growth.coefficient)[1] == pytest.approx(0.16, rel=0.04)


def test_an_animal_longer_than_its_kind_stays_as_it_is() -> None:
    growth = known(grow(PRIOR, [Sight(years=-year, centimetres=33.0) for year in range(6)]))
    assert growth.quantiles(growth.length_at(1.0))[1] >= 32.0


def test_the_ranges_hold_as_often_as_they_say_and_the_date_is_near() -> None:
    """Invented animals measured twice a year for two years; the length three years on and the date of 18 cm."""
    rng = np.random.default_rng(7)
    inside, errors = 0, []
    for _ in range(120):
        asymptote = float(rng.normal(23.0, 2.0))
        rate = float(0.2 * np.exp(rng.normal(0.0, 0.4)))
        growth = known(grow(PRIOR, sights(asymptote, rate, [-2.0, -1.5, -1.0, -0.5, 0.0], rng), hatched_years=-6.0))
        truth = float(shell_length(asymptote, 3.0, rate, 9.0))
        low, _, high = growth.quantiles(growth.length_at(3.0))
        inside += low <= truth <= high
        then = float(years_to_length(asymptote, 3.0, rate, 18.0))
        if 6.5 < then < 12.0:  # age at which 18 cm is reached
            errors.append(abs(growth.quantiles(growth.years_to(18.0))[1] + 6.0 - then) / then)
    assert 0.7 <= inside / 120 <= 0.97
    assert np.median(errors) < 0.15  # the date to be good to 15 %
