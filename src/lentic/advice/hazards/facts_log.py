"""Facts from the log: the last readings while they are fresh, changes, cleaning, food."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from lentic.advice.hazards.facts_tank import known_only
from lentic.catalogue import Conditioner, Food, resolve
from lentic.catalogue.hazards import Known, PartSet, fact_kinds
from lentic.catalogue.signs import signs_in
from lentic.logbook import own
from lentic.logbook.events import Change, Dose, Event, Feed, Flow, Leftovers, Power, Reading, Rinse, Sign, TopUp
from lentic.logbook.tank import Tank
from lentic.logbook.units import QUANTITIES
from lentic.science.ammonia import unionised_share
from lentic.science.constants import HYDROGEN, NITROGEN

FRESH_D: Final[Mapping[str, float]] = {
    "ph": 14.0, "kh": 30.0, "gh": 60.0, "ammonia": 7.0, "nitrite": 7.0, "nitrate": 14.0, "oxygen": 7.0,
    "temperature": 2.0, "surface_temperature": 60.0, "uvi": 3650.0,
}  # fmt: skip
"""Days after which a reading says nothing of today; common practice, no source."""
SHOWN: Final[Mapping[str, tuple[str, str, str]]] = {
    "reading.ph": ("ph", "ph", "pH"),
    "reading.kh": ("kh", "dkh", "dKH"),
    "reading.gh": ("gh", "dgh", "dGH"),
    "reading.ammonia_total": ("ammonia", "mg/ln", "mg/L N"),
    "reading.nitrite": ("nitrite", "mg/lno2", "mg/L NO2"),
    "reading.nitrate": ("nitrate", "mg/lno3", "mg/L NO3"),
    "reading.oxygen": ("oxygen", "mg/l", "mg/L"),
    "reading.water_C": ("temperature", "", "°C"),
    "bask.surface_C": ("surface_temperature", "", "°C"),
    "lamp.uvb.uvi": ("uvi", "", ""),
}
"""Facts that are a reading: its quantity, the unit the fact has (folded; empty: as kept), and that unit in words."""
BIG_CHANGE, FULL_CHANGE = 0.25, 0.9
"""Shares of the water from which a change counts as big, and as full."""
TOGETHER_D = 14.0
"""Smaller changes within so many days renew the water as one big one does; common practice, no source. [d]"""
COLDER_K = 1.0
SIGN_D = 14.0
"""A sign written down longer ago is history, not news; common practice, no source. [d]"""
DIET_D, MEDICINE_D = 30.0, 60.0
_ONLY: Final[Mapping[str, str]] = {
    "gammarus_dried": "dried_shrimp", "iceberg": "lettuce", "romaine": "lettuce", "red_leaf": "lettuce",
    "chicken_liver": "meat", "pellet_adult": "complete_pellet", "pellet_juvenile": "complete_pellet",
}  # fmt: skip


def latest(events: Iterable[Event], quantity: str, now: datetime, days: float) -> Reading | None:
    """Return the last reading of a quantity that is not too old; one beyond the scale is still a reading."""
    read = [e for e in events if isinstance(e, Reading) and e.quantity == quantity and e.time <= now]
    last = max(read, key=lambda e: e.time, default=None)
    return last if last is not None and now - last.time <= timedelta(days=days) else None


def shown(reading: Reading, unit: str) -> float:
    """Return a reading in another unit of its quantity."""
    if not unit:
        return reading.value
    units = QUANTITIES[reading.quantity].units
    return reading.value / units[unit].convert(1.0) if unit in units else reading.value


def reading_facts(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known]:
    """Return the last readings as facts; free ammonia follows from the other three."""
    known: dict[str, Known | None] = {}
    for name, (quantity, unit, _) in SHOWN.items():
        found = latest(events, quantity, now, FRESH_D[quantity])
        known[name] = None if found is None else shown(found, unit)
    total, ph, water = (known[f"reading.{name}"] for name in ("ammonia_total", "ph", "water_C"))
    if isinstance(total, float) and isinstance(ph, float) and isinstance(water, float):
        free = total * float(unionised_share(ph, water))
        known["reading.ammonia_free"] = free * (NITROGEN + 3 * HYDROGEN) / NITROGEN
    uvi = latest(events, "uvi", now, FRESH_D["uvi"])
    if any(lamp.use in ("uvb", "basking_uvb") for lamp in tank.lamps):
        known["lamp.uvb.measured"] = uvi is not None
    if uvi is not None:
        known["lamp.uvb.reading_age_days"] = (now - uvi.time) / timedelta(days=1)
    for fact, quantity in (("tap.nitrate", "tap_nitrate"), ("tap.gh", "tap_gh")):
        tap = latest(events, quantity, now, 365.0)
        if tap is not None:
            known[fact] = shown(tap, "mg/lno3" if quantity == "tap_nitrate" else "dgh")
    return known_only(known)


def log_facts(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known]:
    """Return what the log tells of changes, cleaning, devices and food."""
    return known_only(
        {**_changes(tank, events, now), **_gaps(tank, events, now), **_filter(tank, events, now),
         **_dosed(events, now), **_food(tank, events, now)}
    )  # fmt: skip


def sign_facts(events: Sequence[Event], now: datetime) -> dict[str, Known]:
    """Return the health signs written down lately; that others are not written does not say that they are not there."""
    listed = fact_kinds()["seen.turtle"].values
    lately = [e for e in events if isinstance(e, Sign) and now - e.time <= timedelta(days=SIGN_D)]
    seen = {sign.id: e.time for e in reversed(lately) for sign in signs_in(e.note) if sign.id in listed}
    if not seen:
        return {}
    hours = (now - min(seen.values())) / timedelta(hours=1)
    return {"seen.turtle": PartSet(there=frozenset(seen)), "seen.turtle_hours": hours}


def _days(events: Sequence[Event], now: datetime) -> float:
    """Return how long the log is. [d]"""
    return (now - min((e.time for e in events), default=now)) / timedelta(days=1)


def _changes(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known | None]:
    changes = [(e.time, e.share_of(tank.water_litres)) for e in events if isinstance(e, Change)]
    if not events or any(share is None for _, share in changes):
        return {}
    shares = [(moment, share) for moment, share in changes if share is not None]
    big = [moment for moment, _ in shares if _renewed(shares, moment) >= BIG_CHANGE - 1e-9]
    week = now - timedelta(days=7)
    last = max((moment for moment, _ in shares), default=None)
    tops = any(isinstance(e, TopUp) for e in events)
    water = latest(events, "temperature", now, FRESH_D["temperature"])
    tap = tank.source_water.temperature_c
    fresh = last is not None and now - last <= timedelta(days=1)
    colder = None if water is None or tap is None else tap < water.value - COLDER_K
    return {
        # a log without such a change says only that it lies further back than the log reaches
        "log.days_since_big_change": (now - max(big)) / timedelta(days=1) if big else _days(events, now),
        "log.full_changes_7d": float(sum(share >= FULL_CHANGE and moment > week for moment, share in shares)),
        "log.topup_only_days": (now - last) / timedelta(days=1) if last else _days(events, now) if tops else None,
        "log.cold_refill_24h": colder if fresh else False,
    }


def _renewed(shares: Sequence[tuple[datetime, float]], moment: datetime) -> float:
    """Return the share of the water changed up to a moment, in one go or within two weeks."""
    return sum(share for when, share in shares if timedelta(0) <= moment - when <= timedelta(days=TOGETHER_D))


def _gaps(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known | None]:
    found: dict[str, Known | None] = {}
    tap = tank.source_water
    for key, unit, given in (("ph", "ph", tap.ph), ("kh", "dkh", tap.kh_dkh), ("gh", "dgh", tap.gh_dgh)):
        here, there = latest(events, key, now, FRESH_D[key]), latest(events, f"tap_{key}", now, 365.0)
        at_tap = shown(there, unit) if there is not None else given
        if here is not None and at_tap is not None:
            found[f"log.{key}_gap_to_tap"] = abs(shown(here, unit) - at_tap)
    found["log.kh_drop_14d_pct"] = _kh_drop(events, now)
    return found


def _kh_drop(events: Sequence[Event], now: datetime) -> float | None:
    """Return by how much KH fell between two readings about two weeks apart, scaled to two weeks. [%]"""
    read = sorted((e for e in events if isinstance(e, Reading) and e.quantity == "kh"), key=lambda e: e.time)
    if not read or now - read[-1].time > timedelta(days=14):
        return None
    last = read[-1]
    earlier = [e for e in read if timedelta(days=10) <= last.time - e.time <= timedelta(days=21) and e.value > 0]
    if not earlier:
        return None
    first = min(earlier, key=lambda e: abs((last.time - e.time) - timedelta(days=14)))
    return 100.0 * (1.0 - last.value / first.value) * 14.0 / ((last.time - first.time) / timedelta(days=1))


def _filter(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known | None]:
    if tank.filter is None or tank.filter.type == "none" or not events:
        return {}
    rinsed = [e.time for e in events if isinstance(e, Rinse)]
    power = max((e for e in events if isinstance(e, Power)), key=lambda e: e.time, default=None)
    off = 0.0 if power is None or power.on else (now - power.time) / timedelta(hours=1)
    flows = [e for e in events if isinstance(e, Flow)]
    clean = max((f for f in (tank.filter.flow_l_h, *(e.litres_per_hour for e in flows)) if f), default=None)
    last = max(flows, key=lambda e: e.time, default=None)
    return {
        "filter.off_hours": off,
        "filter.flow_share": last.litres_per_hour / clean if last is not None and clean else None,
        "log.days_since_filter_clean": (now - max(rinsed)) / timedelta(days=1) if rinsed else _days(events, now),
    }


def _dosed(events: Sequence[Event], now: datetime) -> dict[str, Known | None]:
    """Return the conditioner last dosed, if the log names one of the catalogue."""
    doses = [e for e in events if isinstance(e, Dose) and now - e.time <= timedelta(days=MEDICINE_D)]
    for dose in sorted(doses, key=lambda e: e.time, reverse=True):
        record = resolve("conditioner", dose.substance)
        if isinstance(record, Conditioner):
            return {"conditioner.kind": record.id}
    return {}


def _food(tank: Tank, events: Sequence[Event], now: datetime) -> dict[str, Known | None]:
    fed = [e for e in events if isinstance(e, Feed) and now - e.time <= timedelta(days=DIET_D)]
    if not fed:
        return {}
    foods = {e.food: own.food(tank, e.food) for e in fed}
    records = [food for food in foods.values() if food is not None]
    whole = len(records) == len(foods)
    complete = any("complete" in food.words("kind") for food in records)
    a_month = DIET_D / max(min(DIET_D, _days(events, now)), 7.0)
    left = [
        e for e in events if isinstance(e, Leftovers) and now - e.time <= timedelta(days=14) and e.fraction is not None
    ]
    known: dict[str, Known | None] = {
        "feed.fed": any(now - e.time <= timedelta(days=1) for e in fed),
        "feed.d3": True if complete else None,
        "feed.only": _only(records) if whole else None,
        "feed.ca_to_p_30d": _calcium_to_phosphorus(fed, foods) if whole else None,
        "feed.left_after_15min_pct": 100.0 * max(e.fraction or 0.0 for e in left) if left else None,
    }
    if whole:
        known["feed.thiaminase_meals_per_month"] = a_month * sum(_has_thiaminase(foods[e.food]) for e in fed)
        # no liver in the log says nothing of vitamin drops
        known["feed.liver_or_drops_per_month"] = a_month * sum("liver" in e.food for e in fed) or None
    return known


def _has_thiaminase(food: Food | None) -> bool:
    fact = food.fact("thiaminase") if food else None
    return fact is not None and (fact.value is True or fact.text.startswith(("yes", "high")))


def _only(records: Sequence[Food]) -> str | None:
    """Return the single food the diet is made of; mixed from two groups on."""
    groups = {_ONLY.get(food.id, "complete_pellet" if "complete" in food.words("kind") else "") for food in records}
    if len(groups) > 1:
        return "mixed"
    return groups.pop() or ("mixed" if len(records) > 1 else None)


def _calcium_to_phosphorus(fed: Sequence[Feed], foods: Mapping[str, Food | None]) -> float | None:
    """Return calcium to phosphorus of what was fed, by mass; None while one food does not say. [-]"""
    calcium = phosphorus = 0.0
    for feed in fed:
        food = foods[feed.food]
        ca, p = (food.fact(key) if food else None for key in ("calcium_mg_100g", "phosphorus_mg_100g"))
        if ca is None or p is None:
            return None
        calcium += feed.grams * ca.middle
        phosphorus += feed.grams * p.middle
    return calcium / phosphorus if phosphorus else None
