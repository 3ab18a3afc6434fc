"""The difference between two plans in words: what could be noticed first, what is the same in one line."""

from __future__ import annotations

from datetime import date
from types import SimpleNamespace
from typing import Any, cast

import numpy as np

from lentic.advice.compare import Comparison, comparison_of
from lentic.advice.forecast import UNITS
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures

DAYS, MEMBERS = 56, 100
FIT = cast(
    Fit, SimpleNamespace(description=SimpleNamespace(slots=(), tank=SimpleNamespace(name="Attic", timezone="UTC")))
)
SPREAD = np.linspace(0.9, 1.1, MEMBERS)


def _futures(period: int = 14, first: float = 9.0, **factors: float) -> Futures:
    usual = {"nitrate": 20.0, "nitrite": 0.2, "ammonia": 0.1, "ammonia_free": 0.005, "phosphate": 1.0, "kh": 8.0,
             "ph_dawn": 8.0, "ph_dusk": 8.4, "oxygen_dawn": 7.5, "temperature": 24.6}  # fmt: skip
    values = {
        name: np.full((DAYS, MEMBERS), value * factors.get(name, 1.0)) * SPREAD * UNITS[name][1]
        for name, value in usual.items()
    }
    film = np.array([4.0 ** ((day % period) / period) for day in range(DAYS)])
    values["algae_panes"] = np.repeat(film[:, None], MEMBERS, axis=1)
    fake: Any = SimpleNamespace(
        begin=date(2026, 4, 6), days=tuple(range(DAYS)), values=values, scrape=np.full(MEMBERS, first),
        sound=np.ones(MEMBERS, dtype=bool),
    )  # fmt: skip
    return cast(Futures, fake)


def _compared(first: Futures, second: Futures) -> Comparison:
    return comparison_of(FIT, first, second, ("as before", "plan-b.csv"))


def test_two_equal_plans_show_nothing_that_could_be_noticed() -> None:
    said = _compared(_futures(), _futures()).sentences
    assert len(said) == 4
    assert said[1].startswith("  No difference that could be noticed: nitrate, nitrite,")
    assert said[-1] == "The first scraping comes at about the same time."


def test_a_difference_is_named_with_its_side_and_the_rest_in_one_line() -> None:
    found = _compared(_futures(), _futures(period=7, first=5.0, nitrate=0.5, temperature=1.000001))
    text = "\n".join(found.sentences)
    assert "Nitrate: 20 and 10 mg/L NO3; lower by 10 (8 in 10: -11 to -9.2; nearly sure)." in text
    assert "temperature" in text
    assert "e-" not in text
    assert "about every 14 and every 7 days" in text
    assert "The first scraping comes 4 days earlier (8 in 10: -4 to -4; nearly sure)." in text


def test_a_side_is_named_where_most_tanks_agree_and_left_open_where_they_part() -> None:
    mixed, likely = _futures(), _futures()
    mixed.values["nitrate"][:, ::2] *= 1.4
    mixed.values["nitrate"][:, 1::2] *= 0.7
    likely.values["nitrate"][:, : MEMBERS // 10 + 2] *= 1.2
    likely.values["nitrate"][:, MEMBERS // 10 + 2 :] *= 0.7
    open_, named = (_compared(_futures(), second).sentences[1] for second in (mixed, likely))
    assert "no sure difference" in open_
    assert "lower by" in named
    assert "about 9 in 10" in named
