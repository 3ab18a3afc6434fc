"""Pages of the animals, with what the opening page shows of animals and lamps."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.advice.animal import AnimalView
from lentic.advice.findings import date_words
from lentic.advice.food import Feeding
from lentic.advice.glance import SlowClock
from lentic.advice.shell import FRAMING, LEAVE, NORMAL
from lentic.advice.signs import NOT_A_DIAGNOSIS
from lentic.advice.winter import amount_g
from lentic.advice.words import day_words
from lentic.keeper import animal as animals
from lentic.keeper import food as feeding
from lentic.keeper import lamps as lighting
from lentic.keeper.answers import Answer
from lentic.keeper.desk import Desk
from lentic.keeper.opening import NotYet
from lentic.web.pages import today
from lentic.web.pages.blocks import (
    SEVERITY,
    Block,
    Number,
    answered,
    estimate_number,
    spread_number,
    worst_of,
)
from lentic.web.render import around, desk_of, done, page

router = APIRouter()


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
        return answered(request, found, "Animals", "Animals")
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
        return answered(request, found, "Animals", "Animals")
    view = found.view.animals[0]
    fed = feeding.feed(desk.where(name))
    blocks = [*_animal_blocks(view), *(_ration_blocks(fed.view, view.animal) if isinstance(fed, Answer) else ())]
    sentence = _signs_first(view) or worst_of(view.findings, f"Nothing is due for {view.animal}.")
    kind = f"{view.kind} ({view.scientific})" if view.scientific else view.kind or "kind not known"
    return answered(
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
        found += spread_number("Shell today", size.length, "cm", size.origin)
        found += spread_number("In a year", size.in_a_year, "cm", size.origin)
        found += spread_number("Grown up", size.adult, "cm", size.origin)
    return found


def _weighed(view: AnimalView) -> tuple[tuple[str, ...], ...]:
    return tuple((f"{day:%Y-%m-%d}", amount_g(grams)) for day, grams in reversed(view.masses[-12:]))


def _ration_blocks(view: Feeding, animal: str) -> list[Block]:
    found = []
    for ration in view.rations:
        if ration.animal != animal:
            continue
        numbers = (
            *estimate_number("Needs", ration.need), *estimate_number("At rest", ration.resting),
            *estimate_number("Spends", ration.multiplier), *estimate_number("Feeding days of 7", ration.feeding_days),
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
