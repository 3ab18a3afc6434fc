"""The record of a turtle as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lentic.advice.findings import date_words
from lentic.advice.shell import FRAMING, LEAVE, NORMAL
from lentic.advice.signs import NOT_A_DIAGNOSIS
from lentic.advice.winter import amount_g
from lentic.advice.words import counted
from lentic.cli.show_findings import finding_lines

if TYPE_CHECKING:
    from lentic.advice.animal import Animals, AnimalView
    from lentic.advice.vet import VetPage
    from lentic.advice.winter import Gate
    from lentic.advice.words import Spread

LATEST_MONTHS = 3


def animal_lines(view: Animals, winter: bool = False) -> list[str]:
    """Return the records of all animals asked about."""
    found = [f"{view.tank}, {date_words(view.day)}"]
    for animal in view.animals:
        found += ["", *_one(animal, winter)]
    return found


def _one(view: AnimalView, winter: bool) -> list[str]:
    kind = f"{view.kind} ({view.scientific})" if view.scientific else view.kind or "kind not known"
    found = [f"{view.animal}: {kind}, {view.sex or 'sex not known'}"]
    found += _signs(view) + _sizes(view)
    if view.guard is not None:
        found += [f"  Winter rest since {date_words(view.guard.since)}:"]
        found += [f"    {each}" for each in (*view.guard.sentences, *view.guard.do)]
    if view.findings:
        found += ["", *finding_lines(view.findings)]
    if view.quarantine is not None and not view.quarantine.over:
        found += ["", f"  Quarantine: {view.quarantine.sentence}"]
    if winter and view.gate is not None:
        found += ["", *_gate(view.gate)]
    return [*found, "", *_shell(view)]


def _signs(view: AnimalView) -> list[str]:
    found = [f"  {view.signs.sentence}"] if view.signs.urgency or view.signs.seen else []
    for seen in view.signs.seen:
        when = f" ({seen.urgency})" if seen.urgency else ""
        found += [f"    {seen.sentence}{when}", f"      until then: {seen.meanwhile}"]
    found += [f"    written down, not in the table of signs: {note}" for note in view.signs.unread]
    if view.signs.unread and not view.signs.seen:
        found.append("    In doubt, ask a vet who knows reptiles.")
    return [*found, f"  {NOT_A_DIAGNOSIS}", ""] if found else []


def _sizes(view: AnimalView) -> list[str]:
    found = []
    if view.masses:
        day, grams = view.masses[-1]
        found.append(f"  Mass {amount_g(grams)}, {date_words(day)} (own reading)")
    if view.lengths:
        day, cm = view.lengths[-1]
        found.append(f"  Shell {cm:.1f} cm, {date_words(day)} (own reading)")
    size = view.size
    if size is not None:
        found.append(f"  Today about {_span(size.length, 'cm')} and {_span(size.mass, 'g')} ({size.origin})")
        found.append(f"  In a year {_span(size.in_a_year, 'cm')}; grown up {_span(size.adult, 'cm')}")
    return found


def _span(spread: Spread, unit: str) -> str:
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "not known"
    digits = 1 if unit == "cm" else 0
    return f"{spread.p50:.{digits}f} {unit} (8 in 10: {spread.p10:.{digits}f} to {spread.p90:.{digits}f})"


def _gate(gate: Gate) -> list[str]:
    found = ["  Winter rest:", f"    {gate.sentence}"]
    found += [f"  {each}" for each in finding_lines(gate.findings)]
    found += [f"    {step.begin:%Y-%m-%d} to {step.end:%Y-%m-%d}: {step.do}" for step in gate.plan]
    return found


def _shell(view: AnimalView) -> list[str]:
    found = ["  Shell, by months:"]
    for month in view.shell[:LATEST_MONTHS]:
        noted = "; ".join(f"{day.day}: {note}" for day, note in month.notes) or "nothing noted"
        shown = f"; {counted(len(month.photos), 'photo')}" if month.photos else ""
        found.append(f"    {month.first:%B %Y}: {noted}{shown}")
    return [*found, f"    {NORMAL} {LEAVE}", f"    Photos: {FRAMING}"]


def vet_lines(view: Animals) -> list[str]:
    """Return the one-page history of each animal."""
    return [line for animal in view.animals for line in page_lines(animal.vet)]


def page_lines(page: VetPage) -> list[str]:
    """Return the page for the vet as text."""
    found = [f"{page.title}: for the vet, {date_words(page.day)}"]
    for part in page.parts:
        found += ["", part.title, *(f"  {line}" for line in part.lines)]
    return [*found, "", page.caution]
