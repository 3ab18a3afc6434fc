"""The words of each step, filled in for one tank: amounts, warmth, tools, minutes, and the one danger."""

from __future__ import annotations

import math

from lentic.advice.routine import BUCKET_L, BUCKET_MINUTES
from lentic.advice.upkeep.graph import Step, in_order, placed
from lentic.advice.upkeep.situation import NewWater, Situation
from lentic.advice.words import buckets, listed, number

STAIRS_BUCKET_L = 8.0
"""The fullest bucket that should be carried on stairs; common practice, no source. [L]"""
COOL_MIN = 15.0
"""A heater cools so long under water before the water may fall below it; common practice, no source. [min]"""
SETTLE_MIN = 4.0
"""Loosened algae sink or drift so long before the siphon takes them; common practice, no source. [min]"""
CANISTER_H = 2.0
"""The film of a closed canister uses up its oxygen in about so long; common practice, no source. [h]"""


def buckets_of(step: Step) -> int:
    """Return how many buckets a step moves; none where its litres are not known."""
    if step.id not in ("siphon", "refill") or not step.amount:
        return 0
    return math.ceil(step.amount / BUCKET_L)


def steps_for(situation: Situation) -> tuple[Step, ...]:
    """Return the steps of this session in a safe order, filled in for this tank."""
    made = [step for step in (make(situation) for make in _MAKERS) if step is not None]
    here = {step.id for step in made}
    return in_order([placed(step, here) for step in made])


def _look(s: Situation) -> Step:
    who = listed([*s.turtles, *(["the fish"] if s.fish else [])]) or "the tank"
    count = " and count the fish" if s.fish else ""
    return Step(
        id="look",
        title="Look first",
        minutes=3,
        asks="temperature",
        text=f"Look at {who}{count}. Read the thermometer. Take a photo of the glass.",
        why="What you see before you touch anything cannot be seen afterwards.",
    )


def _read(s: Situation) -> Step | None:
    if not s.readings:
        return None
    names = listed([{"kh": "KH"}.get(name, name) for name in s.readings])
    return Step(
        id="read",
        title=f"Test {names}",
        minutes=5.0 * len(s.readings),
        asks="readings",
        text=f"Test {names} now, before water is changed.",
        why="The last reading is old; a reading after the change says little.",
    )


def _prepare(s: Situation) -> Step:
    water = s.water
    parts = [_fill(water)]
    if water.at_least_c is not None and water.tank_c is not None:
        parts.append(_warmth(water))
    parts.append(_condition(water))
    return Step(
        id="prepare",
        must=True,
        title="Set out the new water",
        text=" ".join(parts),
        minutes=6,
        amount=water.litres,
        unit="L",
        danger=f"On stairs at most {STAIRS_BUCKET_L:g} L a bucket. Buckets for the tank hold nothing else, ever.",
        why="Ready water keeps the time without filter and heater short.",
    )


def _fill(water: NewWater) -> str:
    if water.litres is None:
        return "Set out buckets for the water you take; count them, and it is known from then on."
    return f"Set out {buckets(water.litres)}."


def _warmth(water: NewWater) -> str:
    least = f"New water at {water.at_least_c:.0f} °C or more: so the tank falls by at most 2 °C."
    if water.kettle_l is None:
        return least if water.tap_c is None else f"{least} The tap at {water.tap_c:.0f} °C is warm enough."
    kettle = f"that takes {number(water.kettle_l)} L from the kettle in all."
    return f"{least} With the cold tap at {water.tap_c:.0f} °C {kettle}"


def _condition(water: NewWater) -> str:
    if water.disinfectant == "none":
        return "The tap carries no chlorine by your own notes, so no conditioner is reckoned."
    basis = "for the buckets, not for the tank"
    if water.dose_g is not None and water.conditioner is not None:
        low, high = water.dose_g
        span = f"{number(high)} g" if high - low < 0.005 * high else f"{number(low)} to {number(high)} g"
        told = f"Conditioner {basis}: {span} of {water.conditioner.replace('_', ' ')} in all."
    else:
        litres = "the new water" if water.litres is None else f"{number(water.litres)} L of new water"
        told = f"Conditioner {basis}: as its label says for {litres}."
    if water.disinfectant == "chloramine":
        told += " The tap carries chloramine: an ammonia test right after will show some; that is expected."
    return told


