"""The door: who may ask, under which name, with how much, and what every answer carries."""

from __future__ import annotations

import hashlib
import hmac
import ipaddress
import secrets
from collections.abc import Callable, Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qs

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from lentic.keeper.desk import Desk
from lentic.web.settings import Settings

MOST_BYTES = 24 * 1024 * 1024
"""The largest request that is read: one photo of a good camera, or a folder of many years."""
FORM_COOKIE, DEVICE_COOKIE, SAID_COOKIE = "lentic_form", "lentic_device", "lentic_said"
SAFE = frozenset({"GET", "HEAD", "OPTIONS"})
POLICY = (
    "default-src 'self'; script-src 'self'; style-src 'self'; img-src 'self' data:; connect-src 'self'; "
    "object-src 'none'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "x-frame-options": "DENY",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
    "cross-origin-resource-policy": "same-origin",
    "permissions-policy": "geolocation=(), microphone=(), payment=(), usb=()",
}
OPEN_TO_ALL = ("/pair/", "/static/")
"""What a machine that was not let in may ask for: the page that lets it in, and how that page looks."""
CALENDAR_KEY = "calendar_key"
"""The setting that holds what a calendar shows instead of being paired; it opens the dates and nothing else."""
NOT_PAIRED = (
    "This device is not paired. On the computer that runs lentic, open the page 'Devices' and scan the code with "
    "this device.\n"
)


Broken = Callable[[Request, Exception], Response]
"""What is answered when something breaks."""


class TooLargeError(Exception):
    """A request is larger than anything the pages ask for."""


def digest(secret: str) -> str:
    """Return what is kept of a device's secret."""
    return hashlib.sha256(secret.encode()).hexdigest()


def form_token(secret: str, cookie: str) -> str:
    """Return the token that a form of this browser carries."""
    return hmac.new(secret.encode(), b"form:" + cookie.encode(), hashlib.sha256).hexdigest()


def is_loopback(host: str | None) -> bool:
    """Tell whether a peer is this machine."""
    try:
        address = ipaddress.ip_address(host or "")
    except ValueError:
        return False
    mapped = getattr(address, "ipv4_mapped", None)
    return (mapped or address).is_loopback


def host_name(header: str) -> str:
    """Return the name of a Host header, without its port."""
    if header.startswith("["):
        return header.partition("]")[0] + "]"
    return header.partition(":")[0].casefold()


class Door:
    """Stands before the pages; turns away what should not come in, and marks everything that goes out."""

    def __init__(self, app: ASGIApp, settings: Settings, desk: Desk, broken: Broken) -> None:
        self.app, self.settings, self.desk, self.broken = app, settings, desk, broken

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        cookies = cookies_of(headers)
        scope["lentic_form"] = cookies.get(FORM_COOKIE, "")
        fresh = "" if len(scope["lentic_form"]) >= 32 else secrets.token_urlsafe(32)
        scope["lentic_form"] = fresh or scope["lentic_form"]
        refused = self._refused(scope, headers, cookies)

        begun = False

        async def marked(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                out = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    out[name] = value
                if not scope["path"].startswith("/static/"):
                    out.setdefault("cache-control", "no-store")
                    if fresh:
                        out.append("set-cookie", cookie(FORM_COOKIE, fresh))
            await send(message)

        if refused is not None:
            await refused(scope, receive, marked)
            return
        try:
            await self.app(scope, limited(receive), marked)
        except Exception as error:  # whatever broke is told on a page that carries the policy like any other
            if begun:
                raise
            await self.broken(Request(scope), error)(scope, receive, marked)

    def _refused(self, scope: Scope, headers: Headers, cookies: Mapping[str, str]) -> Response | None:
        """Return the answer to what must not come in, or None."""
        if host_name(headers.get("host", "")) not in self.settings.names:
            return PlainTextResponse("This address is not one of this server.\n", status_code=421)
        if scope["method"] not in SAFE and not from_here(headers):
            return PlainTextResponse("This was sent by a page of another site and was not read.\n", status_code=403)
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MOST_BYTES:
            return PlainTextResponse("This is larger than anything this page asks for.\n", status_code=413)
        return None if self._may_come(scope, cookies) else PlainTextResponse(NOT_PAIRED, status_code=403)

    def _may_come(self, scope: Scope, cookies: Mapping[str, str]) -> bool:
        peer = scope.get("client")
        scope["lentic_here"] = is_loopback(peer[0] if peer else None)
        if scope["lentic_here"]:
            return True
        if not self.settings.lan:
            return False
        secret = cookies.get(DEVICE_COOKIE, "")
        device = self.desk.store.device(digest(secret)) if secret else None
        if device is not None:
            now = self.desk.now()
            if (now - device.seen).total_seconds() > 60.0:
                self.desk.store.seen(device.id, now)
            return True
        return str(scope["path"]).startswith(OPEN_TO_ALL) or self._keyed(scope)

    def _keyed(self, scope: Scope) -> bool:
        """Tell whether a calendar asks for the dates with the household's key."""
        path = str(scope["path"])
        if not (path.startswith("/calendar/") and path.endswith(".ics") and scope["method"] in SAFE):
            return False
        shown = parse_qs(scope.get("query_string", b"").decode("latin-1")).get("key", [""])[0]
        key = self.desk.store.settings().get(CALENDAR_KEY, "")
        return bool(key) and hmac.compare_digest(shown.encode(), key.encode())


def from_here(headers: Headers) -> bool:
    """Tell whether a request that changes something comes from a page of this server, or from no page at all."""
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = headers.get("origin")
    if origin is None:
        return True
    return origin.partition("://")[2] == headers.get("host", "")


def cookies_of(headers: Headers) -> dict[str, str]:
    """Return the cookies of a request; what is no cookie is left aside."""
    jar: SimpleCookie = SimpleCookie()
    try:
        jar.load(headers.get("cookie", ""))
    except CookieError:
        return {}
    return {name: morsel.value for name, morsel in jar.items()}


def cookie(name: str, value: str, seconds: int | None = None) -> str:
    """Return a Set-Cookie header that no script can read and no other site can use."""
    age = "" if seconds is None else f"; Max-Age={seconds}"
    return f"{name}={value}; Path=/; HttpOnly; SameSite=Strict{age}"


def limited(receive: Receive) -> Receive:
    """Count what comes in and stop at the largest size that is read, whatever the headers said."""
    count = 0

    async def counted() -> Message:
        nonlocal count
        message = await receive()
        count += len(message.get("body", b""))
        if count > MOST_BYTES:
            raise TooLargeError
        return message

    return counted
