"""What every page may need: to stop long work, or to try once more what was given up."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.web.forms import Form, Posted
from lentic.web.render import desk_of, done

router = APIRouter()


@router.post("/again")
def again(request: Request, form: Posted) -> Response:
    """Try work once more that was given up."""
    desk_of(request).store.drop(form.text("key"))
    return done(request, _back(form))


@router.post("/stop")
def stop(request: Request, form: Posted) -> Response:
    """Stop work; what was known before stays."""
    desk_of(request).stop(form.text("key"))
    return done(request, _back(form))


def _back(form: Form) -> str:
    """Return the page the button stood on; an address elsewhere is none of ours."""
    back = form.text("back")
    return back if back.startswith("/") and not back.startswith(("//", "/\\")) else "/"
