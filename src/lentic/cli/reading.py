"""`lentic reading`: what readings mean in this tank."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, where_of


@click.command()
@of_a_tank
@click.argument("text", required=False)
@click.option("--change", metavar="LITRES", help="The change to reckon with, as 40 L or 25 %; else the usual one.")
@click.option("--log", "whole_log", is_flag=True, help="Also name every line of the log that does not fit the others.")
def reading(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    text: str | None,
    change: str | None,
    whole_log: bool,
) -> None:
    """What readings mean here: "no3 40 mg/L NO3; ph 7.8", or the last of the log."""
    from lentic.cli import show_reading
    from lentic.keeper import readings
    from lentic.keeper.as_json import plain

    if name and text is None and (folder or (" " in name and any(sign.isdigit() for sign in name))):
        name, text = None, name
    answer = readings.readings(where_of(name, folder, now), text, change, whole_log)
    give(answer, json_to, show_reading.reading_lines, plain)
