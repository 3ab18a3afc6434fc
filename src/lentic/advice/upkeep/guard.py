"""A judge of what was done at a tank: hands and power, heater and level, dirt and siphon; it knows no list of steps.

It replays a session on the simplest tank there is (plugs, level, heater, dirt in the water, hands) and says each
thing that should not have happened. The planner does not use it; tests and the closing of a session do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from lentic.advice.upkeep.graph import EFFECTS, Effect


@dataclass(frozen=True, kw_only=True)
class Deed:
    """One step as it was done."""

    step: str
    at: datetime


@dataclass(frozen=True, kw_only=True)
class Plugs:
    """What hangs on the mains at this tank."""

    any: bool
    heater: bool
    cool_min: float


@dataclass
class _Tank:
    """The tank as the replay sees it."""

    power: bool
    off_at: datetime | None = None
    low: bool = False
    old_water: bool = False
    prepared: bool = False
    hands_wet: bool = False
    loose: tuple[str, ...] = ()
    left_behind: tuple[str, ...] = ()


def violations(
    deeds: Sequence[Deed], plugs: Plugs, ended: bool, effects: Mapping[str, Effect] = EFFECTS
) -> tuple[str, ...]:
    """Return each thing that was done in an order that could harm, and what was left undone at the end."""
    tank = _Tank(power=plugs.any)
    found: list[str] = []
    for deed in deeds:
        found += [f"{deed.step}: {text}" for text in _wrong(tank, deed, effects[deed.step], plugs)]
        _apply(tank, deed, effects[deed.step])
    if ended:
        found += [f"end: {text}" for text in _undone(tank, plugs)]
    return tuple(found)


def _wrong(tank: _Tank, deed: Deed, effect: Effect, plugs: Plugs) -> list[str]:
    found = []
    if effect.hands and tank.power:
        found.append("hands in water while the power is on")
    if effect.lowers and plugs.heater:
        if tank.power or tank.off_at is None:
            found.append("the water falls while the heater has power")
        elif deed.at - tank.off_at < timedelta(minutes=plugs.cool_min):
            found.append("the water falls before the heater has cooled")
    if effect.loosens and tank.left_behind:
        found.append("dirt is loosened after the siphon")
    if effect.loosens in ("scale", "algae") and tank.low:
        found.append("panes are worked on after the water has fallen")
    if effect.fills and not tank.prepared:
        found.append("new water goes in that was not prepared")
    if effect.uses_old_water and not tank.old_water:
        found.append("there is no old tank water to rinse in")
    if effect.power and tank.low:
        found.append("power is put on before the tank is full")
    return found


def _apply(tank: _Tank, deed: Deed, effect: Effect) -> None:
    tank.prepared = tank.prepared or deed.step == "prepare"
    if effect.hands:
        tank.hands_wet = True
    if effect.loosens:
        tank.loose = (*tank.loose, effect.loosens)
        if tank.left_behind:
            tank.left_behind = (*tank.left_behind, effect.loosens)
    if effect.takes_out:
        tank.loose, tank.left_behind = (), ("nothing",)
    if effect.lowers:
        tank.low, tank.old_water = True, True
    if effect.fills:
        tank.low = False
    if effect.power is not None:
        tank.power = effect.power
        tank.off_at = None if effect.power else deed.at
    if effect.cleans:
        tank.hands_wet = False


def _undone(tank: _Tank, plugs: Plugs) -> list[str]:
    found = []
    if plugs.any and not tank.power:
        found.append("the power is still off")
    if tank.low:
        found.append("the tank was not filled up again")
    if tank.hands_wet:
        found.append("hands were not washed")
    if "algae" in tank.loose:
        found.append("loosened algae stayed in the tank")
    return found
