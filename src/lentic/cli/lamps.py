"""The command `lentic lamps`."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of


@click.command()
@of_a_tank
def lamps(name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool) -> None:
    """Ultraviolet at the shell, when to replace the lamp, basking place, plant light, dark time."""
    from lentic.cli import show_lamps
    from lentic.keeper import lamps as keeper
    from lentic.keeper.as_json import plain

    give(keeper.lamps(where_of(name, folder, now), say_to(quiet)), json_to, show_lamps.lamps_lines, plain)
