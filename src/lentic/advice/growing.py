"""The growth of one turtle: curve, length for its mass, and the day its tank will be too small."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache

import numpy as np

from lentic.advice.findings import When, when_of
from lentic.advice.words import Spread
from lentic.catalogue import Animal, Fact, common, resolve, turtles
from lentic.learn.growth import Asymptote, Growth, GrowthPrior, Sight, grow
from lentic.logbook.events import Event, Measure, Rest, Wake, Weigh
from lentic.logbook.tank import Tank, Turtle, described_on
from lentic.science.constants import YEAR_D
from lentic.science.growth import shell_length

BETWEEN_P10_AND_P90 = 2 * 1.2816
"""Standard deviations between the ends of a range that holds 8 of 10."""
SINGLE_SD = 0.08
"""Spread of an adult length of which only one number is known, as a share; common practice, no source."""
RATE_SD = 0.7
"""How far a kept animal's rate may lie from that of the one published wild curve, of the logarithm; practice."""
MASS_EVERY_D = 30
"""One mass a month goes into the curve: more of them only tell what the gut held."""
AFTER_REST_D = 21
"""Days after a winter rest in which the mass says little of growth."""
LIGHT, HEAVY = 0.77, 1.46
"""Mass for the length over that of the usual kind, at the ends of the range between kinds."""


