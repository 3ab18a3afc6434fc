"""Questions that are asked now and then: what fits here, what a reading means, a record, a sum, a report, a round.

Each page is one small form that is sent with the address, one keeper call, and blocks of what it says.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic import LenticError
from lentic.advice.company import Fit
from lentic.advice.record import Card
from lentic.advice.stranger import lines_of
from lentic.catalogue import Which
from lentic.keeper import company, sums, tap
from lentic.keeper import readings as meanings
from lentic.keeper import rounds as walking
from lentic.keeper import stranger as strangers
from lentic.keeper.opening import NotYet
from lentic.keeper.whatis import what
from lentic.web.pages.blocks import Block
from lentic.web.render import around, desk_of, done, page

router = APIRouter()


@dataclass(frozen=True, kw_only=True)
class Asked:
    """One field of the form above an answer."""

    name: str
    label: str
    value: str = ""
    hint: str = ""
    long: bool = False


@dataclass(frozen=True, kw_only=True)
class Lookup:
    """One question of the list: its page and what it answers."""

    path: str
    title: str
    answers: str


LOOKUPS = (
    Lookup(path="/decide/check", title="Before you buy or dose", answers="what harms whom, and what to do instead"),
    Lookup(
        path="/ask/fits", title="Would it live here?", answers="a fish, snail, shrimp, turtle or plant in this tank"
    ),
    Lookup(
        path="/ask/reading", title="What does it mean?", answers="a reading at this pH and temperature, and for whom"
    ),
    Lookup(
        path="/ask/test", title="Which test next?", answers="the reading that would tell most for the next decision"
    ),
    Lookup(path="/ask/tap", title="Water report", answers="the supplier's report as a card of your tap"),
    Lookup(path="/ask/what", title="Catalogue", answers="an animal, plant, food, medium or lamp, with sources"),
    Lookup(path="/ask/sum", title="Hand sum", answers="one published relation, step by step"),
    Lookup(path="/ask/stranger", title="A stranger asks", answers="what can be said with few facts, and what to ask"),
    Lookup(path="/ask/rounds", title="Round through all tanks", answers="order, litres and conditioner for today"),
)


@router.get("/ask")
def all_lookups(request: Request) -> Response:
    """List what can be looked up."""
    return page(request, "ask.html", title="Ask", place="Decide", lookups=LOOKUPS)


def _shown(
    request: Request, title: str, fields: Sequence[Asked], sentence: str, blocks: Sequence[Block] = (), more: str = ""
) -> Response:
    return page(
        request, "lookup.html", title=title, place="Decide", fields=fields, sentence=sentence, blocks=tuple(blocks),
        more=more, lookups=LOOKUPS,
    )  # fmt: skip


def _lines(title: str, lines: Sequence[str]) -> tuple[Block, ...]:
    return (Block(title=title, lines=tuple(lines)),) if lines else ()


@router.get("/ask/fits")
def fits(request: Request, thing: str = "", count: int = 1) -> Response:
    """Show whether something would live here."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    fields = (Asked(name="thing", label="Animal or plant", value=thing, hint="white cloud, hornwort"),
              Asked(name="count", label="How many", value=str(count)))  # fmt: skip
    numbers: tuple[tuple[str, str], ...]
    if not thing.strip():
        survey = company.company(desk_of(request).where(name))
        if isinstance(survey, NotYet):
            return _shown(request, "Would it live here?", fields, survey.sentence)
        rows = tuple((fit.name, fit.answer, fit.why) for fit in survey.view.fits)
        known = Block(title="All that are known", rows=rows, heads=("Animal", "Here", "Why"))
        sentence = f"Tank mates here: {survey.view.answer}"
        return _shown(
            request, "Would it live here?", fields, sentence, [*_lines("Why", [w.line for w in survey.view.why]), known]
        )
    found = company.fits(desk_of(request).where(name), thing, max(count, 1))
    if isinstance(found, NotYet):
        return _shown(request, "Would it live here?", fields, found.sentence)
    fit = found.view.fit
    blocks = [*_lines("Against it", [each.line for each in fit.against])]
    if isinstance(fit, Fit):
        numbers = tuple((label, each.told) for label, each in fit.numbers)
        blocks += [Block(title="Numbers", rows=numbers, heads=("What", "How much, and how it is known"))]
        blocks += _lines("To know", [each.line for each in (*fit.neutral, *fit.truths)])
    else:
        given = (
            ("Takes up", fit.uptake),
            ("That is", fit.share),
            ("Enough", fit.enough),
            ("To thin", fit.thin),
            ("Grazed", fit.grazed),
        )
        numbers = tuple((label, each.told) for label, each in given if each is not None)
        blocks += [Block(title="Numbers", rows=numbers, heads=("What", "How much, and how it is known"))]
        blocks += _lines("To know", [each.line for each in fit.notes])
    blocks += _lines("Law", [each.line for each in fit.law])
    blocks += _lines("Not known", list(fit.unknown))
    blocks += _lines(
        "Rules on danger", [f"{d.severity}: {d.message} Instead: {d.instead}" for d in found.view.danger.found]
    )
    return _shown(request, "Would it live here?", fields, f"{fit.name}: {found.view.answer}", blocks, fit.why)


