"""An answer to a stranger with few facts: what holds in every tank, what only in theirs, and what to ask first.

Ranges are carried through from what was said; what is assumed is named. What is said to do harms nothing in any of the
possible tanks; what could, waits for the answer to a question.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from lentic.advice.estimate import Estimate, between
from lentic.advice.heard import Heard, heard
from lentic.advice.load import load_from
from lentic.advice.ration import resting_energy
from lentic.advice.words import chance, number
from lentic.catalogue import common
from lentic.catalogue.signs import signs_in

WATER_C: Final = (24.0, 25.0, 26.0)
"""Water of a turtle tank where nobody said; common practice, no source. [°C]"""
PELLET_PROTEIN, PELLET_KCAL_G = 0.42, 3.3
"""A common pellet where the food is not known; common practice, no source. [g/g, kcal/g]"""
MASS_PER_CM3: Final = (0.12, 0.18)
"""Mass against the cube of the shell length over turtles of the trade; from memory, between 0.10 and 0.19. [g/cm³]"""
GOAL, TAP = 50.0, 10.0
"""Nitrate to hold, and of an ordinary tap where nobody said; common practice, no source. [mg/L NO3]"""
MOST_WEEKLY: Final = 0.6
"""A tank that needs a larger share each week is too small; common practice, no source. [-]"""
YOUNG_CM: Final = 6.0
"""Below this length nothing is taken from the ration on a guess; ours to choose. [cm]"""
ANY_SHELL_CM: Final = (6.0, 25.0)
ANY_WATER_L: Final = (30.0, 200.0)


@dataclass(frozen=True, kw_only=True)
class Likely:
    """A guess at what is behind it, how sure, and why."""

    what: str
    chance: float
    why: str


@dataclass(frozen=True, kw_only=True)
class StrangerAnswer:
    """An answer with incomplete facts."""

    given: tuple[str, ...]
    assumed: tuple[str, ...]
    unknown: tuple[str, ...]
    water: Estimate
    mass: Estimate
    nitrogen: Estimate
    rise: Estimate
    weekly_share: Estimate
    likely: tuple[Likely, ...]
    everywhere: tuple[str, ...]
    only_theirs: tuple[str, ...]
    leave: tuple[str, ...]
    questions: tuple[str, ...]
    conditions: tuple[str, ...]
    drawing: tuple[str, ...]


def answer_to(text: str) -> StrangerAnswer:
    """Return the answer to a question in free words."""
    said = heard(text)
    water, mass = _water(said), _mass(said)
    nitrogen = _nitrogen(mass)
    rise = _rise(nitrogen, water)
    share = rise.times(1.0 / (GOAL - TAP), "of the water a week")
    return StrangerAnswer(
        given=said.words or ("nothing that can be counted on",), assumed=tuple(_assumed(said)),
        unknown=tuple(_unknown(said)), water=water, mass=mass, nitrogen=nitrogen, rise=rise, weekly_share=share,
        likely=tuple(_likely(said)), everywhere=tuple(_everywhere(said)), only_theirs=tuple(_theirs(rise, share)),
        leave=tuple(_leave(said)), questions=tuple(_questions(said)), conditions=tuple(_conditions(text, said)),
        drawing=tuple(_drawing(nitrogen, rise, water)),
    )  # fmt: skip


def _middle(low: float, high: float) -> float:
    """Return the middle of a span that reaches over a factor: both ends are as far off."""
    return math.sqrt(low * high)


def _water(said: Heard) -> Estimate:
    low, high = said.water_l or ANY_WATER_L
    origin = "real water under a basking place, from the glass" if said.water_l else "no size was said"
    return between(low, _middle(low, high), high, "L", origin)


def _mass(said: Heard) -> Estimate:
    if said.mass_g is not None:
        return between(said.mass_g, said.mass_g, said.mass_g, "g", "as said")
    low, high = said.shell_cm or ANY_SHELL_CM
    ends = MASS_PER_CM3[0] * low**3, MASS_PER_CM3[1] * high**3
    return between(ends[0], _middle(*ends), ends[1], "g", "from its length" if said.shell_cm else "no size was said")


def _nitrogen(mass: Estimate) -> Estimate:
    """Return the nitrogen of the food such an animal needs, all pellets. [mg/d]"""
    usual = common("turtles")["active_multiplier_usual"].middle

    def fed(grams: float, celsius: float) -> float:
        rest = resting_energy(grams, between(celsius, celsius, celsius, "°C", "")).value
        grams_food = usual * rest / PELLET_KCAL_G
        return load_from(grams_food, PELLET_PROTEIN, 1.0, 0.0, "").eaten.value

    low, high = fed(mass.low, WATER_C[0]), fed(mass.high, WATER_C[2])
    return between(low, _middle(low, high), high, "mg N a day", "what such an animal needs, all pellets")


def _rise(nitrogen: Estimate, water: Estimate) -> Estimate:
    """Return the weekly rise of nitrate, least in the largest water, most in the smallest."""

    def week(mg: float, litres: float) -> float:
        food = mg / 1000.0 / (PELLET_PROTEIN * 0.16)
        return load_from(food, PELLET_PROTEIN, litres, 0.0, "").nitrate_rise.value

    low, high = week(nitrogen.low, water.high), week(nitrogen.high, water.low)
    return between(low, week(nitrogen.value, water.value), high, "mg/L NO3 a week", "food and water together")


def _assumed(said: Heard) -> list[str]:
    found = [
        f"water of {WATER_C[0]:g} to {WATER_C[2]:g} °C",
        "all pellets, no more than it needs",
        "70 % of it in the water",
    ]
    found += [f"tap nitrate {TAP:g} mg/L", f"nitrate to hold {GOAL:g} mg/L"]
    return found + (["US gallons"] if any("granted" in word for word in said.words) else [])


def _unknown(said: Heard) -> list[str]:
    found = [] if said.species else ["species"]
    found += [] if said.filter_told or said.tap_rinsed else ["filter"]
    found += [] if said.ammonia_told else ["tests"]
    found += [] if said.food_told else ["feeding"]
    found += [] if said.glass_l else ["size of the tank"]
    return found + ([] if said.shell_cm or said.mass_g else ["size of the turtle"])


def _likely(said: Heard) -> list[Likely]:
    """Guess from what was seen; chances are common practice, and say so."""
    found = []
    if said.cloudy == "cloudy water":
        why = (
            "all the water was changed, so food for bacteria and too few of them" if said.full_changes else "much food"
        )
        found.append(Likely(what="cloudy: a bloom of bacteria", chance=0.7 if said.full_changes else 0.5, why=why))
    if said.cloudy == "green water":
        found.append(Likely(what="green water: floating algae", chance=0.85, why="long light or sun, and much waste"))
    if said.algae == "black fuzz":
        sure = 0.75 if said.long_light else 0.6
        found.append(Likely(what="black fuzz: brush algae", chance=sure, why="long light, much food and dirt"))
    elif said.algae == "brown film":
        found.append(Likely(what="brown film: diatoms", chance=0.7, why="a young tank or weak light"))
    elif said.algae == "slimy sheets":
        found.append(
            Likely(what="slimy sheets: blue-green bacteria", chance=0.6, why="dirt, still corners, little nitrate")
        )
    elif said.algae is not None:
        found.append(
            Likely(what=f"{said.algae}: light and waste in plenty", chance=0.7, why="the usual ground of algae")
        )
    return found


def _everywhere(said: Heard) -> list[str]:
    """What harms no possible tank and helps most of them."""
    first = "Stop the full changes." if said.full_changes else "No full change."
    begin = "Begin with 10 % a day for a week" if said.no_changes else "Change 25 % every third day"
    young = said.shell_cm is not None and said.shell_cm[1] < YOUNG_CM
    fed = "Feed as before (it is young)" if young else "Feed half for a week"
    return [
        f"{first} {begin}, with conditioner, at the temperature of the tank.",
        f"{fed} and take out what is left after half an hour.",
        "Plant light 8 h on a timer; keep basking lamp and UVB at 10 to 12 h.",
        "Rinse only half of the sponge, in a bucket of old tank water.",
        "Unplug heater and filter before hands go in; wash hands after.",
    ]


def _theirs(rise: Estimate, share: Estimate) -> list[str]:
    """What follows in this tank, as wide as it is."""

    def told(part: float, case: str) -> str:
        if part > 1.0:
            return f"impossible in the {case}, the tank is too small"
        return f"{100.0 * part:.0f} % a week in the {case}"

    cases = ((share.low, "best case"), (share.value, "middle"), (share.high, "worst"))
    lines = [
        f"Its food makes {number(rise.low)} to {number(rise.high)} mg/L of nitrate a week, about {number(rise.value)}.",
        f"To hold {GOAL:g} mg/L with a tap of {TAP:g}: {', '.join(told(*case) for case in cases)}.",
    ]
    if share.value > MOST_WEEKLY:
        lines.append("Even in the middle case that is more water than anyone changes for long: plan a larger tank.")
    return lines


def _leave(said: Heard) -> list[str]:
    found = ["No algae killer: it harms plants, fish and the filter film, and the cause stays."]
    if said.wants in ("pleco", "plec", "algae eater", "catfish"):
        found.append(
            f"No {said.wants}: it rasps at shells, its spines lock in a turtle's mouth, it grows to 40 cm, it adds "
            "waste."
        )
    elif said.wants is not None:
        found.append(f"No {said.wants} now: it cleans less than it adds, and a turtle may eat it.")
    if said.tap_rinsed:
        found.append(
            "Do not rinse the filter under the tap again: chlorine and cold take the bacteria that clean the water."
        )
    return found


def _questions(said: Heard) -> list[str]:
    """Return at most three questions, the one that changes most first."""
    ranked = [
        (0.9 if not said.tap_rinsed else 0.2, "Which filter, and did you rinse it under the tap?"),
        (
            0.0 if said.ammonia_told else 0.85 if said.full_changes or said.cloudy else 0.7,
            "What are ammonia and pH today?",
        ),
        (_size_worth(said), "Which turtle, how long is its shell in cm, and how much food does it get a day?"),
        (0.75 if said.glass_l is None else 0.0, "How many litres of water are really in the tank?"),
        (0.3 if not said.fish else 0.1, "Do fish live with it?"),
        (0.4 if said.algae and not said.long_light and said.hours is None else 0.0, "How many hours is the light on?"),
    ]
    ranked.sort(key=lambda each: -each[0])
    return [question for worth, question in ranked if worth > 0.1][:3]


def _size_worth(said: Heard) -> float:
    known = sum((said.species is not None, said.shell_cm is not None or said.mass_g is not None, said.food_told))
    return (0.8, 0.78, 0.5, 0.0)[known]


def _conditions(text: str, said: Heard) -> list[str]:
    """What to do if an answer is bad, and which signs belong before a vet."""
    lines = ["If ammonia is above 0.5 mg/L and there are fish: change 40 % now."]
    if seen := signs_in(text):
        lines.insert(0, f"You wrote of {seen[0].name}: a reptile vet should see the animal, {_when(seen[0].urgency)}.")
    lines.append("If the turtle breathes with open mouth, swims tilted or does not eat: a reptile vet, within a day.")
    return lines


def _when(urgency: str) -> str:
    return {"now": "now", "this week": "this week"}.get(urgency, f"within {urgency}")


def _drawing(nitrogen: Estimate, rise: Estimate, water: Estimate) -> list[str]:
    """Draw food to waste to filter to nitrate and algae, with these numbers as ranges."""
    fed = f"{number(nitrogen.low)} to {number(nitrogen.high)} mg N a day"
    return [
        f"food ({fed})", "  -> turtle: growth keeps a little", "  -> waste: about 70 % reaches the water",
        "       -> filter film: ammonia, nitrite, nitrate",
        f"            -> nitrate: {number(rise.low)} to {number(rise.high)} mg/L a week in {number(water.low)} to "
        f"{number(water.high)} L",
        "                 -> out with changed water, into plants, or into algae",
    ]  # fmt: skip


def lines_of(view: StrangerAnswer) -> Sequence[str]:
    """Return the answer in plain sentences, in the order they are to be read."""
    likely = [f"{each.what}: {chance(each.chance)} ({each.why})" for each in view.likely]
    numbers = [
        f"water {view.water.text}, turtle {view.mass.text}, food {view.nitrogen.text}",
        *view.only_theirs,
    ]
    blocks = {
        "Given": view.given, "Taken for granted": view.assumed, "Not known": view.unknown,
        "Holds in every tank, do this": view.everywhere, "Leave": view.leave, "Most likely, common practice": likely,
        "In this tank, as wide as the facts": numbers, "Ask first": view.questions, "If": view.conditions,
        "From food to algae": view.drawing,
    }  # fmt: skip
    found: list[str] = []
    for title, block in blocks.items():
        if block:
            found += [*([""] if found else []), f"{title}:", *(f"  {line}" for line in block)]
    return found
