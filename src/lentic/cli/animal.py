"""The command `lentic animal`."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of


@click.command()
@of_a_tank
@click.argument("animal_id", required=False, metavar="[ID]")
@click.option("--winter", is_flag=True, help="Whether it may rest this winter, and the plan by dates.")
@click.option("--vet", is_flag=True, help="Only the one-page history for the vet.")
def animal(
    name: str | None,
    animal_id: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    winter: bool,
    vet: bool,
) -> None:
    """The record of a turtle: weight, growth, next tank, signs, winter rest, page for the vet."""
    from functools import partial

    from lentic.cli import show_animal
    from lentic.keeper import animal as keeper
    from lentic.keeper.as_json import plain

    if folder and name and not animal_id:
        name, animal_id = None, name
    lines = show_animal.vet_lines if vet else partial(show_animal.animal_lines, winter=winter)
    give(keeper.animal(where_of(name, folder, now), animal_id, say_to(quiet)), json_to, lines, plain)