@router.get("/ask/reading")
def reading(request: Request, text: str = "", change: str = "") -> Response:
    """Show what readings mean here."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    fields = (
        Asked(name="text", label="Readings", value=text, hint="no3 40 mg/L NO3; ph 7.8; empty: the last of the log"),
        Asked(name="change", label="And after a change of", value=change, hint="40 L or 25 %"),
    )
    found = meanings.readings(desk_of(request).where(name), text or None, change or None)
    if isinstance(found, NotYet):
        return _shown(request, "What does it mean?", fields, found.sentence)
    view = found.view
    said = [f"{s.sentence}" + (f" ({s.source})" if s.source else "") for s in view.said]
    blocks = [
        *_lines("To be asked first", view.asked),
        *_lines("Repeat before believing", view.repeat),
        *_lines("What it means", said),
    ]
    first = view.said[0].sentence.partition(": ")[0] if view.said else "No reading yet"
    sentence = view.repeat[0] if view.repeat else first
    who = "Fish live here: the stricter lines hold." if view.fish else "Turtles only."
    return _shown(request, "What does it mean?", fields, sentence, blocks, who)


@router.get("/ask/test")
def next_test(request: Request) -> Response:
    """Show which test would tell most."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    asked = desk_of(request).ask(name, "test")
    if asked.view is None:
        return page(
            request,
            "waiting.html",
            title="Which test next?",
            place="Decide",
            asked=asked,
            waits="which test tells most",
        )
    view = asked.view
    rows = tuple(
        (t.what, f"{t.minutes:g} min", f"{t.price:.2f} euro" if t.price else "nothing", t.why) for t in view.tests
    )
    block = Block(title="In this order", rows=rows, heads=("Test", "Work", "Price, assumed", "Why"))
    return _shown(request, "Which test next?", (), view.sentence, (block,), "Minutes and prices are common practice.")


@router.get("/ask/tap")
def tap_card(request: Request, report: str = "") -> Response:
    """Show a water report as a card of the tap."""
    name = around(request).name
    fields = (Asked(name="report", label="The report, pasted", value=report, hint="Nitrate (NO3) 12 mg/L", long=True),)
    if not report.strip():
        return _shown(
            request, "Water report", fields, "Paste your supplier's table: a name, a number, a unit in each row."
        )
    try:
        found = tap.tap(report, desk_of(request).where(name) if name else None)
    except LenticError as error:
        return _shown(request, "Water report", fields, str(error))
    if isinstance(found, NotYet):
        return _shown(request, "Water report", fields, found.sentence)
    view = found.view
    rows = tuple((row.name, row.known.text, row.known.origin) for row in view.rows)
    blocks = [
        Block(title="Your tap", rows=rows, heads=("What", "How much", "From")),
        *_lines("To be asked first", view.asked),
    ]
    blocks += [*_lines("What it means", view.sentences), *_lines("Rows not used", view.passed_over)]
    first = view.asked[0] if view.asked else view.sentences[0] if view.sentences else "The report was read."
    return _shown(request, "Water report", fields, first, blocks)


