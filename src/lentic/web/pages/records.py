"""Pages of what is watched over months: home, lamps, heat, level, air, filter.

Each is one keeper call and one template; blocks are made here from what the answer says, without arithmetic.
"""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import Response

from lentic.advice.words import day_words, number
from lentic.keeper import home as homes
from lentic.keeper import lamps as lighting
from lentic.keeper import slow
from lentic.keeper.answers import Answer
from lentic.keeper.opening import NotYet
from lentic.web.pages.blocks import (
    Block,
    Number,
    answered,
    estimate_number,
    field_of,
    spread_number,
    worst_of,
)
from lentic.web.render import around, desk_of, done, page

router = APIRouter()


@router.get("/tank/home")
def home(request: Request) -> Response:
    """Show room, panes, floor, furnishing and house."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = homes.home(desk_of(request).where(name))
    if isinstance(found, NotYet):
        return answered(request, found, "Home", "Tank")
    view = found.view
    blocks = (
        Block(title="What was looked at", findings=view.findings),
        Block(title="Electricity", lines=view.electricity), Block(title="Hygiene", lines=view.hygiene),
        Block(title="Lifting", lines=view.lifting),
    )  # fmt: skip
    return answered(
        request,
        found,
        "Home",
        "Tank",
        sentence=worst_of(view.findings, "Nothing of the home asks for work now."),
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
        return answered(request, found, "Lamps", "Tank")
    view = found.view
    blocks = [Block(title="What was looked at", findings=(*view.findings, *view.basking))]
    for each in view.ultraviolet:
        numbers = [*spread_number("UV index at the shell", each.index, "", each.origin)]
        if each.replace is not None:
            numbers.append(Number(label="Too little from", value=each.replace.sentence))
        if each.next_reading is not None:
            numbers.append(Number(label="Measure next", value=day_words(each.next_reading), how="", word=""))
        blocks.append(Block(title=f"UVB: {each.lamp}", numbers=tuple(numbers), findings=each.findings))
    for light in view.plants:
        numbers = [*spread_number("On the water", light.ppfd, "µmol/m²/s", light.origin, 0)]
        numbers += spread_number("A day", light.mol_per_day, "mol/m²", light.origin)
        numbers += spread_number("On the panes", light.on_panes, "mol/m² a day", light.origin)
        blocks.append(Block(title=f"Plants: {light.lamp}", numbers=tuple(numbers), lines=(light.sentence,)))
    sentence = worst_of([*view.findings, *(f for u in view.ultraviolet for f in u.findings)], "The lamps hold for now.")
    return answered(request, found, "Lamps", "Tank", sentence=sentence, blocks=tuple(blocks), note=view.always)


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
        field_of("coldest", "Coldest night in the room", "°C", coldest, -10, 30),
        field_of("price", "A kilowatt hour costs", "", price, 0, 10),
        field_of("night", "Hot day: the night", "°C", night, 0, 40),
        field_of("day", "Hot day: the afternoon", "°C", day, 0, 55),
        field_of("limit", "Water at most", "°C", limit, 20, 40),
    )  # fmt: skip
    if isinstance(found, NotYet):
        return answered(request, found, "Heat", "Tank")
    view = found.view.heat
    clock = tuple((f"{hours:.0f} hours", known.text) for hours, known in view.clock)
    numbers = (
        *estimate_number("It loses", view.loss), *estimate_number("Two thirds gone after", view.constant),
        *estimate_number(f"Needed at {view.coldest_c:.0f} °C", view.needed), *estimate_number("Heat", view.year),
        *estimate_number("Cost", view.cost), *estimate_number("A close lid saves", view.lid_saves),
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
        else worst_of(view.findings, "The heater holds this tank, and a stuck one would not boil it.")
    )
    return answered(request, found, "Heat", "Tank", sentence=sentence, blocks=tuple(blocks), fields=fields)


@router.get("/tank/level")
def level(request: Request, mark_cm: float | None = None) -> Response:
    """Show evaporation, the heater's mark, what stays behind and lime."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = slow.level(desk_of(request).where(name), mark_cm)
    fields = (field_of("mark_cm", "How far it may fall before the heater shows", "cm", mark_cm, 0.5, 60),)
    if isinstance(found, NotYet):
        return answered(request, found, "Level and lime", "Tank")
    view = found.view
    mark: tuple[Number, ...] = ()
    if view.mark is not None:
        early, middle, late = view.mark
        mark = (
            Number(label="Heater's mark", value=day_words(middle), range=f"({day_words(early)} to {day_words(late)})"),
        )
    numbers = (
        *estimate_number("Evaporates", view.evaporation), *estimate_number("The level falls by", view.mm_a_day), *mark,
        *estimate_number("Stays behind", view.concentration), *estimate_number("Lime index in the water", view.index),
        *estimate_number("Lime index at the heater", view.index_heater), *estimate_number("Lime", view.scale_g),
    )  # fmt: skip
    sentence = f"It loses {view.evaporation.text}."
    return answered(
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
    dawn = spread_number("Lowest dawn of four weeks", view.dawn, "mg/L", "estimate") if view.dawn is not None else ()
    numbers = (
        Number(label="Water in balance with the air", value=f"{view.saturation:g} mg/L", word="worked out"), *dawn,
        *estimate_number("Used in the dark", view.demand),
        *estimate_number("Closed canister without oxygen after", view.canister),
    )  # fmt: skip
    rows = tuple((sign.seen, sign.means, sign.do) for sign in view.signs)
    blocks = (
        Block(title="Numbers", numbers=numbers), Block(title="What was looked at", findings=view.findings),
        Block(title="Signs, read rightly (common practice)", rows=rows, heads=("Seen", "Means", "Do")),
    )  # fmt: skip
    found = asked.answer
    if not isinstance(found, Answer):
        return done(request, "/tank")
    return answered(
        request,
        found,
        "Air",
        "Tank",
        sentence=worst_of(view.findings, "Nothing of the air asks for work now."),
        blocks=blocks,
    )


@router.get("/tank/filter")
def filter_(request: Request, off: float | None = None, cycling: bool = False) -> Response:
    """Show what the filter takes, when it is due, an outage and growing in."""
    name = around(request).name
    if name is None:
        return done(request, "/start")
    found = slow.filtering(desk_of(request).where(name), off, cycling)
    fields = (field_of("off", "It stood still for", "hours", off, 0, 1000),)
    if isinstance(found, NotYet):
        return answered(request, found, "Filter", "Tank")
    view = found.view
    outage = (Block(title="After the outage", findings=(view.outage,)),) if view.outage is not None else ()
    numbers = (
        *estimate_number("What reaches it", view.state.load), *estimate_number("Media for that", view.state.wanted_l),
        *estimate_number("Ammonia after half was rinsed", view.state.bump),
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
    sentence = worst_of(view.state.findings, "The filter takes its load.")
    return answered(request, found, "Filter", "Tank", sentence=sentence, blocks=blocks, fields=fields)
