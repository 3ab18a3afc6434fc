"""Pages of what is watched over months: animals, lamps, home, heat, level, air, filter; and what is dangerous.

Each is one keeper call and one template; blocks are made here from what the answer says, without arithmetic.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.advice.animal import AnimalView
from lentic.advice.estimate import Estimate
from lentic.advice.findings import Finding, date_words
from lentic.advice.food import Feeding
from lentic.advice.glance import SlowClock
from lentic.advice.hazards.gate import Verdict
from lentic.advice.shell import FRAMING, LEAVE, NORMAL
from lentic.advice.signs import NOT_A_DIAGNOSIS
from lentic.advice.winter import amount_g
from lentic.advice.words import Spread, amount, day_words, number
from lentic.keeper import animal as animals
from lentic.keeper import check as checking
from lentic.keeper import food as feeding
from lentic.keeper import home as homes
from lentic.keeper import lamps as lighting
from lentic.keeper import slow
from lentic.keeper.answers import Answer
from lentic.keeper.desk import Desk
from lentic.keeper.opening import NotYet
from lentic.web.pages import today
from lentic.web.pages.tank import SUBPAGES
from lentic.web.render import around, desk_of, done, page

router = APIRouter()

SEVERITY = {"stop": "stop", "act": "act", "watch": "warn", "ask": "note", "fine": "inband"}
STATE_WORDS = {"ask": "One fact is missing", "fine": "Holds"}
GATE = {"STOP": "stop", "ACT": "act", "WARN": "warn", "NOTE": "note"}


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


def _estimate(label: str, known: Estimate | None) -> tuple[Number, ...]:
    if known is None:
        return ()
    span = "" if number(known.low) == number(known.high) else f"({number(known.low)} to {number(known.high)})"
    how = "own" if "own reading" in known.origin else "est" if "learned" in known.origin else "asm"
    return (Number(label=label, value=amount(known.value, known.unit), range=span, how=how, word=known.origin),)


def _spread(label: str, spread: Spread, unit: str, word: str, digits: int = 1) -> tuple[Number, ...]:
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return ()
    value = f"{spread.p50:.{digits}f} {unit}".strip()
    return (Number(label=label, value=value, range=f"({spread.p10:.{digits}f} to {spread.p90:.{digits}f})", word=word),)


def _answer(request: Request, found: Answer[Any] | NotYet, title: str, under: str, **values: object) -> Response:
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


def _worst(findings: Sequence[Finding], otherwise: str) -> str:
    pressing = [f for f in findings if f.state in ("stop", "act", "watch")]
    return _first(pressing[0].sentence) if pressing else otherwise


def _first(text: str) -> str:
    """Return the first sentence of a text."""
    head, stop, _ = text.partition(". ")
    return f"{head}." if stop else text


# ---- animals ------------------------------------------------------------------------------------------------------


@router.get("/animals")
def all_animals(request: Request) -> Response:
    """Lead to the only animal, or list them."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    turtles = desk_of(request).held(name).tank.turtles
    if len(turtles) == 1:
        return done(request, f"/animals/{turtles[0].id}")
    found = animals.animal(desk_of(request).where(name))
    if isinstance(found, NotYet):
        return _answer(request, found, "Animals", "Animals")
    return page(request, "animals.html", title="Animals", place="Animals", view=found.view, severity_of=_severity_of)


def _severity_of(view: AnimalView) -> str:
    states = [f.state for f in view.findings]
    return SEVERITY[next((s for s in ("stop", "act", "watch") if s in states), "fine")]


