"""Forecasts and comparisons under plans that come as the text of a plan.csv, such as from a page or a script."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from lentic.advice.compare import Comparison
from lentic.advice.forecast import Forecast
from lentic.keeper import answers
from lentic.keeper.answers import Answer
from lentic.keeper.fitted import Say
from lentic.keeper.opening import NotYet, Where


@contextmanager
def _as_files(texts: Sequence[str]) -> Iterator[list[Path]]:
    """Lay plans down as the files that the reader of plans takes."""
    with tempfile.TemporaryDirectory(prefix="lentic-plan-") as place:
        paths = []
        for number, text in enumerate(texts, start=1):
            path = Path(place) / f"plan {number}"
            path.write_text(text, encoding="utf-8")
            paths.append(path)
        yield paths


def forecast(
    where: Where, days: int = 56, plan: str | None = None, say: Say | None = None
) -> Answer[Forecast] | NotYet:
    """Return the readings to come under a plan given as text; without one the routine goes on."""
    if plan is None:
        return answers.forecast(where, days, None, say)
    with _as_files([plan]) as paths:
        return answers.forecast(where, days, paths[0], say)


def compare(
    where: Where, plans: Sequence[str] = (), days: int = 56, say: Say | None = None
) -> Answer[Comparison] | NotYet:
    """Return the difference that plans given as texts make; a single one is compared with going on as before."""
    with _as_files(plans) as paths:
        return answers.compare(where, paths, days, say)
