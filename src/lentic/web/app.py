"""The pages and the API in one application; what it needs to know stands in its settings."""

from __future__ import annotations

import secrets
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

from fastapi import FastAPI
from starlette.staticfiles import StaticFiles

from lentic import __version__
from lentic.keeper.desk import Desk
from lentic.web import api, api_doing, trouble
from lentic.web.door import Door
from lentic.web.pages import PAGES
from lentic.web.pairing import Tickets
from lentic.web.render import HERE
from lentic.web.settings import Settings
from lentic.web.workshop import Workshop

SECRET = "secret"
"""The setting that holds what forms and cookies are signed with."""


class KeptFiles(StaticFiles):
    """Files whose address changes with their content: a browser keeps them."""

    def file_response(self, *args: object, **kwargs: object):  # type: ignore[no-untyped-def]
        """Return the file with the leave to keep it."""
        response = super().file_response(*args, **kwargs)  # type: ignore[arg-type]
        response.headers["cache-control"] = "public, max-age=31536000, immutable"
        return response


def make_app(settings: Settings) -> FastAPI:
    """Return the application over the store in the settings' home."""
    desk = Desk(settings.home, settings.clock)
    workshop = Workshop(desk)

    @asynccontextmanager
    async def life(_: FastAPI) -> AsyncIterator[None]:
        if settings.works:
            workshop.start()
        yield
        if settings.works:
            workshop.stop()
        desk.close()

    app = FastAPI(
        title="lentic", version=__version__, docs_url=None, redoc_url=None, openapi_url="/api/v1/openapi.json",
        description="The answers of one keeper's tank, the same as of the command line.", lifespan=life,
    )  # fmt: skip
    app.state.desk, app.state.settings, app.state.workshop = desk, settings, workshop
    app.state.secret = _secret(desk)
    app.state.tickets = Tickets()
    for router in PAGES:
        app.include_router(router, include_in_schema=False)
    app.include_router(api.router)
    app.include_router(api_doing.router)
    app.mount("/static", KeptFiles(directory=HERE / "static"), name="static")
    trouble.add_to(app)
    app.add_middleware(Door, settings=settings, desk=desk, broken=trouble.broken)
    return app


def _secret(desk: Desk) -> str:
    """Return the household's secret, made once."""
    known = desk.store.settings().get(SECRET)
    if known:
        return known
    made = secrets.token_urlsafe(32)
    desk.store.set({SECRET: made}, desk.now())
    return made
