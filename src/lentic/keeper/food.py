"""What to feed: the question of the keeper, answered from the log and the tables without a fit."""

from __future__ import annotations

from collections.abc import Sequence

from lentic.advice.food import Feeding, feeding_of
from lentic.catalogue import Food, Found, Which, find
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say
from lentic.keeper.opening import AskError, NotYet, Where, open_record
from lentic.logbook import own
from lentic.logbook.tank import Tank


def feed(
    where: Where,
    weeks: float = 4.0,
    foods: Sequence[str] = (),
    nitrate: float | None = None,
    say: Say | None = None,
) -> Answer[Feeding] | NotYet:
    """Return ration, menu and the load of each choice; `foods` are further foods to weigh against each other."""
    if weeks <= 0.0:
        raise AskError("A menu covers more than no time: use --weeks 1 or more.")
    if nitrate is not None and nitrate <= 0.0:
        raise AskError("A nitrate to hold lies above zero: use --nitrate 50 or another number, as mg/L NO3.")
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    wanted = [_food(opened.tank, name) for name in foods]
    view = feeding_of(opened.tank, opened.events, opened.end, weeks, wanted, nitrate)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _food(tank: Tank, name: str) -> Food:
    found = own.food(tank, name)
    if found is not None:
        return found
    answer = find(name, ("food",))
    if isinstance(answer, Found) and isinstance(answer.record, Food):
        return answer.record
    raise AskError(answer.question if isinstance(answer, Which) else f"There is no food {name!r} in the catalogue.")
