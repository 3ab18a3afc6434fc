"""A suspected cause taken out of the log: what is taken, and what the fitted tank then shows."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from lentic.advice.causes import causes_of
from lentic.advice.withdrawn import WITHDRAWALS, effects
from lentic.learn.fit import Effort, fit
from lentic.logbook.events import Change, Event, Feed, Lamp, LostPlant, Planted, Scrape
from lentic.logbook.tank import Fixture, Glass, Plant, SourceWater, Tank, Turtle

BEGIN = datetime(2026, 1, 5, 8, tzinfo=UTC)
END = datetime(2026, 4, 20, tzinfo=UTC)
SINCE = BEGIN + timedelta(days=70)
TANK = Tank(
    name="Attic",
    timezone="UTC",
    glass=Glass(length_cm=110.0, width_cm=45.0, water_depth_cm=40.0, water_l=190.0),
    source_water=SourceWater(no3_mg_l=3.0, kh_dkh=7.0),
    turtles=(Turtle(id="b", mass_g=500.0),),
    plants=(Plant(species="Egeria densa", wet_g=250.0),),
    lamps=(Fixture(use="plants", ppfd=60.0, hours=8.0),),
)


def _at(day: float) -> datetime:
    return BEGIN + timedelta(days=day)


def _log(grams: float = 1.0, later: float = 1.0, litres: float = 40.0, litres_later: float = 40.0) -> list[Event]:
    log: list[Event] = [
        Feed(time=_at(day), food="pellet_adult", grams=grams if day < 50 else later) for day in range(104)
    ]
    log += [Change(time=_at(7.0 * k + 0.4), litres=litres if k < 7 else litres_later) for k in range(15)]
    log += [Scrape(time=_at(day + 0.45)) for day in (14, 28, 42, 56, 70, 77, 84, 91, 98)]
    return sorted(log, key=lambda e: e.time)


def test_more_food_is_scaled_back_to_what_it_was() -> None:
    """Twice the grams since three weeks before the trouble: as many grams as before then."""
    without = WITHDRAWALS["load"](_log(1.0, 2.0), SINCE)
    assert without is not None
    late = [e.grams for e in without if isinstance(e, Feed) and e.time > _at(55)]
    assert late == pytest.approx([1.0] * len(late), rel=0.05)
    early = [e.grams for e in without if isinstance(e, Feed) and e.time < _at(40)]
    assert early == pytest.approx([1.0] * len(early))
    assert WITHDRAWALS["load"](_log(1.0, 1.0), SINCE) is None
    assert WITHDRAWALS["load"](_log(2.0, 1.0), SINCE) is None


def test_fewer_litres_are_scaled_up_and_single_events_are_dropped() -> None:
    """What the log does not hold cannot be taken out of it."""
    without = WITHDRAWALS["changes"](_log(litres=40.0, litres_later=20.0), SINCE)
    assert without is not None
    late = [e.litres for e in without if isinstance(e, Change) and e.time > _at(60)]
    assert late == pytest.approx([40.0] * len(late), rel=0.1)
    assert WITHDRAWALS["changes"](_log(), SINCE) is None
    for cause, event in (
        ("light", Lamp(time=_at(60), use="plants", hours=14.0)),
        ("plants", LostPlant(time=_at(60), species="Egeria densa", grams=80.0)),
        ("overplanted", Planted(time=_at(60), species="Egeria densa", grams=900.0)),
    ):
        assert WITHDRAWALS[cause](_log(), SINCE) is None
        assert WITHDRAWALS[cause]([*_log(), event], SINCE) == _log()


def test_without_the_extra_food_the_fitted_tank_is_cleaner_and_the_cause_gains() -> None:
    """Three times the food: the tank run again without it shows less algae, and load ranks higher for it."""
    log = _log(0.8, 2.4)
    fitted = fit(TANK, log, (), END, Effort(members=64, passes=3, seed=2, threads=1))
    found = effects(fitted, log, SINCE, END)
    assert set(found) == {"load"}
    assert found["load"] > 0.0
    nitrogen = {"pellet_adult": 0.051}
    plain = causes_of(TANK, log, "algae", nitrogen)
    weighed = causes_of(TANK, log, "algae", nitrogen, lambda since: {"load": 1.0})
    chance = {c.cause: c for c in weighed.causes}
    assert chance["load"].chance > {c.cause: c.chance for c in plain.causes}["load"]
    assert "run again without it" in chance["load"].speaks_for[0]
    innocent = causes_of(TANK, log, "algae", nitrogen, lambda since: {"load": 0.0})
    assert "about as green" in {c.cause: c for c in innocent.causes}["load"].against[0]
