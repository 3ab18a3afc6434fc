"""A tank explained to a visitor: where waste comes from and goes, what the keeper can turn, what is not known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lentic.advice.balance import INPUTS, NAMES, OUTPUTS, Balance
from lentic.advice.decide import Bench
from lentic.advice.routine import BUCKET_L, LEAST_RATION, Routine
from lentic.advice.words import Spread, buckets, number
from lentic.logbook.tank import Tank

LEAST_SHARE = 0.02
"""Flows below this share of what comes in are left out of the page. [-]"""
LESS_LIGHT_H = 1.0
MORE_PLANTS_G = 100.0


@dataclass(frozen=True, kw_only=True)
class Part:
    """One flow of nitrogen: name, mg a week with range, and its share of what comes in."""

    name: str
    mg_per_week: Spread
    percent: int


@dataclass(frozen=True, kw_only=True)
class Lever:
    """One thing the keeper can turn, and what it does to nitrate."""

    what: str
    effect: str


@dataclass(frozen=True, kw_only=True)
class Explained:
    """One tank in words that a visitor understands."""

    tank: str
    facts: tuple[str, ...]
    sentence: str
    comes: tuple[Part, ...]
    goes: tuple[Part, ...]
    levers: tuple[Lever, ...]
    unknown: tuple[str, ...]
    origin: str


def explained_of(tank: Tank, balance: Balance, bench: Bench, readings: int) -> Explained:
    """Return the page of one tank from its balance and from three levers tried on the same possible tanks."""
    total = sum(balance.spread(flow, "N").p50 or 0.0 for flow in INPUTS)
    comes, goes = _parts(balance, INPUTS, total), _parts(balance, OUTPUTS, total)
    return Explained(
        tank=tank.name, facts=_facts(tank), sentence=_sentence(comes, goes), comes=comes, goes=goes,
        levers=_levers(bench), unknown=_unknown(tank), origin=_origin(balance, readings, bench),
    )  # fmt: skip


def _parts(balance: Balance, flows: Sequence[str], total: float) -> tuple[Part, ...]:
    spreads = [(flow, balance.spread(flow, "N")) for flow in flows]
    kept = [(f, s) for f, s in spreads if total > 0.0 and abs(s.p50 or 0.0) >= LEAST_SHARE * total]
    ordered = sorted(kept, key=lambda each: -(each[1].p50 or 0.0))
    return tuple(
        Part(name=NAMES[flow], mg_per_week=spread, percent=round(100.0 * (spread.p50 or 0.0) / total))
        for flow, spread in ordered
    )


def _sentence(comes: Sequence[Part], goes: Sequence[Part]) -> str:
    if not comes or not goes:
        return "Too little is written down to say where this tank's nitrogen comes from."
    first = goes[0]
    return (
        f"Of 100 parts of nitrogen that come in, {comes[0].percent} are {comes[0].name}; "
        f"{max(first.percent, 0)} leave with {first.name}."
        if first.name != NAMES["stored"]
        else f"Of 100 parts of nitrogen that come in, {comes[0].percent} are {comes[0].name}; most of it stays for now."
    )


def _facts(tank: Tank) -> tuple[str, ...]:
    facts = []
    if tank.water_litres:
        facts.append(f"{number(tank.water_litres)} litres of water")
    facts += [
        f"{t.id}: {t.species or 'turtle'}" + (f", {number(t.mass_g)} g" if t.mass_g else "") for t in tank.turtles
    ]
    facts += [f"{p.species}" + (f", {number(p.wet_g)} g" if p.wet_g else "") for p in tank.plants]
    if tank.filter is not None and tank.filter.type:
        facts.append(f"{tank.filter.type.replace('_', ' ')} filter")
    return tuple(facts)


def _levers(bench: Bench) -> tuple[Lever, ...]:
    """Return three levers with what each does to nitrate, tried alone."""
    now = bench.now
    turned: list[tuple[str, Routine]] = [("A fifth less food", replace(now, ration=LEAST_RATION))]
    if now.litres:
        more = now.litres + 2.0 * BUCKET_L
        turned.append((f"{buckets(more)} a change instead of {number(now.litres)} L", replace(now, litres=more)))
    if bench.tank.plants:
        turned.append((f"{MORE_PLANTS_G:g} g more plants", replace(now, plants_g=MORE_PLANTS_G)))
    elif now.light_h > LESS_LIGHT_H:
        turned.append(("An hour less plant light", replace(now, light_h=now.light_h - LESS_LIGHT_H)))
    before = bench.before.nitrate
    return tuple(
        Lever(what=what, effect=_effect(before, bench.column("lever", what, to).tried.nitrate)) for what, to in turned
    )


def _effect(before: Spread, after: Spread) -> str:
    if before.p50 is None or after.p50 is None or after.p10 is None or after.p90 is None:
        return "cannot be said"
    told = (
        f"nitrate {number(after.p50)} mg/L as NO3 in eight weeks (8 in 10: {number(after.p10)} to {number(after.p90)})"
    )
    return f"{told}, instead of {number(before.p50)}"


def _unknown(tank: Tank) -> tuple[str, ...]:
    missing = [
        ("what the tap brings with it", tank.source_water.no3_mg_l is None),
        ("how much light the plants get", not any(lamp.ppfd for lamp in tank.lamps if lamp.use == "plants")),
        ("how much dirt lies in filter and gravel", True),
        ("what is eaten and what only dissolves", True),
    ]
    return tuple(text for text, there in missing if there)


def _origin(balance: Balance, readings: int, bench: Bench) -> str:
    return (
        f"Worked out from this tank's own log, {balance.begin:%d %B %Y} to {balance.end:%d %B %Y}, {readings} "
        f"readings, as what {bench.fit.ensemble.members} possible tanks that agree with it have in common. "
        "Numbers hold for this tank only."
    )