@router.get("/animals/{animal_id}")
def one_animal(request: Request, animal_id: str) -> Response:
    """Show the record of one animal."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    desk = desk_of(request)
    found = animals.animal(desk.where(name), animal_id)
    if isinstance(found, NotYet):
        return _answer(request, found, "Animals", "Animals")
    view = found.view.animals[0]
    fed = feeding.feed(desk.where(name))
    blocks = [*_animal_blocks(view), *(_ration_blocks(fed.view, view.animal) if isinstance(fed, Answer) else ())]
    sentence = _signs_first(view) or _worst(view.findings, f"Nothing is due for {view.animal}.")
    kind = f"{view.kind} ({view.scientific})" if view.scientific else view.kind or "kind not known"
    return _answer(
        request, found, view.animal.capitalize(), "Animals", sentence=sentence, blocks=tuple(blocks),
        more=f"{kind}, {view.sex or 'sex not known'}.", note=NOT_A_DIAGNOSIS,
    )  # fmt: skip


def _signs_first(view: AnimalView) -> str:
    return view.signs.sentence if view.signs.urgency or view.signs.seen else ""


def _animal_blocks(view: AnimalView) -> list[Block]:
    found = []
    if view.signs.seen or view.signs.unread:
        lines = [f"{s.sentence} {s.urgency} Until then: {s.meanwhile}".replace("  ", " ") for s in view.signs.seen]
        lines += [f"Written down, not in the table of signs: {note}" for note in view.signs.unread]
        found.append(Block(title="Signs", lines=tuple(lines)))
    found.append(Block(title="To look after", findings=view.findings))
    found.append(
        Block(title="Weight and length", numbers=tuple(_body(view)), rows=_weighed(view), heads=("Day", "Mass"))
    )
    if view.guard is not None:
        since = f"Winter rest since {date_words(view.guard.since)}"
        found.append(Block(title=since, lines=(*view.guard.sentences, *view.guard.do)))
    elif view.gate is not None:
        plan = [f"{day_words(s.begin)} to {day_words(s.end)}: {s.do}" for s in view.gate.plan]
        found.append(Block(title="Winter rest", lines=(view.gate.sentence, *plan), findings=view.gate.findings))
    if view.quarantine is not None and not view.quarantine.over:
        found.append(Block(title="Quarantine", lines=(view.quarantine.sentence,)))
    months = tuple(
        f"{month.first:%B %Y}: " + ("; ".join(f"{day.day}: {note}" for day, note in month.notes) or "nothing noted")
        for month in view.shell[:6]
    )
    albums = tuple(
        (f"{month.first:%B %Y}", tuple((day_words(day), digest) for day, digest in month.photos))
        for month in view.shell if month.photos
    )  # fmt: skip
    shell = (*months, f"{NORMAL} {LEAVE}", f"Photos: {FRAMING}")
    found.append(Block(title="Shell, month by month", lines=shell, albums=albums[:4]))
    return found


def _body(view: AnimalView) -> list[Number]:
    found: list[Number] = []
    if view.masses:
        day, grams = view.masses[-1]
        found.append(Number(label="Mass", value=amount_g(grams), how="own", word=f"own reading, {day_words(day)}"))
    if view.lengths:
        day, length = view.lengths[-1]
        found.append(Number(label="Shell", value=f"{length:.1f} cm", how="own", word=f"own reading, {day_words(day)}"))
    size = view.size
    if size is not None:
        found += _spread("Shell today", size.length, "cm", size.origin)
        found += _spread("In a year", size.in_a_year, "cm", size.origin)
        found += _spread("Grown up", size.adult, "cm", size.origin)
    return found


def _weighed(view: AnimalView) -> tuple[tuple[str, ...], ...]:
    return tuple((f"{day:%Y-%m-%d}", amount_g(grams)) for day, grams in reversed(view.masses[-12:]))


def _ration_blocks(view: Feeding, animal: str) -> list[Block]:
    found = []
    for ration in view.rations:
        if ration.animal != animal:
            continue
        numbers = (
            *_estimate("Needs", ration.need), *_estimate("At rest", ration.resting),
            *_estimate("Spends", ration.multiplier), *_estimate("Feeding days of 7", ration.feeding_days),
        )  # fmt: skip
        rows = tuple(
            (choice.name, choice.grams_per_day.text if choice.grams_per_day else "not known",
             choice.litres.text if choice.litres else "not known")
            for choice in view.choices[:8]
        )  # fmt: skip
        heads = ("Food, alone", "A day", "New water it asks for")
        lines = (view.verdict, ration.trend, *ration.cautions)
        found.append(Block(title="Ration", numbers=numbers, lines=lines, rows=rows, heads=heads))
    missing = tuple(text for text in view.missing if animal in text)
    return [*found, *([Block(title="Ration", lines=missing)] if missing else [])]


# ---- the tank's slow clocks ---------------------------------------------------------------------------------------


@router.get("/tank/home")
def home(request: Request) -> Response:
    """Show room, panes, floor, furnishing and house."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = homes.home(desk_of(request).where(name))
    if isinstance(found, NotYet):
        return _answer(request, found, "Home", "Tank")
    view = found.view
    blocks = (
        Block(title="What was looked at", findings=view.findings),
        Block(title="Electricity", lines=view.electricity), Block(title="Hygiene", lines=view.hygiene),
        Block(title="Lifting", lines=view.lifting),
    )  # fmt: skip
    return _answer(
        request,
        found,
        "Home",
        "Tank",
        sentence=_worst(view.findings, "Nothing of the home asks for work now."),
        blocks=blocks,
    )


