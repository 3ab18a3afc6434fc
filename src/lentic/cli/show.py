"""Answers as text and as JSON for the command line."""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from lentic.advice.balance import Balance
    from lentic.advice.causes import Causes
    from lentic.advice.compare import Comparison
    from lentic.advice.forecast import Due, Forecast
    from lentic.advice.plan import Proposal, Tried
    from lentic.advice.today import Today
    from lentic.keeper.opening import NotYet
    from lentic.keeper.sums import Sum
    from lentic.logbook.problems import Problem


def plain(value: Any) -> Any:
    """Return a value as JSON knows it; what is not finite is null, never a made-up number."""
    if isinstance(value, float) and not math.isfinite(value):
        return None
    if isinstance(value, datetime):
        return value.isoformat(timespec="minutes")
    if isinstance(value, date):
        return value.isoformat()
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [plain(each) for each in value]
    return value


def write_json(content: Mapping[str, Any], target: str) -> None:
    """Write an answer to a file, or to standard output for `-`."""
    text = json.dumps(plain(content), ensure_ascii=False, indent=1, allow_nan=False) + "\n"
    if target == "-":
        sys.stdout.write(text)
        return
    try:
        Path(target).write_text(text, encoding="utf-8")
    except OSError as error:
        raise click.UsageError(f"{target} cannot be written: {error.strerror}.") from error


def lines(*parts: Iterable[str]) -> str:
    """Join lines of text."""
    return "\n".join(line for part in parts for line in part)


def problem_lines(problems: Sequence[Problem]) -> list[str]:
    """Return the problems of a log, one sentence each."""
    if not problems:
        return []
    return ["", f"In the log ({len(problems)}):", *(f"  {problem.sentence}" for problem in problems)]


def not_yet_lines(answer: NotYet) -> list[str]:
    """Return why there is no answer and what would help most."""
    found = [answer.sentence]
    if answer.wanted:
        found += ["What would help most:", *(f"  {each}" for each in answer.wanted)]
    return found


def not_yet_json(answer: NotYet) -> dict[str, Any]:
    """Return an absent answer for scripts."""
    return {"tank": answer.tank, "outcome": answer.sentence, "wanted": answer.wanted}


def balance_json(view: Balance) -> dict[str, Any]:
    """Return a balance in its stable form."""
    flows = [{"flow": f.flow, "element": f.element, "mg_per_week": f.mg_per_week.as_json()} for f in view.flows]
    return {"tank": view.tank, "from": view.begin, "to": view.end, "flows": flows, "closure": view.closure}


def balance_lines(view: Balance) -> list[str]:
    """Return a balance in words, then every flow with its range."""
    from lentic.advice.balance import ELEMENTS, FLOWS, NAMES
    from lentic.advice.words import ranged

    found = [f"{view.tank}, {view.begin:%Y-%m-%d} to {view.end:%Y-%m-%d}", "", *view.sentences]
    for element in ELEMENTS:
        found += ["", f"{element}, mg a week"]
        for flow in FLOWS:
            spread = view.spread(flow, element)
            if spread.p90 or spread.p10:
                found.append(f"  {NAMES[flow]:<42} {ranged(spread, 'mg')}")
    closure = ", ".join(f"{element} {share:.1e}" for element, share in view.closure.items())
    found += ["", f"Estimated from the log. The flows leave unexplained, as a share of the input: {closure}."]
    return found


def due_json(due: Due) -> dict[str, Any]:
    """Return a due date in its stable form."""
    return {"what": due.what, "p10": due.p10, "p50": due.p50, "p90": due.p90}


def forecast_json(view: Forecast) -> dict[str, Any]:
    """Return a forecast in its stable form."""
    series = [
        {
            "quantity": s.quantity, "unit": s.unit, "times": s.times,
            "p10": [x.p10 for x in s.spreads], "p50": [x.p50 for x in s.spreads], "p90": [x.p90 for x in s.spreads],
        }
        for s in view.series
    ]  # fmt: skip
    return {
        "tank": view.tank, "from": view.begin, "members": view.members, "seed": view.seed, "outcome": view.outcome,
        "series": series, "due": [due_json(due) for due in view.due], "assumptions": view.assumptions,
    }  # fmt: skip


def forecast_lines(view: Forecast) -> list[str]:
    """Return a forecast in words."""
    found = [f"{view.tank}, from {view.begin:%Y-%m-%d}: {view.members} possible tanks that agree with the log."]
    found += ["", *view.sentences]
    if view.assumptions:
        found += ["", "Nobody gave these, so they were assumed:"]
        found += [f"  {a.what}: {a.value:.3g} {a.unit} ({a.how})" for a in view.assumptions]
    return found


