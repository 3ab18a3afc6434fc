"""The command that plans the weekly work and walks through it."""

from __future__ import annotations

import click

from lentic.cli.asking import CANNOT_SAY, give, of_a_tank, say_to, where_of


@click.command()
@of_a_tank
@click.option("--litres", type=float, help="Change so many litres, instead of what you usually change.")
@click.option("--begin", "begin", is_flag=True, help="Begin a session; its steps are then kept one by one.")
@click.option("--done", "done", metavar="STEP", help="Write down that a step is done.")
@click.option("--value", type=float, help="The number a step takes: grade, grams, litres or degrees.")
@click.option("--skip", "skip", metavar="STEP", help="Leave a step out.")
@click.option("--why", default="", help="Why it is left out.")
@click.option("--take-back", "back", metavar="STEP", help="Take a step back, with what it wrote into the log.")
@click.option("--stop", "stop", is_flag=True, help="Cut the session short; what makes the tank safe stays to be done.")
@click.option("--end", "end", is_flag=True, help="Close the session.")
@click.option("--show", "show_open", is_flag=True, help="Show the session that is open.")
def upkeep(
    name: str | None,
    folder: str | None,
    now: str | None,
    json_to: str | None,
    quiet: bool,
    litres: float | None,
    begin: bool,
    done: str | None,
    value: float | None,
    skip: str | None,
    why: str,
    back: str | None,
    stop: bool,
    end: bool,
    show_open: bool,
) -> None:
    """This week's maintenance in a safe order, litres and grams filled in."""
    from lentic.cli import show, show_upkeep
    from lentic.keeper import upkeep as keeper
    from lentic.keeper.as_json import upkeep_json
    from lentic.keeper.json_upkeep import session_json

    where = where_of(name, folder, now)
    asked = [bool(each) for each in (begin, done, skip, back, stop, end, show_open)]
    if sum(asked) > 1:
        raise click.UsageError("One thing at a time: --begin, --done, --skip, --take-back, --stop, --end or --show.")
    if not any(asked):
        give(keeper.plan(where, litres, say=say_to(quiet)), json_to, show_upkeep.plan_lines, upkeep_json)
        return
    if begin:
        view: keeper.Now | None = keeper.begin(where, litres, say=say_to(quiet))
    elif done:
        view = keeper.done(where, done, value)
    elif skip:
        view = keeper.leave_out(where, skip, why)
    elif back:
        view = keeper.undo(where, back)
    else:
        view = keeper.stop(where) if stop else keeper.end(where) if end else keeper.current(where)
    if view is None:
        raise click.UsageError("No session is open. Begin one with --begin.")
    if json_to != "-":
        click.echo(show.lines(show_upkeep.now_lines(view)))
    if json_to:
        show.write_json(session_json(view), json_to)
    if view.refused:
        raise SystemExit(CANNOT_SAY)