@router.get("/tank/lamps")
def lamps(request: Request) -> Response:
    """Show ultraviolet light, basking place and plant light."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = lighting.lamps(desk_of(request).where(name))
    if isinstance(found, NotYet):
        return _answer(request, found, "Lamps", "Tank")
    view = found.view
    blocks = [Block(title="What was looked at", findings=(*view.findings, *view.basking))]
    for each in view.ultraviolet:
        numbers = [*_spread("UV index at the shell", each.index, "", each.origin)]
        if each.replace is not None:
            numbers.append(Number(label="Too little from", value=each.replace.sentence))
        if each.next_reading is not None:
            numbers.append(Number(label="Measure next", value=day_words(each.next_reading), how="", word=""))
        blocks.append(Block(title=f"UVB: {each.lamp}", numbers=tuple(numbers), findings=each.findings))
    for light in view.plants:
        numbers = [*_spread("On the water", light.ppfd, "µmol/m²/s", light.origin, 0)]
        numbers += _spread("A day", light.mol_per_day, "mol/m²", light.origin)
        numbers += _spread("On the panes", light.on_panes, "mol/m² a day", light.origin)
        blocks.append(Block(title=f"Plants: {light.lamp}", numbers=tuple(numbers), lines=(light.sentence,)))
    sentence = _worst([*view.findings, *(f for u in view.ultraviolet for f in u.findings)], "The lamps hold for now.")
    return _answer(request, found, "Lamps", "Tank", sentence=sentence, blocks=tuple(blocks), note=view.always)


@router.get("/tank/heat")
def heat(
    request: Request, coldest: float | None = None, price: float | None = None, night: float | None = None,
    day: float | None = None, limit: float | None = None,
) -> Response:  # fmt: skip
    """Show heat loss, heater, power cut, cost and a hot day."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    hot = (night, day, limit) if night is not None and day is not None and limit is not None else None
    found = slow.heat(desk_of(request).where(name), coldest, price, hot)
    fields = (
        _field("coldest", "Coldest night in the room", "°C", coldest, -10, 30),
        _field("price", "A kilowatt hour costs", "", price, 0, 10),
        _field("night", "Hot day: the night", "°C", night, 0, 40),
        _field("day", "Hot day: the afternoon", "°C", day, 0, 55),
        _field("limit", "Water at most", "°C", limit, 20, 40),
    )  # fmt: skip
    if isinstance(found, NotYet):
        return _answer(request, found, "Heat", "Tank")
    view = found.view.heat
    clock = tuple((f"{hours:.0f} hours", known.text) for hours, known in view.clock)
    numbers = (
        *_estimate("It loses", view.loss), *_estimate("Two thirds gone after", view.constant),
        *_estimate(f"Needed at {view.coldest_c:.0f} °C", view.needed), *_estimate("Heat", view.year),
        *_estimate("Cost", view.cost), *_estimate("A close lid saves", view.lid_saves),
    )  # fmt: skip
    blocks = [
        Block(title="Heater", findings=view.findings, numbers=numbers),
        Block(title="Without power", rows=clock, heads=("After", "Water")),
    ]
    day_plan = found.view.hot_day
    if day_plan is not None:
        rows = tuple(
            (f"{h.clock:02}:00", f"{h.room_c:.1f} °C", f"{h.alone_c:.1f} °C", f"{h.water_c:.1f} °C", "; ".join(h.do))
            for h in day_plan.hours if h.clock % 3 == 0 or h.do
        )  # fmt: skip
        heads = ("Hour", "Room", "Water, left alone", "With the measures", "Do")
        blocks.insert(
            0, Block(title="A hot day", lines=(day_plan.sentence, *day_plan.measures), rows=rows, heads=heads)
        )
    sentence = (
        day_plan.sentence
        if day_plan
        else _worst(view.findings, "The heater holds this tank, and a stuck one would not boil it.")
    )
    return _answer(request, found, "Heat", "Tank", sentence=sentence, blocks=tuple(blocks), fields=fields)


