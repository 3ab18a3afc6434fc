"""Answers as text for the command line."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from lentic.keeper.as_json import plain

if TYPE_CHECKING:
    from lentic.advice.balance import Balance
    from lentic.advice.causes import Causes
    from lentic.advice.compare import Comparison
    from lentic.advice.forecast import Forecast
    from lentic.advice.plan import Proposal
    from lentic.advice.today import Today
    from lentic.keeper.opening import NotYet
    from lentic.logbook.problems import Problem


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
    found += ["", f"Estimated from the log. What these flows leave over of all that came in: {closure}."]
    return found


def forecast_lines(view: Forecast) -> list[str]:
    """Return a forecast in words."""
    found = [f"{view.tank}, from {view.begin:%Y-%m-%d}: {view.members} possible tanks that agree with the log."]
    found += ["", *view.sentences]
    if view.assumptions:
        found += ["", "Nobody gave these, so they were assumed:"]
        found += [f"  {a.what}: {a.value:.3g} {a.unit} ({a.how})" for a in view.assumptions]
    return found


def compare_lines(view: Comparison) -> list[str]:
    """Return a comparison in words."""
    return [f"{view.tank}, from {view.begin:%Y-%m-%d}, {view.days} days", "", *view.sentences]


def causes_lines(view: Causes) -> list[str]:
    """Return the likeliest causes in words."""
    from lentic.advice.causes import TITLES
    from lentic.advice.words import chance, day_words

    found = [f"{view.tank}: {TITLES[view.of]}"]
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


def plan_lines(view: Proposal) -> list[str]:
    """Return a proposal in words."""
    return [f"{view.tank}, {view.days} days from {view.begin:%Y-%m-%d}", "", *view.sentences]


def now_lines(view: Today) -> list[str]:
    """Return what is to be done in words."""
    found = [f"{view.tank}, {view.day:%Y-%m-%d}", "", "Today:"]
    found += [f"  {item.do} {item.why}" for item in view.today] or ["  Nothing needs doing."]
    if view.can_wait:
        found += ["", "Can wait:", *(f"  {item.do} {item.why}" for item in view.can_wait)]
    return found
