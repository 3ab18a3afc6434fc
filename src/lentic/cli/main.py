"""The commands; each reads its arguments, asks one keeper function and shows the answer.

Nothing heavy is imported before a command runs, so that help is immediate.
"""

from __future__ import annotations

from typing import Any

import click

from lentic.cli.animal import animal
from lentic.cli.answer import answer
from lentic.cli.asking import CANNOT_SAY, give, of_a_tank, say_to, where_of
from lentic.cli.calendar import calendar
from lentic.cli.card import card
from lentic.cli.check import check
from lentic.cli.feed import feed
from lentic.cli.fits import fits
from lentic.cli.home import home
from lentic.cli.lamps import lamps
from lentic.cli.next_test import next_test
from lentic.cli.number import number
from lentic.cli.reading import reading
from lentic.cli.rounds import rounds
from lentic.cli.serve import serve
from lentic.cli.slow import air, filter_, heat, level
from lentic.cli.sum import sum_
from lentic.cli.tap import tap
from lentic.cli.trial import trial
from lentic.cli.upkeep import upkeep
from lentic.cli.what import what


class Commands(click.Group):
    """Turns what the package complains about into a sentence and the exit status of wrong use."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command that was named."""
        from lentic import LenticError

        try:
            return super().invoke(ctx)
        except LenticError as error:
            raise click.UsageError(str(error)) from error


