"""What to feed: the question of the keeper, answered from the log and the tables without a fit."""

from __future__ import annotations

import re
from collections.abc import Sequence

from lentic.advice.food import Asked, Feeding, feeding_of
from lentic.catalogue import Food, Found, Which, find
from lentic.keeper.answers import Answer
from lentic.keeper.check import verdict_on
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record
from lentic.logbook import own
from lentic.logbook.tank import Tank


def feed(
    where: Where,
    weeks: float = 4.0,
    foods: Sequence[str] = (),
    nitrate: float | None = None,
    mixes: Sequence[str] = (),
) -> Answer[Feeding] | NotYet:
    """Return ration, menu and the load of each choice; `foods` and `mixes` are weighed against the others."""
    if weeks <= 0.0:
        raise AskError("A menu covers more than no time: use --weeks 1 or more.")
    if nitrate is not None and nitrate <= 0.0:
        raise AskError("A nitrate to hold lies above zero: use --nitrate 50 or another number, as mg/L NO3.")
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    wanted = [_food(opened.tank, name) for name in foods]
    mixed = [_mix(opened.tank, text) for text in mixes]
    asked = Asked(foods=tuple(wanted), mixes=tuple(mixed), aim=nitrate)
    view = feeding_of(opened.tank, opened.events, opened.end, weeks, asked)
    named = {food.id: food for food in (*wanted, *(food for mix in mixed for food, _ in mix))}
    dangers = [line for food in named.values() for line in _dangers(opened, food)]
    return Answer(view=view, problems=opened.problems, cautions=(*opened.cautions, *dangers))


def _dangers(opened: Opened, food: Food) -> list[str]:
    """Return what the rules on danger say of feeding something that was asked about."""
    verdict = verdict_on(opened, [food], {})
    found = [
        f"{food.name} ({each.severity}, {each.rule}): {each.message} Instead: {each.instead}" for each in verdict.found
    ]
    return found + [
        f"{food.name}, to be known first: {ask.question}" for ask in verdict.asks if ask.fact.startswith("feed.")
    ]


def _food(tank: Tank, name: str) -> Food:
    found = own.food(tank, name)
    if found is not None:
        return found
    answer = find(name, ("food",))
    if isinstance(answer, Found) and isinstance(answer.record, Food):
        return answer.record
    raise AskError(answer.question if isinstance(answer, Which) else f"There is no food {name!r} in the catalogue.")


def _mix(tank: Tank, text: str) -> list[tuple[Food, float]]:
    """Read a mix such as "dandelion 80, pellet_adult 20": foods with their shares of the energy."""
    parts = [part.strip() for part in text.split(",") if part.strip()]
    found = [re.fullmatch(r"(.+?)\s*(\d+(?:\.\d+)?)\s*%?", part) for part in parts]
    known = [(match[1], float(match[2])) for match in found if match]
    if not known or len(known) < len(parts) or any(share <= 0.0 for _, share in known):
        raise AskError(
            f'A mix is foods with their shares of the energy, such as "dandelion 80, pellet_adult 20": {text!r}'
        )
    return [(_food(tank, name), share) for name, share in known]
