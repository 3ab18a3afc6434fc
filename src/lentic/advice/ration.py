"""How much one turtle needs: resting energy, times what it spends beside, plus growth; in energy, not yet in food."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from lentic.advice.estimate import Estimate, exactly
from lentic.advice.hazards.facts_animals import stage_of
from lentic.advice.menu import Eaten
from lentic.advice.ranged import combined, of_fact
from lentic.advice.words import number
from lentic.catalogue import Animal, common, resolve
from lentic.learn.ration import NORMAL_90, Multiplier, Trend, activity_multiplier, usual_multiplier, weight_trend
from lentic.logbook.events import Event, Measure, Reading, Rest, Weigh
from lentic.logbook.tank import Tank, Turtle
from lentic.science import winter
from lentic.science.constants import MONTH_D

WEIGHING_NOISE: Final = 0.02
"""How far one weighing is off for a full gut or a wet shell, share of the mass; common practice, no source."""
LOOK_BACK: Final = timedelta(days=120)
"""How far back weighings still speak of today; common practice, no source."""
LEAST_SPAN_D: Final = 21.0
"""A shorter trend is mostly gut content; common practice, no source."""
TEMPERATURE_BACK: Final = timedelta(days=28)
COLDEST_FED_C: Final = 15.0
"""Below this the sum is not for use: digestion slows and the factor per ten degrees is uncertain."""
YEARS_YOUNG, YEARS_GROWING = 3.0, 6.0
"""Ages that stand in where no size is known; common practice, no source. [years]"""
CLASSES: Final = ("juvenile", "subadult", "adult")


@dataclass(frozen=True, kw_only=True)
class Ration:
    """What one animal needs a day, and every number behind it."""

    animal: str
    species: str
    age: str
    age_why: str
    feeding_days: Estimate
    mass: Estimate
    temperature: Estimate
    resting: Estimate
    multiplier: Estimate
    growth: Estimate
    need: Estimate
    trend: str
    learned: bool
    cautions: tuple[str, ...]


def ration_of(turtle: Turtle, tank: Tank, events: Sequence[Event], now: datetime, eaten: Eaten | str) -> Ration | str:
    """Return the ration of one turtle, or what is missing in a sentence; `eaten` may say why it is not known."""
    record = resolve("turtle", turtle.species or "")
    species = record if isinstance(record, Animal) else None
    mass = mass_of(turtle, events, now)
    if mass is None:
        return f"{turtle.id}: neither its mass nor its shell length is known. Weigh it dry, before food, and log it."
    temperature = temperature_of(tank, species, events, now)
    if temperature is None:
        return f"{turtle.id}: the water temperature is not known. One reading is enough to begin."
    age, why = age_class(turtle, species, events, now)
    trend = weights(turtle, events, now)
    resting = resting_energy(mass.value, temperature)
    reason = _why_not(turtle, trend, events, now, eaten)
    warm = _warmth_then(turtle, tank, species, events, now) or temperature
    found, learned = _multiplier(trend, warm, eaten, reason)
    growth = _growth(age)
    need = combined(
        lambda rest, m, grow: rest * m * (1.0 + grow), exactly(resting.value, "", ""), found, growth,
        unit="kcal a day",
        origin="estimate, learned from this animal's weight" if learned else "estimate from its mass and warmth",
    )  # fmt: skip
    days = of_fact(common("turtles")[f"feeding_days_{age}"], "days a week")
    return Ration(
        animal=turtle.id, species=species.name if species else turtle.species or "species not given", age=age,
        age_why=why, feeding_days=days, mass=mass, temperature=temperature, resting=resting, multiplier=found,
        growth=growth, need=need, trend=_trend_words(trend, reason), learned=learned,
        cautions=_cautions(age, temperature, species, trend),
    )  # fmt: skip


def mass_of(turtle: Turtle, events: Sequence[Event], now: datetime) -> Estimate | None:
    """Return the mass: last weighed, else described, else from the shell length, else unknown."""
    weighed = [e for e in events if isinstance(e, Weigh) and e.animal == turtle.id and e.grams > 0.0 and e.time <= now]
    if weighed:
        last = max(weighed, key=lambda event: event.time)
        return exactly(last.grams, "g", f"your own weighing of {last.time:%Y-%m-%d}")
    if turtle.mass_g is not None:
        return exactly(turtle.mass_g, "g", "your own value in tank.toml")
    length, _ = shell_length(turtle, events, now)
    if length is None:
        return None
    facts = common("turtles")
    usual = facts["mass_per_scl3_usual_g_cm3"].middle
    factor = replace(of_fact(facts["mass_per_scl3_g_cm3"]), value=usual)
    return combined(
        lambda k: k * length**3, factor, unit="g", origin=f"estimate from {number(length)} cm of shell: weigh it once",
        source=factor.source,
    )  # fmt: skip


def shell_length(turtle: Turtle, events: Sequence[Event], now: datetime) -> tuple[float | None, str]:
    """Return the last straight shell length and where it comes from."""
    measured = [e for e in events if isinstance(e, Measure) and e.animal == turtle.id and e.time <= now]
    if measured:
        last = max(measured, key=lambda event: event.time)
        return last.centimetres, f"measured {last.time:%Y-%m-%d}"
    return turtle.scl_cm, "your own value in tank.toml"


def temperature_of(
    tank: Tank, species: Animal | None, events: Sequence[Event], now: datetime, back: timedelta = TEMPERATURE_BACK
) -> Estimate | None:
    """Return the water temperature: read lately, else set at the heater, else the middle of the species' range."""
    read = [
        e.value for e in events
        if isinstance(e, Reading) and e.quantity == "temperature" and now - back <= e.time <= now
    ]  # fmt: skip
    if read:
        origin = f"your own readings, {len(read)} in {back.days} days" if len(read) > 1 else "your own reading"
        return Estimate(low=min(read), value=float(np.median(read)), high=max(read), unit="°C", origin=origin)
    if tank.heater is not None and tank.heater.set_c is not None:
        return exactly(tank.heater.set_c, "°C", "your own setting of the heater, not a reading")
    fact = species.water_temperature if species else None
    return None if fact is None else of_fact(fact)


