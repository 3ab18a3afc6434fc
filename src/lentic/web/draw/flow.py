"""The balance as a flow drawing: widths in mg a week on one scale, in at the left, out at the right, two stages.

First the animals, then what dissolves in the water or falls as dirt. The edge of a flow says how it is known. The wide
drawing and the one for phones are laid out by the same rules at their own sizes, so that type keeps its size.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from lentic.advice.stages import ANIMALS, DIRT, WATER, Stages, Stream
from lentic.advice.words import number
from lentic.web.draw.svg import LINE, Sheet, short


@dataclass(frozen=True, kw_only=True)
class Room:
    """Where the columns of a drawing stand, and how tall its flows may be. [px]"""

    width: float
    tallest: float
    left: float
    animals: float
    second: float
    right: float
    bar: float
    gap: float
    labels_beside: bool
    kind: str


WIDE = Room(width=900.0, tallest=250.0, left=172.0, animals=322.0, second=556.0, right=684.0, bar=10.0, gap=8.0,
            labels_beside=True, kind="flow draw-wide")  # fmt: skip
PHONE = Room(width=320.0, tallest=190.0, left=0.0, animals=66.0, second=136.0, right=168.0, bar=8.0, gap=6.0,
             labels_beside=False, kind="flow draw-phone")  # fmt: skip
TOP, LABEL = 22.0, 2.0 * LINE
"""Room above the flows for the labels of the phone drawing, and room of a label of two lines. [px]"""


@dataclass
class _Node:
    x: float
    top: float
    height: float
    taken_in: float = 0.0
    taken_out: float = 0.0


def flow_drawing(stages: Stages, room: Room) -> Markup:
    """Return the flows of one element drawn for one width."""
    sheet, _ = laid_out(stages, room)
    return sheet.svg(stages.label, room.kind)


def laid_out(stages: Stages, room: Room) -> tuple[Sheet, float]:
    """Return the drawn sheet and its scale. [px per mg a week]"""
    scale = room.tallest / max(stages.total, 1e-9)
    ins = [s for s in stages.streams if s.source is None]
    outs = [s for s in stages.streams if s.target is None]
    ends = _column(outs, scale, room)
    begins = _column(ins, scale, room)
    height = TOP + max(_height(ends), _height(begins)) + LINE
    shift = 0.5 * max(0.0, _height(ends) - _height(begins))
    begins = [(top + shift, tall) for top, tall in begins]
    sheet = Sheet(room.width, height)
    nodes = _nodes(stages, outs, ends, ins, begins, scale, room)
    for stream in stages.streams:
        _draw(sheet, stream, nodes, dict(zip(map(id, ins), begins, strict=True)),
              dict(zip(map(id, outs), ends, strict=True)), scale, room)  # fmt: skip
    for node in nodes.values():
        sheet.add("rect", class_="node", x=node.x, y=node.top, width=room.bar, height=max(node.height, 1.0))
    _label_ends(sheet, outs, ends, room)
    _label_begins(sheet, ins, begins, room)
    _label_nodes(sheet, stages, nodes, scale, room)
    lowest = max([node.top + node.height for node in nodes.values()] + [box.bottom for box in sheet.boxes])
    sheet.height = max(sheet.height, lowest + 4.0)
    return sheet, scale


def _column(streams: Sequence[Stream], scale: float, room: Room) -> list[tuple[float, float]]:
    """Return top and height of the room of each end: tall enough for its flow and for its label."""
    top, found = TOP, []
    for stream in streams:
        tall = max(scale * stream.mg, LABEL)
        found.append((top, tall))
        top += tall + room.gap
    return found


def _height(places: Sequence[tuple[float, float]]) -> float:
    return places[-1][0] + places[-1][1] - TOP if places else 0.0


def _nodes(
    stages: Stages, outs: Sequence[Stream], ends: Sequence[tuple[float, float]], ins: Sequence[Stream],
    begins: Sequence[tuple[float, float]], scale: float, room: Room,
) -> dict[str, _Node]:  # fmt: skip
    """Return the three bars; each stands beside what it gives to or gets from, the dirt below the water."""
    found: dict[str, _Node] = {}
    floor = TOP
    for name in (WATER, DIRT):
        height = scale * stages.through(name)
        middles = [top + 0.5 * tall for s, (top, tall) in zip(outs, ends, strict=True) if s.source == name]
        middle = 0.5 * (middles[0] + middles[-1]) if middles else floor + 0.5 * height
        top = max(floor, middle - 0.5 * height)
        found[name] = _Node(room.second, top, height)
        if height > 0.0:
            floor = top + height + 30.0
    fed = [top for s, (top, _) in zip(ins, begins, strict=True) if s.target == ANIMALS]
    found[ANIMALS] = _Node(room.animals, fed[0] if fed else TOP, scale * stages.through(ANIMALS))
    return {name: node for name, node in found.items() if node.height > 0.0}


def _draw(
    sheet: Sheet, stream: Stream, nodes: dict[str, _Node], begins: dict[int, tuple[float, float]],
    ends: dict[int, tuple[float, float]], scale: float, room: Room,
) -> None:  # fmt: skip
    """Draw one flow: a filled body and two edges in the line style of how it is known."""
    wide = scale * stream.mg
    if stream.source is None:
        top, tall = begins[id(stream)]
        x1, y1 = room.left, top + 0.5 * (tall - wide)
    else:
        node = nodes[stream.source]
        x1, y1 = node.x + room.bar, node.top + node.taken_out
        node.taken_out += wide
    if stream.target is None:
        top, tall = ends[id(stream)]
        x2, y2 = room.right, top + 0.5 * (tall - wide)
    else:
        node = nodes[stream.target]
        x2, y2 = node.x, node.top + node.taken_in
        node.taken_in += wide
    middle = short(0.5 * (x1 + x2))
    upper = f"M{short(x1)} {short(y1)}C{middle} {short(y1)} {middle} {short(y2)} {short(x2)} {short(y2)}"
    low1, low2 = short(y1 + wide), short(y2 + wide)
    back = f"L{short(x2)} {low2}C{middle} {low2} {middle} {low1} {short(x1)} {low1}Z"
    lower = f"M{short(x1)} {low1}C{middle} {low1} {middle} {low2} {short(x2)} {low2}"
    sheet.add("path", class_=f"body m-{stream.material}", d=upper + back)
    sheet.add("path", class_=f"edge {stream.how} m-{stream.material}", d=upper + lower)


def _label_ends(sheet: Sheet, outs: Sequence[Stream], ends: Sequence[tuple[float, float]], room: Room) -> None:
    for stream, (top, tall) in zip(outs, ends, strict=True):
        name = stream.name if room.labels_beside else stream.short_name
        sheet.block(room.right + (14.0 if room.labels_beside else 8.0), top + 0.5 * (tall - LABEL) + 2.0,
                    ((name, "b"), (stream.said, "t2")), "start")  # fmt: skip


def _label_begins(sheet: Sheet, ins: Sequence[Stream], begins: Sequence[tuple[float, float]], room: Room) -> None:
    for stream, (top, tall) in zip(ins, begins, strict=True):
        middle = top + 0.5 * tall
        if room.labels_beside:
            lines = ((stream.name, "b"), (stream.said, "t2"))
            sheet.block(room.left - 14.0, middle - LINE + 2.0, lines, "end")
        elif tall > LABEL + 1.0:
            lines = ((stream.short_name, "b"), (number(stream.mg), ""))
            sheet.block(6.0, middle - LINE + 2.0, lines, "start")
        else:
            sheet.block(
                0.0, middle - 0.5 * LINE + 2.0, ((f"{stream.short_name} {number(stream.mg)}", "b halo"),), "start"
            )


def _label_nodes(sheet: Sheet, stages: Stages, nodes: dict[str, _Node], scale: float, room: Room) -> None:
    """Write what stands between the ends; the table holds all of it, so a label without room is left out."""
    _label_animals(sheet, stages, nodes, room)
    taken = 0.0
    for stream in (s for s in stages.streams if s.source == ANIMALS):
        node, wide = nodes[ANIMALS], scale * stream.mg
        top, taken = node.top + taken, taken + wide
        if stream.target is None:
            continue
        x = node.x + room.bar + (14.0 if room.labels_beside else 5.0)
        for lines in _said_inside(stream, room):
            tall = LINE * len(lines)
            if tall <= wide and sheet.block(x, top + min(0.5 * (wide - tall), 10.0) + 2.0, lines, "start"):
                break
        else:
            lines = tuple((text, f"{kind} halo") for text, kind in _said_inside(stream, room)[-1])
            sheet.block(x, top + 0.5 * (wide - LINE) + 2.0, lines, "start")
    if room.labels_beside and WATER in nodes:
        node = nodes[WATER]
        lines = (("In the water", "b"), (f"{number(stages.through(WATER))} a week", ""))
        sheet.block(node.x - 12.0, node.top + node.height - LABEL - 6.0, lines, "end")


def _label_animals(sheet: Sheet, stages: Stages, nodes: dict[str, _Node], room: Room) -> None:
    node = nodes.get(ANIMALS)
    if node is None:
        return
    if not room.labels_beside:
        sheet.block(node.x + 0.5 * room.bar, node.top - LINE, ((stages.animals, "b halo"),), "middle")
        return
    lines = ((stages.animals, "b"), ("eat it" if stages.several else "eats it", ""))
    sheet.block(node.x - 12.0, node.top + 0.5 * node.height - LINE, lines, "end")


def _said_inside(stream: Stream, room: Room) -> list[tuple[tuple[str, str], ...]]:
    """Return what may be written into a middle flow, the longest first."""
    amount = number(stream.mg)
    if not room.labels_beside:
        return [((amount, "b"), (stream.short_name, "")), ((f"{amount} {stream.short_name}", "b"),)]
    first = (f"{amount} {stream.name}", "b")
    return [(first, *((line, "") for line in stream.remark)), (first,)]