@click.group(cls=Commands, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(package_name="lentic", prog_name="lentic")
def cli() -> None:
    """The balance of one freshwater turtle tank, learned from the keeper's own notes."""


def _weeks(text: str) -> int | None:
    if text == "all":
        return None
    try:
        return int(text)
    except ValueError:
        raise click.UsageError(f"--weeks takes a number or all, not {text!r}.") from None


@cli.command()
@of_a_tank
@click.option("--weeks", default="8", show_default=True, help="How many last weeks of the log, or all.")
def balance(
    name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool, weeks: str
) -> None:
    """Where nitrogen and phosphorus come from and go, mg a week with range."""
    from lentic.cli import show
    from lentic.keeper import answers, as_json

    answer = answers.balance(where_of(name, folder, now), _weeks(weeks), say_to(quiet))
    give(answer, json_to, show.balance_lines, as_json.balance_json)


@cli.command()
@of_a_tank
@click.option("--days", default=56, show_default=True, help="How far ahead.")
@click.option("--plan", "plan", metavar="FILE", help="What is meant to happen, instead of the routine of the log.")
def forecast(
    name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool, days: int, plan: str | None
) -> None:
    """Readings to come, the next scraping, and days until a limit."""
    from pathlib import Path

    from lentic.cli import show
    from lentic.keeper import answers, as_json

    chosen = Path(plan) if plan else None
    answer = answers.forecast(where_of(name, folder, now), days, chosen, say_to(quiet))
    give(answer, json_to, show.forecast_lines, as_json.forecast_json)


@cli.command()
@of_a_tank
@click.option("--days", default=56, show_default=True, help="How far ahead.")
@click.option("--plan", "plans", metavar="FILE", multiple=True, required=True, help="Twice; once: against the routine.")
def compare(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    days: int,
    plans: tuple[str, ...],
) -> None:
    """The difference two plans make, on the same possible tanks."""
    from pathlib import Path

    from lentic.cli import show
    from lentic.keeper import answers, as_json

    chosen = [Path(plan) for plan in plans]
    answer = answers.compare(where_of(name, folder, now), chosen, days, say_to(quiet))
    give(answer, json_to, show.compare_lines, as_json.compare_json)


@cli.command()
@of_a_tank
@click.option("--of", "of", default="algae", show_default=True, help="algae, ammonia, kh, nitrate or cloudy.")
def causes(name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool, of: str) -> None:
    """What feeds the algae, or another trouble: ranked, for, against, cheapest next test."""
    from lentic.cli import show
    from lentic.keeper import as_json, reasons

    answer = reasons.causes(where_of(name, folder, now), of, say_to(quiet))
    give(answer, json_to, show.causes_lines, as_json.causes_json)


@cli.command()
@of_a_tank
@click.option("--days", default=56, show_default=True, help="How far ahead.")
@click.option("--plan", "plan_file", metavar="FILE", help="What is meant to happen anyway.")
@click.option("--nitrate", type=float, help="Nitrate you want at most, mg/L NO3.")
@click.option("--scrape-every", type=float, help="Days you want between scrapings of the panes.")
@click.option("--minutes", type=float, help="Minutes you have a week for water and panes.")
@click.option("--buckets", type=float, help="Buckets of 10 L you carry at a time.")
def plan(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    days: int,
    plan_file: str | None,
    nitrate: float | None,
    scrape_every: float | None,
    minutes: float | None,
    buckets: float | None,
) -> None:
    """The one change of routine worth making first."""
    from pathlib import Path

    from lentic.advice.routine import Wishes
    from lentic.cli import show
    from lentic.keeper import as_json, doing

    wishes = Wishes(nitrate_mg_l=nitrate, scrape_every_d=scrape_every, minutes_a_week=minutes, buckets=buckets)
    chosen = Path(plan_file) if plan_file else None
    answer = doing.plan(where_of(name, folder, now), days, chosen, wishes, say_to(quiet))
    give(answer, json_to, show.plan_lines, as_json.plan_json)


@cli.command(name="now")
@of_a_tank
def now_(name: str | None, folder: str | None, now: str | None, json_to: str | None, quiet: bool) -> None:
    """What needs doing today, why, and what can wait."""
    from lentic.cli import show
    from lentic.keeper import as_json, doing

    give(doing.now(where_of(name, folder, now), say_to(quiet)), json_to, show.now_lines, as_json.now_json)


@cli.command(name="log")
@click.argument("name")
@click.argument("text")
@click.option("--now", "now", metavar="TIME", help="When it happened, unless the line says so.")
def log_(name: str, text: str, now: str | None) -> None:
    """Write a line such as "fed 1.4 pellet; no3 40; changed 36 L" into the log of a tank."""
    from lentic.cli import show
    from lentic.keeper import logbook

    done = logbook.log(where_of(name, None, now), text)
    found = (
        [f"Logged for {done.tank}:", *(f"  {each}" for each in done.added)] if done.added else ["Nothing was logged."]
    )
    found += [f"Not logged, a question first: {each}" for each in done.questions]
    click.echo(show.lines(found, show.problem_lines(done.problems)))
    if done.questions or any(p.severity != "note" for p in done.problems):
        raise SystemExit(CANNOT_SAY)


@cli.command(name="import")
@click.argument("folder", metavar="DIR")
def import_(folder: str) -> None:
    """Bring a folder with tank.toml and log.csv into the store."""
    from datetime import UTC, datetime
    from pathlib import Path

    from lentic.cli import show
    from lentic.keeper import logbook

    done = logbook.import_folder(Path(folder), datetime.now(UTC))
    result = done.result
    found = [f"{done.tank}: {result.added} lines added, {result.already} were there already."]
    if result.refused:
        found.append(f"{result.refused} lines could not be read; they are kept as they were written.")
    click.echo(show.lines(found, show.problem_lines(done.problems)))
    if any(p.severity != "note" for p in done.problems):
        raise SystemExit(CANNOT_SAY)


@cli.command()
@click.argument("name")
@click.argument("folder", metavar="DIR")
def export(name: str, folder: str) -> None:
    """Write a tank of the store as a folder."""
    from pathlib import Path

    from lentic.keeper import logbook

    click.echo(f"{logbook.export(name, Path(folder))} lines written to {folder}.")


cli.add_command(animal)
cli.add_command(answer)
cli.add_command(home)
cli.add_command(lamps)
cli.add_command(calendar)
cli.add_command(card)
cli.add_command(check)
cli.add_command(rounds)
cli.add_command(next_test)
cli.add_command(number)
cli.add_command(reading)
cli.add_command(feed)
cli.add_command(fits)
cli.add_command(serve)
cli.add_command(sum_)
cli.add_command(tap)
cli.add_command(air)
cli.add_command(filter_)
cli.add_command(heat)
cli.add_command(level)
cli.add_command(trial)
cli.add_command(upkeep)
cli.add_command(what)


if __name__ == "__main__":
    cli()
