"""What a change of routine is judged by, on made-up futures of four possible tanks."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import numpy as np
import pytest

from lentic.advice.plan import Option, judge
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures
from lentic.logbook.tank import Fish, Glass, SourceWater, Tank

DAYS, MEMBERS = 28, 4
NITRATE_30 = 30.0 * 14.007 / 62.004


def tank(fish: tuple[Fish, ...] = ()) -> Fit:
    described = Tank(
        name="a",
        glass=Glass(water_l=100.0),
        fish=fish,
        source_water=SourceWater(temperature_c=12.0, kh_dkh=5.0, ph=7.5),
    )
    return cast(Fit, SimpleNamespace(description=SimpleNamespace(tank=described)))


def futures(**values: float) -> Futures:
    internal = {
        "nitrate": NITRATE_30,
        "ammonia_free": 0.001,
        "algae_panes": 1.0,
        "kh": 2.0,
        "ph_dusk": 8.0,
        "temperature": 24.0,
    }
    made = {name: np.full((DAYS, MEMBERS), value) for name, value in (internal | values).items()}
    fake: Any = SimpleNamespace(
        days=tuple(range(DAYS)), values=made, scrape=np.full(MEMBERS, 9.0), sound=np.ones(MEMBERS, dtype=bool)
    )
    return cast(Futures, fake)


def option(litres: float, name: str = "litres") -> Option:
    return Option(name=name, do="Change water.", events=(), litres=litres, interval_d=7.0)


def test_nitrate_within_the_target_costs_nothing_but_minutes() -> None:
    low = judge(tank(), futures(), futures(), option(20.0))
    high = judge(tank(), futures(nitrate=3.0 * NITRATE_30), futures(), option(20.0))
    assert low.kept == 1.0
    assert low.nitrate.p50 == pytest.approx(30.0)
    assert high.kept == 0.0
    assert high.loss - low.loss == pytest.approx(1.0)
    assert judge(tank(), futures(), futures(), option(40.0)).minutes_a_week > low.minutes_a_week


def test_a_large_cold_change_is_ruled_out_sooner_with_fish() -> None:
    # mixing: 100 L at 24 °C with 20 L at 12 °C put in falls by 0.2 x 12 = 2.4 K
    assert judge(tank(), futures(), futures(), option(20.0)).against == ()
    with_fish = judge(tank((Fish(species="x", count=6),)), futures(), futures(), option(20.0))
    assert "2.4 K" in with_fish.against[0]


def test_more_free_ammonia_is_ruled_out_where_fish_live_and_said_elsewhere() -> None:
    more = futures(ammonia_free=0.05)
    with_fish = judge(tank((Fish(species="x", count=6),)), more, futures(), option(5.0, "ration"))
    assert any("free ammonia" in each for each in with_fish.against)
    without = judge(tank(), more, futures(), option(5.0, "ration"))
    assert without.against == ()
    assert without.free_ammonia_up > 0.04


def test_plants_that_would_go_hungry_are_ruled_out() -> None:
    starved = futures(nitrate=0.05 * NITRATE_30)
    assert any("hungry" in each for each in judge(tank(), starved, futures(), option(5.0, "plants 250 g")).against)
    assert judge(tank(), futures(), futures(), option(5.0, "plants 250 g")).against == ()
