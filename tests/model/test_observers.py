"""What a kit or an eye would see of an amount."""

from __future__ import annotations

import numpy as np
import pytest

from lentic.model.observers import GRADE_LIMITS, OBSERVERS, grade, observe, recorded_rows, wet_plants

ROWS = {name: np.array([0.5, 1.0]) for name in recorded_rows(2)}
ROWS |= {"volume": np.array([0.25, 0.28]), "temperature": np.array([25.0, 20.0])}
ROWS |= {"hydrogen": np.array([10.0**-9.2, 10.0**-7.0])}


def test_amount_in_volume_is_what_a_kit_shows() -> None:
    """Half a gram in a quarter of a cubic metre is 2 mg/L."""
    for quantity in ("nitrate", "nitrite", "ammonia", "phosphate", "kh", "oxygen"):
        np.testing.assert_allclose(observe(quantity, ROWS), [2.0, 1.0 / 0.28])


def test_ph_and_temperature() -> None:
    """pH is minus the decimal logarithm of the hydrogen ion."""
    np.testing.assert_allclose(observe("ph", ROWS), [9.2, 7.0])
    np.testing.assert_array_equal(observe("temperature", ROWS), [25.0, 20.0])


def test_free_ammonia_is_a_small_share_in_neutral_water() -> None:
    """Emerson et al. 1975, table of percent un-ionised ammonia: 0.396 at pH 7 and 20 °C."""
    share = observe("ammonia_free", ROWS) / observe("ammonia", ROWS)
    assert share[1] == pytest.approx(0.00396, rel=0.05)
    assert 0.4 < share[0] < 0.6


def test_every_observer_finds_its_rows() -> None:
    """What is recorded is enough for all of them."""
    for quantity in OBSERVERS:
        assert np.isfinite(observe(quantity, ROWS)).all()
    with pytest.raises(KeyError):
        observe("smell", ROWS)


def test_wet_plants_by_dry_share() -> None:
    """Two kinds of half a gram dry at 5 and 10 %: 10 and 5 g wet."""
    np.testing.assert_allclose(wet_plants(ROWS, (0.05, 0.10))[0], 15.0)


def test_grades_rise_with_the_film() -> None:
    """At each limit the look stands half way between two grades; a clean pane stays below 0, a mat ends at 4.5."""
    np.testing.assert_allclose(grade(np.array(GRADE_LIMITS)), [0.5, 1.5, 2.5, 3.5])
    films = np.geomspace(1e-4, 100.0, 60)
    assert (np.diff(grade(films)) >= 0.0).all()
    assert -1.0 < grade(films).min() < 0.0
    assert grade(films).max() == 4.5
