"""Levels at which a keeper acts, by what a forecast knows of a tank: the act lines of the catalogue's targets."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from lentic.advice.findings import HOW_WORDS
from lentic.catalogue import references
from lentic.catalogue.targets import Bound, Levels, Target, target
from lentic.logbook.tank import Tank


@dataclass(frozen=True, kw_only=True)
class Limit:
    """One level: above it, or below it, something is to be done."""

    quantity: str
    value: float
    unit: str
    above: bool
    protects: str
    source: str

    @property
    def sentence(self) -> str:
        """The limit in words."""
        side = "above" if self.above else "below"
        name = self.quantity.removesuffix("_dawn").removesuffix("_dusk").replace("ammonia_free", "free ammonia")
        name = {"kh": "KH", "ph": "pH"}.get(name, name)
        return f"{name} {side} {self.value:g} {self.unit}".strip() + f" ({self.protects})"


# What a forecast knows, the row of targets.toml it is judged by, its side, and what the line stands for.
_FISH: Final = (
    ("ammonia_free", "ammonia_free.fish", "high", "protects the fish"),
    ("nitrite", "nitrite.fish", "high", "protects the fish"),
    ("nitrate", "nitrate.fish", "high", "protects the fish"),
    ("oxygen_dawn", "oxygen.fish", "low", "protects the fish"),
)
_TURTLE: Final = (
    ("ammonia", "ammonia_total.turtle", "high", "the filter is behind"),
    ("nitrite", "nitrite.turtle", "high", "the filter is behind"),
    ("nitrate", "nitrate.turtle", "high", "a sign of the load"),
)
_ALL: Final = (
    ("kh", "kh.filter", "low", "protects the filter film"),
    ("ph_dusk", "ph.all", "high", "protects all animals"),
    ("ph_dawn", "ph.all", "low", "protects the filter film"),
)


def has_fish(tank: Tank) -> bool:
    """Tell whether fish live in the tank as it is described."""
    return any(fish.count is None or fish.count > 0 for fish in tank.fish)


def limits_for(tank: Tank) -> tuple[Limit, ...]:
    """Return the levels that hold for a tank; one fish switches the stricter rows on."""
    return tuple(_limit(*row) for row in (*(_FISH if has_fish(tank) else _TURTLE), *_ALL))


def limit_of(tank: Tank, quantity: str) -> Limit | None:
    """Return the level of one quantity, if there is one."""
    return next((limit for limit in limits_for(tank) if limit.quantity == quantity), None)


def nitrate_aim(tank: Tank) -> float:
    """Return the upper end of good nitrate in this tank. [mg/L NO3]"""
    return _fixed(_side(target("nitrate.fish" if has_fish(tank) else "nitrate.turtle"), "high").good)


def hungry_nitrate() -> float:
    """Return the nitrate under which plants go hungry. [mg/L NO3]"""
    return _fixed(_side(target("nitrate.fish"), "low").good)


def source_of(row: Target) -> str:
    """Say who says so, and how well it is known."""
    if row.how == "common-practice":
        return "common practice, no source"
    return f"{references()[row.sources[0]]} ({HOW_WORDS[row.how]})"


def _limit(quantity: str, id: str, side: str, protects: str) -> Limit:
    row = target(id)
    return Limit(
        quantity=quantity, value=_fixed(_side(row, side).watch), unit="" if row.unit == "1" else row.unit,
        above=side == "high", protects=protects, source=source_of(row),
    )  # fmt: skip


def _side(row: Target, side: str) -> Levels:
    levels = row.high if side == "high" else row.low
    assert levels is not None
    return levels


def _fixed(bound: Bound | None) -> float:
    assert bound is not None and bound.value is not None
    return bound.value
