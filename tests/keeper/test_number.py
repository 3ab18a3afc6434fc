"""The names of numbers: each leads to the answer it belongs to, and nothing else is a name."""

from __future__ import annotations

import pytest

from lentic.keeper.number import question_of
from lentic.keeper.opening import AskError


@pytest.mark.parametrize(
    ("name", "ask", "page"),
    [
        ("flow.N.food.8", "why", "/why?weeks=8"),
        ("flow.P.stored.all", "why", "/why?weeks=all"),
        ("day.nitrate.2026-05-01", "over_time", "/why/readings#nitrate"),
        ("read.kh.2026-03-01T18:00", "over_time", "/why/readings#kh"),
        ("cause.algae.light", "causes", "/why/causes?of=algae"),
        ("plan.own.nitrate", "decide", "/decide"),
    ],
)
def test_a_name_leads_to_its_answer(name: str, ask: str, page: str) -> None:
    found = question_of(name)
    assert (found.ask, found.page) == (ask, page)


@pytest.mark.parametrize(
    "name", ["", "flow", "flow.N.food", "flow.N.food.eight", "cause.luck.light", "day.nitrate", "plan.own", "../etc"]
)
def test_anything_else_is_told_so(name: str) -> None:
    with pytest.raises(AskError, match="No number is called"):
        question_of(name)
