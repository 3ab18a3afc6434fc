"""The command for the dates of a tank."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of

if TYPE_CHECKING:
    from lentic.keeper.calendar import Dates


@click.command()
@of_a_tank
@click.option("--ics", "ics", metavar="FILE", help="Also write a calendar (RFC 5545); - for standard output alone.")
def calendar(
    name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool, ics: str | None
) -> None:
    """What is due when, and why; dates move with the forecast."""
    from lentic.keeper.calendar import dates, feed
    from lentic.keeper.json_calendar import dates_json
    from lentic.keeper.opening import NotYet

    where = where_of(name, folder, now)
    found = dates(where, say=say_to(quiet))
    if ics and not isinstance(found, NotYet):
        text = feed(found.view, where.clock)
        try:
            with click.open_file(ics, "wb") as target:
                target.write(text)
        except OSError as error:
            raise click.UsageError(f"{ics} cannot be written: {error.strerror}.") from error
        if ics == "-":
            return
    give(found, json_to, dates_lines, dates_json)


def dates_lines(view: Dates) -> list[str]:
    """Return the dates as text."""
    from lentic.advice.words import day_words

    found = [f"{view.tank}: {len(view.due)} dates."]
    for due in view.due:
        between = f" (8 in 10: {due.range_words})" if due.range_words else ""
        found += [f"  {day_words(due.day):18} {due.what}{between}", f"  {'':18} {due.why}"]
    return found
