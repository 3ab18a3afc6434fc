"""The lamps of one tank."""

from __future__ import annotations

from lentic.advice.lamps import Lamps, lamps_of
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say
from lentic.keeper.opening import NotYet, Where, open_record


def lamps(where: Where, say: Say | None = None) -> Answer[Lamps] | NotYet:
    """Return what the lamps give the animal and the plants, what is due, and what should be measured."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    tank = opened.tank
    if not tank.lamps:
        return NotYet(
            tank=tank.name, sentence="Not yet: no lamp is described.", problems=opened.problems,
            wanted=("[[lamp]] with use, class, height_cm, hours and fitted in tank.toml",),
        )  # fmt: skip
    view = lamps_of(tank, opened.events, tank.local_date(opened.end))
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
