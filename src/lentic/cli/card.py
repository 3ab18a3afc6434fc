"""The command for cards to hand to someone."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from lentic.cli.asking import CANNOT_SAY, of_a_tank, say_to, where_of

if TYPE_CHECKING:
    from lentic.keeper.answers import Answer
    from lentic.keeper.opening import NotYet, Where
    from lentic.paper.render import Card


@click.command()
@click.argument("kind", type=click.Choice(["sitter", "emergency", "vet", "tank"]))
@of_a_tank
@click.option("--days", default=10, show_default=True, help="How long you are away (sitter).")
@click.option("--from", "first", metavar="DATE", help="The first day away; tomorrow if not given (sitter).")
@click.option("--every", default=3, show_default=True, help="A visit every so many days (sitter).")
@click.option("--only", metavar="CARD", help="One emergency alone, such as power_cut.")
@click.option(
    "--note", "notes", multiple=True, metavar="KEY=TEXT", help="keeper, keeper_phone, vet, doctor, switch, ..."
)
@click.option("--html", "html", metavar="FILE", help="Write the card as one file that needs nothing else.")
@click.option("--pdf", "pdf", metavar="FILE", help="Write the card as PDF.")
def card(
    kind: str,
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    days: int,
    first: str | None,
    every: int,
    only: str | None,
    notes: tuple[str, ...],
    html: str | None,
    pdf: str | None,
) -> None:
    """One A4 page to hand to someone: sitter, emergency, vet, tank."""
    from datetime import date

    from lentic.cli import show, show_card
    from lentic.keeper.json_cards import card_json
    from lentic.keeper.opening import NotYet

    where = where_of(name, folder, now)
    people = dict(_pair(text) for text in notes)
    try:
        day = date.fromisoformat(first) if first else None
    except ValueError:
        raise click.UsageError(f"--from takes a date such as 2026-05-22, not {first!r}.") from None
    found = _found(kind, where, people, only, (days, day, every), quiet)
    if isinstance(found, NotYet):
        click.echo(show.lines(show.not_yet_lines(found)))
        raise SystemExit(CANNOT_SAY)
    if html:
        _write(html, show_card.html_of(found.view).encode("utf-8"))
    if pdf:
        _print(pdf, found.view)
    if json_to != "-" and "-" not in (html, pdf):
        click.echo(show.lines(show_card.card_lines(found.view)))
    if json_to:
        show.write_json(card_json(found.view), json_to)
    if not show_card.may_go(found.view):
        raise SystemExit(CANNOT_SAY)


def _found(
    kind: str, where: Where, people: dict[str, str], only: str | None, trip: tuple[int, object, int], quiet: bool
) -> Answer[Card] | NotYet:
    from typing import Any, cast

    from lentic.keeper import cards

    asks: dict[str, Any] = {
        "emergency": lambda: cards.emergency(where, only, people),
        "vet": lambda: cards.vet(where, people),
        "tank": lambda: cards.tank(where, say_to(quiet)),
        "sitter": lambda: cards.sitter(where, trip[0], cast("Any", trip[1]), trip[2], people, say_to(quiet)),
    }
    return cast("Answer[Card] | NotYet", asks[kind]())


def _pair(text: str) -> tuple[str, str]:
    key, sign, value = text.partition("=")
    if not (key and sign and value):
        raise click.UsageError(f"Write notes as key=text, such as vet='Dr Osk, 0555 01 88 05'; not {text!r}.")
    return key.strip(), value.strip()


def _write(target: str, content: bytes) -> None:
    try:
        with click.open_file(target, "wb") as file:
            file.write(content)
    except OSError as error:
        raise click.UsageError(f"{target} cannot be written: {error.strerror}.") from error


def _print(target: str, view: Card) -> None:
    from lentic.paper.pdf import fitted

    content, left_out = fitted(view)
    _write(target, content)
    if left_out:
        click.echo(f"To keep to its page the card leaves out: {', '.join(left_out)}.", err=True)
