"""`lentic rounds`: the round of the day through all tanks of the store."""

from __future__ import annotations

import click

from lentic.cli.asking import give, where_of


@click.command()
@click.option("--quarantine", multiple=True, metavar="NAME", help="A tank in quarantine; as often as needed.")
@click.option("--sick", multiple=True, metavar="NAME", help="A tank with a sick animal; as often as needed.")
@click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone.")
@click.option("--now", "now", metavar="TIME", help="The moment that counts as now, such as 2026-05-01T08:00.")
def rounds(quarantine: tuple[str, ...], sick: tuple[str, ...], json_to: str | None, now: str | None) -> None:
    """A round through all tanks: what to test first, the order, litres, conditioner, what to hand over."""
    from lentic.cli import show_rounds
    from lentic.keeper import rounds as asking
    from lentic.keeper.json_rounds import rounds_json

    give(asking.rounds(where_of(None, None, now), quarantine, sick), json_to, show_rounds.rounds_lines, rounds_json)
