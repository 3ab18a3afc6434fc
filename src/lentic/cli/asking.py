"""What every command shares: the arguments that name a tank, and showing an answer with its exit status.

Nothing heavy is imported before a command runs, so that help is immediate.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from lentic.keeper.answers import Answer
    from lentic.keeper.opening import NotYet, Where

F = TypeVar("F", bound=Callable[..., Any])
V = TypeVar("V")

ANSWERED, CANNOT_SAY, WRONG_USE = 0, 1, 2


def of_a_tank(function: F) -> F:
    """Add the arguments that every question about one tank takes."""
    for add in (
        click.option("--quiet", is_flag=True, help="No progress on standard error."),
        click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone."),
        click.option("--now", "now", metavar="TIME", help="The moment that counts as now, such as 2026-05-01T08:00."),
        click.option("--folder", "folder", metavar="DIR", help="Work on a folder with tank.toml and log.csv."),
        click.argument("name", required=False),
    ):
        function = add(function)
    return function


def where_of(name: str | None, folder: str | None, now: str | None) -> Where:
    """Return which tank is meant; the clock is read here and nowhere deeper."""
    from datetime import UTC, datetime
    from pathlib import Path

    from lentic.keeper.opening import Where

    if name and folder:
        raise click.UsageError("Give a name or --folder, not both.")
    clock = datetime.now(UTC)
    return Where(name=name, folder=Path(folder) if folder else None, now_text=now, clock=clock)


def say_to(quiet: bool) -> Callable[[str], None] | None:
    """Return what tells the keeper of long work."""
    return None if quiet else lambda text: click.echo(text, err=True)


def give(
    answer: Answer[V] | NotYet,
    json_to: str | None,
    as_lines: Callable[[V], list[str]],
    as_json: Callable[[V], Mapping[str, Any]],
) -> None:
    """Show an answer as text and JSON and leave with its exit status."""
    from lentic.cli import show
    from lentic.keeper.as_json import not_yet_json
    from lentic.keeper.opening import NotYet

    content: Mapping[str, Any]
    if isinstance(answer, NotYet):
        text, content, said = show.not_yet_lines(answer), not_yet_json(answer), False
    else:
        text, content, said = [*as_lines(answer.view), *_cautions(answer)], as_json(answer.view), True
    problems = show.problem_lines(answer.problems)
    if json_to == "-":
        click.echo(show.lines(problems), err=True, nl=bool(problems))
    else:
        click.echo(show.lines(text, problems))
    if json_to:
        show.write_json(content, json_to)
    worth_saying = [p for p in answer.problems if p.severity != "note"]
    if not said or worth_saying:
        raise SystemExit(CANNOT_SAY)


def _cautions(answer: Answer[V]) -> list[str]:
    return ["", *answer.cautions] if answer.cautions else []
