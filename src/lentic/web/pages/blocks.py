"""Blocks of which the pages of records are made: numbers with range and origin, findings, small forms."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import Request
from fastapi.responses import Response

from lentic.advice.estimate import Estimate
from lentic.advice.findings import Finding
from lentic.advice.words import Spread, amount, number
from lentic.keeper.answers import Answer
from lentic.keeper.opening import NotYet
from lentic.web.pages.tank import SUBPAGES
from lentic.web.render import page

SEVERITY = {"stop": "stop", "act": "act", "watch": "warn", "ask": "note", "fine": "inband"}
STATE_WORDS = {"ask": "One fact is missing", "fine": "Holds"}


@dataclass(frozen=True, kw_only=True)
class Number:
    """A number with its range and how it is known."""

    label: str
    value: str
    range: str = ""
    how: str = "est"
    word: str = "estimate"


@dataclass(frozen=True, kw_only=True)
class Block:
    """One block of a page: numbers, findings, plain lines."""

    title: str
    numbers: tuple[Number, ...] = ()
    findings: tuple[Finding, ...] = ()
    lines: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    heads: tuple[str, ...] = ()
    albums: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = ()
    """Month and its photos as (day, name of the file), to lie side by side."""


@dataclass(frozen=True, kw_only=True)
class Field:
    """A field of the small form above an answer; it is sent with the address."""

    name: str
    label: str
    unit: str
    value: str
    low: float
    high: float


def estimate_number(label: str, known: Estimate | None) -> tuple[Number, ...]:
    """Return a number with its range, none where it is not known."""
    if known is None:
        return ()
    span = "" if number(known.low) == number(known.high) else f"({number(known.low)} to {number(known.high)})"
    how = "own" if "own reading" in known.origin else "est" if "learned" in known.origin else "asm"
    return (Number(label=label, value=amount(known.value, known.unit), range=span, how=how, word=known.origin),)


def spread_number(label: str, spread: Spread, unit: str, word: str, digits: int = 1) -> tuple[Number, ...]:
    """Return what the possible tanks say of a number, none where they say nothing."""
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return ()
    value = f"{spread.p50:.{digits}f} {unit}".strip()
    return (Number(label=label, value=value, range=f"({spread.p10:.{digits}f} to {spread.p90:.{digits}f})", word=word),)


def answered(request: Request, found: Answer[Any] | NotYet, title: str, under: str, **values: object) -> Response:
    """Return the page of an answer, or what is missing."""
    if isinstance(found, NotYet):
        return page(
            request, "record.html", title=title, place=under, sentence=found.sentence, more="", blocks=(), fields=(),
            missing=found, subpages=_sub(under), cautions=(), problems=found.problems, note="",
        )  # fmt: skip
    shown = {"more": "", "fields": (), "missing": None, "note": "", "subpages": _sub(under)} | values
    cautions, problems = found.cautions, found.problems
    return page(request, "record.html", title=title, place=under, cautions=cautions, problems=problems, **shown)  # type: ignore[arg-type]


def _sub(under: str) -> tuple[tuple[str, str], ...]:
    return SUBPAGES if under == "Tank" else ()


def worst_of(findings: Sequence[Finding], otherwise: str) -> str:
    """Return the most pressing finding in one sentence, or what holds otherwise."""
    pressing = [f for f in findings if f.state in ("stop", "act", "watch")]
    return first_sentence(pressing[0].sentence) if pressing else otherwise


def first_sentence(text: str) -> str:
    """Return the first sentence of a text."""
    head, stop, _ = text.partition(". ")
    return f"{head}." if stop else text


def field_of(name: str, label: str, unit: str, value: float | None, low: float, high: float) -> Field:
    """Return a field of the small form, filled with what was asked."""
    return Field(name=name, label=label, unit=unit, value="" if value is None else f"{value:g}", low=low, high=high)
