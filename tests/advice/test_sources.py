"""Where a number comes from: the sums a keeper could do by hand, from a log of a week."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest

from lentic.advice.balance import FLOWS, Balance, Flow
from lentic.advice.sources import Source, flow_source
from lentic.advice.stages import ASSUMPTION, ESTIMATE, OWN
from lentic.advice.why import Why, headline, narrowing, share_words, why_of
from lentic.advice.words import Spread
from lentic.cli.show_number import number_lines
from lentic.keeper.json_number import number_json
from lentic.logbook.events import Change, Event, Feed, Reading, Siphon, TopUp, Weigh
from lentic.logbook.tank import Glass, Packet, SourceWater, Tank, Turtle
from lentic.model.describe import describe

MONDAY = datetime(2026, 3, 2, 8, tzinfo=UTC)
TANK = Tank(
    name="Loft", timezone="UTC", glass=Glass(length_cm=100.0, width_cm=50.0, water_depth_cm=40.0, water_l=200.0),
    source_water=SourceWater(no3_mg_l=8.8536), turtles=(Turtle(id="quill", mass_g=640.0),),
    foods=(Packet(id="stick", protein=0.40, fat=0.05, ash=0.08, water=0.08, phosphorus=0.012),),
)  # fmt: skip
LOG: tuple[Event, ...] = (
    *(Feed(time=MONDAY + timedelta(days=d), food="stick", grams=2.0) for d in range(7)),
    Reading(time=MONDAY + timedelta(days=6, hours=1), quantity="nitrate", value=9.0, unit="mg/L N"),
    Siphon(time=MONDAY + timedelta(days=6, hours=2)),
    Change(time=MONDAY + timedelta(days=6, hours=3), litres=40.0),
    TopUp(time=MONDAY + timedelta(days=6, hours=4), litres=10.0),
)  # fmt: skip


def why(log: tuple[Event, ...] = LOG, /, **amounts: float) -> Why:
    rows = tuple(
        Flow(flow=f, element=e, mg_per_week=Spread(p10=0.8 * v, p50=v, p90=1.25 * v))
        for e in ("N", "P")
        for f in FLOWS
        for v in (amounts.get(f, 10.0),)
    )
    begin = datetime(2026, 3, 2)  # noqa: DTZ001 - local, as the view has it
    balance = Balance(tank="Loft", begin=begin, end=begin + timedelta(days=7), flows=rows, closure={}, sentences=())
    return why_of(balance, TANK, log, 1, ())


def source(key: str, element: str = "N", **amounts: float) -> Source:
    return flow_source(TANK, describe(TANK, LOG, date(2026, 3, 2)), LOG, why(**amounts), element, key)


def test_food_is_grams_times_what_it_holds() -> None:
    """14 g a week x 0.40 protein / 6.25 (the usual factor of feed tables) = 64 mg per gram, 896 mg a week."""
    steps = " ".join(source("food").steps)
    assert "14 g a week × 64 mg nitrogen per gram = 900 mg a week" in steps


def test_phosphorus_of_food_is_that_of_the_packet() -> None:
    """14 g x 0.012 = 168 mg."""
    assert "14 g a week × 12 mg phosphorus per gram = 170 mg a week" in " ".join(source("food", "P").steps)


def test_the_tap_counts_changes_and_top_ups() -> None:
    """40 + 10 L x 8.8536 mg/L NO3 / 4.4268 = 2 mg/L N: 100 mg."""
    found = source("tap")
    assert "50 L × 2 mg/L = 100 mg a week" in " ".join(found.steps)
    assert found.how == OWN
    assert [u.text for u in found.used] == ["change 40 L", "top up 10 L"]


def test_a_tap_nobody_read_is_an_assumption() -> None:
    assert "was assumed" in " ".join(source("tap", "P").steps)


def test_a_change_carries_what_was_read() -> None:
    """40 L x 9 mg/L N = 360 mg."""
    assert "40 L × 9 mg/L nitrogen as nitrate, the mean of 1 = 360 mg a week" in " ".join(source("change").steps)


def test_what_a_change_rests_on_stands_in_the_order_of_the_log() -> None:
    assert [u.text for u in source("change").used] == ["nitrate 9 mg/L nitrogen", "changed 40 L"]
    assert source("change", "P").changes[0].startswith("Read phosphate")


def test_a_source_is_told_as_text_and_as_json() -> None:
    found = source("food")
    lines = number_lines(found)
    assert lines[1] == "10 mg a week (8 to 12), own grams × what the food holds"
    assert "In plain steps:" in lines and "What would change it:" in lines
    assert number_json(found)["known"] == ESTIMATE


def test_what_nobody_weighs_is_counted() -> None:
    assert "Siphoned: 1 time in 1 weeks." in source("siphon").steps


def test_every_flow_has_a_source_that_ends_in_a_range() -> None:
    for row in why().rows:
        found = source(row.key)
        assert found.value == "10 mg a week" and found.range == "(8 to 12)"
        assert found.changes and found.steps


def test_origins_carry_the_weaker_of_two() -> None:
    known = {row.key: row.how for row in why().rows}
    assert known["food"] == ESTIMATE and known["gas"] == ASSUMPTION and known["growth"] == ASSUMPTION
    weighed = (*LOG, *(Weigh(time=MONDAY + timedelta(days=d), animal="quill", grams=640.0) for d in (0, 6)))
    assert why(weighed).row("growth").how == ESTIMATE


def test_signs_say_what_comes_in_and_what_is_given_up() -> None:
    found = why(food=100.0, change=60.0, stored=-25.0)
    assert found.row("food").amount("N") == "+100" and found.row("change").amount("N") == "−60"
    stored = found.row("stored")
    assert stored.name == "From what it held" and stored.amount("N") == "+25" and stored.range("N") == "(20 to 31)"


def test_the_headline_names_the_largest_flows() -> None:
    said, _ = headline(why(food=90.0, tap=10.0, planted=0.0, change=50.0).balance)
    assert said == "Nine tenths of the nitrogen comes in as food. Half leaves in your buckets."


@pytest.mark.parametrize(
    ("share", "said"), [(0.03, "hardly any"), (0.11, "a tenth"), (0.52, "half"), (1.0, "nearly all")]
)
def test_shares_are_said_as_a_keeper_would(share: float, said: str) -> None:
    assert share_words(share) == said


def test_what_is_known_least_is_measured_first() -> None:
    found = why(food=10.0, change=500.0)
    assert narrowing(found.rows)[0].title == "Read nitrate just before a change"
