"""One-change trials: design one, begin it, see how it stands, end it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from lentic.advice.hazards import gate
from lentic.advice.hazards.facts import reasons_in
from lentic.advice.hazards.proposed import question_of_routine, said_beside
from lentic.advice.plan import proposal_of
from lentic.advice.routine import DIALS, Routine, events_of, in_words, routine_of
from lentic.advice.trials.design import trial_of
from lentic.advice.trials.verdict import verdict_of
from lentic.keeper.answers import Answer, ahead
from lentic.keeper.check import situation_in
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import AskError, NotYet, Opened, Where, moment_of, open_store, open_tank
from lentic.learn.fit import Fit
from lentic.learn.forecast import futures, planned_events
from lentic.logbook.events import Event, Feed
from lentic.logbook.household import Trial as Kept
from lentic.logbook.trials import Ended, Trial, body_of, ended_from, trial_from

DAYS = 70
"""How far ahead a trial may reach. [d]"""


@dataclass(frozen=True, kw_only=True)
class TrialNow:
    """A trial as it was written down, and how it stands or ended."""

    number: int
    trial: Trial
    closed: datetime | None
    ended: Ended | None


def propose(
    where: Where, factor: str | None = None, to: float | None = None, say: Say | None = None
) -> Answer[Trial] | NotYet:
    """Return the trial of one turned dial, or of the change that the plan proposes; nothing is kept."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    now = routine_of(fit, planned_events(fit, opened.events, events, opened.begin, DAYS), DAYS)
    turned = _turned(fit, opened, events, now, factor, to, say)
    if isinstance(turned, NotYet):
        return replace(turned, problems=opened.problems)
    trial = _designed(fit, opened, events, now, turned)
    if trial is None:
        raise AskError("That is how it is now; a trial needs one thing that changes.")
    reasons = reasons_in(opened.events)
    asked = question_of_routine(now, turned, opened.tank)
    verdict = gate(situation_in(opened), asked, now=opened.end, overruled=reasons)
    if verdict.stopped:
        said = " ".join(f"{each.message} {each.instead} ({each.rule})" for each in verdict.stops)
        return NotYet(tank=opened.tank.name, sentence=f"Not this: {said}", wanted=(), problems=opened.problems)
    return Answer(view=trial, problems=opened.problems, cautions=(*opened.cautions, *said_beside(verdict)))


def _turned(
    fit: Fit,
    opened: Opened,
    events: Sequence[Event],
    now: Routine,
    factor: str | None,
    to: float | None,
    say: Say | None,
) -> Routine | NotYet:
    if factor is None:
        proposed = proposal_of(fit, opened.events, events, opened.begin, DAYS).proposed
        if proposed is None:
            return NotYet(
                tank=opened.tank.name, sentence="No single change is worth a trial now.",
                wanted=("name one yourself: a factor and where to turn it",),
            )  # fmt: skip
        return proposed.routine
    if factor not in DIALS:
        raise AskError(f"There is no factor {factor!r}. One of: {', '.join(DIALS)}.")
    if to is None or to < 0.0:
        raise AskError(f"Say where {factor} is turned to, such as --to 40.")
    return replace(now, **{factor: to})


def _designed(fit: Fit, opened: Opened, events: Sequence[Event], now: Routine, turned: Routine) -> Trial | None:
    changed = events_of(fit, opened.events, events, opened.begin, DAYS, now, turned)
    eaten = [e.grams for e in planned_events(fit, opened.events, events, opened.begin, DAYS) if isinstance(e, Feed)]
    do = in_words(fit, now, turned, sum(eaten) / DAYS)
    runs = [futures(fit, opened.events, plan, opened.begin, DAYS) for plan in (events, changed)]
    return trial_of(fit, opened.events, opened.begin, now, turned, do, *runs)


def begin(
    where: Where, factor: str | None = None, to: float | None = None, say: Say | None = None
) -> Answer[TrialNow] | NotYet:
    """Write a trial down before it is made; while one runs there is no second."""
    name = _name(where)
    running = [each for each in _kept(where, name) if each.closed is None]
    if running:
        raise AskError(f"Trial {running[-1].id} still runs: {running[-1].body['do']} End it first, or wait.")
    found = propose(where, factor, to, say)
    if isinstance(found, NotYet):
        return found
    return Answer(view=keep(where, found.view), problems=found.problems, cautions=found.cautions)


def keep(where: Where, trial: Trial) -> TrialNow:
    """Keep a trial that begins."""
    with open_store(where.home) as store:
        number = store.begin_trial(_name(where), trial.begun, body_of(trial), where.clock)
    return TrialNow(number=number, trial=trial, closed=None, ended=None)


def book(where: Where) -> tuple[TrialNow, ...]:
    """Return all trials of a tank, the newest first; of one that runs the verdict is not worked out here."""
    return tuple(_now(each) for each in reversed(_kept(where, _name(where))))


def verdict(where: Where, number: int | None = None, say: Say | None = None) -> Answer[TrialNow] | NotYet:
    """Return how a trial stands now, or how it ended; without a number the newest."""
    name = _name(where)
    kept = _one(_kept(where, name), number)
    shown = _now(kept)
    if shown.ended is not None:
        return Answer(view=shown, problems=())
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    start = open_tank(replace(where, now_text=shown.trial.begun.isoformat()))
    if isinstance(start, NotYet):
        return start
    before = [e for e in opened.events if e.time < shown.trial.begun]
    during = [e for e in opened.events if e.time >= shown.trial.begun]
    fit = fitted(start, during, say=say)
    ended = verdict_of(fit, before, during, shown.trial, opened.end)
    return Answer(view=replace(shown, ended=ended), problems=opened.problems, cautions=opened.cautions)


def end(where: Where, number: int | None = None, say: Say | None = None) -> Answer[TrialNow] | NotYet:
    """Close a trial with the verdict as it stands."""
    found = verdict(where, number, say)
    if isinstance(found, NotYet) or found.view.closed is not None or found.view.ended is None:
        return found
    moment = where.clock if where.now_text is None else _moment(where)
    with open_store(where.home) as store:
        store.close_trial(found.view.number, vars(found.view.ended), moment)
    return replace(found, view=replace(found.view, closed=moment))


def _moment(where: Where) -> datetime:
    with open_store(where.home) as store:
        tank, _ = store.read(_name(where))
    return moment_of(where.now_text or "", tank)


def _name(where: Where) -> str:
    if where.folder is not None:
        raise AskError("A trial is kept in the store: bring the folder in with `lentic import DIR`, then use its name.")
    if where.name:
        return where.name
    with open_store(where.home) as store:
        names = store.tanks()
    if len(names) != 1:
        raise AskError("Which tank? Name one." if names else "The store holds no tank yet. Use `lentic import DIR`.")
    return names[0]


def _kept(where: Where, name: str) -> tuple[Kept, ...]:
    with open_store(where.home) as store:
        return store.trials(name)


def _one(kept: Sequence[Kept], number: int | None) -> Kept:
    chosen = [each for each in kept if number is None or each.id == number]
    if not chosen:
        raise AskError("There is no such trial." if kept else "No trial was begun yet.")
    return chosen[-1]


def _now(kept: Kept) -> TrialNow:
    ended = ended_from(kept.verdict) if kept.verdict is not None else None
    return TrialNow(number=kept.id, trial=trial_from(kept.begun, kept.body), closed=kept.closed, ended=ended)
