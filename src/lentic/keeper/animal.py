"""The record of the turtles of one tank."""

from __future__ import annotations

from lentic.advice.animal import Animals, animal_of
from lentic.advice.shell import Picture
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say
from lentic.keeper.opening import AskError, NotYet, Where, open_record, open_store


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
    pictures = _pictures(where, tank.name)
    animals = tuple(animal_of(tank, opened.events, each, today, pictures) for each in chosen)
    view = Animals(tank=tank.name, day=today, animals=animals)
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _pictures(where: Where, name: str) -> tuple[Picture, ...]:
    """Return the photos beside the entries of a tank in the store; a folder holds none."""
    if where.folder is not None:
        return ()
    with open_store(where.home) as store:
        events = {entry.id: entry.event for entry in store.entries(where.name or name)}
        photos = store.photos(where.name or name)
    return tuple(Picture(event=events[each.event_id], digest=each.digest) for each in photos if each.event_id in events)
