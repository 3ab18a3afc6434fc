"""The command that says where a number comes from."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of


@click.command()
@of_a_tank
@click.option("--of", "of", required=True, metavar="ID", help="Such as flow.N.food.8, day.nitrate.2026-05-01.")
def number(name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool, of: str) -> None:
    """How do we know this: the log behind a number, its sum in plain steps, what would change it."""
    from lentic.cli.show_number import number_lines
    from lentic.keeper.json_number import number_json
    from lentic.keeper.number import number as source_of

    give(source_of(where_of(name, folder, now), of, say_to(quiet)), json_to, number_lines, number_json)