@router.get("/tank/level")
def level(request: Request, mark_cm: float | None = None) -> Response:
    """Show evaporation, the heater's mark, what stays behind and lime."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = slow.level(desk_of(request).where(name), mark_cm)
    fields = (_field("mark_cm", "How far it may fall before the heater shows", "cm", mark_cm, 0.5, 60),)
    if isinstance(found, NotYet):
        return _answer(request, found, "Level and lime", "Tank")
    view = found.view
    mark: tuple[Number, ...] = ()
    if view.mark is not None:
        early, middle, late = view.mark
        mark = (
            Number(label="Heater's mark", value=day_words(middle), range=f"({day_words(early)} to {day_words(late)})"),
        )
    numbers = (
        *_estimate("Evaporates", view.evaporation), *_estimate("The level falls by", view.mm_a_day), *mark,
        *_estimate("Stays behind", view.concentration), *_estimate("Lime index in the water", view.index),
        *_estimate("Lime index at the heater", view.index_heater), *_estimate("Lime", view.scale_g),
    )  # fmt: skip
    sentence = f"It loses {view.evaporation.text}."
    return _answer(
        request, found, "Level and lime", "Tank", sentence=sentence, fields=fields,
        blocks=(Block(title="Numbers", numbers=numbers), Block(title="What to do", findings=view.findings)),
    )  # fmt: skip


@router.get("/tank/air")
def air(request: Request) -> Response:
    """Show oxygen at dawn, a stopped pump, and signs."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    asked = desk_of(request).ask(name, "air")
    if asked.view is None:
        return page(request, "waiting.html", title="Air", place="Tank", asked=asked, waits="the oxygen before dawn")
    view = asked.view
    dawn = _spread("Lowest dawn of four weeks", view.dawn, "mg/L", "estimate") if view.dawn is not None else ()
    numbers = (
        Number(label="Water in balance with the air", value=f"{view.saturation:g} mg/L", word="worked out"), *dawn,
        *_estimate("Used in the dark", view.demand), *_estimate("Closed canister without oxygen after", view.canister),
    )  # fmt: skip
    rows = tuple((sign.seen, sign.means, sign.do) for sign in view.signs)
    blocks = (
        Block(title="Numbers", numbers=numbers), Block(title="What was looked at", findings=view.findings),
        Block(title="Signs, read rightly (common practice)", rows=rows, heads=("Seen", "Means", "Do")),
    )  # fmt: skip
    found = asked.answer
    if not isinstance(found, Answer):
        return done(request, "/tank")
    return _answer(
        request,
        found,
        "Air",
        "Tank",
        sentence=_worst(view.findings, "Nothing of the air asks for work now."),
        blocks=blocks,
    )


