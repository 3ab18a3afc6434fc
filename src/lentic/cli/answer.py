"""`lentic answer`: a stranger asks."""

from __future__ import annotations

import click

from lentic.cli.asking import give


@click.command()
@click.argument("question")
@click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone.")
def answer(question: str, json_to: str | None) -> None:
    """What can be said to a stranger with few facts: what holds anyway, what only there, what to ask first."""
    from lentic.cli import show_answer
    from lentic.keeper import stranger
    from lentic.keeper.as_json import plain

    give(stranger.answer(question), json_to, show_answer.answer_lines, plain)
