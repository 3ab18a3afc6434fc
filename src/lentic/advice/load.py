"""What food does to the water, by plain sums: nitrogen, nitrate before a change, carbonate used up.

The sums of a steady week, without plants; a fitted tank knows better, and where it was fitted it is asked instead.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.estimate import Estimate, between, exactly, follows
from lentic.catalogue import Food, common, resolve
from lentic.logbook.events import Change, Event, Feed, Leftovers
from lentic.logbook.tank import Tank
from lentic.science.change import steady_peak
from lentic.science.constants import WEEK_D
from lentic.science.food import food_nitrogen
from lentic.science.hardness import HARDNESS_UNITS, nitrate_from_nitrogen
from lentic.science.stoichiometry import alkalinity_per_nitrogen

DKH_PER_LIME: Final = HARDNESS_UNITS["mg/L CaCO3"] / HARDNESS_UNITS["°dH"]
"""Degrees of carbonate hardness in one mg/L of lime."""
LOOK_BACK: Final = timedelta(days=28)


@dataclass(frozen=True, kw_only=True)
class Load:
    """Nitrogen that food brings, and the habit of changes that takes it out."""

    food_g: float
    """Food a day. [g/d]"""
    eaten: Estimate
    """Nitrogen in it. [mg/d]"""
    weekly: Estimate
    """Nitrogen that reaches the water. [mg/week]"""
    litres: float
    fraction: float
    """Share of the water changed in a week."""
    unknown: tuple[str, ...] = ()
    """Foods whose protein is not known; their nitrogen is not counted."""

    @property
    def nitrate_rise(self) -> Estimate:
        """Rise of nitrate in a week when nothing takes it up. [mg/L NO3 a week]"""
        return self.weekly.times(float(nitrate_from_nitrogen(1.0)) / self.litres, "mg/L NO3 a week")

    def nitrate_before_change(self, tap: float, fraction: float | None = None) -> Estimate | None:
        """Return where nitrate settles before a weekly change; None without changes. [mg/L NO3]"""
        share = self.fraction if fraction is None else fraction
        if share <= 0.0:
            return None
        rise = self.nitrate_rise
        return follows(lambda r: float(steady_peak(tap, r / WEEK_D, share, WEEK_D)), rise, unit="mg/L NO3")

    @property
    def kh_of_nitrification(self) -> Estimate:
        """Carbonate hardness that turning the ammonium of this food into nitrate uses. [dKH a week]"""
        return self.weekly.times(-float(alkalinity_per_nitrogen(-2)) * DKH_PER_LIME / self.litres, "dKH a week")

    @property
    def kh_use(self) -> Estimate:
        """Carbonate hardness that is lost from food to nitrate. [dKH a week]

        Half of what nitrification uses: making the ammonium of the food's protein gave the other half before.
        """
        return self.weekly.times(-float(alkalinity_per_nitrogen(1 - 2)) * DKH_PER_LIME / self.litres, "dKH a week")

    def kh_supply(self, tap_kh: float, kh: float = 0.0) -> float:
        """Return the carbonate hardness that a week's changes bring in beyond what they take out. [dKH a week]"""
        return self.fraction * (tap_kh - kh)

    def days_to_kh(self, now: float, floor: float, tap_kh: float) -> Estimate | None:
        """Return the days until KH reaches a floor under this habit; None where it settles above it. [d]"""
        use = self.kh_use
        found = [_days_to(now, floor, tap_kh, self.fraction, each) for each in (use.high, use.value, use.low)]
        if math.isinf(found[1]):
            return None
        return between(found[0], found[1], found[2], "days", use.origin)


def _days_to(now: float, floor: float, tap: float, fraction: float, use: float) -> float:
    """Return the days to a floor when use is steady and the weekly change is spread over the week."""
    if now <= floor:
        return 0.0
    rate = fraction / WEEK_D
    if rate <= 0.0:
        return (now - floor) / (use / WEEK_D) if use > 0.0 else math.inf
    settles = tap - use / fraction
    if settles >= floor:
        return math.inf
    return math.log((now - settles) / (floor - settles)) / rate


