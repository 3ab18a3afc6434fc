"""What a line of the log says, as an interval on the scale of its error."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from lentic.learn.evidence import evidence_of
from lentic.learn.numbers import numbers_of, to_value
from lentic.logbook.events import Change, Event, Look, LostPlant, Planted, Reading, Scrape, Thin
from lentic.logbook.tank import Glass, Plant, Tank
from lentic.model.describe import describe
from lentic.model.parameters import LogNormal, Normal, Parameter, Share
from lentic.model.story import Seen, looks_on_chore_days, still_there, unscraped

BEGIN = datetime(2026, 3, 1, 8, tzinfo=UTC)
TANK = Tank(
    name="Attic", timezone="UTC", glass=Glass(water_l=200.0), plants=(Plant(species="Egeria densa", wet_g=300.0),)
)


def _at(day: float) -> datetime:
    return BEGIN + timedelta(days=day)


def _one(event: Event, *others: Event) -> tuple[float, float]:
    seen = [Seen(e, k, float(k)) for k, e in enumerate([event, *others])]
    description = describe(TANK, [event, *others], date(2026, 3, 1))
    found = evidence_of(seen, description)[0]
    return found.low, found.high


def _nitrate(value: float, below: bool = False, above: bool = False, day: float = 0.0) -> Reading:
    return Reading(time=_at(day), quantity="nitrate", value=value, unit="mg/L N", below=below, above=above)


def test_a_colour_step_reaches_halfway_to_its_neighbours() -> None:
    """With steps 2, 4 and 8 seen, a 4 lies between the geometric middles."""
    low, high = _one(_nitrate(4.0), _nitrate(2.0), _nitrate(8.0))
    assert np.exp(low) - 0.1 == pytest.approx(np.sqrt(8.0), rel=1e-6)
    assert np.exp(high) - 0.1 == pytest.approx(np.sqrt(32.0), rel=1e-6)


def test_below_the_first_step_is_open_downwards_and_above_the_last_upwards() -> None:
    """A reading beyond the chart is one-sided."""
    low, high = _one(_nitrate(1.1, below=True))
    assert low == -np.inf
    assert np.exp(high) < 1.1 + 0.1
    low, high = _one(_nitrate(18.0, above=True))
    assert high == np.inf
    assert np.exp(low) == pytest.approx(18.1)


def test_a_drop_test_counts_whole_drops() -> None:
    """KH read as 7 degrees with one-degree drops lies between 6 and 7: the colour turns with the last drop."""
    dkh = 0.35665
    readings = [Reading(time=_at(k), quantity="kh", value=v * dkh, unit="meq/L") for k, v in enumerate((7, 8, 9))]
    low, high = _one(readings[0], *readings[1:])
    assert low == pytest.approx(6 * dkh)
    assert high == pytest.approx(7 * dkh)


def test_scraping_says_the_limit_was_reached_and_the_look_before_says_it_was_not() -> None:
    """A daily keeper left the panes alone the day before."""
    log = [Scrape(time=_at(5.0)), Scrape(time=_at(9.0)), Look(time=_at(11.0), where="panes", grade=1.0)]
    assert [e.time for e in unscraped(log)] == [_at(4.0), _at(8.0), _at(11.0)]
    assert _one(log[0]) == (0.0, 0.4)
    assert _one(unscraped(log)[0]) == (-np.inf, 0.0)


def test_a_keeper_who_scrapes_on_chore_days_looks_on_chore_days() -> None:
    """All scrapings on days of a change: the last look was the change of an earlier chore day."""
    log: list[Event] = []
    for week in range(5):
        log.append(Change(time=_at(7.0 * week + 0.4), litres=50.0))
        if week in (1, 3, 4):
            log.append(Scrape(time=_at(7.0 * week + 0.3)))
    log.sort(key=lambda e: e.time)
    assert looks_on_chore_days(log)
    assert [e.time for e in unscraped(log)] == [_at(0.4), _at(14.4)]


def test_plants_nobody_thins_or_misses_are_still_there() -> None:
    """Monthly from the first month; silent after a loss until plants come in again."""
    log = [
        LostPlant(time=_at(40.0), species="Egeria densa", grams=100.0),
        Planted(time=_at(90.0), species="Egeria densa", grams=250.0),
    ]
    description = describe(TANK, log, date(2026, 3, 1))
    found = still_there(log, description, BEGIN, _at(120.0))
    assert [round((e.time - BEGIN).days) for e in found] == [28, 112]
    assert found[1].clumps == ((1, 250.0),)
    thinned = [Thin(time=_at(3.0), species="Egeria densa", grams=30.0)]
    assert still_there(thinned, describe(TANK, thinned, date(2026, 3, 1)), BEGIN, _at(120.0)) == []


@pytest.mark.parametrize(
    ("prior", "default", "low", "high"),
    [
        (LogNormal(sd=0.5), 2.0, 2.0 * np.exp(-0.98), 2.0 * np.exp(0.98)),
        (Normal(sd=0.3), -1.0, -1.588, -0.412),
        (Share(low=0.05, high=0.20), 0.10, 0.0486, 0.1945),
    ],
)
def test_priors_hold_what_they_say(prior: LogNormal | Normal | Share, default: float, low: float, high: float) -> None:
    """The middle is the default and 95 % lie between the stated ends."""
    parameter = Parameter(name="x", default=default, unit="-", prior=prior, meaning="m", source="s", how="practice")
    assert to_value(parameter, np.array([0.0]))[0] == pytest.approx(default)
    assert to_value(parameter, np.array([-1.96, 1.96])) == pytest.approx([low, high], rel=0.01)


def test_both_structures_and_all_light_curves_are_carried() -> None:
    """Nothing decides between the alternatives before the log does."""
    description = describe(TANK, [], date(2026, 3, 1))
    numbers = numbers_of(description, 4)
    values = numbers.values(numbers.draw(600, np.random.default_rng(1)))
    without = values["suppression_inverse"] == 0.0
    assert 0.4 < without.mean() < 0.6
    assert values["algae_half_n"][without].mean() > 2.0 * values["algae_half_n"][~without].mean()
    curves = np.stack([values["curve_smith"], values["curve_steele"]])
    assert set(np.unique(curves)) == {0.0, 1.0}
    assert curves.mean(axis=1) == pytest.approx([1 / 3, 1 / 3], abs=0.07)


def test_a_scraping_on_a_chore_day_only_says_that_the_limit_had_been_reached() -> None:
    """Who looks every day scrapes near the limit; who looks on Sundays may find any film above it."""
    scrape = Scrape(time=_at(6.0))
    seen, description = [Seen(scrape, 0, 6.0)], describe(TANK, [scrape], date(2026, 3, 1))
    daily, weekly = evidence_of(seen, description)[0], evidence_of(seen, description, on_chore_days=True)[0]
    assert daily.low == weekly.low == 0.0
    assert np.exp(daily.high) == pytest.approx(1.5, rel=0.02)
    assert weekly.high == np.inf
