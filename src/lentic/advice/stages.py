"""The balance in two stages, as it is drawn: what the animals get, and what of it dissolves or falls as dirt.

The books of the model hold what enters and what leaves. What passes between is the rest of a sum, worked out here from
the middle values: dirt is what is siphoned and rinsed, and what an animal neither keeps nor leaves as such dirt
dissolves. Dirt that rots in the tank counts as dissolved.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from lentic.advice.balance import INPUTS, OUTPUTS, Balance
from lentic.advice.words import Spread, number

ANIMALS, WATER, DIRT = "animals", "water", "dirt"
OWN, ESTIMATE, ASSUMPTION = "own", "est", "asm"
"""How a number is known: own log or reading, estimate, assumption. A product carries the weaker of two."""
MATERIALS: Mapping[str, str] = {
    "food": "food", "tap": "water", "planted": "plant", "change": "water", "siphon": "dirt", "rinse": "dirt",
    "thinning": "plant", "scraping": "algae", "gas": "air", "growth": "growth", "stored": "unknown", "given": "unknown",
    "dissolves": "water", "drops": "dirt",
}  # fmt: skip
NAMES: Mapping[str, tuple[str, str]] = {
    "food": ("Food", "Food"), "tap": ("Tap water", "Tap"), "planted": ("Plants put in", "Planted"),
    "given": ("From what it held", "Held"), "change": ("Water changes", "Water changes"),
    "thinning": ("Plants taken out", "Plants out"), "scraping": ("Algae scraped", "Algae scraped"),
    "gas": ("Into the air", "Into the air"), "stored": ("Still there or not known", "Not known"),
    "siphon": ("Dirt siphoned", "Dirt siphoned"), "rinse": ("Filter dirt rinsed", "Filter rinsed"),
    "growth": ("Growth", "Growth"), "dissolves": ("dissolve", "water"), "drops": ("leave as dirt", "dirt"),
}  # fmt: skip
"""Name of a flow in the wide drawing and on a phone."""
LEFT_OVER = ("stored", "given")
"""What the log cannot explain; it has a width like all others, and the line of what nobody measured."""
OUT_OF_WATER, OUT_OF_DIRT = ("change", "thinning", "scraping", "gas"), ("siphon", "rinse")
ELEMENT_NAMES: Mapping[str, str] = {"N": "nitrogen", "P": "phosphorus"}
REMARK: Mapping[str, tuple[str, ...]] = {"N": ("as ammonia; the filter", "makes nitrate of it"), "P": ("as phosphate",)}


@dataclass(frozen=True, kw_only=True)
class Stream:
    """One flow as it is drawn; no source means that it comes in, no target that it leaves. [mg/week]"""

    key: str
    name: str
    short_name: str
    material: str
    how: str
    mg: float
    said: str
    source: str | None
    target: str | None
    remark: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Stages:
    """All flows of one element in the order in which they are drawn, from top to bottom."""

    element: str
    label: str
    animals: str
    several: bool
    streams: tuple[Stream, ...]

    @property
    def total(self) -> float:
        """The larger side of the balance. [mg/week]"""
        came = sum(s.mg for s in self.streams if s.source is None)
        return max(came, sum(s.mg for s in self.streams if s.target is None))

    def through(self, node: str) -> float:
        """Return what passes a node: the larger of what it gets and gives. [mg/week]"""
        gets = sum(s.mg for s in self.streams if s.target == node)
        return max(gets, sum(s.mg for s in self.streams if s.source == node))


def stages_of(balance: Balance, element: str, animals: Sequence[str], how: Mapping[str, str]) -> Stages:
    """Return the flows of one element in two stages; `how` says of each flow how it is known."""
    middles = {flow: balance.spread(flow, element).p50 or 0.0 for flow in (*INPUTS, *OUTPUTS)}
    stored = balance.spread("stored", element)
    sums = {flow: max(value, 0.0) for flow, value in middles.items()}
    sums["given"] = max(-middles["stored"], 0.0)
    dirt = sum(sums[flow] for flow in OUT_OF_DIRT)
    eaten = max(sums["food"] - sums["growth"], 0.0)
    drops = min(dirt, eaten)
    # where more dirt left than the food of these weeks can have made, it had been lying there
    given_to = DIRT if dirt > eaten else WATER
    sums |= {"drops": drops, "dissolves": eaten - drops}
    least = 1e-3 * max(sums["food"] + sums["tap"], 1e-9)
    spreads = {f: balance.spread(f, element) for f in (*INPUTS, *OUTPUTS)} | {"given": _turned(stored)}
    streams = tuple(
        _stream(key, element, sums[key], spreads.get(key), how, source, target)
        for key, source, target in _order(given_to)
        if sums[key] > least
    )
    return Stages(
        element=element, animals=_named(animals), several=len(animals) != 1, streams=streams,
        label=f"Flow of {ELEMENT_NAMES[element]} through the tank, mg a week; the table below holds the same numbers",
    )  # fmt: skip


def _order(given_to: str) -> list[tuple[str, str | None, str | None]]:
    """Return every flow with where it comes from and goes to, from top to bottom as they are drawn."""
    return [
        *((flow, None, WATER) for flow in ("tap", "planted")),
        *((("given", None, WATER),) if given_to == WATER else ()),
        ("food", None, ANIMALS),
        *((("given", None, DIRT),) if given_to == DIRT else ()),
        ("dissolves", ANIMALS, WATER),
        ("drops", ANIMALS, DIRT),
        *((flow, WATER, None) for flow in (*OUT_OF_WATER, "stored")),
        *((flow, DIRT, None) for flow in OUT_OF_DIRT),
        ("growth", ANIMALS, None),
    ]


def _stream(
    key: str, element: str, mg: float, spread: Spread | None, how: Mapping[str, str],
    source: str | None, target: str | None,
) -> Stream:  # fmt: skip
    name, short_name = NAMES[key]
    return Stream(
        key=key, name=name, short_name=short_name, material=MATERIALS[key], mg=mg,
        how=ASSUMPTION if key in LEFT_OVER else how.get(key, ESTIMATE),
        said=_said(mg, spread), source=source, target=target, remark=REMARK[element] if key == "dissolves" else (),
    )  # fmt: skip


def _said(mg: float, spread: Spread | None) -> str:
    if spread is None or spread.p10 is None or spread.p90 is None:
        return number(mg)
    return f"{number(mg)} ({number(spread.p10)} to {number(spread.p90)})"


def _turned(spread: Spread) -> Spread:
    """Return what the tank stores as what it gives."""
    low, middle, high = (None if x is None else -x for x in (spread.p90, spread.p50, spread.p10))
    return Spread(p10=low, p50=middle, p90=high)


def _named(animals: Sequence[str]) -> str:
    """Return one animal's name, or a word for several."""
    return animals[0] if len(animals) == 1 else "The animals"
