"""Small shapes that mean one thing everywhere: how urgent, how likely, how it is known."""

from __future__ import annotations

import math
from collections.abc import Mapping

from markupsafe import Markup

SHAPES: Mapping[str, str] = {
    "stop": '<polygon points="7.5,1 16.5,1 23,7.5 23,16.5 16.5,23 7.5,23 1,16.5 1,7.5" class="s-fill"/>'
            '<rect x="6" y="10.25" width="12" height="3.5" class="s-gap"/>',
    "act": '<polygon points="12,2 23.5,22 0.5,22" class="s-fill"/>',
    "warn": '<polygon points="12,2.5 21.5,12 12,21.5 2.5,12" class="s-line"/>',
    "note": '<circle cx="12" cy="12" r="9" class="s-line"/>',
    "due": '<rect x="3" y="3" width="18" height="18" class="s-line"/>',
    "inband": '<path d="M2 12h20M2 6v12M22 6v12" class="s-line"/>',
}  # fmt: skip
"""The six shapes of urgency: they differ in outline and in filled or open, so they hold without colour."""
WORDS: Mapping[str, str] = {
    "stop": "Stop", "act": "Act: today", "warn": "Warn: this week", "note": "Note", "due": "Due", "inband": "In band",
}  # fmt: skip
LIKELY, UNLIKELY = 8, 3
"""Chances in ten from which a wanted thing counts as in band, and below which it is a warning. [-]"""


def shape(severity: str) -> Markup:
    """Return the shape of a severity; the word always stands beside it."""
    return Markup(f'<svg class="shape" viewBox="0 0 24 24" aria-hidden="true">{SHAPES[severity]}</svg>')


def severity_mark(severity: str, word: str = "") -> Markup:
    """Return word and shape of a severity."""
    said = Markup.escape(word or WORDS[severity])
    return Markup('<span class="sev {}">{}{}</span>').format(severity, shape(severity), said)


def tenths(chance: float) -> int:
    """Return a chance in tenths; only what is nearly sure fills all ten, and only what is very unlikely none."""
    if not math.isfinite(chance):
        return 0
    if chance >= 0.95 or chance <= 0.05:
        return 10 if chance >= 0.95 else 0
    return max(1, min(9, round(chance * 10)))


def squares(chance: float) -> Markup:
    """Return ten squares, as many filled as a chance has tenths; the words stand beside them."""
    filled = tenths(chance)
    parts = "".join(
        f'<rect x="{1 + 16 * k}" y="1" width="12" height="12" class="{"tf" if k < filled else "te"}"/>'
        for k in range(10)
    )
    return Markup(f'<svg class="tens" width="158" height="14" viewBox="0 0 158 14" aria-hidden="true">{parts}</svg>')


def chance_severity(chance: float) -> str:
    """Return the shape that stands for the chance of something wanted."""
    tenth = tenths(chance)
    return "inband" if tenth >= LIKELY else "note" if tenth >= UNLIKELY else "warn"


def line_sample(how: str) -> Markup:
    """Return a short line in the style that says how something is known: own, est or asm."""
    return Markup(
        '<svg class="sample" width="34" height="10" viewBox="0 0 34 10" aria-hidden="true">'
        '<line class="edge {}" x1="1" y1="5" x2="33" y2="5"/></svg>'
    ).format(how)
