"""A round through all tanks of the store: what to test first, the order, litres, conditioner, what to hand over."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lentic.advice.rounds import Kept, Round, round_of
from lentic.advice.rounds_from import kept_of, tap_of
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record, open_store
from lentic.logbook.problems import Problem, did_you_mean

NO_TAP = "nitrate and KH of the tap, once: no3_mg_l and kh_dkh under [source_water] of one tank"
NO_TANK = "a tank in the store: lentic import DIR"


@dataclass(frozen=True, kw_only=True)
class Rounds:
    """The round, and what is missing for the tanks that are not in it."""

    round: Round
    missing: tuple[str, ...]


def rounds(where: Where, quarantine: Sequence[str] = (), sick: Sequence[str] = ()) -> Answer[Rounds] | NotYet:
    """Return the round of the day through the tanks of the store."""
    with open_store(where.home) as store:
        names = store.tanks()
    for name in (*quarantine, *sick):
        if name not in names:
            raise AskError(f"There is no tank {name!r}. {did_you_mean(name, names)}")
    found = [
        open_record(Where(name=name, now_text=where.now_text, clock=where.clock, home=where.home)) for name in names
    ]
    opened = [each for each in found if isinstance(each, Opened)]
    kept = [kept_of(o.tank, o.events, o.end, o.tank.name in quarantine, o.tank.name in sick) for o in opened]
    tap = next((tap for each in opened if (tap := tap_of(each.tank)) is not None), None)
    tanks = [each for each in kept if isinstance(each, Kept)]
    missing = tuple(each for each in kept if isinstance(each, str))
    problems: tuple[Problem, ...] = tuple(problem for each in opened for problem in each.problems)
    if tap is None or not tanks:
        wanted = (*((NO_TAP,) if opened and tap is None else ()), *missing) or (NO_TANK,)
        return NotYet(tank="the round", sentence="Not yet: no tank can be planned.", wanted=wanted, problems=problems)
    country = next((each.tank.country for each in opened if each.tank.country), None)
    return Answer(view=Rounds(round=round_of(tanks, tap, country), missing=missing), problems=problems)
