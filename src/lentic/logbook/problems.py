"""A keeper's slip as a value: where it stands, what is wrong, what to do about it."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Severity = Literal["refused", "ask", "note"]
"""`refused`: not read. `ask`: an answer is needed; an assumption is stated. `note`: read, worth knowing."""


@dataclass(frozen=True, kw_only=True)
class Problem:
    """One slip in a file or an entry line; `line` counts from 1 and is None where no line can be named."""

    line: int | None
    field: str
    message: str
    remedy: str
    severity: Severity = "refused"
    file: str = ""

    @property
    def where(self) -> str:
        """File and line as a keeper would say them."""
        return " ".join(
            part for part in (self.file, f"line {self.line}" if self.line is not None else "") if part
        )

    @property
    def sentence(self) -> str:
        """The whole problem in one or two sentences."""
        text = f"{self.message} {self.remedy}".strip()
        return f"{self.where}: {text}" if self.where else text


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Name the known word closest to a misspelt one, or list all of them if none is close."""
    words = list(known)
    close = difflib.get_close_matches(word.casefold(), words, n=1, cutoff=0.7 if len(word) > 3 else 0.82)
    if close:
        return f"Did you mean {close[0]}?"
    return f"Known are: {', '.join(words)}."
