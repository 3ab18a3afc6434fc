"""What a browser sends: read within bounds, and only where the form was one of ours."""

from __future__ import annotations

import hmac
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Annotated

from fastapi import Depends, Request
from starlette.exceptions import HTTPException
from starlette.formparsers import MultiPartException

from lentic import LenticError
from lentic.web.door import MOST_BYTES, form_token

MOST_FIELDS, MOST_FILES = 400, 40
MOST_TEXT = 4000
"""The longest text of one field. [characters]"""


class FormError(LenticError):
    """A form cannot be read as it was sent; the message says what to do."""


class StrangerError(LenticError):
    """A form does not carry the token of this browser."""


@dataclass(frozen=True, kw_only=True)
class Upload:
    """A file that was sent: its name as the browser gave it, never used as a path, and what is in it."""

    name: str
    content: bytes


class Form:
    """The fields of a form, trimmed; what was not filled in is absent."""

    def __init__(self, fields: Sequence[tuple[str, str]], uploads: Sequence[tuple[str, Upload]]) -> None:
        self._fields, self._uploads = fields, uploads

    def text(self, name: str) -> str:
        """Return a field, empty where it was left out."""
        return next(iter(self.texts(name)), "")

    def texts(self, name: str) -> list[str]:
        """Return every field of a name."""
        return [value.strip()[:MOST_TEXT] for key, value in self._fields if key == name]

    def names(self) -> list[str]:
        """Return the names of all fields that were filled in."""
        return [key for key, value in self._fields if value.strip()]

    def number(self, name: str, label: str, low: float = 0.0, high: float = 1e6) -> float | None:
        """Return a field as a number, None where it was left empty."""
        text = self.text(name).replace(",", ".")
        if not text:
            return None
        try:
            value = float(text)
        except ValueError:
            raise FormError(f"{label}: '{self.text(name)}' is not a number. Write it like 12.5, or leave it.") from None
        if not low <= value <= high:
            raise FormError(f"{label}: {text} cannot be. It lies between {low:g} and {high:g}.")
        return value

    def files(self, name: str) -> list[Upload]:
        """Return the files of a field."""
        return [upload for key, upload in self._uploads if key == name and upload.name]

    def values(self) -> dict[str, str]:
        """Return every text as it was typed, to show it again."""
        return {key: value[:MOST_TEXT] for key, value in self._fields}


async def read_form(request: Request) -> Form:
    """Read a form of one of our pages; a form without its browser's token is not read."""
    try:
        data = await request.form(max_files=MOST_FILES, max_fields=MOST_FIELDS, max_part_size=MOST_BYTES)
    except (MultiPartException, HTTPException) as error:
        said = getattr(error, "message", "") or getattr(error, "detail", "")
        raise FormError(f"The form could not be read: {said}") from error
    try:
        given = data.get("form_token")
        wanted = form_token(request.app.state.secret, request.scope.get("lentic_form", ""))
        if not isinstance(given, str) or not hmac.compare_digest(given.encode(), wanted.encode()):
            raise StrangerError(
                "This form is too old or came from elsewhere. Nothing was written: load the page again."
            )
        fields = [(key, value) for key, value in data.multi_items() if isinstance(value, str)]
        uploads = [
            (key, Upload(name=value.filename or "", content=await value.read()))
            for key, value in data.multi_items()
            if not isinstance(value, str)
        ]
    finally:
        await data.close()
    return Form(fields, uploads)


Posted = Annotated[Form, Depends(read_form)]
"""The form of a page; every route that takes one takes it this way."""
