"""The command that says which test to take next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of

if TYPE_CHECKING:
    from lentic.advice.next_test import NextTests


@click.command(name="test")
@of_a_tank
def next_test(name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool) -> None:
    """Which reading would tell most for the next decision, for its work and price."""
    from lentic.keeper.as_json import plain
    from lentic.keeper.next_test import next_test as keeper

    give(keeper(where_of(name, folder, now), say_to(quiet)), json_to, tests_lines, plain)


def tests_lines(view: NextTests) -> list[str]:
    """Return the tests as text."""
    from lentic.advice.words import number

    found = [view.sentence]
    for place, test in enumerate(view.tests, start=1):
        price = f", about {test.price:.2f} euro" if test.price else ""
        found.append(f"  {place}. {test.what} ({number(test.minutes)} min{price}). {test.why}")
    if view.tests:
        found.append("Minutes and prices are common practice; what is worth little is left out.")
    return found
