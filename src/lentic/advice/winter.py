"""Winter rest: which animal may, the plan by dates, and whether a loss of mass is what fasting explains."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from lentic.advice.findings import Finding, ask, date_words, known_as
from lentic.advice.words import amount, number
from lentic.catalogue import Animal, common
from lentic.logbook.events import Event, Rest, Wake, Weigh
from lentic.logbook.tank import Tank, Turtle
from lentic.science.winter import FAT_ENERGY, LEAN_ENERGY, fasting_loss, resting_energy

Kind = Literal["never", "specialist", "short", "may", "unknown"]
HOLD_C = (4.0, 7.0)
"""Water or air to aim at; a veterinary nursing text quotes 3.8 to 10 °C as the range. [°C]"""
LOSS_WATCH, LOSS_ACT, LOSS_NOW = 0.03, 0.06, 0.10
"""Loss of the mass at the start from which to weigh oftener, to end the rest, to go at once; common practice."""
REGAIN = 0.025
"""Share of the start mass which a thirsty animal drinks back within an hour; common practice, no source."""
CHECK_VALID_D = 120
"""Days for which a vet's look counts before a winter rest; common practice, no source."""
LEAST_AGE_D = 730
"""Hatchlings and yearlings are kept warm; common practice, no source."""
SCALE_G = 2.0
"""How far two weighings differ by the scale and a wet shell alone; common practice, no source. [g]"""
WEIGH_EVERY_D = 10
WARM = "Keeping it warm this winter is always allowed, and the safe choice where anything is open."


@dataclass(frozen=True, kw_only=True)
class Step:
    """One span of a plan."""

    begin: date
    end: date
    do: str


