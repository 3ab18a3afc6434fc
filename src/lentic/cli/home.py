"""The command `lentic home`."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of

if TYPE_CHECKING:
    from datetime import date

    from lentic.advice.home import Offer


@click.command()
@of_a_tank
@click.option("--offer", metavar="LxWxH", help="Judge an offered tank instead: outer sides in cm, such as 150x60x60.")
@click.option("--pane-mm", type=float, help="Thickness of its panes.")
@click.option("--depth", type=float, help="Depth of water wanted in it, cm.")
@click.option("--acrylic", is_flag=True, help="Its panes are acrylic.")
@click.option("--braced/--unbraced", default=None, help="Whether a rim or brace holds its upper edge.")
@click.option("--move", metavar="DAY", help="Also the plan of moving house on that day, such as 2026-09-01.")
@click.option("--reseal", metavar="DAY", help="Also the plan of resealing from that day on.")
def home(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    offer: str | None,
    pane_mm: float | None,
    depth: float | None,
    acrylic: bool,
    braced: bool | None,
    move: str | None,
    reseal: str | None,
) -> None:
    """Is the home large, strong and safe enough: room, panes, floor, traps, sockets; moving and resealing."""
    from lentic.cli import show_home
    from lentic.keeper import home as keeper
    from lentic.keeper.as_json import plain

    chosen = _offer(offer, pane_mm, depth, acrylic, braced)
    answer = keeper.home(where_of(name, folder, now), chosen, _day(move), _day(reseal), say_to(quiet))
    give(answer, json_to, show_home.home_lines, plain)


def _offer(
    sides: str | None, pane_mm: float | None, depth: float | None, acrylic: bool, braced: bool | None
) -> Offer | None:
    from lentic.advice.home import Offer

    if sides is None:
        return None
    found = re.fullmatch(r"\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*", sides.casefold())
    if found is None or pane_mm is None or depth is None:
        raise click.UsageError("Give an offered tank as --offer 150x60x60 --pane-mm 10 --depth 50.")
    length, width, height = (float(each) for each in found.groups())
    if min(length, width, height, pane_mm, depth) <= 0 or 0.2 * pane_mm >= min(length, width, height):
        raise click.UsageError("The sides, the pane and the depth must be more than nothing.")
    if depth > height:
        raise click.UsageError(f"{depth:g} cm of water do not fit into {height:g} cm.")
    return Offer(
        length_cm=length, width_cm=width, height_cm=height, pane_mm=pane_mm, depth_cm=depth,
        pane="acrylic" if acrylic else "glass", braced=braced,
    )  # fmt: skip


def _day(text: str | None) -> date | None:
    from datetime import date

    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise click.UsageError(f"{text!r} is not a day; write it like 2026-09-01.") from None