@router.get("/tank/filter")
def filter_(request: Request, off: float | None = None, cycling: bool = False) -> Response:
    """Show what the filter takes, when it is due, an outage and growing in."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = slow.filtering(desk_of(request).where(name), off, cycling)
    fields = (_field("off", "It stood still for", "hours", off, 0, 1000),)
    if isinstance(found, NotYet):
        return _answer(request, found, "Filter", "Tank")
    view = found.view
    outage = (Block(title="After the outage", findings=(view.outage,)),) if view.outage is not None else ()
    numbers = (
        *_estimate("What reaches it", view.state.load), *_estimate("Media for that", view.state.wanted_l),
        *_estimate("Ammonia after half was rinsed", view.state.bump),
    )  # fmt: skip
    grown: tuple[Block, ...] = ()
    if view.cycling is not None:
        rows = tuple(
            (str(d.day), f"{number(d.ammonia[1])} ({number(d.ammonia[0])} to {number(d.ammonia[2])})",
             f"{number(d.nitrite[1])} ({number(d.nitrite[0])} to {number(d.nitrite[2])})")
            for d in view.cycling.days[:57:7]
        )  # fmt: skip
        low, middle, high = view.cycling.finished
        lines = (f"It may be done on day {middle} (8 in 10: {low} to {high}).", view.cycling.rule)
        heads = ("Day", "Ammonia, mg/L as N", "Nitrite, mg/L as N")
        grown = (Block(title="A young filter", lines=lines, rows=rows, heads=heads),)
    blocks = (
        *outage,
        Block(title="What was looked at", findings=view.state.findings),
        Block(title="Numbers", numbers=numbers),
        *grown,
    )
    sentence = _worst(view.state.findings, "The filter takes its load.")
    return _answer(request, found, "Filter", "Tank", sentence=sentence, blocks=blocks, fields=fields)


def _field(name: str, label: str, unit: str, value: float | None, low: float, high: float) -> Field:
    return Field(name=name, label=label, unit=unit, value="" if value is None else f"{value:g}", low=low, high=high)


# ---- before you buy or dose ---------------------------------------------------------------------------------------


@router.get("/decide/check")
def check(request: Request, thing: str = "") -> Response:
    """Show what is dangerous here, or in a thing about to be bought, dosed, fed, planted or done."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    things = [word.strip() for word in thing.split(",") if word.strip()]
    facts = [f"{key[5:]}={value}" for key, value in request.query_params.items() if key.startswith("fact.") and value]
    found = checking.check(desk_of(request).where(name), things, facts)
    given = [(key, value) for key, value in request.query_params.items() if key.startswith("fact.") and value]
    view = None if isinstance(found, NotYet) else found.view
    sentence = found.sentence if isinstance(found, NotYet) else _verdict_words(found.view)
    return page(
        request, "check.html", title="Before you buy or dose", place="Decide", view=view, thing=thing, gate=GATE,
        sentence=sentence, problems=found.problems, given=given,
    )  # fmt: skip


def _verdict_words(view: Verdict) -> str:
    about = ", ".join(view.words) or "this tank as it stands"
    if view.stops:
        return f"Stop: {view.stops[0].message}"
    if view.found:
        return f"{len(view.found)} things to know about {about}."
    return f"Nothing was found against {about}." if view.tried else f"No rule speaks of {about}."


# ---- what Today shows of it ---------------------------------------------------------------------------------------


def _clocks(desk: Desk, name: str) -> tuple[SlowClock, ...]:
    """Return how animals and lamps stand, for the opening page; nothing here waits."""
    found = animals.animal(desk.where(name))
    clocks = [_of_animal(view) for view in found.view.animals] if isinstance(found, Answer) else []
    lit = lighting.lamps(desk.where(name))
    if isinstance(lit, Answer):
        for each in lit.view.ultraviolet:
            if each.index.p50 is None:
                continue
            pressing = [f for f in each.findings if f.state in ("stop", "act", "watch")]
            clocks.append(SlowClock(
                name="UVB at the shell", value=f"UVI {each.index.p50:.1f}", word=each.origin,
                range=f"({each.index.p10:.1f}–{each.index.p90:.1f})",
                severity=SEVERITY[pressing[0].state] if pressing else None,
                sentence=each.replace.sentence.capitalize() if each.replace else "", page="/tank/lamps",
            ))  # fmt: skip
    return tuple(clocks)


def _of_animal(view: AnimalView) -> SlowClock:
    pressing = [f for f in view.findings if f.state in ("stop", "act", "watch")]
    state = SEVERITY[pressing[0].state] if pressing else None
    sentence = pressing[0].sentence if pressing else "Nothing is due."
    if not view.masses:
        return SlowClock(name=view.animal.capitalize(), value="never weighed", how="", word="", severity=state,
                         sentence=sentence, page=f"/animals/{view.animal}")  # fmt: skip
    day, grams = view.masses[-1]
    return SlowClock(
        name=view.animal.capitalize(), value=amount_g(grams), how="own", word=f"own reading, {day_words(day)}",
        severity=state, sentence=sentence, page=f"/animals/{view.animal}",
    )  # fmt: skip


today.SLOW_CLOCKS.append(_clocks)
