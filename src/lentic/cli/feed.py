"""The command that says what to feed."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, where_of


@click.command()
@of_a_tank
@click.option("--weeks", default=4.0, show_default=True, help="How many last weeks of the log the menu covers.")
@click.option("--food", "foods", metavar="FOOD", multiple=True, help="A further food to weigh against the others.")
@click.option("--mix", "mixes", metavar="FOODS", multiple=True, help='Shares of the energy: "dandelion 80, pellet 20".')
@click.option("--nitrate", type=float, help="Nitrate to hold, mg/L as NO3; else the upper end of good in this tank.")
def feed(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    weeks: float,
    foods: tuple[str, ...],
    mixes: tuple[str, ...],
    nitrate: float | None,
) -> None:
    """What to feed: grams for this animal, the menu summed, and what each food does to the water."""
    from lentic.cli import show_feed
    from lentic.keeper import food
    from lentic.keeper.json_feed import feed_json

    answer = food.feed(where_of(name, folder, now), weeks, foods, nitrate, mixes)
    give(answer, json_to, show_feed.feed_lines, feed_json)