@router.get("/ask/what")
def record(request: Request, name: str = "") -> Response:
    """Show a record of the catalogue."""
    fields = (Asked(name="name", label="Any of its names", value=name, hint="hornwort, pleco, romaine"),)
    if not name.strip():
        return _shown(request, "Catalogue", fields, "Which animal, plant, food, medium, lamp or conditioner?")
    tank = around(request).name
    found = what(name, where=desk_of(request).where(tank) if tank else None)
    if not isinstance(found, Card):
        return _shown(request, "Catalogue", fields, found.question if isinstance(found, Which) else found.sentence)
    rows = tuple((r.label, f"{r.value} {r.unit}".strip(), r.origin, r.source) for r in found.rows)
    block = Block(title=found.kind.capitalize(), rows=rows, heads=("Fact", "Value", "How it is known", "Source"))
    title = f"{found.name} ({found.scientific})" if found.scientific else found.name
    return _shown(
        request, "Catalogue", fields, title, [block, *_lines("Mind", found.remarks)], ", ".join(found.names[1:])
    )


@router.get("/ask/sum")
def hand_sum(request: Request, relation: str = "") -> Response:
    """Show a published relation as a hand sum, or the index of all."""
    fields: tuple[Asked, ...] = (Asked(name="relation", label="Relation", value=relation, hint="oxygen_saturation"),)
    if not relation.strip():
        rows = tuple((each.name, _given(each.sentence)) for each in sums.relations().values())
        block = Block(title="All relations", rows=rows, heads=("Name", "What it gives"))
        return _shown(
            request, "Hand sum", fields, f"{len(rows)} published relations, each as a sum with steps.", (block,)
        )
    try:
        found = sums.find(relation)
    except LenticError as error:
        return _shown(request, "Hand sum", fields, str(error))
    given = {key: value for key, value in request.query_params.items() if key != "relation" and value}
    fields += tuple(
        Asked(name=a.name, label=f"{a.name} {'' if a.unit == '-' else a.unit}".strip(), value=given.get(a.name, ""),
              hint=a.meaning)
        for a in found.arguments
    )  # fmt: skip
    if any(a.default is None and a.name not in given for a in found.arguments):
        return _shown(request, "Hand sum", fields, _given(found.sentence), _lines("Formula and range", [found.formula]))
    try:
        worked = sums.sum_of(relation, given)
    except LenticError as error:
        return _shown(request, "Hand sum", fields, str(error))
    steps = tuple((s.name, s.formula, s.filled, s.value) for s in worked.steps)
    blocks = [Block(title="Steps", rows=steps, heads=("What", "Formula", "Filled in", "Value"))]
    blocks += [*_lines("Warning", list(worked.warnings)), *_lines("Formula and range", [found.formula])]
    blocks += _lines("Source", list(worked.citations) or ["Not given."])
    results = ", ".join(
        f"{v:.5g} {unit}".removesuffix(" -") for v, (_, unit) in zip(worked.values, found.results, strict=False)
    )
    return _shown(
        request,
        "Hand sum",
        fields,
        f"{found.name.rpartition('.')[2].replace('_', ' ')} = {results}",
        blocks,
        _given(found.sentence),
    )


def _given(sentence: str) -> str:
    """Return what a relation gives, without the word that begins it in code."""
    said = sentence.removeprefix("Return ")
    return f"{said[:1].upper()}{said[1:]}"


@router.get("/ask/stranger")
def stranger(request: Request, question: str = "") -> Response:
    """Show what can be said to somebody with few facts."""
    fields = (
        Asked(
            name="question", label="In their words", value=question, hint="cloudy water, 100 L, turtle 12 cm", long=True
        ),
    )
    if not question.strip():
        return _shown(request, "A stranger asks", fields, "What did they write?")
    first, *rest = [line for line in lines_of(strangers.answer(question).view) if line.strip()]
    return _shown(request, "A stranger asks", fields, first, _lines("Answer", [line.strip() for line in rest]))


@router.get("/ask/rounds")
def rounds(request: Request) -> Response:
    """Show the round of the day through all tanks."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = walking.rounds(desk_of(request).where(name))
    if isinstance(found, NotYet):
        return _shown(
            request, "Round through all tanks", (), found.sentence, _lines("What would help most", found.wanted)
        )
    view = found.view.round
    blocks = [*_lines("Before the round, test", view.tests_first), *_lines("In this order", view.handover)]
    blocks += [
        *_lines("Hygiene", view.hygiene),
        *_lines("Not in the round", found.view.missing),
        *_lines("Law", view.law),
    ]
    sentence = f"{len(view.order)} tanks, about {view.minutes:.0f} minutes, {view.litres:.0f} L of water."
    return _shown(request, "Round through all tanks", (), sentence, blocks)
