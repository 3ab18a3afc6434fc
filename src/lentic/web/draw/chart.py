"""A chart of one quantity over time: the past on white, what is to come on grey, readings on top, events below.

An estimate is a band that holds 8 of 10 possible tanks, with a dashed middle; own readings are dots with their error;
a limit is a line whose figure stands bold on the axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from markupsafe import Markup

from lentic.web.draw.svg import LINE, Sheet, points, text_box


@dataclass(frozen=True, kw_only=True)
class Band:
    """An estimate over time: low, middle and high of 8 in 10."""

    times: tuple[datetime, ...]
    low: tuple[float, ...]
    middle: tuple[float, ...]
    high: tuple[float, ...]


@dataclass(frozen=True, kw_only=True)
class Dot:
    """One own reading with its error; `open` where it only says below or above."""

    time: datetime
    value: float
    low: float
    high: float
    open: bool = False


@dataclass(frozen=True, kw_only=True)
class Happened:
    """Events of one kind: a label and their moments."""

    label: str
    times: tuple[datetime, ...]


@dataclass(frozen=True, kw_only=True)
class Chart:
    """All that one chart shows."""

    label: str
    begin: datetime
    end: datetime
    now: datetime | None = None
    past: Band | None = None
    ahead: Band | None = None
    dots: tuple[Dot, ...] = ()
    limits: tuple[float, ...] = ()
    events: tuple[Happened, ...] = ()
    material: str = "water"
    from_zero: bool = False


@dataclass(frozen=True, kw_only=True)
class Frame:
    """Size of a chart and room of its margins. [px]"""

    width: float
    plot: float
    left: float
    right: float
    top: float
    kind: str
    beside: bool


WIDE = Frame(width=900.0, plot=190.0, left=60.0, right=888.0, top=24.0, kind="chart draw-wide", beside=True)
PHONE = Frame(width=320.0, plot=150.0, left=56.0, right=312.0, top=24.0, kind="chart draw-phone", beside=False)
SMALL = Frame(width=290.0, plot=114.0, left=56.0, right=284.0, top=8.0, kind="chart chart-small", beside=False)
"""For plans beside each other: the same axes in each, made by giving all of them the same `span`."""
LONG = timedelta(days=550)
"""Beyond it only half years are named, each with its year."""
STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


def span_of(charts: Sequence[Chart]) -> tuple[float, float]:
    """Return one value axis on which several charts can be compared."""
    values = [v for chart in charts for v in _values(chart)]
    if not values:
        return 0.0, 1.0
    low, high = min(values), max(values)
    if any(chart.from_zero for chart in charts) or (low >= 0.0 and low < 0.35 * high):
        low = 0.0
    room = 0.08 * (high - low) or 0.1 * abs(high) or 1.0
    low = low if low == 0.0 else low - room
    return low, high + room


def near(limit: float, charts: Sequence[Chart]) -> bool:
    """Tell whether a limit lies so near to what is drawn that its line does not press all else flat."""
    values = [v for chart in charts for v in _values(chart)]
    if not values:
        return True
    low, high = min(values), max(values)
    room = max(high - low, 0.25 * abs(high))
    return low - room <= limit <= high + room


def _values(chart: Chart) -> list[float]:
    found = [v for dot in chart.dots for v in (dot.low, dot.high)] + list(chart.limits)
    for band in (chart.past, chart.ahead):
        if band is not None:
            found += [*band.low, *band.high]
    return [v for v in found if math.isfinite(v)]


def ticks_of(low: float, high: float, most: int = 4) -> list[float]:
    """Return round figures within an axis, at most so many and a few at least."""
    raw = (high - low) / most
    power = 10.0 ** math.floor(math.log10(raw))
    step = next(power * s for s in STEPS if power * s >= raw * 0.999)
    first = math.ceil(low / step - 1e-9)
    return [round(step * k, 10) for k in range(first, math.floor(high / step + 1e-9) + 1)]


def figure(value: float) -> str:
    """Return a figure of an axis."""
    digits = 3 if abs(value) >= 0.1 else 2
    return (f"{value:.0f}" if abs(value) >= 1000.0 else f"{value:.{digits}g}").replace("-", "−")


class _Axes:
    def __init__(self, chart: Chart, frame: Frame, span: tuple[float, float]) -> None:
        self.chart, self.frame = chart, frame
        self.low, self.high = span
        self.bottom = frame.top + frame.plot
        self.seconds = max((chart.end - chart.begin).total_seconds(), 1.0)

    def x(self, moment: datetime) -> float:
        share = (moment - self.chart.begin).total_seconds() / self.seconds
        return self.frame.left + min(max(share, 0.0), 1.0) * (self.frame.right - self.frame.left)

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - min(max(share, 0.0), 1.0) * self.frame.plot


def chart_drawing(chart: Chart, frame: Frame, span: tuple[float, float] | None = None) -> Markup:
    """Return a chart drawn for one width."""
    return chart_sheet(chart, frame, span).svg(chart.label, frame.kind)


def chart_sheet(chart: Chart, frame: Frame, span: tuple[float, float] | None = None) -> Sheet:
    """Return the drawn sheet of a chart."""
    axes = _Axes(chart, frame, span or span_of([chart]))
    sheet = Sheet(frame.width, axes.bottom + 24.0)
    _ground(sheet, axes)
    for band in (chart.past, chart.ahead):
        if band is not None:
            _band(sheet, axes, band)
    _limits(sheet, axes)
    for dot in chart.dots:
        _dot(sheet, axes, dot)
    _time_axis(sheet, axes)
    _events(sheet, axes)
    sheet.add("line", class_="cross", x1=0.0, y1=frame.top, x2=0.0, y2=axes.bottom,
              data_left=frame.left, data_right=frame.right)  # fmt: skip
    return sheet


def _ground(sheet: Sheet, axes: _Axes) -> None:
    chart, frame = axes.chart, axes.frame
    if chart.now is not None and chart.now < chart.end:
        x = axes.x(chart.now)
        sheet.add("rect", class_="fc-ground", x=x, y=frame.top, width=frame.right - x, height=frame.plot)
    limits = [axes.y(limit) for limit in chart.limits]
    for value in ticks_of(axes.low, axes.high):
        y = axes.y(value)
        sheet.line(frame.left, y, frame.right, y, "grid")
        if all(abs(y - limit) > 15.0 for limit in limits):
            sheet.text(frame.left - 6.0, y + 5.0, figure(value), "end", "t2")


def _band(sheet: Sheet, axes: _Axes, band: Band) -> None:
    kept = [k for k, moment in enumerate(band.times) if axes.chart.begin <= moment <= axes.chart.end]
    if len(kept) < 2:
        return
    xs = [axes.x(band.times[k]) for k in kept]
    upper, lower = [axes.y(band.high[k]) for k in kept], [axes.y(band.low[k]) for k in kept]
    shape = points([*xs, *reversed(xs)], [*upper, *reversed(lower)])
    sheet.add("polygon", class_=f"body m-{axes.chart.material}", points=shape)
    middle = points(xs, [axes.y(band.middle[k]) for k in kept])
    sheet.add("polyline", class_=f"mid m-{axes.chart.material}", points=middle)


def _limits(sheet: Sheet, axes: _Axes) -> None:
    for limit in axes.chart.limits:
        y = axes.y(limit)
        sheet.line(axes.frame.left, y, axes.frame.right, y, "limit")
        sheet.text(axes.frame.left - 6.0, y + 5.0, figure(limit), "end", "b")


def _dot(sheet: Sheet, axes: _Axes, dot: Dot) -> None:
    if not axes.chart.begin <= dot.time <= axes.chart.end:
        return
    x = axes.x(dot.time)
    sheet.line(x, axes.y(dot.high), x, axes.y(dot.low), "eb")
    sheet.add("circle", class_="pt open" if dot.open else "pt", cx=x, cy=axes.y(dot.value), r=3.5)


def day(moment: datetime, year: bool = False) -> str:
    """Return a date in words."""
    return f"{moment.day} {moment:%B}" + (f" {moment.year}" if year else "")


def _time_axis(sheet: Sheet, axes: _Axes) -> None:
    """Write dates under the axis: "now" first, then both ends, then the firsts of months where there is room."""
    chart, frame, y = axes.chart, axes.frame, axes.bottom + 18.0
    sheet.line(frame.left, axes.bottom, frame.right, axes.bottom, "ax")
    if chart.now is not None and chart.begin < chart.now <= chart.end:
        x = axes.x(chart.now)
        sheet.line(x, frame.top - 4.0, x, axes.bottom + 4.0, "now")
        _date(sheet, x, y, "now", "middle", "")
    years = chart.begin.year != chart.end.year and frame.beside
    _date(sheet, frame.left, y, day(chart.begin, years), "start", "t2")
    _date(sheet, frame.right, y, day(chart.end, years), "end", "t2")
    if not frame.beside:
        return
    long = chart.end - chart.begin > LONG
    first = (chart.begin.replace(day=1, hour=0, minute=0) + timedelta(days=32)).replace(day=1)
    while first < chart.end:
        x = axes.x(first)
        wanted = not long or first.month in (1, 7)
        if wanted and _date(sheet, x, y, day(first, years and (long or first.month == 1)), "middle", "t2"):
            sheet.line(x, axes.bottom, x, axes.bottom + 4.0, "ax")
        first = (first + timedelta(days=32)).replace(day=1)


def _date(sheet: Sheet, x: float, y: float, text: str, anchor: str, kind: str) -> bool:
    box = text_box(x, y, text, anchor)
    over = max(0.0, box.right - sheet.width, -box.left)
    if over:
        x += over if box.left < 0.0 else -over
        box = text_box(x, y, text, anchor)
    if not sheet.free([box]):
        return False
    sheet.text(x, y, text, anchor, kind)
    return True


def _events(sheet: Sheet, axes: _Axes) -> None:
    """Put ticks in rows under the axis: the label to the left of the first tick, or above its row on a phone."""
    chart, frame = axes.chart, axes.frame
    y = axes.bottom + 24.0
    for happened in chart.events:
        xs = sorted(axes.x(t) for t in happened.times if chart.begin <= t <= chart.end)
        if not xs:
            continue
        room = text_box(xs[0] - 7.0, y + 14.0, happened.label, "end")
        own_line = room.left < 0.0
        if own_line:
            start = min(frame.left, sheet.width - (room.right - room.left))
            sheet.text(max(start, 0.0), y + 14.0, happened.label, "start", "t2")
            y += LINE
        else:
            sheet.text(xs[0] - 7.0, y + 14.0, happened.label, "end", "t2")
        for x in xs:
            sheet.line(x, y + 3.0, x, y + 16.0, "event")
        y += LINE + 2.0
    sheet.height = y + 4.0