@dataclass(frozen=True, kw_only=True)
class Curve:
    """What is known of the growth of one animal; the reference day is that of its last mass or length."""

    animal: Turtle
    record: Animal
    reference: date
    growth: Growth
    prior: GrowthPrior
    measured: int

    def length_on(self, day: date) -> Spread:
        """Return the shell length on a day. [cm]"""
        return self._spread(self.growth.length_at((day - self.reference).days / YEAR_D))

    def mass_on(self, day: date) -> Spread:
        """Return the mass on a day. [g]"""
        return self._spread(self.growth.mass_at((day - self.reference).days / YEAR_D))

    @property
    def adult(self) -> Spread:
        """Final shell length. [cm]"""
        return self._spread(self.growth.asymptote)

    @property
    def coefficient(self) -> Spread:
        """Mass over the cube of the shell length. [g/cm³]"""
        return self._spread(self.growth.coefficient)

    @property
    def rate(self) -> Spread:
        """Share of the missing length gained in a year, as an exponent. [1/a]"""
        return self._spread(self.growth.rate)

    def reaches(self, goal_cm: float) -> When:
        """Return when the shell reaches a length."""
        return when_of(self.reference, self.growth.quantiles(self.growth.years_to(goal_cm)))

    def _spread(self, values: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Spread:
        low, middle, high = self.growth.quantiles(values)
        return Spread(p10=low, p50=middle, p90=high)


def record_of(turtle: Turtle) -> Animal | None:
    """Return the catalogue's record of an animal's kind, None where it is not told or not one kind."""
    found = resolve("turtle", turtle.species or "")
    return found if isinstance(found, Animal) else None


@cache
def usual_rate() -> float:
    """Return the rate of the one published curve by age in the catalogue, towards its adult length. [1/a]"""
    facts = turtles()["mauremys_japonica"].facts
    words = facts["growth_curve_female_cm"].text.split("; ")
    points = np.array([[float(x) for x in word.split()[-1].split(":")] for word in words])
    rates = np.linspace(0.05, 0.6, 111)
    curves = shell_length(facts["scl_adult_female_cm"].middle, points[0, 1], rates[:, None], points[:, 0])
    return float(rates[np.argmin(((curves - points[:, 1]) ** 2).sum(axis=1))])


@cache
def hatchling_cm() -> float:
    """Return the one measured hatchling length of the catalogue, for all kinds. [cm]"""
    return turtles()["mauremys_japonica"].facts["hatchling_scl_cm"].middle


def adult_fact(record: Animal, sex: str) -> Fact | None:
    """Return the adult shell length of a sex. [cm]"""
    return record.fact(f"scl_adult_{sex}_cm")


def prior_of(record: Animal, sex: str | None) -> GrowthPrior | None:
    """Return what the catalogue says of the growth of a kind; None where it knows no adult length."""
    sexes = (sex,) if sex in ("female", "male") else ("female", "male")
    facts = [fact for each in sexes if (fact := adult_fact(record, each)) is not None]
    if not facts:
        return None
    asymptotes = tuple(_asymptote(fact, 1.0 / len(facts)) for fact in facts)
    usual = common("turtles")["mass_per_scl3_usual_g_cm3"].middle
    low, high = common("turtles")["mass_per_scl3_g_cm3"].bounds
    return GrowthPrior(
        asymptotes=asymptotes, rate=usual_rate(), rate_sd=RATE_SD, coefficient=usual,
        coefficient_sd=float(np.log(high / low)) / BETWEEN_P10_AND_P90, hatchling_cm=hatchling_cm(),
    )  # fmt: skip


def _asymptote(fact: Fact, share: float) -> Asymptote:
    low, high = fact.bounds
    sd = max((high - low) / BETWEEN_P10_AND_P90, SINGLE_SD * fact.middle)
    return Asymptote(mean_cm=fact.middle, sd_cm=sd, share=share)


def resting_spans(events: Sequence[Event], animal: str) -> tuple[tuple[date, date], ...]:
    """Return the winter rests of an animal, each with the weeks after it; an open one goes on."""
    spans: list[tuple[date, date]] = []
    since: date | None = None
    for event in events:
        if isinstance(event, Rest) and event.animal == animal and since is None:
            since = event.time.date()
        elif isinstance(event, Wake) and event.animal == animal and since is not None:
            spans.append((since, event.time.date() + timedelta(days=AFTER_REST_D)))
            since = None
    return (*spans, (since, date.max)) if since is not None else tuple(spans)


def weighings(tank: Tank, events: Sequence[Event], turtle: Turtle) -> list[tuple[date, float]]:
    """Return every mass of an animal with its day, that of the description first."""
    found = [(tank.local_date(e.time), e.grams) for e in events if isinstance(e, Weigh) and e.animal == turtle.id]
    return sorted([*_described(tank, events, turtle.mass_g), *found])


def lengths(tank: Tank, events: Sequence[Event], turtle: Turtle) -> list[tuple[date, float]]:
    """Return every shell length of an animal with its day, that of the description first."""
    found = [
        (tank.local_date(e.time), e.centimetres) for e in events if isinstance(e, Measure) and e.animal == turtle.id
    ]
    return sorted([*_described(tank, events, turtle.scl_cm), *found])


def _described(tank: Tank, events: Sequence[Event], value: float | None) -> list[tuple[date, float]]:
    day = described_on(tank, events)
    return [] if value is None or day is None else [(day, value)]


def awake(days: Sequence[tuple[date, float]], spans: Sequence[tuple[date, date]]) -> list[tuple[date, float]]:
    """Return the weighings outside winter rests."""
    return [(day, grams) for day, grams in days if not any(begin <= day <= end for begin, end in spans)]


def curve_of(tank: Tank, events: Sequence[Event], turtle: Turtle) -> Curve | None:
    """Return the growth curve of an animal; None while kind, or both mass and length, are unknown."""
    record = record_of(turtle)
    prior = prior_of(record, turtle.sex) if record is not None else None
    masses = awake(weighings(tank, events, turtle), resting_spans(events, turtle.id))
    measured = lengths(tank, events, turtle)
    if record is None or prior is None or not (masses or measured):
        return None
    monthly: list[tuple[date, float]] = []
    for day, grams in reversed(masses):
        if not monthly or (monthly[-1][0] - day).days >= MASS_EVERY_D:
            monthly.append((day, grams))
    reference = max(day for day, _ in [*monthly, *measured])
    years = [(reference - day).days / -YEAR_D for day, _ in monthly]
    sights = [Sight(years=year, grams=grams) for year, (_, grams) in zip(years, monthly, strict=True)]
    sights += [Sight(years=(reference - day).days / -YEAR_D, centimetres=cm) for day, cm in measured]
    hatched = None if turtle.hatched is None else (turtle.hatched - reference).days / YEAR_D
    growth = grow(prior, sights, hatched)
    if growth is None:
        return None
    return Curve(animal=turtle, record=record, reference=reference, growth=growth, prior=prior, measured=len(sights))