def kh_settles(load: Load, tap_kh: float) -> Estimate | None:
    """Return where KH settles before a weekly change; below nought it is used up altogether. [dKH]"""
    if load.fraction <= 0.0:
        return None
    return follows(lambda use: tap_kh - use / load.fraction, load.kh_use, unit="dKH")


def load_from(food_g: float, protein: float, litres: float, fraction: float, origin: str) -> Load:
    """Return the load of one food by hand: grams a day, its protein as a share, litres of water, share changed."""
    eaten = exactly(1000.0 * food_g * float(food_nitrogen(protein)), "mg N a day", origin)
    return Load(food_g=food_g, eaten=eaten, weekly=_weekly(eaten), litres=litres, fraction=fraction)


def _weekly(eaten: Estimate) -> Estimate:
    share = common("foods")["n_to_water_share"]
    (low, high), middle = share.bounds, share.middle
    return between(
        eaten.low * low * WEEK_D, eaten.value * middle * WEEK_D, eaten.high * high * WEEK_D, "mg N a week",
        f"{eaten.origin}; {middle:.0%} ({low:.0%} to {high:.0%}) of it reaching the water, {share.origin}",
    )  # fmt: skip


def load_of(tank: Tank, events: Sequence[Event], now: datetime) -> Load | None:
    """Return the load of the last four weeks of a log; None without feeding or without the litres of the tank."""
    recent = [e for e in events if now - LOOK_BACK <= e.time <= now]
    feeds = [e for e in recent if isinstance(e, Feed)]
    if not feeds or not tank.water_litres:
        return None
    days = _days_fed(tank, feeds, now)
    known_for = max((now - min(e.time for e in events)).total_seconds() / 86400.0, 7.0)
    eaten, unknown = _nitrogen(tank, feeds, [e for e in recent if isinstance(e, Leftovers)], days)
    changed = sum(e.share_of(tank.water_litres) or 0.0 for e in recent if isinstance(e, Change))
    return Load(
        food_g=sum(e.grams for e in feeds) / days, eaten=eaten, weekly=_weekly(eaten), litres=tank.water_litres,
        fraction=min(changed * WEEK_D / min(known_for, LOOK_BACK.days), 1.0), unknown=unknown,
    )  # fmt: skip


def _days_fed(tank: Tank, feeds: Sequence[Feed], now: datetime) -> int:
    """Return the days of the tank's calendar that the feeds stand for; today only counts once it was fed."""
    first, last = (tank.local_date(end(e.time for e in feeds)) for end in (min, max))
    today = tank.local_date(now)
    return max((today - first).days + (1 if last == today else 0), 1)


def _nitrogen(
    tank: Tank, feeds: Sequence[Feed], left: Sequence[Leftovers], days: float
) -> tuple[Estimate, tuple[str, ...]]:
    low = middle = high = 0.0
    unknown: dict[str, None] = {}
    gone = {food: sum(e.grams or 0.0 for e in left if e.food == food) for food in {e.food for e in left}}
    for food in dict.fromkeys(e.food for e in feeds):
        grams = max(sum(e.grams for e in feeds if e.food == food) - gone.get(food, 0.0), 0.0) / days
        protein = protein_of(tank, food)
        if protein is None:
            unknown[food] = None
            continue
        ends = [1000.0 * grams * float(food_nitrogen(each)) for each in protein]
        low, middle, high = low + ends[0], middle + ends[1], high + ends[2]
    return between(low, middle, high, "mg N a day", "what your log says was fed"), tuple(unknown)


def protein_of(tank: Tank, food: str) -> tuple[float, float, float] | None:
    """Return the protein of a food as a share, least, middle and most: the packet's own before the catalogue's."""
    packet = next((p for p in tank.foods if p.id == food and p.protein is not None), None)
    if packet is not None and packet.protein is not None:
        return packet.protein, packet.protein, packet.protein
    record = resolve("food", food)
    fact = record.protein if isinstance(record, Food) else None
    return None if fact is None else (fact.bounds[0], fact.middle, fact.bounds[1])
