"""The record of the turtles of one tank."""

from __future__ import annotations

from lentic.advice.animal import Animals, animal_of
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say
from lentic.keeper.opening import AskError, NotYet, Where, open_record


def animal(where: Where, animal_id: str | None = None, say: Say | None = None) -> Answer[Animals] | NotYet:
    """Return the record of one turtle, or of all: mass, growth, warnings, signs, winter, page for the vet."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    tank = opened.tank
    if not tank.turtles:
        return NotYet(
            tank=tank.name, sentence="Not yet: no turtle is described.", problems=opened.problems,
            wanted=("[[turtle]] with id, species, sex, mass_g and scl_cm in tank.toml",),
        )  # fmt: skip
    chosen = [turtle for turtle in tank.turtles if animal_id is None or turtle.id.casefold() == animal_id.casefold()]
    if not chosen:
        known = ", ".join(turtle.id for turtle in tank.turtles)
        raise AskError(f"No turtle is called {animal_id!r} here. There are: {known}.")
    today = tank.local_date(opened.end)
    view = Animals(
        tank=tank.name, day=today, animals=tuple(animal_of(tank, opened.events, each, today) for each in chosen)
    )
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)
