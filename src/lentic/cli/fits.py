"""The command that says whether an animal or a plant would live here."""

from __future__ import annotations

import click

from lentic.cli.asking import CANNOT_SAY, give, where_of


@click.command()
@click.argument("thing", nargs=-1)
@click.option("--size", type=float, metavar="CM", help="Its length now; without it the adult length is taken.")
@click.option("--grams", type=float, metavar="G", help="Wet mass of a plant; without it what grows here.")
@click.option("--tank", "tank", metavar="NAME", help="A tank in the store; with only one its name may be left out.")
@click.option("--folder", "folder", metavar="DIR", help="Work on a folder with tank.toml and log.csv.")
@click.option("--now", "now", metavar="TIME", help="The moment that counts as now, such as 2026-05-01T08:00.")
@click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone.")
def fits(
    thing: tuple[str, ...],
    size: float | None,
    grams: float | None,
    tank: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
) -> None:
    """Would this fish, snail, shrimp, turtle or plant work here: THING [COUNT]; without a thing, which would."""
    from lentic.cli import show_fits
    from lentic.keeper import company
    from lentic.keeper.as_json import plain
    from lentic.keeper.json_fits import newcomer_json
    from lentic.keeper.opening import NotYet

    where = where_of(tank, folder, now)
    if not thing:
        give(company.company(where), json_to, show_fits.survey_lines, plain)
        return
    name, count = company.parted(thing)
    answer = company.fits(where, name, count, size, grams)
    give(answer, json_to, show_fits.newcomer_lines, newcomer_json)
    if not isinstance(answer, NotYet) and answer.view.danger.stopped:
        raise SystemExit(CANNOT_SAY)