@dataclass(frozen=True, kw_only=True)
class Gate:
    """Whether this animal may rest this winter: the answer, what it rests on, and the plan if nothing forbids it."""

    allowed: bool
    sentence: str
    findings: tuple[Finding, ...]
    plan: tuple[Step, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Guard:
    """A winter rest under way: the loss, what fasting explains, and what to do."""

    since: date
    start_g: float
    last_g: float
    last_day: date
    days: int
    celsius: tuple[float, float]
    loss: float
    explained: tuple[float, float]
    """Least and most of the start mass that fasting takes in these days."""
    step_loss: float
    step_days: int
    usual_until: date | None
    state: Literal["fine", "watch", "act", "stop"]
    sentences: tuple[str, ...]
    do: tuple[str, ...]


def kind_of_winter(record: Animal | None) -> Kind:
    """Return what the catalogue's words on winter rest mean for an animal kept at home."""
    words = record.words("brumation") if record is not None else ""
    if not words:
        return "unknown"
    if re.search(r"specialist", words):
        return "specialist"
    if re.match(r"(never|no|not)\b", words) or re.search(r"never in home|not for home", words):
        return "never"
    return "short" if re.search(r"short|cool rest", words) else "may"


def gate_of(
    turtle: Turtle, record: Animal | None, today: date, *, urgent: str | None, losing: bool, light: bool | None
) -> Gate:
    """Return whether an animal may rest this winter; any open question keeps it warm."""
    findings = [
        _species(record), _health(urgent, losing), _weight(light), _vet(turtle, today), _age(turtle, today),
    ]  # fmt: skip
    stops = [each for each in findings if each.state == "stop"]
    asks = [each for each in findings if each.state == "ask"]
    if stops:
        sentence = f"No winter rest: {stops[0].sentence[0].lower()}{stops[0].sentence[1:]} {WARM}"
    elif asks:
        sentence = f"Not yet: {asks[0].sentence[0].lower()}{asks[0].sentence[1:]} {WARM}"
    else:
        sentence = f"Nothing known here forbids it; the vet has the last word. {WARM}"
    allowed = not stops and not asks
    return Gate(allowed=allowed, sentence=sentence, findings=tuple(findings), plan=plan_of(today) if allowed else ())


def _species(record: Animal | None) -> Finding:
    what = "kind"
    if record is None:
        return ask(what, "Which kind is it? Write species under [[turtle]]; a tropical animal may not wake.")
    fact = record.fact("brumation")
    if fact is None:
        return ask(what, f"Ask a vet whether {record.name} rests in winter; the catalogue does not know.")
    kind, source = kind_of_winter(record), known_as(fact)
    said = f"{record.scientific}: {fact.text}."
    if kind in ("never", "specialist"):
        return Finding(what=what, state="stop", sentence=said, source=source)
    if kind == "short":
        return Finding(what=what, state="watch", sentence=f"{said} A short cool rest at most.", source=source)
    return Finding(what=what, state="fine", sentence=said, source=source)


def _health(urgent: str | None, losing: bool) -> Finding:
    if urgent is not None:
        return Finding(what="health", state="stop", sentence="There is an open sign that a vet should see first.")
    if losing:
        return Finding(what="health", state="stop", sentence="It has lost weight that nothing here explains.")
    return Finding(what="health", state="fine", sentence="No open sign in the log, no unexplained loss.")


def _weight(light: bool | None) -> Finding:
    if light is None:
        return ask("reserves", "Weigh it and measure its shell: reserves cannot be judged without both.")
    if light:
        return Finding(what="reserves", state="stop", sentence="It is light for its length.")
    return Finding(what="reserves", state="fine", sentence="Its mass fits its length.")


def _vet(turtle: Turtle, today: date) -> Finding:
    if turtle.vet_checked is None:
        return ask("vet", "A vet should look at it first, droppings too; then write vet_checked under [[turtle]].")
    days = (today - turtle.vet_checked).days
    if days > CHECK_VALID_D:
        return ask("vet", f"The last vet's look was {days} days ago; have one before this winter.")
    return Finding(what="vet", state="fine", sentence=f"Seen by a vet on {date_words(turtle.vet_checked)}.")


def _age(turtle: Turtle, today: date) -> Finding:
    if turtle.hatched is None:
        return Finding(what="age", state="watch", sentence="Its age is not known; the first two winters are kept warm.")
    if (today - turtle.hatched).days < LEAST_AGE_D:
        return Finding(what="age", state="stop", sentence="It is younger than two years.", source="common practice")
    return Finding(what="age", state="fine", sentence=f"Hatched {date_words(turtle.hatched)}.")


def plan_of(start: date) -> tuple[Step, ...]:
    """Return the spans of a winter rest from its first day without food; common practice throughout."""
    spans = (
        (28, "No food, 18 to 20 °C, lamps as before: the gut must be empty. Weigh at the start and at the end."),
        (15, "Cooler by at most 1 °C a day down to 4 to 7 °C; lamps off in the second week."),
        (70, f"Hold 4 to 7 °C, dark, with air; thermometer with least and most; weigh every {WEIGH_EVERY_D} to 14 "
             "days; at most 12 weeks. A sensor on the lid tells an open door."),
        (12, "Wake over one to two weeks: a few degrees a day to 20 °C, then light, warmth, a shallow soak; "
             "food once it has been active for 48 h."),
    )  # fmt: skip
    steps: list[Step] = []
    begin = start
    for days, do in spans:
        end = begin + timedelta(days=days)
        steps.append(Step(begin=begin, end=end, do=do))
        begin = end
    return tuple(steps)


def resting_since(events: Sequence[Event], animal: str) -> Rest | None:
    """Return the line that began a winter rest which has not ended."""
    last: Rest | None = None
    for event in events:
        if isinstance(event, Rest) and event.animal == animal:
            last = event
        elif isinstance(event, Wake) and event.animal == animal:
            last = None
    return last


def explained_loss(mass_g: float, days: float, celsius: tuple[float, float]) -> tuple[float, float]:
    """Return the least and the most mass that fasting takes, all from fat and all from lean tissue. [g]"""
    facts = common("turtles")
    rate = [
        float(resting_energy(
            mass_g, each, facts["smr_kcal_per_day_1_kg_20_C"].middle, facts["smr_mass_exponent"].middle,
            facts["smr_q10"].middle,
        ))
        for each in celsius
    ]  # fmt: skip
    return float(fasting_loss(rate[0] * days, FAT_ENERGY)), float(fasting_loss(rate[1] * days, LEAN_ENERGY))


def guard_of(tank: Tank, events: Sequence[Event], turtle: Turtle) -> Guard | Finding | None:
    """Return how a winter rest stands; one missing mass is asked for; None while the animal is awake."""
    rest = resting_since(events, turtle.id)
    if rest is None:
        return None
    begin = tank.local_date(rest.time)
    masses = [(tank.local_date(e.time), e.grams) for e in events if isinstance(e, Weigh) and e.animal == turtle.id]
    before = [each for each in masses if each[0] <= begin]
    run = [*before[-1:], *(each for each in masses if each[0] > begin)]
    if len(run) < 2:
        return ask("winter rest", f"Weigh {turtle.id} now and every {WEIGH_EVERY_D} days: one mass tells no loss.")
    celsius = (rest.celsius, rest.celsius) if rest.celsius is not None else HOLD_C
    return _guard(begin, run, celsius)


def _guard(begin: date, run: Sequence[tuple[date, float]], celsius: tuple[float, float]) -> Guard:
    (first, start), (previous, before), (last, now) = run[0], run[-2], run[-1]
    days, step_days = (last - first).days, (last - previous).days
    least, most = explained_loss(start, days, celsius)
    loss, step_loss = 1.0 - now / start, 1.0 - now / before
    step_most = explained_loss(start, step_days, celsius)[1]
    usual = [
        day for day, grams in run[1:]
        if start - grams <= explained_loss(start, (day - first).days, celsius)[1] + SCALE_G
    ]  # fmt: skip
    odd = before - now > step_most + SCALE_G
    state: Literal["fine", "watch", "act", "stop"] = (
        "stop" if loss > LOSS_NOW else "act" if loss > LOSS_ACT else "watch" if loss > LOSS_WATCH or odd else "fine"
    )
    said = [
        f"From {amount_g(start)} to {amount_g(now)} in {days} days: {_percent(-loss)} of the start mass; "
        f"{_percent(-step_loss)} in the last {step_days} days.",
        f"Fasting alone takes {number(least)} g (all from fat) to {number(most)} g (lean tissue with its water) in "
        f"that time at {_degrees(celsius)}: {100 * least / start:.1f} to {100 * most / start:.1f} %.",
    ]
    if usual:
        said.append(f"Until {date_words(usual[-1])} the loss was what fasting explains.")
    return Guard(
        since=begin, start_g=start, last_g=now, last_day=last, days=days, celsius=celsius, loss=loss,
        explained=(least / start, most / start), step_loss=step_loss, step_days=step_days,
        usual_until=usual[-1] if usual else None, state=state, sentences=(*said, *_verdict(state, odd)),
        do=_what_to_do(state, start),
    )  # fmt: skip


def _verdict(state: str, odd: bool) -> tuple[str, ...]:
    beyond = "More than fasting can explain: water lost, or illness. Which, only a vet can say."
    match state:
        case "stop":
            return (f"Past {100 * LOSS_NOW:.0f} %. {beyond}",)
        case "act":
            return (f"Past the {100 * LOSS_ACT:.0f} % line (common practice). {beyond}",)
        case "watch":
            return (beyond if odd else f"Past {100 * LOSS_WATCH:.0f} %: weigh oftener (common practice).",)
    return ("As expected.",)


def _what_to_do(state: str, start: float) -> tuple[str, ...]:
    if state == "fine":
        return (f"Weigh again in {WEIGH_EVERY_D} days. Keep {HOLD_C[0]:g} to {HOLD_C[1]:g} °C.",)
    if state == "watch":
        return ("Weigh again in 3 days, on the same scale, shell dried. Check lid, door and temperature today.",)
    regain = max(5.0, 5.0 * round(REGAIN * start / 5.0))
    vet = "at once" if state == "stop" else "within 24 h"
    return (
        "End the rest today: 10, then 15, then 20 °C over 2 days.",
        "Then a shallow soak at 22 to 24 °C for 30 min, no deeper than the chin; peace, a dry warm place with "
        "ultraviolet light; no food until it has been active for 48 h.",
        f"Weigh after the soak. More than {regain:.0f} g drunk back: it was short of water. "
        f"No regain, discharge, swollen eyes or weak: a reptile vet {vet}.",
        f"Next winter: a vet's look first, a sensor on the lid, weigh every {WEIGH_EVERY_D} days. Or keep it warm: "
        "that is allowed.",
        "This is no diagnosis; the page for the vet holds what the log knows.",
    )


def amount_g(grams: float) -> str:
    """Return a mass in whole grams, as the scale shows it."""
    return f"{grams:.0f} g" if grams >= 20 else amount(grams, "g")


def _percent(share: float) -> str:
    return f"{100 * share:+.1f} %".replace("-", "−")


def _degrees(celsius: tuple[float, float]) -> str:
    low, high = celsius
    return f"{low:g} °C" if low == high else f"{low:g} to {high:g} °C (not told: assumed)"
