"""lentic serve: the pages on this computer, and on paired telephones if so wished."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

import click

DEFAULT_PORT = 8420


@click.command()
@click.option("--port", default=DEFAULT_PORT, show_default=True, type=click.IntRange(1, 65535), help="Where to listen.")
@click.option("--lan", is_flag=True, help="Let paired devices of the same network in; shows a code for the first.")
@click.option("--now", "now", metavar="TIME", help="The moment that counts as now when it starts; the clock goes on.")
def serve(port: int, lan: bool, now: str | None) -> None:
    """The same answers as pages, at http://127.0.0.1:8420/."""
    from lentic.keeper.opening import home_folder
    from lentic.web.server import lan_address, serve
    from lentic.web.settings import Settings

    hosts: tuple[str, ...] = ()
    if lan:
        address = lan_address()
        if address is None:
            raise click.UsageError("This computer is in no network, so no telephone can reach it. Leave out --lan.")
        hosts = (address,)
    settings = Settings(home=home_folder(), clock=_clock(now), lan=lan, hosts=hosts, port=port)
    try:
        serve(settings, lambda text: click.echo(text, err=True))
    except SystemExit as error:
        raise click.UsageError(f"Port {port} cannot be used; another program may have it. Try --port.") from error


def _clock(now: str | None) -> Callable[[], datetime]:
    """Return the clock of the pages: the wall's, or one that was put to a moment and goes on from there."""
    if now is None:
        return lambda: datetime.now(UTC)
    try:
        moment = datetime.fromisoformat(now)
    except ValueError:
        raise click.UsageError(f"{now!r} is not a time; write it like 2026-05-01T08:00.") from None
    ahead = moment.astimezone(UTC) - datetime.now(UTC)
    return lambda: datetime.now(UTC) + ahead
