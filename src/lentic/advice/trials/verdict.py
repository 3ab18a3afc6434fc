"""How a trial stands: compared with what the fitted tank would have shown without the change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta

from lentic.advice.trials.effect import Effect, effect_of
from lentic.advice.trials.sight import LEAST_SCRAPES, NITRATE, on_readings, on_scraping, readings_of, scraping_gaps
from lentic.advice.trials.undo import signs_of_harm, spoiled_by, undone
from lentic.advice.words import day_words, listed, number
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, futures
from lentic.logbook.events import Event
from lentic.logbook.trials import Ended, Trial

FIRST_D = 3
"""Nothing is said of fewer days. [d]"""


def verdict_of(fit: Fit, before: Sequence[Event], during: Sequence[Event], trial: Trial, end: datetime) -> Ended:
    """Return how a trial stands; the fit is that of the log up to its beginning: it learned nothing from the trial."""
    harm = signs_of_harm(during)
    if harm:
        note = harm[0].note or "a sign"
        return Ended(
            verdict="ended for the animal",
            sentence=f"Ended: on {day_words(fit.description.tank.local_date(harm[0].time))} a sign was noted ({note})."
            " The animal comes first; if it lasts, ask a reptile vet.",
        )  # fmt: skip
    days = int((end - trial.begun) / timedelta(days=1))
    if days < FIRST_D:
        return Ended(verdict="too early to say", sentence="Too early to say: it has only begun.")
    effect = _effect(fit, before, during, trial, days)
    spoilt = spoiled_by(trial, fit.description.tank, before, during)
    if spoilt:
        return _ended("spoiled", f"Spoiled: meanwhile {listed(spoilt)}. What is seen may come from that.", effect)
    return _judged(trial, effect, end, fit)


def _effect(fit: Fit, before: Sequence[Event], during: Sequence[Event], trial: Trial, days: int) -> Effect | None:
    changed = futures(fit, before, during, trial.begun, days)
    control = futures(fit, before, undone(trial, during), trial.begun, days)
    if trial.goal == NITRATE:
        rows = readings_of(during, trial.begun, changed, _places(fit, during, changed))
        nitrate = any(row.quantity == NITRATE for row in rows)
        return effect_of(on_readings(fit, control, changed, rows)) if nitrate else None
    gaps = scraping_gaps([*before, *during], trial.begun)
    if len(gaps) < LEAST_SCRAPES:
        return None
    return effect_of(on_scraping(control, changed, days, gaps, len(gaps)))


def _places(fit: Fit, during: Sequence[Event], found: Futures) -> Mapping[datetime, int]:
    """Return which day of the future each event falls on."""
    tank = fit.description.tank
    return {event.time: (tank.local_date(event.time) - found.begin).days for event in during}


def _judged(trial: Trial, effect: Effect | None, end: datetime, fit: Fit) -> Ended:
    if effect is None:
        return Ended(verdict="too early to say", sentence=f"Too early to say: {_lacking(trial)}")
    seen = f"about {number(max(effect.share, 0.0))} of what was expected" if effect.share > 0.0 else "the other way"
    told = f"{seen} (8 in 10: {number(effect.low)} to {number(effect.high)} of it), from {effect.readings} readings"
    if effect.verdict == "worked":
        return _ended("worked", f"It worked: the effect is {told}.", effect)
    if effect.verdict == "worse":
        return _ended("worse", f"It went the wrong way: {told}. Undo it.", effect)
    if effect.verdict == "no effect":
        return _ended("no effect", f"No effect worth the work: {told}.", effect)
    over = fit.description.tank.local_date(end) >= trial.ends
    rest = " The time that was set is over: go on, or undo it." if over else f" {_lacking(trial)}"
    return _ended("too early to say", f"Too early to say: so far {told}.{rest}", effect)


def _lacking(trial: Trial) -> str:
    what = "nitrate readings" if trial.goal == NITRATE else "intervals between scrapings"
    if trial.seen_from is None:
        return f"with the readings of a usual week it may never show; more {what} would help."
    return f"{trial.readings} {what} by {day_words(trial.seen_from)} should show it."


def _ended(verdict: str, sentence: str, effect: Effect | None) -> Ended:
    if effect is None:
        return Ended(verdict=verdict, sentence=sentence)
    return Ended(
        verdict=verdict, sentence=sentence, share=round(effect.share, 3), low=round(effect.low, 3),
        high=round(effect.high, 3), readings=effect.readings,
    )  # fmt: skip
