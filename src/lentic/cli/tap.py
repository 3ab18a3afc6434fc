"""`lentic tap`: a water report as a tap card."""

from __future__ import annotations

import click

from lentic.cli.asking import give, where_of


@click.command()
@click.argument("report", metavar="FILE|-")
@click.argument("name", required=False)
@click.option("--folder", "folder", metavar="DIR", help="Compare with the tap of this tank's folder.")
@click.option("--json", "json_to", metavar="FILE", help="Also write JSON there; - for standard output alone.")
def tap(report: str, name: str | None, folder: str | None, json_to: str | None) -> None:
    """A supplier's water report, a text file or pasted with -, as a card of your tap."""
    import sys
    from pathlib import Path

    from lentic.cli import show_tap
    from lentic.keeper import tap as taps
    from lentic.keeper.as_json import plain

    try:
        text = sys.stdin.read() if report == "-" else Path(report).read_text(encoding="utf-8-sig", errors="replace")
    except OSError as error:
        raise click.UsageError(f"{report} cannot be read: {error.strerror}.") from error
    where = where_of(name, folder, None) if name or folder else None
    give(taps.tap(text, where), json_to, show_tap.tap_lines, plain)