def age_class(turtle: Turtle, species: Animal | None, events: Sequence[Event], now: datetime) -> tuple[str, str]:
    """Return juvenile, subadult or adult, by share of the adult shell length of its sex, and why."""
    length, origin = shell_length(turtle, events, now)
    adult = _adult_length(turtle, species)
    sex = turtle.sex if turtle.sex in ("female", "male") else None
    if species is not None and length is not None and adult is not None:
        stage = stage_of(species, sex, length) or stage_of(species, "female", length)
        age = "juvenile" if stage == "hatchling" else stage or "adult"
        shown = sex or "sex not known, taken as female where it matters"
        return age, f"{number(length)} cm ({origin}); adults from {number(adult)} cm, {shown}"
    if turtle.hatched is not None:
        years = (now.date() - turtle.hatched).days / 365.25
        age = "juvenile" if years < YEARS_YOUNG else "subadult" if years < YEARS_GROWING else "adult"
        return age, f"{number(years)} years old; its shell length or its species' is not known, so this is a guess"
    return "adult", "assumption: neither shell length nor age is known"


def _adult_length(turtle: Turtle, species: Animal | None) -> float | None:
    sex = "male" if turtle.sex == "male" else "female"
    fact = species.fact(f"scl_adult_{sex}_cm") if species else None
    return fact.bounds[0] if fact else None


def resting_energy(mass: float, temperature: Estimate) -> Estimate:
    """Return the energy the animal spends at rest."""
    facts = common("turtles")
    base, exponent, q10 = (facts[key] for key in ("smr_kcal_per_day_1_kg_20_C", "smr_mass_exponent", "smr_q10"))

    def rest(celsius: float, off: float) -> float:
        return off * float(winter.resting_energy(mass, celsius, base.middle, exponent.middle, q10.middle))

    origin = f"from measured turtles, {base.origin}"
    return combined(
        rest,
        temperature,
        replace(of_fact(facts["smr_spread"]), value=1.0),
        unit="kcal a day",
        origin=origin,
        source=base.source,
    )


def weights(turtle: Turtle, events: Sequence[Event], now: datetime) -> Trend | None:
    """Return the weight trend of the last months, or None where the scale has not spoken long enough."""
    found = _weighings(turtle, events, now)
    first = found[0].time if found else now
    days = np.array([(e.time - first).total_seconds() / 86400.0 for e in found])
    trend = weight_trend(days, np.array([e.grams for e in found]), WEIGHING_NOISE)
    return trend if trend is not None and trend.days >= LEAST_SPAN_D else None


def _weighings(turtle: Turtle, events: Sequence[Event], now: datetime) -> list[Weigh]:
    found = [
        e for e in events
        if isinstance(e, Weigh) and e.animal == turtle.id and e.grams > 0.0 and now - LOOK_BACK <= e.time <= now
    ]  # fmt: skip
    return sorted(found, key=lambda event: event.time)


