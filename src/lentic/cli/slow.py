"""The commands for heat, level, air and filter."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of


@click.command()
@of_a_tank
@click.option("--coldest", type=float, metavar="C", help="Room on the coldest night, °C.")
@click.option("--price", type=float, help="Price of a kilowatt hour.")
@click.option("--hot-day", "hot", nargs=3, type=float, metavar="NIGHT DAY LIMIT", help="A hot day by the hour, °C.")
def heat(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    coldest: float | None,
    price: float | None,
    hot: tuple[float, float, float] | None,
) -> None:
    """What the tank loses, what heater holds it, a power cut, a hot day, the year's cost."""
    from lentic.cli import show_slow
    from lentic.keeper import slow
    from lentic.keeper.as_json import plain

    answer = slow.heat(where_of(name, folder, now), coldest, price, hot or None, say_to(quiet))
    give(answer, json_to, show_slow.heat_lines, plain)


@click.command()
@of_a_tank
@click.option("--mark-cm", type=float, help="How far the water may fall before the heater shows.")
def level(
    name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool, mark_cm: float | None
) -> None:
    """Evaporation, the day of the heater's mark, what stays behind, lime and how it comes off."""
    from lentic.cli import show_slow
    from lentic.keeper import slow
    from lentic.keeper.as_json import plain

    give(slow.level(where_of(name, folder, now), mark_cm), json_to, show_slow.level_lines, plain)


@click.command()
@of_a_tank
def air(name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool) -> None:
    """Oxygen before dawn, a pump that stops, and signs read rightly."""
    from lentic.cli import show_slow
    from lentic.keeper import slow
    from lentic.keeper.as_json import plain

    give(slow.air(where_of(name, folder, now), say_to(quiet)), json_to, show_slow.air_lines, plain)


@click.command(name="filter")
@of_a_tank
@click.option("--off", "off", type=float, metavar="HOURS", help="It stood still for so long.")
@click.option("--cycling", is_flag=True, help="How a young filter grows in, day by day.")
@click.option("--seeded", default=0.0, show_default=True, help="Share of a full film that seeded media bring.")
def filter_(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    off: float | None,
    cycling: bool,
    seeded: float,
) -> None:
    """What the filter takes, when it is due, what a cleaning or an outage does, how a young one grows in."""
    from lentic.cli import show_slow
    from lentic.keeper import slow
    from lentic.keeper.as_json import plain

    answer = slow.filtering(where_of(name, folder, now), off, cycling, seeded)
    give(answer, json_to, show_slow.filter_lines, plain)
