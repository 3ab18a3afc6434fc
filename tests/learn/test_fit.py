"""One tank from notes to versions to futures: deterministic, honest with little, and closing its books."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from functools import cache

import numpy as np
import pytest

from lentic.learn.fit import Effort, Fit, believable, fit, is_new_tank
from lentic.learn.forecast import Futures, futures
from lentic.logbook.events import Change, Event, Feed, Reading, Scrape, Siphon
from lentic.logbook.tank import Fixture, Glass, Heater, SourceWater, Tank, Turtle
from lentic.model.members import flows

BEGIN = datetime(2026, 3, 2, 8, tzinfo=UTC)
END = datetime(2026, 4, 13, tzinfo=UTC)
TANK = Tank(
    name="Attic",
    timezone="UTC",
    glass=Glass(length_cm=110.0, width_cm=45.0, water_depth_cm=40.0, water_l=190.0),
    source_water=SourceWater(no3_mg_l=6.0, kh_dkh=7.0, po4_mg_l=0.1),
    heater=Heater(watts=150.0, set_c=25.0),
    turtles=(Turtle(id="b", mass_g=500.0),),
    lamps=(Fixture(use="plants", ppfd=60.0, hours=8.0),),
)
SMALL = Effort(members=64, passes=3, seed=4, threads=1)


def _at(day: float) -> datetime:
    return BEGIN + timedelta(days=day)


@cache
def _log(readings: bool = True) -> tuple[Event, ...]:
    log: list[Event] = []
    for day in range(42):
        log.append(Feed(time=_at(day), food="pellet_adult", grams=1.5))
        if day % 7 == 6:
            if readings:
                log.append(Reading(time=_at(day + 0.38), quantity="nitrate", value=9.0, unit="mg/L N"))
            log.append(Change(time=_at(day + 0.41), litres=50.0))
            log.append(Siphon(time=_at(day + 0.42)))
        if day % 6 == 5:
            log.append(Scrape(time=_at(day + 0.45)))
    return tuple(sorted(log, key=lambda e: e.time))


@cache
def _fit(readings: bool = True, threads: int = 1) -> Fit:
    effort = Effort(members=64, passes=3, seed=4, threads=threads)
    return fit(TANK, _log(readings), (), END, effort)


@cache
def _future() -> Futures:
    return futures(_fit(), _log(), (), END, 28)


def test_same_seed_same_answer_whatever_the_threads() -> None:
    """Chance comes from the seed alone."""
    again = fit(TANK, _log(), (), END, Effort(members=64, passes=3, seed=4, threads=2))
    assert np.array_equal(_fit().z, again.z)
    assert np.array_equal(_fit().predicted, again.predicted)


def test_a_fit_kept_from_before_gives_the_same_versions() -> None:
    """Run once from kept numbers, the members stand where the fit left them."""
    again = fit(TANK, _log(), (), END, SMALL, z=_fit().z)
    assert again.predicted == pytest.approx(_fit().predicted, rel=1e-9)


def test_readings_pull_the_versions_towards_them() -> None:
    """With six nitrate readings the spread of nitrate shrinks and its middle comes nearer."""

    def nitrate(fitted: Fit) -> np.ndarray:
        return fitted.ensemble.gather(fitted.ensemble["nitrate"] / fitted.ensemble["volume"])

    with_readings, without = nitrate(_fit()), nitrate(_fit(readings=False))
    assert np.std(np.log(with_readings)) < np.std(np.log(without))
    middle = float(np.median(with_readings))
    assert abs(np.log(middle / 7.5)) < max(0.3, abs(np.log(float(np.median(without)) / 7.5)))


def test_an_empty_log_gives_the_prior() -> None:
    """Nothing seen: the numbers are the draws of the prior, and the run still ends well."""
    nothing = fit(TANK, (), (), END, SMALL)
    drawn = nothing.numbers.draw(64, np.random.default_rng(4))
    assert np.array_equal(nothing.z, drawn)
    assert nothing.evidence == ()


@pytest.mark.parametrize("element", ["n", "p"])
def test_the_books_close_for_every_version(element: str) -> None:
    """food + tap + planted = change + siphon + rinse + thinning + scraping + gas + growth + stored."""
    booked = flows(_fit().ensemble)
    came = sum(booked[f"{flow}_{element}"] for flow in ("food", "tap", "planted"))
    went = sum(
        booked[f"{flow}_{element}"]
        for flow in ("change", "siphon", "rinse", "thinning", "scraping", "gas", "growth", "stored")
    )
    assert np.abs(came - went).max() < 1e-9 * np.max(came)
    assert booked[f"food_{element}"].min() > 0.0


def test_the_future_holds_every_quantity_for_every_day() -> None:
    """Finite for every sound version; a scraping comes on a day or not at all."""
    future = _future()
    assert len(future.days) == 28
    assert str(future.begin) == "2026-04-13"
    for quantity, values in future.values.items():
        assert values.shape == (28, 64), quantity
        assert np.isfinite(values[:, future.sound]).all(), quantity
    due = future.scrape[np.isfinite(future.scrape)]
    assert ((due >= 0.0) & (due < 28.0)).all()
    assert (future.values["ph_dusk"] >= future.values["ph_dawn"] - 0.05).mean() > 0.9


def test_more_food_means_more_nitrate_on_the_same_draws() -> None:
    """The difference of two plans is sharp even where both are uncertain."""
    double: Sequence[Event] = [
        Feed(time=END + timedelta(days=day, hours=8), food="pellet_adult", grams=3.0) for day in range(28)
    ]
    more = futures(_fit(), _log(), double, END, 28)
    difference = more.values["nitrate"][-1] - _future().values["nitrate"][-1]
    assert (difference > 0.0).mean() > 0.95
    assert np.std(difference) < np.std(more.values["nitrate"][-1])


def test_the_fit_is_not_touched_by_a_forecast() -> None:
    """Two forecasts from one fit are the same."""
    again = futures(_fit(), _log(), (), END, 28)
    assert np.array_equal(again.values["nitrate"], _future().values["nitrate"])


def test_a_new_tank_shows_in_its_first_month_but_one_odd_reading_does_not_make_one() -> None:
    """Two high nitrite readings make a new tank."""
    midnight = datetime(2026, 3, 2)  # noqa: DTZ001 - the tank's own clock has no offset

    def reading(day: float, value: float) -> Event:
        return Reading(time=_at(day), quantity="nitrite", value=value, unit="mg/L N")

    assert not is_new_tank([reading(5, 2.0), reading(9, 0.05)], TANK, midnight)
    assert is_new_tank([reading(5, 2.0), reading(9, 1.5)], TANK, midnight)
    assert not is_new_tank([reading(65, 2.0), reading(69, 1.5)], TANK, midnight)


def test_versions_that_tell_the_last_weeks_badly_are_left_behind() -> None:
    """The choice keeps a share of all versions and prefers those near the readings."""
    fitted = _fit()
    predicted = fitted.predicted.copy()
    predicted[:, :30] += 50.0
    chosen = believable(
        fitted.evidence, predicted, np.ones(64, dtype=bool), fitted.story.last, np.random.default_rng(1)
    )
    assert len(chosen) == 64
    assert (chosen >= 30).mean() > (64 - 30) / 64
    assert len(np.unique(chosen)) >= 0.2 * 64


def test_a_long_log_is_fitted_from_its_last_months_with_the_plants_of_that_day() -> None:
    """Three years of notes: the run begins 280 days before the end; lamp hours and plants of before are known."""
    from dataclasses import replace

    from lentic.learn.fit import HISTORY_D
    from lentic.logbook.events import Lamp, Planted
    from lentic.logbook.tank import Plant

    tank = replace(TANK, plants=(Plant(species="Egeria densa", wet_g=100.0),))
    old = END - timedelta(days=1000)
    log: list[Event] = [
        Lamp(time=old, use="plants", hours=5.0),
        Planted(time=old + timedelta(days=3), species="Egeria densa", grams=150.0),
    ]
    log += [Feed(time=old + timedelta(days=k), food="pellet_adult", grams=1.0) for k in range(0, 999, 3)]
    log.sort(key=lambda e: e.time)
    fitted = fit(tank, log, (), END, Effort(members=64, passes=1, seed=1, threads=1))
    assert fitted.story.last == pytest.approx(HISTORY_D, abs=1.0)
    assert fitted.story.surroundings.lighting.hours(10.0) == 5.0
    assert fitted.description.slots[0].wet_g == pytest.approx(250.0)