def compare_json(view: Comparison) -> dict[str, Any]:
    """Return a comparison for scripts."""
    differences = [
        {
            "quantity": d.quantity, "unit": d.unit, "span": d.span, "first": d.first.as_json(),
            "second": d.second.as_json(), "difference": d.difference.as_json(), "chance_higher": d.chance_higher,
        }
        for d in view.differences
    ]  # fmt: skip
    return {
        "tank": view.tank, "from": view.begin, "days": view.days, "plans": view.plans, "members": view.members,
        "differences": differences,
        "scrape_days": {"difference": view.scrape.as_json(), "chance_later": view.scrape_later},
    }  # fmt: skip


def compare_lines(view: Comparison) -> list[str]:
    """Return a comparison in words."""
    return [f"{view.tank}, from {view.begin:%Y-%m-%d}, {view.days} days", "", *view.sentences]


def causes_json(view: Causes) -> dict[str, Any]:
    """Return ranked causes in their stable form."""
    causes = [
        {
            "cause": c.cause, "chance": round(c.chance, 4), "for": c.speaks_for, "against": c.against,
            "test": {"do": c.test.do, "minutes": c.test.minutes, "tells": c.test.tells},
        }
        for c in view.causes
    ]  # fmt: skip
    return {"tank": view.tank, "of": view.of, "since": view.since, "causes": causes, "unknown": round(view.unknown, 4)}


def causes_lines(view: Causes) -> list[str]:
    """Return the likeliest causes in words."""
    from lentic.advice.words import chance, day_words

    found = [f"{view.tank}: what feeds the {view.of}" if view.of != "kh" else f"{view.tank}: what takes the KH"]
    found += ["", view.sentence]
    if view.since is None:
        return found
    found.append(f"Since about {day_words(view.since)} {view.since.year}.")
    for cause in [c for c in view.causes if c.chance >= 0.03][:4]:
        found += ["", f"{cause.cause}: {chance(cause.chance)}"]
        found += [f"  for: {each}" for each in cause.speaks_for]
        found += [f"  against: {each}" for each in cause.against]
        found.append(f"  test ({cause.test.minutes} min): {cause.test.do} {cause.test.tells}")
    found += ["", f"Something else: {chance(view.unknown)}. Change one thing at a time; these are chances, not proof."]
    return found


def plan_json(view: Proposal) -> dict[str, Any]:
    """Return a proposal for scripts."""
    return {
        "tank": view.tank, "from": view.begin, "days": view.days, "target_nitrate_mg_l": view.target_nitrate,
        "proposed": _tried(view.proposed) if view.proposed else None, "before": _tried(view.before),
        "tried": [_tried(each) for each in view.tried],
    }  # fmt: skip


def _tried(tried: Tried) -> dict[str, Any]:
    return {
        "name": tried.name, "do": tried.do, "nitrate": tried.nitrate.as_json(), "chance_on_target": tried.kept,
        "scrape_days": tried.scrape_days.as_json(), "minutes_a_week": tried.minutes_a_week,
        "free_ammonia_up_mg_l": tried.free_ammonia_up, "against": tried.against,
    }  # fmt: skip


def plan_lines(view: Proposal) -> list[str]:
    """Return a proposal in words."""
    return [f"{view.tank}, {view.days} days from {view.begin:%Y-%m-%d}", "", *view.sentences]


def now_json(view: Today) -> dict[str, Any]:
    """Return what is to be done for scripts."""
    return {"tank": view.tank, "day": view.day, "today": view.today, "can_wait": view.can_wait}


def now_lines(view: Today) -> list[str]:
    """Return what is to be done in words."""
    found = [f"{view.tank}, {view.day:%Y-%m-%d}", "", "Today:"]
    found += [f"  {item.do} {item.why}" for item in view.today] or ["  Nothing needs doing."]
    if view.can_wait:
        found += ["", "Can wait:", *(f"  {item.do} {item.why}" for item in view.can_wait)]
    return found


def sum_lines(found: Sum) -> list[str]:
    """Return a hand sum with its inputs, source and range."""
    relation = found.relation
    lines_of = [relation.sentence]
    lines_of += [
        f"  {a.name} = {found.inputs[a.name]:g} {a.unit}".rstrip(" -") + (f"  ({a.meaning})" if a.meaning else "")
        for a in relation.arguments
    ]
    unit = "" if relation.unit == "-" else f" {relation.unit}"
    lines_of += [f"{relation.name} = {found.value:.5g}{unit}", f"Source: {', '.join(relation.sources) or 'not given'}."]
    return [*lines_of, *found.warnings]


def sum_json(found: Sum) -> dict[str, Any]:
    """Return a hand sum for scripts."""
    return {
        "relation": found.relation.name, "inputs": found.inputs, "value": found.value, "unit": found.relation.unit,
        "sources": found.relation.sources, "warnings": found.warnings,
    }  # fmt: skip
