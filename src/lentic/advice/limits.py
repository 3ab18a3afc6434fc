"""Levels at which a keeper acts, each with whom it protects and who says so; readings of a fish tank are stricter."""

from __future__ import annotations

from dataclasses import dataclass

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


_PRACTICE = "common practice, no source"
_FISH = (
    Limit(quantity="ammonia_free", value=0.02, unit="mg/L NH3", above=True, protects="protects the fish",
          source="Canadian guideline of 0.019 mg/L NH3, from memory"),
    Limit(quantity="nitrite", value=0.5, unit="mg/L NO2", above=True, protects="protects the fish", source=_PRACTICE),
    Limit(quantity="nitrate", value=80.0, unit="mg/L NO3", above=True, protects="protects the fish", source=_PRACTICE),
    Limit(quantity="oxygen_dawn", value=5.0, unit="mg/L", above=False, protects="protects the fish", source=_PRACTICE),
)  # fmt: skip
_TURTLE = (
    Limit(quantity="ammonia", value=2.0, unit="mg/L N", above=True, protects="the filter is behind", source=_PRACTICE),
    Limit(quantity="nitrite", value=2.0, unit="mg/L NO2", above=True, protects="the filter is behind",
          source=_PRACTICE),
    Limit(quantity="nitrate", value=120.0, unit="mg/L NO3", above=True, protects="a sign of the load",
          source=_PRACTICE),
)  # fmt: skip
_ALL = (
    Limit(quantity="kh", value=2.5, unit="dKH", above=False, protects="protects the filter film",
          source="nitrification unhindered at 45 mg/L CaCO3 and above, a published trial read as an abstract"),
    Limit(quantity="ph_dusk", value=9.0, unit="", above=True, protects="protects all animals", source=_PRACTICE),
    Limit(quantity="ph_dawn", value=6.5, unit="", above=False, protects="protects the filter film", source=_PRACTICE),
)  # fmt: skip


def has_fish(tank: Tank) -> bool:
    """Tell whether fish live in the tank as it is described."""
    return any(fish.count is None or fish.count > 0 for fish in tank.fish)


def limits_for(tank: Tank) -> tuple[Limit, ...]:
    """Return the levels that hold for a tank; one fish switches the stricter rows on."""
    return (*(_FISH if has_fish(tank) else _TURTLE), *_ALL)


def limit_of(tank: Tank, quantity: str) -> Limit | None:
    """Return the level of one quantity, if there is one."""
    return next((limit for limit in limits_for(tank) if limit.quantity == quantity), None)
