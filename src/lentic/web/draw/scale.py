"""A scale: the plausible span as a hair line, the band wanted, the estimate as a box, the last reading as a dot.

Places are percents of the width, so that type keeps its size at each width.
"""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup, escape

from lentic.advice.words import Spread, number
from lentic.web.draw.chart import Dot
from lentic.web.draw.svg import Box, text_box

CLEAR = 8.0
"""Room between two figures under a scale. [px]"""


@dataclass(frozen=True, kw_only=True)
class Scale:
    """One quantity now: the span that is plausible, the band wanted (either end may be open), and what is known."""

    label: str
    low: float
    high: float
    wanted: tuple[float | None, float | None] = (None, None)
    estimate: Spread | None = None
    reading: Dot | None = None

    def share(self, value: float) -> float:
        """Return the place of a value along the span. [-]"""
        return min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)


def figures(scale: Scale, width: float) -> list[tuple[float, str, str]]:
    """Return the figures under a scale as value, anchor and text: limits first, an end only where there is room."""
    limits = [w for w in scale.wanted if w is not None and scale.low < w < scale.high]
    kept: list[tuple[float, str, str]] = [(w, "middle", number(w)) for w in limits]
    for value, anchor in ((scale.low, "start"), (scale.high, "end")):
        box = _box(scale, value, anchor, width)
        if all(not _wider(box).meets(_box(scale, v, a, width)) for v, a, _ in kept):
            kept.append((value, anchor, number(value)))
    return kept


def _box(scale: Scale, value: float, anchor: str, width: float) -> Box:
    return text_box(scale.share(value) * width, 36.0, number(value), anchor)


def _wider(box: Box) -> Box:
    return Box(box.left - CLEAR, box.top, box.right + CLEAR, box.bottom)


def scale_drawing(scale: Scale, narrowest: float = 260.0) -> Markup:
    """Return a scale whose figures have room down to the narrowest width. [px]"""
    parts = ['<line class="ax" x1="0" x2="100%" y1="12.5" y2="12.5"/>']
    low, high = scale.wanted
    if low is not None or high is not None:
        begin = scale.share(low) if low is not None else 0.0
        end = scale.share(high) if high is not None else 1.0
        parts.append(f'<rect class="wanted" x="{_percent(begin)}" y="8" width="{_percent(end - begin)}" height="9"/>')
        parts += [_upright("end", scale.share(w), 4, 21) for w in (low, high) if w is not None]
    parts += _estimate(scale) + _reading(scale)
    for value, anchor, said in figures(scale, narrowest):
        parts.append(f'<text class="t2" x="{_percent(scale.share(value))}" y="36" text-anchor="{anchor}">{said}</text>')
    inside = "".join(parts)
    return Markup(f'<svg class="scale" role="img" aria-label="{escape(scale.label)}">{inside}</svg>')


def _percent(share: float) -> str:
    return f"{100.0 * share:.1f}%"


def _upright(kind: str, share: float, top: float, bottom: float) -> str:
    return f'<line class="{kind}" x1="{_percent(share)}" x2="{_percent(share)}" y1="{top:g}" y2="{bottom:g}"/>'


def _estimate(scale: Scale) -> list[str]:
    found = scale.estimate
    if found is None or found.p10 is None or found.p50 is None or found.p90 is None:
        return []
    begin, end = scale.share(found.p10), scale.share(found.p90)
    wide = _percent(max(end - begin, 0.004))
    box = f'<rect class="est-box" x="{_percent(begin)}" y="5.5" width="{wide}" height="14"/>'
    return [box, _upright("est-mid", scale.share(found.p50), 5, 20)]


def _reading(scale: Scale) -> list[str]:
    dot = scale.reading
    if dot is None:
        return []
    low, high = _percent(scale.share(dot.low)), _percent(scale.share(dot.high))
    kind = "pt open" if dot.open else "pt"
    return [
        f'<line class="eb" x1="{low}" x2="{high}" y1="12.5" y2="12.5"/>',
        f'<circle class="{kind}" cx="{_percent(scale.share(dot.value))}" cy="12.5" r="4"/>',
    ]
