"""One sentence about a reading: what it is, how it stands, whom it concerns, who says so, whether to believe it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from lentic.advice.estimate import Estimate
from lentic.advice.findings import HOW_WORDS
from lentic.catalogue import references
from lentic.catalogue.targets import LEVELS, Inputs, Target

_WORDS: Final = {
    "good": "good", "watch": "to be watched", "act": "to be acted on today", "emergency": "an emergency",
}  # fmt: skip
_WHOM: Final = {
    "fish": "the fish", "turtle": "the turtle", "filter": "the filter film", "plants": "the plants",
    "keeper": "your work", "tank": "the tank",
}  # fmt: skip


@dataclass(frozen=True, kw_only=True)
class Said:
    """A sentence with all that stands behind it."""

    about: str
    sentence: str
    known: Estimate | None = None
    level: str | None = None
    protects: str = ""
    source: str = ""
    believe: Literal["yes", "repeat"] = "yes"


def said(
    about: str,
    sentence: str,
    known: Estimate | None = None,
    level: str | None = None,
    protects: str = "",
    source: str = "",
) -> Said:
    """Return a sentence."""
    return Said(about=about, sentence=sentence, known=known, level=level, protects=protects, source=source)


def judged(about: str, text: str, known: Estimate, rows: Sequence[Target], inputs: Inputs, fish: bool = True) -> Said:
    """Return a reading held against the levels that hold here, the strictest of them."""
    levels = [(LEVELS.index(level), row) for row in rows if (level := row.level(known.value, inputs)) is not None]
    if not levels:
        return said(about, f"{text}.", known)
    place, row = max(levels, key=lambda each: each[0])
    both = {row.level(known.low, inputs), row.level(known.high, inputs)} - {None}
    doubt = len(both) > 1 and place > 0
    first = next((each for each in row.protects if fish or each != "fish"), row.protects[0])
    whom = _WHOM.get(first, first)
    sentence = (
        f"{text}: {_WORDS[LEVELS[place]]}, for {whom}" + (", though the kit leaves it open" if doubt else "") + "."
    )
    source = references().get(row.sources[0], "")
    if row.says:
        source = f"{HOW_WORDS[row.how]}: {row.says.split(';')[0].split('. ')[0]}"
    return Said(about=about, sentence=sentence, known=known, level=LEVELS[place], protects=first, source=source)