def span_of(turtle: Turtle, events: Sequence[Event], now: datetime) -> tuple[datetime, datetime] | None:
    """Return from when to when the weighings speak."""
    found = _weighings(turtle, events, now)
    return (found[0].time, found[-1].time) if len(found) > 1 else None


def _warmth_then(
    turtle: Turtle, tank: Tank, species: Animal | None, events: Sequence[Event], now: datetime
) -> Estimate | None:
    """Return the water temperature over the time of the weighings, else that of today."""
    span = span_of(turtle, events, now)
    back = TEMPERATURE_BACK if span is None else max(now - span[0], TEMPERATURE_BACK)
    return temperature_of(tank, species, events, now, back)


def _why_not(turtle: Turtle, trend: Trend | None, events: Sequence[Event], now: datetime, eaten: Eaten | str) -> str:
    """Return why the weights cannot teach the multiplier; empty where they can."""
    if trend is None:
        return f"fewer than two weighings {LEAST_SPAN_D:.0f} days apart in the last {LOOK_BACK.days} days"
    if isinstance(eaten, str):
        return eaten
    if any(isinstance(e, Rest) and e.animal == turtle.id and e.time >= now - LOOK_BACK for e in events):
        return "a winter rest lies between the weighings"
    return ""


def _multiplier(trend: Trend | None, warm: Estimate, eaten: Eaten | str, reason: str) -> tuple[Estimate, bool]:
    """Return energy spent over resting energy, and whether this animal taught it."""
    facts = common("turtles")
    usual, band, cost = (facts[key] for key in ("active_multiplier_usual", "active_multiplier", "growth_kcal_per_g"))
    prior = usual_multiplier(usual.middle, *band.bounds)
    if reason or trend is None or isinstance(eaten, str):
        return _as_known(activity_multiplier(prior, 1.0), usual.origin, usual.source), False
    resting = resting_energy(trend.mean_g, warm).value
    growth = (cost.middle, (cost.bounds[1] - cost.bounds[0]) / (2.0 * NORMAL_90))
    found = activity_multiplier(prior, resting, (eaten.kcal_per_day, eaten.sd), trend, growth)
    return _as_known(found, "estimate from food eaten and weight", ""), True


def _as_known(found: Multiplier, origin: str, source: str) -> Estimate:
    return Estimate(low=found.p10, value=found.p50, high=found.p90, unit="times resting", origin=origin, source=source)


def _growth(age: str) -> Estimate:
    """Return energy for growth as a share of upkeep: none for adults, half of a young one's for subadults."""
    fact = common("turtles")["growth_per_upkeep_young"]
    share = {"juvenile": 1.0, "subadult": 0.5}.get(age, 0.0)
    return of_fact(fact, "of upkeep").times(share, "of upkeep")


def _trend_words(trend: Trend | None, reason: str) -> str:
    if trend is None:
        return f"Weight trend: not known yet ({reason})."
    month = 100.0 * trend.grams_per_day * MONTH_D / trend.mean_g
    reach = 100.0 * NORMAL_90 * trend.sd * MONTH_D / trend.mean_g
    low, high = month - reach, month + reach
    words = (
        f"Weight trend: {month:+.1f} % a month (8 in 10: {low:+.1f} to {high:+.1f}), your own"
        f" {trend.weighings} weighings over {trend.days:.0f} days."
    )
    return f"{words} Not used for the ration: {reason}." if reason else words


def _cautions(age: str, temperature: Estimate, species: Animal | None, trend: Trend | None) -> tuple[str, ...]:
    found = []
    if temperature.value < COLDEST_FED_C:
        found.append(
            f"At {number(temperature.value)} °C this sum is not for use: a cold turtle digests slowly or not at all."
            " Do not feed by it; if the cold is meant as a winter rest, plan it with a vet."
        )
    if species is None:
        found.append("The species is not known here: water, diet and adult size could not be looked up.")
    if age == "juvenile":
        found.append("A young animal is never kept short to spare the water: change more water instead.")
    if trend is not None and trend.grams_per_day * MONTH_D < -0.05 * trend.mean_g:
        found.append(
            "The weight falls by more than 5 % a month. Weigh again under the same conditions; if it holds, or the"
            " animal eats badly, a vet who knows reptiles should see it."
        )
    return tuple(found)
