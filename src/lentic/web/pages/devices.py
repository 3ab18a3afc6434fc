"""Devices: let a telephone in by a code, see which were let in, end any of them."""

from __future__ import annotations

import io
import secrets
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response
from starlette.exceptions import HTTPException

from lentic.web.door import DEVICE_COOKIE, cookie, digest
from lentic.web.forms import FormError, Posted
from lentic.web.pairing import Tickets
from lentic.web.render import desk_of, done, page, settings_of

router = APIRouter()
YEAR_S = 365 * 24 * 3600


@dataclass(frozen=True, kw_only=True)
class Invitation:
    """An address that lets one device in, and the ticket in it."""

    ticket: str
    address: str


def tickets_of(request: Request) -> Tickets:
    """Return the tickets of the server."""
    tickets: Tickets = request.app.state.tickets
    return tickets


def only_here(request: Request) -> None:
    """Turn away whoever does not sit at the machine itself."""
    if not request.scope.get("lentic_here"):
        raise HTTPException(status_code=403, detail="Devices are managed on the computer that runs lentic")


@router.get("/devices")
def show(request: Request) -> Response:
    """List the devices that were let in."""
    only_here(request)
    lan = settings_of(request).lan
    devices = desk_of(request).store.devices()
    return page(request, "devices.html", title="Devices", devices=devices, lan=lan, invitation=None)


@router.post("/devices/invite")
def invite(request: Request, form: Posted) -> Response:
    """Show a code that lets one device in."""
    only_here(request)
    settings, desk = settings_of(request), desk_of(request)
    if not settings.lan or not settings.hosts:
        raise FormError("Start lentic with: lentic serve --lan. Until then it listens to this computer alone.")
    ticket = tickets_of(request).issue(desk.now())
    address = f"http://{settings.hosts[0]}:{settings.port}/pair/{ticket}"
    return page(
        request, "devices.html", title="Devices", devices=desk.store.devices(), lan=True,
        invitation=Invitation(ticket=ticket, address=address),
    )  # fmt: skip


@router.get("/devices/code/{ticket}.svg")
def code(request: Request, ticket: str) -> Response:
    """Return the code of an invitation as a picture."""
    only_here(request)
    settings = settings_of(request)
    if not settings.hosts or not tickets_of(request).holds(ticket, desk_of(request).now()):
        raise HTTPException(status_code=404)
    return Response(qr_svg(f"http://{settings.hosts[0]}:{settings.port}/pair/{ticket}"), media_type="image/svg+xml")


def qr_svg(address: str) -> bytes:
    """Return an address as a QR code (ISO/IEC 18004), dark on light in every theme."""
    import segno

    out = io.BytesIO()
    segno.make(address, error="m").save(out, kind="svg", scale=6, border=4, light="#ffffff", dark="#000000")
    return out.getvalue()


@router.post("/devices/{number}/end")
def end(request: Request, number: int, form: Posted) -> Response:
    """Let a device in no more."""
    only_here(request)
    desk = desk_of(request)
    desk.store.unpair(number, desk.now())
    return done(request, "/devices", "Ended. That device has to be let in anew.")


@router.get("/pair/{ticket}")
def ask(request: Request, ticket: str) -> Response:
    """Ask on the device itself whether it is to come in."""
    if not tickets_of(request).holds(ticket, desk_of(request).now()):
        return page_of_pairing(request, ticket, held=False)
    return page_of_pairing(request, ticket, held=True)


@router.post("/pair/{ticket}")
def pair(request: Request, ticket: str, form: Posted) -> Response:
    """Let a device in, once for each ticket."""
    desk = desk_of(request)
    if not tickets_of(request).use(ticket, desk.now()):
        return page_of_pairing(request, ticket, held=False)
    secret = secrets.token_urlsafe(32)
    desk.store.pair(form.text("name")[:60] or "Telephone", digest(secret), desk.now())
    response = done(request, "/", "This device is let in.")
    response.headers.append("set-cookie", cookie(DEVICE_COOKIE, secret, YEAR_S))
    return response


def page_of_pairing(request: Request, ticket: str, held: bool) -> Response:
    """Return the plain page that lets a device in; it tells nothing about any tank."""
    from lentic.web.door import form_token
    from lentic.web.render import ENVIRONMENT

    token = form_token(request.app.state.secret, request.scope.get("lentic_form", ""))
    text = ENVIRONMENT.get_template("pair.html").render(ticket=ticket, held=held, token=token)
    return Response(text, media_type="text/html", status_code=200 if held else 403)
