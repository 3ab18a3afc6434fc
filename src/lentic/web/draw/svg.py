"""A sheet to draw on: shapes and lettered labels, each label with the box it fills, so that none covers another.

No colour and no size of type stands here: shapes carry classes, and the style sheets give light, dark and print.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field

from markupsafe import Markup, escape

TYPE, LINE = 14.0, 18.0
"""Size of type in drawings and distance of lines. [px]"""
_NARROW, _WIDE, _CAPITAL = frozenset("ijlI.,:;'|!()[]ftr "), frozenset("mwMW%@—"), frozenset("ABCDEFGHKLNOPQRSTUVXYZ")


def text_width(text: str, bold: bool = False) -> float:
    """Return about how wide a line of text is at most in the system's letters. [px]"""
    widths = (0.42 if c in _NARROW else 0.98 if c in _WIDE else 0.75 if c in _CAPITAL else 0.64 for c in text)
    return TYPE * sum(widths) * (1.08 if bold else 1.0)


@dataclass(frozen=True)
class Box:
    """The room something takes. [px]"""

    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: Box) -> bool:
        """Tell whether two boxes cover each other."""
        apart = self.right <= other.left or other.right <= self.left
        return not (apart or self.bottom <= other.top or other.bottom <= self.top)


def text_box(x: float, y: float, text: str, anchor: str, bold: bool = False) -> Box:
    """Return the room of a line of text whose base line stands at y."""
    width = text_width(text, bold)
    left = x - {"start": 0.0, "middle": 0.5 * width, "end": width}[anchor]
    return Box(left, y - 0.8 * TYPE, left + width, y + 0.22 * TYPE)


def short(value: float) -> str:
    """Return a coordinate with one decimal at most."""
    return "0" if abs(value) < 0.05 else f"{value:.1f}".removesuffix(".0")


def attributes(**given: object) -> str:
    """Return attributes of an element; a trailing underscore is dropped, an inner one becomes a hyphen."""
    said = []
    for name, value in given.items():
        if value is None:
            continue
        text = short(value) if isinstance(value, float) else str(value)
        said.append(f'{name.rstrip("_").replace("_", "-")}="{escape(text)}"')
    return " ".join(said)


@dataclass
class Sheet:
    """A drawing in the making: its parts in order, and the boxes of its labels."""

    width: float
    height: float
    parts: list[str] = field(default_factory=list)
    boxes: list[Box] = field(default_factory=list)

    def add(self, element: str, **given: object) -> None:
        """Draw one empty element."""
        self.parts.append(f"<{element} {attributes(**given)}/>")

    def line(self, x1: float, y1: float, x2: float, y2: float, kind: str) -> None:
        """Draw a straight line."""
        self.add("line", class_=kind, x1=float(x1), y1=float(y1), x2=float(x2), y2=float(y2))

    def text(self, x: float, y: float, text: str, anchor: str = "start", kind: str = "") -> None:
        """Write a line of text, and keep its box."""
        self.boxes.append(text_box(x, y, text, anchor, "b" in kind.split()))
        given = attributes(
            class_=kind or None, x=float(x), y=float(y), text_anchor=None if anchor == "start" else anchor
        )
        self.parts.append(f"<text {given}>{escape(text)}</text>")

    def free(self, boxes: Iterable[Box]) -> bool:
        """Tell whether boxes lie on the sheet and touch no label."""
        listed = list(boxes)
        inside = all(b.left >= -0.5 and b.right <= self.width + 0.5 and b.top >= -0.5 for b in listed)
        return inside and not any(b.meets(other) for b in listed for other in self.boxes)

    def block(self, x: float, top: float, lines: Iterable[tuple[str, str]], anchor: str) -> bool:
        """Write lines below each other where there is room for all of them; tell whether there was."""
        listed = [(text, kind) for text, kind in lines if text]
        places = [top + 0.8 * TYPE + LINE * number for number in range(len(listed))]
        boxes = [text_box(x, y, t, anchor, "b" in k.split()) for y, (t, k) in zip(places, listed, strict=True)]
        if not self.free(boxes):
            return False
        for y, (text, kind) in zip(places, listed, strict=True):
            self.text(x, y, text, anchor, kind)
        return True

    def svg(self, label: str, kind: str) -> Markup:
        """Return the finished drawing; what it shows is said in a label, and in numbers beside it by the page."""
        given = attributes(
            class_=kind, viewBox=f"0 0 {short(self.width)} {short(self.height)}", role="img", aria_label=label
        )
        return Markup(f"<svg {given}>{''.join(self.parts)}</svg>")


def points(xs: Iterable[float], ys: Iterable[float]) -> str:
    """Return the points of a line."""
    return " ".join(f"{short(x)},{short(y)}" for x, y in zip(xs, ys, strict=True))
