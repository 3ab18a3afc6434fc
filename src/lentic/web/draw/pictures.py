"""Views as drawings: a record over time, a plan, the scrapings behind a cause; in the keeper's own units."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

from markupsafe import Markup

from lentic.advice.decide import Column, Decision
from lentic.advice.forecast import NAMES, Series
from lentic.advice.limits import Limit
from lentic.advice.over_time import OverTime, Read, Record, figure, read_words
from lentic.advice.stages import Stages
from lentic.advice.words import day_words, number
from lentic.logbook.trials import Expected, Trial
from lentic.web.draw import chart, flow
from lentic.web.units import Preferences, drawn_in

Turn = Callable[[float], float]
PLAN_MATERIALS: Mapping[str, str] = {"nitrate": "water", "kh": "dirt", "algae_panes": "algae"}


@dataclass(frozen=True, kw_only=True)
class Line:
    """One line of the table under a chart, and of what the chart tells under a pointer."""

    when: datetime
    reading: str
    reading_range: str
    estimate: str
    estimate_range: str
    reading_id: str
    estimate_id: str


@dataclass(frozen=True, kw_only=True)
class Picture:
    """A chart at both widths with its heading, its numbers, and what a pointer tells at each place."""

    key: str
    heading: str
    unit: str
    wide: Markup
    phone: Markup
    points: str
    lines: tuple[Line, ...]
    note: str


def flow_of(stages: Stages) -> Markup:
    """Return the flow drawing at both widths; the page shows the one that fits."""
    return flow.flow_drawing(stages, flow.WIDE) + flow.flow_drawing(stages, flow.PHONE)


def picture_of(record: Record, found: OverTime, wanted: Preferences) -> Picture:
    """Return the chart of one quantity over the span that is looked at."""
    unit, turn = drawn_in(record.unit, wanted)
    shown = chart.Chart(
        label=f"{record.name}, {day_words(found.begin)} to {day_words(found.end)}; its numbers are in the table below",
        begin=found.begin, end=found.end, now=found.now, past=_band(record.past, turn), ahead=_band(record.ahead, turn),
        dots=tuple(_dot(read, turn) for read in record.reads), material=record.material,
        events=tuple(chart.Happened(label=label, times=times) for label, times in record.events),
    )  # fmt: skip
    drawn = record.limit is not None and chart.near(turn(record.limit.value), [shown])
    if record.limit is not None and drawn:
        shown = replace(shown, limits=(turn(record.limit.value),))
    lines = lines_of(record, turn)
    return Picture(
        key=record.quantity, heading=f"{record.name}, {unit}" if unit else record.name, unit=unit,
        wide=chart.chart_drawing(shown, chart.WIDE), phone=chart.chart_drawing(shown, chart.PHONE),
        points=_points(lines, found, unit), lines=lines, note=_note(record, turn, unit, drawn),
    )  # fmt: skip


def _note(record: Record, turn: Turn, unit: str, drawn: bool) -> str:
    limit = f"{limit_words(record.limit, turn, unit, drawn)} " if record.limit else ""
    none = "" if record.reads else "No own reading lies in this span: all of it is estimated."
    return f"{limit}{none}".strip()


def limit_words(limit: Limit, turn: Turn, unit: str, drawn: bool) -> str:
    """Return a limit in words: whose it is, and where it lies if it is too far off to be drawn."""
    side = "at most" if limit.above else "at least"
    value = f"{number(turn(limit.value))} {unit}".strip()
    if drawn:
        return f"Brown line: {value} {side}, {limit.protects}."
    return f"Limit: {value} {side}, {limit.protects}; far {'above' if limit.above else 'below'} what is drawn."


def _band(series: Series | None, turn: Turn) -> chart.Band | None:
    known = [] if series is None else [(t, s) for t, s in zip(series.times, series.spreads, strict=True) if s.known]
    if len(known) < 2:
        return None
    return chart.Band(
        times=tuple(t for t, _ in known), low=tuple(turn(s.p10 or 0.0) for _, s in known),
        middle=tuple(turn(s.p50 or 0.0) for _, s in known), high=tuple(turn(s.p90 or 0.0) for _, s in known),
    )  # fmt: skip


def _dot(read: Read, turn: Turn) -> chart.Dot:
    return chart.Dot(
        time=read.time, value=turn(read.value), low=turn(read.low), high=turn(read.high), open=bool(read.beyond)
    )


def lines_of(record: Record, turn: Turn) -> tuple[Line, ...]:
    """Return the numbers of a chart: every own reading, and the estimate once a week, past and to come."""
    found = [_read_line(record, read, turn) for read in record.reads]
    taken = {line.when.date() for line in found}
    for series in (record.past, record.ahead):
        if series is None:
            continue
        last = None
        for when, spread in zip(series.times, series.spreads, strict=True):
            if when.date() in taken or (last is not None and when - last < timedelta(days=7)):
                continue
            last = when
            found.append(Line(
                when=when, reading="", reading_range="", reading_id="",
                estimate=figure(record.quantity, turn(spread.p50 or 0.0)),
                estimate_range=_range(record.quantity, turn(spread.p10 or 0.0), turn(spread.p90 or 0.0)),
                estimate_id=f"day.{record.quantity}.{when:%Y-%m-%d}",
            ))  # fmt: skip
    return tuple(sorted(found, key=lambda line: line.when))


def _read_line(record: Record, read: Read, turn: Turn) -> Line:
    estimate = read.estimate
    known = estimate.p50 is not None
    name = record.quantity
    return Line(
        when=read.time, reading=read_words(name, read, turn(read.value)),
        reading_range="" if read.beyond else _range(name, turn(read.low), turn(read.high)),
        reading_id=f"read.{name}.{read.time:%Y-%m-%dT%H:%M}",
        estimate=figure(name, turn(estimate.p50 or 0.0)) if known else "",
        estimate_range=_range(name, turn(estimate.p10 or 0.0), turn(estimate.p90 or 0.0)) if known else "",
        estimate_id=f"day.{name}.{read.time:%Y-%m-%d}" if known else "",
    )  # fmt: skip


def _range(quantity: str, low: float, high: float) -> str:
    return f"({figure(quantity, low)} to {figure(quantity, high)})"


def _points(lines: Sequence[Line], found: OverTime, unit: str) -> str:
    """Return what the chart tells at each place: share of the width, and a sentence."""
    whole = max((found.end - found.begin).total_seconds(), 1.0)
    told = []
    for line in lines:
        own = f"own reading {line.reading} {line.reading_range}" if line.reading else ""
        word = "forecast" if line.when >= found.now else "estimate"
        guess = f"{word} {line.estimate} {line.estimate_range}" if line.estimate else ""
        said = "; ".join(part.strip() for part in (own, guess) if part)
        share = (line.when - found.begin).total_seconds() / whole
        told.append([round(share, 4), f"{line.when.day} {line.when:%B %Y}: {said} {unit}".strip()])
    return json.dumps(told, ensure_ascii=False, separators=(",", ":"))


@dataclass(frozen=True, kw_only=True)
class PlanRow:
    """One quantity of all plans, drawn on equal axes."""

    heading: str
    drawings: tuple[tuple[str, str, Markup], ...]


def plan_rows(found: Decision, past: OverTime | None, wanted: Preferences) -> tuple[PlanRow, ...]:
    """Return the small charts of plans beside each other: one row for each quantity, one drawing for each plan."""
    rows = []
    for quantity in PLAN_MATERIALS:
        series = found.columns[0].of(quantity)
        unit, turn = drawn_in(series.unit, wanted)
        record = past.of(quantity) if past else None
        limit = _plan_limit(quantity, found, turn)
        charts = [_plan_chart(column, quantity, found, record, turn) for column in found.columns]
        if all(chart.near(each, charts) for each in limit):
            charts = [replace(each, limits=limit) for each in charts]
        span = chart.span_of(charts)
        drawings = tuple(
            (f"{place}. {column.title}", _ends(column, quantity, turn, unit, found.end),
             chart.chart_drawing(each, chart.SMALL, span))
            for place, (column, each) in enumerate(zip(found.columns, charts, strict=True), start=1)
        )  # fmt: skip
        rows.append(PlanRow(heading=_plan_heading(quantity, found, unit, turn), drawings=drawings))
    return tuple(rows)


def _plan_limit(quantity: str, found: Decision, turn: Turn) -> tuple[float, ...]:
    if quantity == "nitrate":
        return (turn(found.goals.nitrate_mg_l),)
    return (turn(found.kh_limit.value),) if quantity == "kh" and found.kh_limit else ()


def _plan_heading(quantity: str, found: Decision, unit: str, turn: Turn) -> str:
    said = f"{NAMES[quantity]}, {unit}"
    if quantity == "nitrate":
        return f"{said}. Wanted: {number(turn(found.goals.nitrate_mg_l))} at most"
    if quantity == "kh" and found.kh_limit:
        return f"{said}. {number(turn(found.kh_limit.value))} at least {found.kh_limit.protects}"
    return said


def _plan_chart(column: Column, quantity: str, found: Decision, record: Record | None, turn: Turn) -> chart.Chart:
    begin = found.begin - timedelta(days=found.days)
    return chart.Chart(
        label=f"{NAMES[quantity]} under plan {column.title}; the table above holds its numbers", begin=begin,
        end=found.end, now=found.begin, past=_band(record.past, turn) if record else None,
        ahead=_band(column.of(quantity), turn), material=PLAN_MATERIALS[quantity],
        dots=tuple(_dot(read, turn) for read in record.reads) if record else (),
    )  # fmt: skip


def _ends(column: Column, quantity: str, turn: Turn, unit: str, end: datetime) -> str:
    """Return the last value of a plan with its range, so that no one has to read it off."""
    last = column.of(quantity).spreads[-1]
    if last.p10 is None or last.p50 is None or last.p90 is None:
        return "cannot be said"
    ranged = f"{figure(quantity, turn(last.p50))} {unit} {_range(quantity, turn(last.p10), turn(last.p90))}"
    return f"{ranged} on {end.day} {end:%B}"


def trial_rows(
    trial: Trial, wanted: Preferences, begun: datetime | None = None, past: OverTime | None = None
) -> tuple[PlanRow, ...]:
    """Return what a trial expects, with the change and without it, on equal axes; readings since it began on top."""
    rows = []
    for expected in trial.expected:
        unit, turn = drawn_in(expected.unit, wanted)
        both = (("With the change", expected.with_change), ("Without it", expected.without))
        record = past.of(expected.quantity) if past else None
        reads = [r for r in record.reads if begun is not None and r.time >= begun] if record else []
        dots = tuple(_dot(read, turn) for read in reads)
        charts = [replace(_expected_chart(expected, bands, turn), dots=dots) for _, bands in both]
        span = chart.span_of(charts)
        drawings = tuple(
            (title, _expected_end(trial, expected, bands, turn, unit), chart.chart_drawing(each, chart.SMALL, span))
            for (title, bands), each in zip(both, charts, strict=True)
        )
        rows.append(PlanRow(heading=f"{NAMES[expected.quantity]}, {unit}", drawings=drawings))
    return tuple(rows)


def _expected_chart(expected: Expected, bands: Sequence[tuple[float, float, float]], turn: Turn) -> chart.Chart:
    times = tuple(datetime.combine(day, time(12)) for day in expected.days)
    low, middle, high = (tuple(turn(band[k]) for band in bands) for k in range(3))
    return chart.Chart(
        label=f"{NAMES[expected.quantity]} as expected; its value stands in the caption", begin=times[0], end=times[-1],
        now=times[0], ahead=chart.Band(times=times, low=low, middle=middle, high=high),
        material=PLAN_MATERIALS.get(expected.quantity, "water"),
    )  # fmt: skip


def _expected_end(
    trial: Trial, expected: Expected, bands: Sequence[tuple[float, float, float]], turn: Turn, unit: str
) -> str:
    place = expected.days.index(trial.ends) if trial.ends in expected.days else len(bands) - 1
    low, middle, high = (turn(value) for value in bands[place])
    day = expected.days[place]
    name = expected.quantity
    return f"{figure(name, middle)} {unit} {_range(name, low, high)} on {day.day} {day:%B}"
