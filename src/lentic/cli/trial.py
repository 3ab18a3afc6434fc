"""The command for one-change trials."""

from __future__ import annotations

import click

from lentic.cli.asking import give, of_a_tank, say_to, where_of


@click.command()
@of_a_tank
@click.option("--propose", "propose", is_flag=True, help="Show a trial without beginning it.")
@click.option("--factor", help="litres, interval_d, ration, plants_g or light_h; without it the plan's first change.")
@click.option("--to", "to", type=float, help="Where the factor is turned.")
@click.option("--begin", "begin", is_flag=True, help="Write it down and begin.")
@click.option("--verdict", "verdict", is_flag=True, help="How the trial stands.")
@click.option("--end", "end", is_flag=True, help="Close it with the verdict as it stands.")
@click.option("--number", type=int, help="Which trial; without it the newest.")
def trial(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    propose: bool,
    factor: str | None,
    to: float | None,
    begin: bool,
    verdict: bool,
    end: bool,
    number: int | None,
) -> None:
    """One change on trial: what it should do, when that shows, and whether it did."""
    from lentic.cli import show, show_trial
    from lentic.keeper import trials
    from lentic.keeper.json_trial import now_json, trial_json

    where, say = where_of(name, folder, now), say_to(quiet)
    if sum((propose, begin, verdict, end)) > 1:
        raise click.UsageError("One thing at a time: --propose, --begin, --verdict or --end.")
    if begin:
        give(trials.begin(where, factor, to, say), json_to, show_trial.now_lines, now_json)
    elif verdict:
        give(trials.verdict(where, number, say), json_to, show_trial.now_lines, now_json)
    elif end:
        give(trials.end(where, number, say), json_to, show_trial.now_lines, now_json)
    elif propose or factor:
        give(trials.propose(where, factor, to, say), json_to, show_trial.trial_lines, trial_json)
    else:
        views = trials.book(where)
        if json_to != "-":
            click.echo(show.lines(show_trial.book_lines(views)))
        if json_to:
            show.write_json({"trials": [now_json(view) for view in views]}, json_to)
