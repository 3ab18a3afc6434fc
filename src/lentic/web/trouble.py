"""What a page says when something cannot be done: what was tried, that the log is untouched, what to do."""

from __future__ import annotations

import logging
from http import HTTPStatus

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, PlainTextResponse, Response

from lentic import LenticError
from lentic.web.door import TooLargeError
from lentic.web.forms import StrangerError
from lentic.web.render import page

LOG = logging.getLogger("lentic.web")
API = "/api/"


def add_to(app: FastAPI) -> None:
    """Have every kind of trouble answered with a page, or with JSON where a script asked."""
    app.add_exception_handler(LenticError, _refused)
    app.add_exception_handler(RequestValidationError, _not_understood)
    app.add_exception_handler(HTTPException, _http)
    app.add_exception_handler(TooLargeError, _too_large)


def _shown(request: Request, status: int, title: str, sentence: str) -> Response:
    if request.url.path.startswith(API):
        return JSONResponse({"outcome": sentence}, status_code=status)
    return page(
        request, "trouble.html", title=title, status=status, sentence=sentence, doing=_doing(request),
        broke=status >= HTTPStatus.INTERNAL_SERVER_ERROR,
    )  # fmt: skip


def _doing(request: Request) -> str:
    deed = "showing the page" if request.method in ("GET", "HEAD") else "writing from the page"
    return f"{deed} {request.url.path}"


def _refused(request: Request, error: Exception) -> Response:
    status = HTTPStatus.FORBIDDEN if isinstance(error, StrangerError) else HTTPStatus.UNPROCESSABLE_ENTITY
    return _shown(request, status, "This was not done", str(error))


def _not_understood(request: Request, error: Exception) -> Response:
    found = error.errors() if isinstance(error, RequestValidationError) else []
    named = "; ".join(f"{'.'.join(str(part) for part in each['loc'][1:])}: {each['msg']}" for each in found)
    return _shown(request, HTTPStatus.UNPROCESSABLE_ENTITY, "This was not understood", f"Not understood: {named}.")


def _http(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else HTTPStatus.INTERNAL_SERVER_ERROR
    if status == HTTPStatus.NOT_FOUND:
        return _shown(request, status, "There is no such page", "There is no such page. The six entries lead on.")
    detail = error.detail if isinstance(error, HTTPException) else ""
    return _shown(request, status, "This was not done", f"{detail or HTTPStatus(status).phrase}.")


def _too_large(request: Request, error: Exception) -> Response:
    return PlainTextResponse("This is larger than anything this page asks for.\n", status_code=413)


def broken(request: Request, error: Exception) -> Response:
    """Return what is told when something broke on our side; what it was stands in the log of the server."""
    LOG.error("while %s", _doing(request), exc_info=error)
    sentence = "Something broke on our side. Your log is untouched."
    return _shown(request, HTTPStatus.INTERNAL_SERVER_ERROR, "Something broke", sentence)