def _power_off(s: Situation) -> Step | None:
    off = [
        name
        for name, there in (("filter", s.powered_filter), ("heater", s.heater), ("lamps over the water", s.lamps))
        if there
    ]
    if not off:
        return None
    danger = "No hands in water while anything in or over it is plugged in."
    if s.closed_canister:
        danger += f" A closed canister may stand for {CANISTER_H:g} hours at most, then open it."
    return Step(
        id="power_off",
        title=f"Pull the plugs: {listed(off)}",
        must=True,
        minutes=1,
        wait_min=COOL_MIN if s.heater else 0.0,
        text=f"Switch off and unplug {listed(off)}."
        + (f" The heater cools for {COOL_MIN:g} minutes." if s.heater else ""),
        danger=danger,
        why="The times off and on are written down; they also tell how fast the tank loses heat.",
    )


def _animal(s: Situation) -> Step | None:
    if not s.turtles:
        return None
    return Step(
        id="animal",
        title=f"See where {listed(s.turtles)} is",
        minutes=1,
        text=f"Leave {listed(s.turtles)} in the tank only if you can see it all the time; else into a dry lidded box.",
        danger="Keep fingers away from its head. Wash hands before you touch your face.",
    )


def _scale(_: Situation) -> Step:
    return Step(
        id="scale",
        title="Wipe lime scale",
        minutes=5,
        text="Wipe rim and hood with a damp cloth while the water still stands high.",
        danger="No acid over the water: parts that need it come off, soak elsewhere and are rinsed.",
        why="What falls in now leaves with the siphon.",
    )


def _scrape(s: Situation) -> Step | None:
    if not s.scrape.yes:
        return None
    tool = {
        "acrylic": "a plastic card or an acrylic-safe cloth; never a metal blade",
        "glass": "a blade flat on the glass, and a plastic card near the seams",
    }.get(s.pane or "", "a plastic card: it is not known whether the panes are glass or acrylic")
    return Step(
        id="scrape",
        title="Scrape the panes",
        minutes=10,
        wait_min=SETTLE_MIN,
        asks="grade",
        text=f"Give the panes a grade from 0 to 4, then scrape from the top down with {tool}.",
        danger="Stay off the silicone, and keep any tool clear of the gravel.",
        why=s.scrape.why,
    )


def _leaves(s: Situation) -> Step | None:
    if not s.plants:
        return None
    return Step(
        id="leaves",
        title="Take out dead leaves",
        minutes=3,
        text="Net what floats; pick brown and loose leaves.",
        why="Rotting leaves feed the water what they once took from it.",
    )


def _thin(s: Situation) -> Step | None:
    if not s.thin.yes:
        return None
    least = "" if s.thin_g is None else f" Last times it was about {number(s.thin_g)} g."
    return Step(
        id="thin",
        title="Thin the plants",
        minutes=8,
        asks="grams",
        amount=s.thin_g,
        unit="" if s.thin_g is None else "g",
        text=f"Take out what has grown since, shake it dry and weigh it.{least}",
        why=s.thin.why,
    )


def _weigh(s: Situation) -> Step | None:
    if not s.weigh:
        return None
    return Step(
        id="weigh",
        title=f"Weigh {listed(s.weigh)}",
        minutes=4,
        asks="grams",
        text=f"Weigh {listed(s.weigh)}, wiped dry, and look over shell and skin.",
        danger="Low over a towel: a dropped turtle breaks its shell.",
        why="The last weighing is a month old or more.",
    )


