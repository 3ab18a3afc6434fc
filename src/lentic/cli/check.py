"""`lentic check`: what is dangerous in a tank, or in something about to be bought, dosed, fed, planted or done."""

from __future__ import annotations

import click

from lentic.cli.asking import CANNOT_SAY, give, of_a_tank, where_of


@click.command()
@of_a_tank
@click.argument("things", nargs=-1, metavar="[THING]...")
@click.option(
    "--fact", "facts", metavar="NAME=VALUE", multiple=True, help="An answer to a question; as often as needed."
)
@click.option("--keep", is_flag=True, help="Keep the answers that last in the description of the tank.")
def check(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    things: tuple[str, ...],
    facts: tuple[str, ...],
    keep: bool,
) -> None:
    """What is dangerous here, or in a THING about to be bought, dosed, fed, planted or done."""
    from lentic.cli import show_check
    from lentic.keeper import check as checking
    from lentic.keeper.as_json import check_json
    from lentic.keeper.opening import NotYet

    if folder and name:
        things, name = (name, *things), None
    where = where_of(name, folder, now)
    if keep:
        _, passing = checking.keep(where, facts)
        if passing and not quiet:
            click.echo(f"Not kept, for it changes by the day or is of this thing only: {', '.join(passing)}.", err=True)
    answer = checking.check(where, things, facts)
    give(answer, json_to, show_check.check_lines, check_json)
    if not isinstance(answer, NotYet) and answer.view.stopped:
        raise SystemExit(CANNOT_SAY)
