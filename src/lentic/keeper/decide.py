"""Plans side by side, and a plan shaped by hand that is answered at once on a tank that was fitted before."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Mapping

from lentic.advice.decide import Bench, Decision, Warned, decision_of, turned_by
from lentic.advice.hazards import gate
from lentic.advice.hazards.facts import reasons_in
from lentic.advice.hazards.proposed import question_of_routine, through_the_gate
from lentic.advice.plan import proposal_of
from lentic.advice.routine import Routine
from lentic.keeper.answers import AHEAD_D, Answer, ahead, checked_days
from lentic.keeper.check import situation_in
from lentic.keeper.fitted import Say, fitted, fitted_before
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_store, open_tank
from lentic.keeper.trials import TrialNow, book, keep
from lentic.logbook.trials import Trial

AT_HAND = 2
"""Fitted tanks kept ready in memory. [-]"""
_BENCHES: OrderedDict[str, Bench] = OrderedDict()
_LOCK = threading.Lock()


def decide(
    where: Where, days: int = AHEAD_D, dials: Mapping[str, float] | None = None, say: Say | None = None
) -> Answer[Decision] | NotYet:
    """Return going on as now beside the one change proposed, and beside the plan that the dials mean."""
    checked_days(days)
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    if say:
        say("Trying single changes of the routine on the same possible tanks.")
    proposal = proposal_of(fit, opened.events, events, opened.begin, days)
    reasons = reasons_in(opened.events)
    let, _ = through_the_gate(proposal, situation_in(opened), opened.tank, opened.end, reasons)
    bench = Bench(fit, opened.events, events, opened.begin, days)
    view = decision_of(bench, let.proposed, shaped_routine(bench, dials or {}), _rules(opened, bench))
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _rules(opened: Opened, bench: Bench) -> Callable[[Routine], tuple[Warned, ...]]:
    """Return what tries the rules of the hazards on a routine; a reason the keeper wrote down sets a rule aside."""
    situation, reasons = situation_in(opened), reasons_in(opened.events)

    def rules(turned: Routine) -> tuple[Warned, ...]:
        asked = question_of_routine(bench.now, turned, opened.tank)
        verdict = gate(situation, asked, now=opened.end, overruled=reasons)
        return tuple(
            Warned(severity="ACT" if each.severity == "STOP" and not each.stops else each.severity, rule=each.rule,
                   message=each.message, instead=each.instead)
            for each in verdict.found
        )  # fmt: skip

    return rules


def shaped_routine(bench: Bench, dials: Mapping[str, float]) -> Routine | None:
    """Return the routine that dials mean, or None where none of them was turned."""
    turned = turned_by(bench.now, bench.dials(), dials)
    return None if turned == bench.now else turned


def shaped(opened: Opened, stamp: str, dials: Mapping[str, float], known: Decision) -> Decision | None:
    """Return a decision with the plan that dials mean beside the others; None where the tank was not fitted yet.

    It runs the versions that are at hand in memory, all of them, and fits nothing. `stamp` changes with the log.
    """
    bench = _bench(opened, stamp, known.days)
    if bench is None:
        return None
    turned = shaped_routine(bench, dials)
    first = known.column("first")
    found = decision_of(bench, None, turned, _rules(opened, bench))
    columns = (found.columns[0], *((first,) if first else ()), *found.columns[1:])
    return Decision(
        tank=known.tank, begin=known.begin, days=known.days, goals=known.goals, members=found.members,
        columns=columns, dials=found.dials, kh_limit=known.kh_limit, sentence=known.sentence, more=known.more,
    )  # fmt: skip


def _bench(opened: Opened, stamp: str, days: int) -> Bench | None:
    events = ahead(opened, opened.plan or ())
    key = f"{opened.tank.name} {stamp} {opened.end.isoformat()} {days}"
    with _LOCK:
        known = _BENCHES.get(key)
        if known is None:
            fit = fitted_before(opened, events)
            if fit is None:
                return None
            known = _BENCHES[key] = Bench(fit, opened.events, events, opened.begin, days)
        _BENCHES.move_to_end(key)
        while len(_BENCHES) > AT_HAND:
            _BENCHES.popitem(last=False)
        return known


def start(where: Where, trial: Trial) -> TrialNow:
    """Write down a trial that was looked at before; while one runs there is no second."""
    running = [each for each in book(where) if each.closed is None]
    if running:
        raise AskError(f"Trial {running[0].number} still runs: {running[0].trial.do} End it first, or wait.")
    return keep(where, trial)


def close(where: Where, found: TrialNow) -> None:
    """Close a trial with the verdict it has now."""
    if found.ended is None:
        raise AskError("The verdict of this trial is still being worked out. Look again in a moment.")
    with open_store(where.home) as store:
        store.close_trial(found.number, vars(found.ended), where.clock)
