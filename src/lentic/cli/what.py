"""The command that shows a record of the catalogue."""

from __future__ import annotations

import click

from lentic.cli.asking import CANNOT_SAY, where_of


@click.command()
@click.argument("name", nargs=-1, required=True)
@click.option("--kind", "kinds", metavar="KIND", multiple=True, help="Look only among turtle, plant, food and so on.")
@click.option("--folder", "folder", metavar="DIR", help="Show this tank's own values where it has some.")
@click.option("--tank", "tank", metavar="NAME", help="The same for a tank in the store.")
@click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone.")
def what(
    name: tuple[str, ...], kinds: tuple[str, ...], folder: str | None, tank: str | None, json_to: str | None
) -> None:
    """What the catalogue says of an animal, plant, food, medium, lamp or conditioner: unit, range, source and how."""
    from lentic.advice.record import Card
    from lentic.catalogue.names import ALL_KINDS
    from lentic.cli import show, show_what
    from lentic.keeper import whatis
    from lentic.keeper.json_what import what_json

    where = where_of(tank, folder, None) if tank or folder else None
    found = whatis.what(" ".join(name), kinds or ALL_KINDS, where)
    lines = show_what.card_lines(found) if isinstance(found, Card) else show_what.open_lines(found)
    if json_to != "-":
        click.echo(show.lines(lines))
    if json_to:
        show.write_json(what_json(found), json_to)
    if not isinstance(found, Card):
        raise SystemExit(CANNOT_SAY)
