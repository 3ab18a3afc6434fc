"""Serve the pages: on this computer alone, or to paired devices of the network as well."""

from __future__ import annotations

import socket
from collections.abc import Callable

import uvicorn

from lentic.web.app import make_app
from lentic.web.settings import Settings

LOOPBACK = "127.0.0.1"
SHUTDOWN_S = 1
"""An open page must not keep the server from ending. [s]"""


def lan_address() -> str | None:
    """Return this machine's address in its network; nothing is sent to find it out."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            probe.connect(("192.0.2.1", 9))  # an address for documentation (RFC 5737): no packet leaves
        except OSError:
            return None
        address = str(probe.getsockname()[0])
    return None if address.startswith(("127.", "0.")) else address


def config_of(settings: Settings) -> uvicorn.Config:
    """Return how uvicorn serves the application: no forwarded headers are believed, no addresses are logged."""
    return uvicorn.Config(
        make_app(settings), host="0.0.0.0" if settings.lan else LOOPBACK, port=settings.port,
        proxy_headers=False, server_header=False, access_log=False, log_level="warning", lifespan="on",
        timeout_graceful_shutdown=SHUTDOWN_S, timeout_keep_alive=30,
    )  # fmt: skip


def serve(settings: Settings, say: Callable[[str], None]) -> None:
    """Serve until the keeper stops it."""
    server = uvicorn.Server(config_of(settings))
    app = server.config.app
    say(f"The pages are at http://{LOOPBACK}:{settings.port}/ (stop with Ctrl+C).")
    if settings.lan:
        ticket = app.state.tickets.issue(settings.clock())  # type: ignore[union-attr]
        address = f"http://{settings.hosts[0]}:{settings.port}/pair/{ticket}"
        say("Scan this with the telephone, within ten minutes and in the same network:")
        say(code_of(address))
        say(f"or open {address}. More codes are under http://{LOOPBACK}:{settings.port}/devices.")
    server.run()


def code_of(address: str) -> str:
    """Return an address as a QR code for a terminal."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="m").terminal(out, compact=True)
    return out.getvalue()
