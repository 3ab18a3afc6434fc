"""Which test next, for the change that is proposed or for one the keeper has in mind."""

from __future__ import annotations

from dataclasses import replace

from lentic.advice.decide import Bench, title_of
from lentic.advice.judge import gaps_of
from lentic.advice.next_test import NextTests, gain_of, tests_of
from lentic.advice.plan import proposal_of
from lentic.advice.routine import LEAST_RATION, Routine
from lentic.keeper.answers import AHEAD_D, Answer, ahead
from lentic.keeper.fitted import Say, fitted
from lentic.keeper.opening import NotYet, Where, open_tank
from lentic.learn.forecast import futures


def next_test(where: Where, say: Say | None = None) -> Answer[NextTests] | NotYet:
    """Return which reading could turn the decision on the next change, the best for its work first."""
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    events = ahead(opened, opened.plan or ())
    fit = fitted(opened, events, say=say)
    if say:
        say("Trying changes of the routine one by one on the same possible tanks.")
    proposed = proposal_of(fit, opened.events, events, opened.begin, AHEAD_D)
    bench = Bench(fit, opened.events, events, opened.begin, AHEAD_D)
    turned, decision = _decision(bench, proposed.proposed.routine if proposed.proposed else None)
    now, then = (bench.measured_of(routine) for routine in (bench.now, turned))
    planted = bool(opened.tank.plants)
    gain = gain_of(
        gaps_of(now, now, bench.goals, planted), gaps_of(then, now, bench.goals, planted), (bench.now, turned)
    )
    found = futures(fit, opened.events, events, opened.begin, 2)
    view = tests_of(fit, found, gain, decision)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _decision(bench: Bench, proposed: Routine | None) -> tuple[Routine, str]:
    """Return the change to decide on: the proposed one, or a fifth less food where none is."""
    if proposed is not None:
        return proposed, f"{title_of(bench.now, proposed).lower()}, or go on as before"
    less = replace(bench.now, ration=LEAST_RATION)
    return less, "a fifth less food, or go on as before"
