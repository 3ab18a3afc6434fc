"""Drawings: widths tell the truth, labels stay apart at both widths, the markup is sound and knows only classes."""

from __future__ import annotations

import itertools
import re
from datetime import datetime, timedelta
from pathlib import Path
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markupsafe import Markup

import lentic.web
from lentic.advice.balance import FLOWS, Balance, Flow
from lentic.advice.stages import ANIMALS, DIRT, WATER, Stages, stages_of
from lentic.advice.words import Spread
from lentic.web.draw import chart, flow, marks, scale
from lentic.web.draw.svg import Sheet

STATIC = Path(lentic.web.__file__).parent / "static"
START = datetime(2026, 1, 10)  # noqa: DTZ001 - local time, as views have it
NITROGEN = {"food": 467.0, "tap": 107.0, "change": 261.0, "siphon": 46.0, "rinse": 21.0, "thinning": 190.0,
            "scraping": 13.0, "gas": 89.0, "growth": 15.0, "stored": -61.0}  # fmt: skip


def stages(amounts: dict[str, float], element: str = "N") -> Stages:
    def spread(flow: str) -> Spread:
        value = amounts.get(flow, 0.0)
        return Spread(p10=0.8 * value, p50=value, p90=1.3 * value)

    rows = tuple(Flow(flow=f, element=element, mg_per_week=spread(f)) for f in FLOWS)
    balance = Balance(tank="Loft", begin=START, end=START, flows=rows, closure={}, sentences=())
    return stages_of(balance, element, ("juniper",), {"tap": "own"})


def classes(markup: str) -> set[str]:
    return {name for found in re.findall(r'class="([^"]*)"', markup) for name in found.split()}


def sound(markup: Markup) -> ElementTree.Element:
    """Return the parsed drawing: valid XML, labelled, without inline style, with classes the style sheet knows."""
    root = ElementTree.fromstring(markup)
    assert (root.get("role") == "img" and root.get("aria-label")) or root.get("aria-hidden") == "true"
    assert "style=" not in markup and "fill=" not in markup and "stroke=" not in markup
    known = set(re.findall(r"\.([a-z][\w-]*)", (STATIC / "draw.css").read_text(encoding="utf-8")))
    assert classes(markup) <= known
    return root


def apart(sheet: Sheet) -> None:
    for one, other in itertools.combinations(sheet.boxes, 2):
        assert not one.meets(other), (one, other)
    for box in sheet.boxes:
        assert box.left >= -0.5 and box.right <= sheet.width + 0.5 and box.bottom <= sheet.height


def thickness(path: str) -> tuple[float, float]:
    """Return how thick the body of a flow is where it begins and where it ends."""
    numbers = [float(x) for x in re.findall(r"-?\d+(?:\.\d+)?", path)]
    begin, end = numbers[1], numbers[7]
    return numbers[-1] - begin, numbers[9] - end


amount = st.floats(0.0, 900.0)
balances = st.fixed_dictionaries(
    {f: amount for f in FLOWS if f not in ("stored", "food")}
    | {"food": st.floats(1.0, 900.0), "stored": st.floats(-300.0, 300.0)}
)


@settings(max_examples=40, deadline=None)
@given(balances)
@pytest.mark.parametrize("room", [flow.WIDE, flow.PHONE])
def test_widths_are_milligrams_on_one_scale_and_labels_stay_apart(room: flow.Room, amounts: dict[str, float]) -> None:
    found = stages(amounts)
    sheet, pixels = flow.laid_out(found, room)
    bodies = [p for p in sheet.parts if 'class="body' in p]
    for stream, body in zip(found.streams, bodies, strict=True):
        path = re.search(r' d="([^"]*)"', body)
        assert path is not None
        for thick in thickness(path.group(1)):
            assert thick == pytest.approx(pixels * stream.mg, abs=0.21)
    apart(sheet)
    sound(flow.flow_drawing(found, room))


@pytest.mark.parametrize("room", [flow.WIDE, flow.PHONE])
@pytest.mark.parametrize("stored", [-61.0, 140.0])
def test_every_flow_that_leaves_or_enters_has_its_name_and_figure(room: flow.Room, stored: float) -> None:
    found = stages(NITROGEN | {"stored": stored})
    drawn = str(flow.flow_drawing(found, room))
    for stream in found.streams:
        if stream.source is None or stream.target is None:
            name = stream.name if room.labels_beside else stream.short_name
            assert f">{name}" in drawn
    assert "260 (210 to 340)" in drawn


def test_two_stages_close_where_the_books_close() -> None:
    """467 food + 107 tap + 61 given up = 635 = 261 + 46 + 21 + 190 + 13 + 89 + 15, summed by hand."""
    found = stages(NITROGEN)
    for node in (ANIMALS, WATER, DIRT):
        gets = sum(s.mg for s in found.streams if s.target == node)
        gives = sum(s.mg for s in found.streams if s.source == node)
        assert gets == pytest.approx(gives)
    assert found.total == pytest.approx(635.0)
    assert {s.key: round(s.mg) for s in found.streams if s.source == ANIMALS} == {
        "dissolves": 385, "drops": 67, "growth": 15,
    }  # fmt: skip


def test_what_the_log_cannot_explain_is_white_and_dotted() -> None:
    for stored in (-61.0, 61.0):
        left_over = [s for s in stages(NITROGEN | {"stored": stored}).streams if s.material == "unknown"]
        assert [(s.mg, s.how) for s in left_over] == [(61.0, "asm")]


