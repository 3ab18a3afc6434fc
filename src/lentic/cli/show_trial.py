"""One-change trials as text."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from lentic.advice.words import day_words, number
from lentic.keeper.trials import TrialNow
from lentic.logbook.trials import FACTORS, Expected, Trial

GOALS = {"nitrate": "nitrate", "scraping": "days from one scraping to the next"}
NAMES = {"nitrate": "Nitrate", "kh": "KH", "algae_panes": "Algae on the panes"}


def trial_lines(trial: Trial) -> list[str]:
    """Return a trial as text."""
    found = [
        f"One change, from {day_words(trial.begun.date())}:",
        f"  {trial.do}",
        f"  ({trial.factor}: {number(trial.before)} -> {number(trial.after)} {FACTORS[trial.factor]})",
        f"Judged by {GOALS[trial.goal]}; {'less' if trial.wanted < 0 else 'more'} of it is wanted.",
    ]
    if trial.seen_from is None:
        found.append("At your rhythm of readings it may not show in the time looked at; read oftener, or change more.")
        if trial.would_take is not None:
            found.append(
                f"An effect {number(trial.would_take)} times as large as expected would show in 17 of 20 cases."
            )
    else:
        what = "nitrate readings" if trial.goal == "nitrate" else "intervals between scrapings"
        found.append(f"It can be seen from {day_words(trial.seen_from)} at the earliest, with {trial.readings} {what}.")
    found += ["Expected then (8 in 10 of the possible tanks):"]
    found += [f"  {_expected_line(each, trial.ends)}" for each in trial.expected]
    found += ["Keep as it is: " + ", ".join(trial.still) + "."]
    found += [f"  {each}" for each in trial.stop]
    return found


def _expected_line(expected: Expected, day: date) -> str:
    place = expected.days.index(day) if day in expected.days else len(expected.days) - 1
    told = [
        f"{number(middle)} ({number(low)} to {number(high)})"
        for low, middle, high in (expected.with_change[place], expected.without[place])
    ]
    return f"{NAMES[expected.quantity]}: {told[0]} {expected.unit} with it, {told[1]} without"


def now_lines(view: TrialNow) -> list[str]:
    """Return a trial with how it stands."""
    state = "ended" if view.closed is not None else "running"
    found = [f"Trial {view.number} ({state})."]
    if view.ended is not None:
        found.append(view.ended.sentence)
    return [*found, *trial_lines(view.trial)]


def book_lines(views: Sequence[TrialNow]) -> list[str]:
    """Return all trials, a line each."""
    if not views:
        return ["No trial yet: one change at a time, with what it should do written down before. Try --propose."]
    return [
        f"{view.number}. {day_words(view.trial.begun.date())}: {view.trial.do} "
        + (f"{view.ended.verdict}." if view.ended is not None else "Running.")
        for view in views
    ]
