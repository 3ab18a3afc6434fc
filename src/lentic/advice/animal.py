"""The record of one turtle: mass and length with their error, what they warn of, and what is due."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

import numpy as np

from lentic.advice.eggs import Quarantine, eggs_of, quarantine_of
from lentic.advice.findings import Finding, State, When, ask, date_words, known_as, sorted_findings
from lentic.advice.growing import (
    HEAVY,
    LIGHT,
    RATE_SD,
    Curve,
    adult_fact,
    awake,
    curve_of,
    lengths,
    record_of,
    resting_spans,
    weighings,
)
from lentic.advice.shell import Month, Picture, months_of
from lentic.advice.signs import Signs, signs_of
from lentic.advice.vet import VetPage, vet_page
from lentic.advice.winter import Gate, Guard, amount_g, gate_of, guard_of
from lentic.advice.words import Spread, counted, number
from lentic.catalogue import Animal, common
from lentic.learn.weights import LEAST, Array, Watched, Weight, watch
from lentic.logbook.events import Event
from lentic.logbook.tank import Tank, Turtle

OLD_MASS_D = 45
"""Days after which a mass is old; weighing is monthly by common practice."""
YOUNG_SHARE = 0.8
"""Below this share of its final length an animal is reckoned to grow."""
VET_LOSS = 0.15
"""Loss from which a vet should see the animal within 24 h; common practice, no source."""
PLAN_AHEAD_D = 3 * 365
"""A next tank is planned for so far ahead; common practice, no source."""
ON_THE_SCALE = "Dry, before food, the same scale and hour."


@dataclass(frozen=True, kw_only=True)
class Size:
    """Where an animal stands on its curve, and when its tank is outgrown; lengths in cm, masses in g."""

    length: Spread
    mass: Spread
    adult: Spread
    in_a_year: Spread
    coefficient: Spread
    condition: float | None
    """Mass for its length over that of the usual kind."""
    limit_cm: float | None
    next_tank: When | None
    outgrown: bool
    measured: int
    origin: str


@dataclass(frozen=True, kw_only=True)
class AnimalView:
    """The whole record of one animal."""

    tank: str
    animal: str
    kind: str
    scientific: str
    sex: str
    day: date
    masses: tuple[tuple[date, float], ...]
    lengths: tuple[tuple[date, float], ...]
    watched: Watched
    size: Size | None
    signs: Signs
    findings: tuple[Finding, ...]
    guard: Guard | None
    gate: Gate | None
    quarantine: Quarantine | None
    shell: tuple[Month, ...]
    vet: VetPage


@dataclass(frozen=True, kw_only=True)
class Animals:
    """The records of the turtles that were asked about."""

    tank: str
    day: date
    animals: tuple[AnimalView, ...]


def animal_of(
    tank: Tank, events: Sequence[Event], turtle: Turtle, today: date, pictures: Sequence[Picture] = ()
) -> AnimalView:
    """Return the record of one animal as it stands on a day."""
    record, curve = record_of(turtle), curve_of(tank, events, turtle)
    masses, measured = weighings(tank, events, turtle), lengths(tank, events, turtle)
    size = _size(tank, curve, today, bool(measured))
    young = size is not None and _share(size) < YOUNG_SHARE
    free = awake(masses, resting_spans(events, turtle.id))
    watched = watch(*_arrays(free), growing=young)
    signs = signs_of(tank, events, turtle.id, today, young)
    guard = guard_of(tank, events, turtle)
    light = None if size is None or size.condition is None else size.condition < LIGHT
    gate = None
    if guard is None:
        gate = gate_of(turtle, record, today, urgent=signs.urgency, losing=watched.weight is Weight.LOST, light=light)
    findings = [
        *(_loss(turtle, watched, free) if guard is None else ()), *_weighed(turtle, masses, today),
        *_growth(turtle, record, size, curve), *([guard] if isinstance(guard, Finding) else []),
        eggs_of(tank, events, turtle, None if size is None else size.length.p50, today),
    ]  # fmt: skip
    return AnimalView(
        tank=tank.name, animal=turtle.id, kind=record.name if record else turtle.species or "", day=today,
        scientific=record.scientific if record else "", sex=turtle.sex or "", masses=tuple(masses),
        lengths=tuple(measured), watched=watched, size=size, signs=signs,
        findings=sorted_findings(each for each in findings if each is not None),
        guard=guard if isinstance(guard, Guard) else None, gate=gate,
        quarantine=quarantine_of(tank, events, today), shell=months_of(tank, events, turtle.id, today, pictures),
        vet=vet_page(tank, events, turtle, curve, today),
    )  # fmt: skip


def _arrays(free: Sequence[tuple[date, float]]) -> tuple[Array, Array]:
    days = np.array([float(day.toordinal()) for day, _ in free])
    return days, np.array([grams for _, grams in free])


def _share(size: Size) -> float:
    return (size.length.p50 or 0.0) / (size.adult.p50 or 1.0)


def limit_of(tank: Tank) -> float | None:
    """Return the shell length up to which the tank is long and wide enough. [cm]"""
    sides, facts = tank.glass.sides_cm, common("turtles")
    if sides is None:
        return None
    return min(sides[0] / facts["tank_length_x_scl"].middle, sides[1] / facts["tank_width_x_scl"].middle)


def _size(tank: Tank, curve: Curve | None, today: date, measured: bool) -> Size | None:
    if curve is None:
        return None
    limit = limit_of(tank)
    length = curve.length_on(today)
    middle = curve.coefficient.p50
    return Size(
        length=length, mass=curve.mass_on(today), adult=curve.adult,
        in_a_year=curve.length_on(date.fromordinal(today.toordinal() + 365)), coefficient=curve.coefficient,
        condition=None if middle is None or not measured else middle / curve.prior.coefficient,
        limit_cm=limit, next_tank=None if limit is None else curve.reaches(limit),
        outgrown=limit is not None and length.p50 is not None and length.p50 >= limit, measured=curve.measured,
        origin=f"estimate from {counted(curve.measured, 'reading')} and the adult size of the kind",
    )  # fmt: skip


def _loss(turtle: Turtle, watched: Watched, free: Sequence[tuple[date, float]]) -> list[Finding]:
    if watched.expected_g is None or watched.low_g is None or watched.high_g is None or watched.change is None:
        needed = counted(LEAST - len(free), "more weighing")
        return [ask("weight", f"{needed} of {turtle.id}, some weeks apart. {ON_THE_SCALE}")]
    said = (
        f"{amount_g(free[-1][1])} on {date_words(free[-1][0])}; expected {amount_g(watched.expected_g)} "
        f"(8 in 10: {watched.low_g:.0f} to {watched.high_g:.0f}), from its own weighings. {watched.weight.value}"
    )
    if watched.weight is Weight.USUAL:
        return [Finding(what="weight", state="fine", sentence=said)]
    if watched.weight is Weight.AGAIN:
        return [Finding(what="weight", state="watch", sentence=said, do=ON_THE_SCALE)]
    soon = "within 24 h" if watched.change < -VET_LOSS else "this week"
    return [Finding(
        what="weight", state="act", sentence=f"{said} That is {100 * watched.change:+.0f} %.".replace("-", "−"),
        do=f"A reptile vet {soon}, with the page for the vet. Until then check water and basking temperature, whether "
           "it eats, whether another animal bites it, and whether a female has laid.",
    )]  # fmt: skip


def _weighed(turtle: Turtle, masses: Sequence[tuple[date, float]], today: date) -> list[Finding]:
    if not masses:
        return [ask("weight", f"How heavy is {turtle.id}? {ON_THE_SCALE}")]
    old = (today - masses[-1][0]).days
    if old <= OLD_MASS_D:
        return []
    return [Finding(what="weighing", state="watch", sentence=f"The last mass is {old} days old.", do=ON_THE_SCALE)]


def _growth(turtle: Turtle, record: Animal | None, size: Size | None, curve: Curve | None) -> list[Finding]:
    if record is None:
        return [
            ask(
                "kind", f"Which kind is {turtle.id}? Write species under [[turtle]]: size, light and winter hang on it."
            )
        ]
    if size is None or curve is None:
        return [ask("length", f"Measure {turtle.id}: straight along the midline with calipers, not over the curve.")]
    found = [_tank(size, record, turtle, curve.reference)]
    if size.condition is None:
        found.append(ask("length", f"Measure the shell of {turtle.id} once, straight with calipers."))
    else:
        found.append(_condition(size, size.condition))
    if (curve.rate.p50 or 0.0) > curve.prior.rate * float(np.exp(1.2816 * RATE_SD)):
        found.append(Finding(
            what="growth", state="watch", do="Look at the ration; a shell that outruns its minerals suffers.",
            sentence="It grows faster than nine in ten animals are expected to.",
            source="one published wild curve, widened for warm and well fed animals: an assumption",
        ))  # fmt: skip
    return found


def _tank(size: Size, record: Animal, turtle: Turtle, today: date) -> Finding:
    facts = common("turtles")
    rule = facts["tank_length_x_scl"]
    source = (
        f"{rule.middle:g} × shell length long and {facts['tank_width_x_scl'].middle:g} × wide, {known_as(rule)}; "
        f"growth: {size.origin}"
    )
    if size.limit_cm is None or size.next_tank is None:
        return ask("next tank", "Measure the tank inside: length_cm and width_cm under [tank].")
    upto = f"The tank is long and wide enough up to {size.limit_cm:.1f} cm of shell."
    if size.outgrown:
        return Finding(what="next tank", state="act", source=source,
                       sentence=f"{upto} {turtle.id} has about {number(size.length.p50 or 0.0)} cm.",
                       do="Plan the next tank now; the home check gives its size.")  # fmt: skip
    first = size.next_tank.p10
    state: State = "watch" if first is not None and (first - today).days < PLAN_AHEAD_D else "fine"
    adult = adult_fact(record, turtle.sex) if turtle.sex in ("female", "male") else None
    grown = "" if adult is None else f" Adults of its sex have {adult.text} cm ({known_as(adult)})."
    return Finding(what="next tank", state=state, source=source,
                   sentence=f"{upto} It gets there {size.next_tank.sentence}.{grown}")  # fmt: skip


def _condition(size: Size, condition: float) -> Finding:
    said = f"{100 * condition:.0f} % of the usual mass for its length ({size.coefficient.p50:.3f} g/cm³, own readings)."
    source = f"kinds differ from {100 * LIGHT:.0f} to {100 * HEAVY:.0f} % (catalogue, from memory)"
    if condition < LIGHT:
        return Finding(what="condition", state="watch", sentence=f"Light for its length: {said}", source=source,
                       do="Measure again; if so, a vet should see it this week.")  # fmt: skip
    if condition > HEAVY:
        return Finding(what="condition", state="watch", sentence=f"Heavy for its length: {said}", source=source,
                       do="Measure again; then look at the ration, or at eggs.")  # fmt: skip
    return Finding(what="condition", state="fine", sentence=said, source=source)
