"""`lentic sum`: a published relation as a hand sum, and the index of all of them."""

from __future__ import annotations

import click


@click.command(name="sum")
@click.argument("relation", required=False)
@click.argument("inputs", nargs=-1, metavar="[KEY=VALUE]...")
@click.option("--list", "listing", is_flag=True, help="Name every relation; with a word, those that speak of it.")
@click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone.")
def sum_(relation: str | None, inputs: tuple[str, ...], listing: bool, json_to: str | None) -> None:
    """One published relation as a hand sum, step by step; inputs may carry a unit, as temperature=77°F."""
    from lentic.cli import show, show_sum
    from lentic.keeper import as_json, sums

    if listing:
        click.echo(
            show.lines(show_sum.index_lines(sums.found_by(" ".join(part for part in (relation, *inputs) if part))))
        )
        return
    if relation is None:
        raise click.UsageError("Name a relation, or use --list.")
    pairs = [text.partition("=") for text in inputs]
    for key, sign, value in pairs:
        if not (key and sign and value):
            raise click.UsageError(f"Write inputs as key=value, such as temperature=25; not {key!r}.")
    if not pairs and sums.find(relation).arguments[0].default is None:
        click.echo(show.lines(show_sum.relation_lines(sums.find(relation))))
        return
    found = sums.sum_of(relation, {key.strip(): value.strip() for key, _, value in pairs})
    if json_to != "-":
        click.echo(show.lines(show_sum.sum_lines(found)))
    if json_to:
        show.write_json(as_json.sum_json(found), json_to)