def _siphon(s: Situation) -> Step:
    litres = s.water.litres
    mark = "to your mark" if litres is None else f"until {buckets(litres)} are out"
    return Step(
        id="siphon",
        must=True,
        title="Siphon",
        amount=litres,
        unit="" if litres is None else "L",
        asks="litres",
        minutes=12 if litres is None else 4 + 0.5 * BUCKET_MINUTES * litres / BUCKET_L,
        text=f"Siphon the dirt first, then go on {mark}." + (" Keep one bucket of old water." if s.rinse.yes else ""),
        danger="Never start a siphon with the mouth. Used water goes down the toilet, not into a kitchen sink.",
        why="Scale, algae and dirt leave with this water.",
    )


def _rinse(s: Situation) -> Step | None:
    if not s.rinse.yes:
        return None
    return Step(
        id="rinse",
        title="Rinse half the media",
        minutes=12,
        text="Squeeze half of the media in the bucket of old tank water; leave the other half alone.",
        danger="Never under the tap: chlorine and cold kill the film that eats ammonia.",
        why=s.rinse.why,
    )


def _refill(s: Situation) -> Step:
    litres = s.water.litres
    how = "bucket by bucket, conditioned and warm enough"
    return Step(
        id="refill",
        title="Refill",
        must=True,
        amount=litres,
        unit="" if litres is None else "L",
        asks="litres",
        minutes=10 if litres is None else 2 + BUCKET_MINUTES * litres / BUCKET_L,
        text=f"Pour the new water in gently, {how}. Count the buckets."
        if litres is None
        else f"Pour in {buckets(litres)} gently, {how}. Count them.",
        danger="Not onto a warm pane, not onto an animal.",
        why="Heater and filter must be under water again.",
    )


def _back(s: Situation) -> Step | None:
    if not s.turtles:
        return None
    return Step(
        id="back",
        must=True,
        title=f"{listed(s.turtles).capitalize()} back in",
        minutes=1,
        text=f"If you took {listed(s.turtles)} out, let it walk back in by itself.",
        danger="Not while the water is still being poured.",
    )


def _power_on(s: Situation) -> Step | None:
    if _power_off(s) is None:
        return None
    dump = (
        f" After more than {CANISTER_H:g} hours off, pour away the canister's water first." if s.closed_canister else ""
    )
    return Step(
        id="power_on",
        title="Plugs in again",
        must=True,
        minutes=1,
        text="Dry hands. See that the heater is under water. Plug in and switch on." + dump,
        danger="Dry hands, and a drip loop in every cable.",
    )


def _running(s: Situation) -> Step | None:
    if _power_off(s) is None:
        return None
    seen = [
        text
        for text, there in (
            ("water comes from the outlet", s.powered_filter),
            ("the heater's lamp or warmth", s.heater),
            ("lamps on", s.lamps),
        )
        if there
    ]
    return Step(
        id="running",
        title="See it run",
        must=True,
        minutes=2,
        text=f"Wait and see: {listed(seen)}, no drip under the tank.",
        why="A filter that did not start again is found too late.",
    )


def _wash(_: Situation) -> Step:
    return Step(
        id="wash",
        must=True,
        title="Wash hands",
        minutes=2,
        text="Wash hands with soap for 20 seconds; hang the tools up to dry.",
        danger="Any turtle can carry Salmonella and look well.",
    )


def _after(s: Situation) -> Step | None:
    if s.water.litres is None and not s.heater:
        return None
    return Step(
        id="after",
        title="Read the temperature",
        minutes=1,
        asks="temperature",
        text="Read the thermometer when the water has mixed for half an hour.",
        why="It shows whether the new water was warm enough.",
    )


_MAKERS = (
    _look,
    _read,
    _prepare,
    _power_off,
    _animal,
    _scale,
    _scrape,
    _leaves,
    _thin,
    _weigh,
    _siphon,
    _rinse,
    _refill,
    _back,
    _power_on,
    _running,
    _wash,
    _after,
)
"""In the order in which they are tried where the graph leaves a choice."""
