"""Would this fish, snail, shrimp or turtle live here beside the turtle: water, weapons, teeth, waste, law."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from lentic.advice.estimate import Estimate, exactly
from lentic.advice.hazards.law import EU, listed
from lentic.advice.ranged import Said, combined, of_fact, said
from lentic.advice.ration import shell_length, temperature_of
from lentic.advice.record import cited
from lentic.advice.waste import mate_nitrogen, nitrogen_of_turtle, turtle_nitrogen
from lentic.advice.words import number
from lentic.catalogue import Animal, Fact, Record, common, resolve, tankmates, turtles
from lentic.logbook.events import Event, Reading
from lentic.logbook.tank import Tank
from lentic.science.hardness import HARDNESS_UNITS

EDGES: Final = {"water": 1.0, "GH": 2.0, "pH": 0.5}
"""How far a reading may lie outside a range before it decides; kits and seasons move it so far; practice, no source."""
SURE_PREY, LIKELY_PREY = 50.0, 25.0
"""Odds of being eaten in a year, at their low end and at their middle, from which the answer turns; practice. [%]"""

NONE = "None"
NO = "No"
ASK_FIRST = "Not before your authority has been asked"
AS_FOOD = "Only as food: it will very likely be eaten"
LOSSES = "A few, if losses are accepted"
POSSIBLE = "Possible"
UNSURE = "Cannot be said"
"""Answers, the firmest first."""


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Whether something would live here: the answer in plain words, what speaks for and against, what is unknown."""

    id: str
    name: str
    scientific: str
    sort: str
    count: int
    answer: str
    why: str
    against: tuple[Said, ...]
    neutral: tuple[Said, ...]
    law: tuple[Said, ...]
    unknown: tuple[str, ...]
    numbers: tuple[tuple[str, Estimate], ...]
    truths: tuple[Said, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Survey:
    """Every tank mate of the catalogue held against this tank; `answer` says the plain word none where it is true."""

    tank: str
    answer: str
    why: tuple[Said, ...]
    fits: tuple[Fit, ...]


@dataclass(frozen=True, kw_only=True)
class Here:
    """What of this tank matters to a newcomer."""

    tank: Tank
    species: tuple[Animal, ...]
    longest_shell: Estimate | None
    temperature: Estimate | None
    hardness: Estimate | None
    ph: Estimate | None
    nitrogen: Estimate | None


def here_of(tank: Tank, events: Sequence[Event], now: datetime) -> Here:
    """Return what of a tank matters to a newcomer, on one day."""
    past = [event for event in events if event.time <= now]
    kinds = [record for turtle in tank.turtles if isinstance(record := resolve("turtle", turtle.species or ""), Animal)]
    lengths = [(length, why) for turtle in tank.turtles if (length := (found := shell_length(turtle, past, now))[0])
               for why in (found[1],)]  # fmt: skip
    longest = max(lengths, default=None)
    return Here(
        tank=tank, species=tuple(kinds),
        longest_shell=exactly(longest[0], "cm", longest[1]) if longest else None,
        temperature=temperature_of(tank, kinds[0] if kinds else None, past, now),
        hardness=_hardness(tank, past),
        ph=_last_read(tank, past, "ph"), nitrogen=turtle_nitrogen(tank, past, now),
    )  # fmt: skip


def _hardness(tank: Tank, events: Sequence[Event]) -> Estimate | None:
    """Return GH of the tank: last read, else that of the source water. [dGH]"""
    read = _last_read(tank, events, "gh")
    if read is not None:
        return read.times(1.0 / HARDNESS_UNITS["°dH"], "dGH")
    source = tank.source_water.gh_dgh
    return None if source is None else exactly(source, "dGH", "your source water, no reading of the tank")


def _last_read(tank: Tank, events: Sequence[Event], quantity: str) -> Estimate | None:
    read = [e for e in events if isinstance(e, Reading) and e.quantity == quantity]
    if not read:
        return None
    last = max(read, key=lambda event: event.time)
    return exactly(last.value, "", f"your own reading of {tank.local_date(last.time):%Y-%m-%d}")


def prey_odds(length: float, shell: float) -> Fact:
    """Return the odds of being eaten in a year for a length beside a shell, both in cm."""
    facts = common("tankmates")
    share = length / shell
    band = "under_a_quarter" if share < 0.25 else "under_a_half" if share < 0.5 else (
        "under_four_fifths" if share < 0.8 else "longer")  # fmt: skip
    return facts[f"eaten_in_a_year_pct_{band}"]


def fit_of(record: Animal, here: Here, count: int = 1, size: float | None = None) -> Fit:
    """Return whether an animal of the catalogue would live here; `size` is its length now [cm]."""
    if record.id in turtles():
        return _second_turtle(record, here, count)
    numbers, unknown = _numbers(record, here, count, size)
    against = [*_weapons(record), *_water_against(record, here), *_verdict(record), *_too_large(record, here, count)]
    loners = _loners(here)
    shown = dict(numbers)
    answer, why = _answer(record, here, against, loners, shown.get("eaten within a year"))
    return Fit(
        id=record.id, name=record.name, scientific=record.scientific, sort=record.sort, count=count, answer=answer,
        why=why, against=(*loners, *against), neutral=tuple(_neutral(record, here)), law=law_of(record, here.tank),
        unknown=tuple(unknown), numbers=tuple(numbers), truths=_truths(record),
    )  # fmt: skip


def survey_of(here: Here) -> Survey:
    """Return every tank mate of the catalogue held against this tank."""
    order = (POSSIBLE, LOSSES, AS_FOOD, UNSURE, ASK_FIRST, NO, NONE)
    fits = sorted((fit_of(record, here) for record in tankmates().values()), key=lambda fit: order.index(fit.answer))
    loners = _loners(here)
    if loners or not any(fit.answer in (POSSIBLE, LOSSES) for fit in fits):
        reasons = loners or (
            Said(text="No tank mate of the catalogue suits this water and this turtle.", origin="worked out"),
        )
        return Survey(tank=here.tank.name, answer=NONE, why=reasons, fits=tuple(fits))
    count = sum(fit.answer in (POSSIBLE, LOSSES) for fit in fits)
    return Survey(tank=here.tank.name, answer=f"{count} kinds may do, each with its own risk", why=(), fits=tuple(fits))


def _loners(here: Here) -> tuple[Said, ...]:
    """Return which turtles here take no tank mate at all."""
    facts = [(record, fact) for record in here.species if (fact := record.fact("tank_mates"))]
    return tuple(
        said(f"{record.name}: no tank mates; {fact.note}.", fact) for record, fact in facts if fact.text == "none"
    )


_WEAPONS: Final = (
    ("spines", "Spines lock open and lodge in the throat of a turtle that swallows it."),
    ("attaches", "It latches on to large flat animals and rasps skin and shell."),
    ("claws", "Its claws cut toes and soft skin; freshly moulted it is eaten."),
    ("nips", "It nips toes, tail and skin."),
    ("aggressive", "It attacks: feet and eyes of the turtle, or other fish."),
)


def _weapons(record: Animal) -> list[Said]:
    return [said(text, fact) for key, text in _WEAPONS if (fact := record.fact(key)) is not None and fact.value is True]


_HARD_NO: Final = re.compile(r"(no|ponds only)\b(?! where| in the)")
"""How a verdict of the trade begins that holds everywhere; "no where listed" is a matter of law."""
_AS_PREY: Final = re.compile(r"\b(food|snack)\b")
"""What the trade says of one that is put in to be eaten."""


def _verdict(record: Animal) -> list[Said]:
    fact = record.fact("verdict")
    return [said(f"In the trade: {fact.text}.", fact)] if fact is not None and _HARD_NO.match(fact.text) else []


def _too_large(record: Animal, here: Here, count: int) -> list[Said]:
    """Return whether it outgrows the tank, or its waste when grown the turtle's."""
    adult, facts = record.fact("adult_cm"), common("tankmates")
    if adult is None:
        return []
    found: list[Said] = []
    room, length = facts["tank_length_x_adult"], here.tank.glass.length_cm
    if record.sort == "fish" and length is not None and room.middle * adult.middle > length:
        text = f"It grows to {adult.text} cm; this tank of {number(length)} cm is shorter than {room.text} times that."
        found.append(said(text, room))
    if here.nitrogen is not None and here.nitrogen.value > 0.0:
        load = mate_nitrogen(adult.middle, count)
        if load.value > here.nitrogen.value:
            times = number(load.value / here.nitrogen.value)
            who = "it makes" if count == 1 else f"{count} of them make"
            found.append(Said(text=f"Grown, {who} about {times} times the turtle's waste.", origin=load.origin))
    return found


def _water_against(record: Animal, here: Here) -> list[Said]:
    """Return where the water of this tank, or of the turtle, is not the newcomer's."""
    found: list[Said] = []
    water = record.water_temperature
    for turtle in here.species:
        needs = turtle.water_temperature
        if water is not None and needs is not None and _overlap(water, needs) <= 0.0:
            found.append(
                said(
                    f"It lives at {water.text} °C, the {turtle.name} at {needs.text} °C: no temperature for both.",
                    water,
                )
            )
    return [*found, *(line for line, beyond in _readings_against(record, here) if beyond)]


def _readings_against(record: Animal, here: Here) -> list[tuple[Said, bool]]:
    """Return which readings lie outside its ranges, and whether so far that it decides."""
    found: list[tuple[Said, bool]] = []
    for name, fact, reading in (
        ("water", record.water_temperature, here.temperature),
        ("GH", record.fact("gh_dGH"), here.hardness),
        ("pH", record.fact("pH"), here.ph),
    ):
        if fact is None or reading is None or fact.bounds[0] <= reading.value <= fact.bounds[1]:
            continue
        low, high = fact.bounds
        shown = f"{name} here {number(reading.value)} {reading.unit}".strip()
        wants = f"{fact.text} {fact.unit}".removesuffix(" pH")
        beyond = not low - EDGES[name] <= reading.value <= high + EDGES[name]
        found.append((said(f"{shown} ({reading.origin}); it wants {wants}.", fact), beyond))
    return found


def _overlap(first: Fact, second: Fact) -> float:
    return min(first.bounds[1], second.bounds[1]) - max(first.bounds[0], second.bounds[0])


def _neutral(record: Animal, here: Here) -> list[Said]:
    """Return what a keeper should know that decides nothing by itself."""
    found = []
    water = record.water_temperature
    for turtle in here.species:
        needs = turtle.water_temperature
        if water is not None and needs is not None and (width := _overlap(water, needs)) > 0.0:
            found.append(said(f"Temperatures of it and the {turtle.name} overlap by {number(width)} °C.", water))
    found += [line for line, beyond in _readings_against(record, here) if not beyond]
    if (prey := record.fact("prey")) is not None:
        found.append(said(f"Prey of a turtle: {prey.text}.", prey))
    for key in ("traits", "disease", "evidence"):
        if (fact := record.fact(key)) is not None:
            found.append(said(f"{key.capitalize()}: {fact.text}.", fact))
    thiaminase = record.fact("thiaminase")
    if thiaminase is not None and thiaminase.value is True:
        found.append(said("Eaten regularly it destroys vitamin B1 in the turtle (thiaminase).", thiaminase))
    verdict = record.fact("verdict")
    if verdict is not None and not _HARD_NO.match(verdict.text):
        found.append(said(f"In the trade: {verdict.text}.", verdict))
    return found


def _numbers(
    record: Animal, here: Here, count: int, size: float | None
) -> tuple[list[tuple[str, Estimate]], list[str]]:
    """Return size, odds of being eaten and load, and what is missing for them."""
    numbers: list[tuple[str, Estimate]] = []
    unknown: list[str] = []
    adult = record.fact("adult_cm")
    now = exactly(size, "cm", "as you say") if size is not None else of_fact(adult, "cm") if adult else None
    if record.water_temperature is None:
        unknown.append("its water temperature")
    if here.hardness is None:
        unknown.append("GH of this water")
    if now is None:
        return numbers, [*unknown, "its size"]
    numbers.append(("length taken", now))
    if here.longest_shell is None:
        unknown.append("the shell length of the turtle, for the odds of being eaten")
    else:
        odds = prey_odds(now.value, here.longest_shell.value)
        numbers.append(("eaten within a year", of_fact(odds, "% of them")))
        grown = max((fact.bounds[1] for kind in here.species if (fact := kind.fact("scl_max_cm"))), default=0.0)
        if grown > 1.2 * here.longest_shell.value and (later := prey_odds(now.value, grown)) is not odds:
            numbers.append((f"the same, should the turtle grow to {number(grown)} cm", of_fact(later, "% of them")))
    numbers += _loads(now.value, adult.middle if adult else None, count, here.nitrogen)
    if here.nitrogen is None:
        unknown.append("what the turtle eats, to compare the load with")
    return numbers, unknown


def _loads(length: float, adult: float | None, count: int, turtle: Estimate | None) -> list[tuple[str, Estimate]]:
    found: list[tuple[str, Estimate]] = []
    for name, size in (("waste", length), ("waste when grown", adult)):
        if size is None or (name == "waste when grown" and abs(size - length) < 0.05 * size):
            continue
        load = mate_nitrogen(size, count)
        found.append((f"{name}, nitrogen eaten", load))
        if turtle is not None and turtle.low > 0.0:
            origin = f"estimate; the turtle: {turtle.origin}"
            found.append(
                (f"{name} beside the turtle's", combined(
                    lambda mate, own: 100.0 * mate / own, load, exactly(turtle.value, "", ""), unit="% more",
                    origin=origin,
                ))
            )  # fmt: skip
    return found


def law_of(record: Record, tank: Tank) -> tuple[Said, ...]:
    """Return what notes on law say, with country and date as the notes have them, and whom to ask; never a verdict."""
    fact = record.fact("legal")
    if fact is None:
        return (Said(text="No note on law is held here; that says nothing about your place.", origin="unknown"),)
    text, sources = cited(fact)
    found = [said(f"{text}.", fact), *(Said(text=source, origin="who says so") for source in sources)]
    here = listed(record, tank.country)
    if tank.country is None:
        found.append(Said(text="Your country is not given: write country in tank.toml.", origin="unknown"))
    elif here:
        place = f"{tank.country}, in the EU" if tank.country in EU else tank.country
        found.append(
            Said(text=f"The note names a list that may hold where you live ({place}).", origin="read from the note")
        )
    found.append(Said(text="Lists change. Ask your authority before you buy, keep, move or give away.", origin="rule"))
    return tuple(found)


def _answer(
    record: Animal, here: Here, against: Sequence[Said], loners: Sequence[Said], odds: Estimate | None
) -> tuple[str, str]:
    """Return the answer and the one thing that decides it."""
    if loners:
        return NONE, loners[0].text
    if against:
        return NO, against[0].text
    if listed(record, here.tank.country):
        return ASK_FIRST, "A note on law names a list that may hold where you live."
    if odds is None or record.water_temperature is None:
        return UNSURE, "The size of the turtle or the water of this animal is not known."
    if odds.low >= SURE_PREY or (odds.high >= SURE_PREY and _AS_PREY.search(record.words("verdict"))):
        verdict = record.words("verdict")
        trade = f" In the trade: {verdict}." if verdict else ""
        return AS_FOOD, f"Of its size {number(odds.low)} to {number(odds.high)} in 100 are eaten within a year.{trade}"
    if odds.value >= LIKELY_PREY:
        return LOSSES, f"Of its size {number(odds.low)} to {number(odds.high)} in 100 are eaten within a year."
    return POSSIBLE, "Water and size speak for it; watch both for the first weeks."


def _truths(record: Animal) -> tuple[Said, ...]:
    """Return why cleaner animals do not clean, for one that is sold as such."""
    fact = record.fact("cleaner")
    if fact is None or fact.value is not True:
        return ()
    return _statements("cleaner_truth")


def _statements(key: str) -> tuple[Said, ...]:
    fact = common("tankmates")[key]
    lines = fact.value if isinstance(fact.value, tuple) else (fact.text,)
    return tuple(said(line, fact) for line in lines)


def _second_turtle(record: Animal, here: Here, count: int) -> Fit:
    numbers: list[tuple[str, Estimate]] = []
    mass = record.fact("mass_adult_g")
    if mass is not None:
        numbers.append(("adult mass", of_fact(mass, "g")))
        warm = here.temperature
        load = nitrogen_of_turtle(mass.middle, warm) if warm is not None else None
        if load is not None:
            numbers.append(("waste when grown, nitrogen eaten", load.times(float(count), "mg N a day")))
    reasons = _statements("second_turtle")
    return Fit(
        id=record.id, name=record.name, scientific=record.scientific, sort="turtle", count=count, answer=NO,
        why=reasons[0].text, against=(*reasons, *_loners(here)), neutral=(), law=law_of(record, here.tank), unknown=(),
        numbers=tuple(numbers),
    )  # fmt: skip