def test_dirt_that_lay_there_before_comes_from_what_the_tank_held() -> None:
    found = stages(NITROGEN | {"food": 40.0, "growth": 5.0, "siphon": 80.0, "stored": -120.0})
    assert [s.target for s in found.streams if s.key == "given"] == [DIRT]
    assert all(s.mg >= 0.0 for s in found.streams)


def band(begin: datetime, days: int, level: float) -> chart.Band:
    times = tuple(begin + timedelta(days=k) for k in range(days + 1))
    return chart.Band(times=times, low=(0.8 * level,) * (days + 1), middle=(level,) * (days + 1),
                      high=(1.2 * level,) * (days + 1))  # fmt: skip


def a_chart(days: int, ahead: int, level: float, events: int) -> chart.Chart:
    now = START + timedelta(days=days)
    dots = tuple(
        chart.Dot(time=START + timedelta(days=k), value=level, low=0.8 * level, high=1.2 * level, open=k % 2 == 1)
        for k in range(0, days, max(days // 9, 1))
    )
    happened = tuple(
        chart.Happened(label=f"plant light {k} to {k + 1} h", times=(START + timedelta(days=(k * 37) % days),))
        for k in range(events)
    )
    return chart.Chart(label="Nitrate & its <limit>", begin=START, end=now + timedelta(days=ahead), now=now,
                       past=band(START, days, level), ahead=band(now, ahead, level), dots=dots,
                       limits=(1.1 * level,), events=happened)  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(st.integers(3, 1100), st.integers(1, 70), st.floats(0.01, 500.0), st.integers(0, 5))
@pytest.mark.parametrize("frame", [chart.WIDE, chart.PHONE, chart.SMALL])
def test_no_label_of_a_chart_covers_another(
    frame: chart.Frame, days: int, ahead: int, level: float, events: int
) -> None:
    found = a_chart(days, ahead, level, events)
    apart(chart.chart_sheet(found, frame))
    sound(chart.chart_drawing(found, frame))


@pytest.mark.parametrize("frame", [chart.WIDE, chart.PHONE, chart.SMALL])
def test_the_grey_ground_begins_where_the_past_ends(frame: chart.Frame) -> None:
    drawn = str(chart.chart_drawing(a_chart(60, 20, 30.0, 0), frame))
    ground = re.search(r'class="fc-ground" x="([\d.]+)"', drawn)
    line = re.search(r'class="now" x1="([\d.]+)"', drawn)
    assert ground and line and ground.group(1) == line.group(1)
    middle = frame.left + 0.75 * (frame.right - frame.left)
    assert float(line.group(1)) == pytest.approx(middle, abs=0.1)
    assert ">now<" in drawn


def test_readings_stand_where_they_were_read() -> None:
    found = chart.Chart(label="KH", begin=START, end=START + timedelta(days=10), limits=(4.0,), dots=(
        chart.Dot(time=START + timedelta(days=5), value=5.0, low=4.5, high=5.5),))  # fmt: skip
    drawn = str(chart.chart_drawing(found, chart.WIDE, (0.0, 10.0)))
    circle = re.search(r'class="pt" cx="([\d.]+)" cy="([\d.]+)"', drawn)
    assert circle
    frame = chart.WIDE
    assert float(circle.group(1)) == pytest.approx(0.5 * (frame.left + frame.right))
    assert float(circle.group(2)) == pytest.approx(frame.top + 0.5 * frame.plot)
    assert '<text class="b"' in drawn and ">4<" in drawn


def test_plans_beside_each_other_share_one_axis() -> None:
    low, high = chart.span_of([a_chart(30, 30, 20.0, 0), a_chart(30, 30, 60.0, 0)])
    assert low == 0.0 and high > 72.0


@settings(max_examples=60, deadline=None)
@given(st.floats(0.0, 8.0), st.floats(8.5, 16.0), st.sampled_from([260.0, 320.0, 700.0]))
def test_figures_of_a_scale_stay_apart(low: float, high: float, width: float) -> None:
    found = scale.Scale(label="KH", low=0.0, high=16.0, wanted=(low, high))
    if low > 0.0 and (high - low) / 16.0 * width < 60.0:
        return
    boxes = [scale._box(found, value, anchor, width) for value, anchor, _ in scale.figures(found, width)]
    for one, other in itertools.combinations(boxes, 2):
        assert not one.meets(other)


def test_a_scale_holds_band_estimate_and_reading() -> None:
    found = scale.Scale(label="KH, 4.7 dKH", low=0.0, high=15.0, wanted=(4.0, None),
                        estimate=Spread(p10=4.4, p50=4.7, p90=5.0),
                        reading=chart.Dot(time=START, value=5.0, low=4.5, high=5.5))  # fmt: skip
    drawn = scale.scale_drawing(found)
    sound(drawn)
    assert 'class="wanted" x="26.7%"' in drawn and 'width="73.3%"' in drawn
    assert 'class="est-box" x="29.3%"' in drawn and 'cx="33.3%"' in drawn


@pytest.mark.parametrize(("chance", "filled"), [(0.0, 0), (0.04, 0), (0.06, 1), (0.52, 5), (0.93, 9), (0.96, 10)])
def test_ten_squares_say_what_the_words_say(chance: float, filled: int) -> None:
    drawn = marks.squares(chance)
    sound(drawn)
    assert drawn.count('class="tf"') == filled
    assert drawn.count('class="te"') == 10 - filled


def test_six_shapes_differ_without_colour() -> None:
    assert len(set(marks.SHAPES.values())) == 6 == len(marks.WORDS)
    for name in marks.SHAPES:
        sound(marks.shape(name))
    assert [marks.chance_severity(c) for c in (0.9, 0.5, 0.1)] == ["inband", "note", "warn"]
