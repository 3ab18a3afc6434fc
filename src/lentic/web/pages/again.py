"""What every page may need: to try work once more that was given up."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.web.forms import Posted
from lentic.web.render import desk_of, done

router = APIRouter()


@router.post("/again")
def again(request: Request, form: Posted) -> Response:
    """Try work once more that was given up."""
    desk_of(request).store.drop(form.text("key"))
    back = form.text("back")
    return done(request, back if back.startswith("/") and not back.startswith("//") else "/")
