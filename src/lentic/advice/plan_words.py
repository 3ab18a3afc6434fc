"""A proposal in a keeper's words: how it goes as before, the one change, when to look, what would come second."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

import numpy as np

from lentic.advice.judge import FREE_NOTICED, LONGEST_D, Tried, most_cooling
from lentic.advice.limits import has_fish, hungry_nitrate, limit_of
from lentic.advice.refill import TAP_COLD_C
from lentic.advice.routine import Goals
from lentic.advice.words import Spread, chance, day_words, number, ranged
from lentic.logbook.tank import Tank

NITRATE_LOOK_D, PANES_LOOK_D = 14, 28
"""When nitrate and when the panes show what a change did; common practice, no source. [d]"""


def sentences(
    tank: Tank, goals: Goals, before: Tried, best: Tried | None, second: Tried | None, together: Tried | None,
    tried: Sequence[Tried], begin: datetime, days: int,
) -> tuple[str, ...]:  # fmt: skip
    """Return a proposal in words."""
    lines = [goals.said, f"As before: {_state(before, goals)}."]
    if best is None:
        lines += _why_nothing(before, tried, goals)
    else:
        lines += _first(tank, best, before, goals, begin, days)
    if best is not None and second is not None and together is not None:
        lines += [
            f"What could come second, only after the first has been seen: {second.do}",
            f"  Both together: {_state(together, goals)}.",
        ]
    most = most_cooling(tank)
    if before.cooling_k > most and best is None:
        lines.append(f"As it is done now, each change cools the water by {before.cooling_k:.1f} K unless the new water"
                     f" is warmed; {most:g} K is the limit here.")  # fmt: skip
    if tank.plants and (before.nitrate.p50 or 0.0) < hungry_nitrate():
        lines.append(
            f"Under {hungry_nitrate():g} mg/L NO3 for weeks plants commonly go hungry: watch for pale or glassy tips."
        )
    ruled_out = [t for t in tried if t.against]
    lines += [f"Ruled out: {t.do} It {'; it '.join(t.against)}." for t in ruled_out]
    lines.append("Minutes and limits are common practice, not measured at this tank.")
    return tuple(lines)


def _state(t: Tried, goals: Goals) -> str:
    return (
        f"nitrate {ranged(t.nitrate, 'mg/L NO3')}, {chance(t.kept)} at or under {goals.nitrate_mg_l:g}; "
        f"{_panes(t.scrape_every)}; {_minutes(t.minutes_a_week)} of work a week"
    )


def _minutes(minutes: float) -> str:
    whole = f"{minutes:.0f}"
    return f"{whole} minute{'' if whole == '1' else 's'}"


def _panes(spread: Spread) -> str:
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "nobody can say how often the panes are scraped"
    if spread.p10 >= LONGEST_D:
        return "the panes hardly ever scraped"
    low, middle, high = (
        f"{LONGEST_D:.0f} or more" if x >= LONGEST_D else f"{x:.0f}" for x in (spread.p10, spread.p50, spread.p90)
    )
    return f"the panes scraped about every {middle} days (8 in 10: {low} to {high})"


def _first(tank: Tank, best: Tried, before: Tried, goals: Goals, begin: datetime, days: int) -> list[str]:
    nitrate_day, panes_day = (begin + timedelta(days=min(d, days)) for d in (NITRATE_LOOK_D, PANES_LOOK_D))
    lines = [
        f"One change first: {best.do}",
        f"  By {day_words(begin + timedelta(days=days))}: {_state(best, goals)}.",
        f"  Of the possible tanks that miss what is wanted as before, {_of_them(best.better)} come nearer to it.",
        f"  {_looks(before, nitrate_day, panes_day)}; change nothing else until then. If nothing moves that way, undo"
        " it.",
    ]
    if (best.routine.litres, best.routine.interval_d) != (before.routine.litres, before.routine.interval_d):
        lines.append(f"  Each change moves the water by {_moves(best)} at once.")
    if best.cooling_k > most_cooling(tank):
        lines.append(f"  Warm the new water to {_warm_enough(tank, best):.0f} °C or more: cold it would cool the"
                     f" tank by {best.cooling_k:.1f} K, and {most_cooling(tank):g} K is the limit here.")  # fmt: skip
    return [*lines, *_ammonia(tank, best)]


def _of_them(share: float) -> str:
    return "nearly all" if share >= 0.95 else chance(share)


def _looks(before: Tried, nitrate_day: datetime, panes_day: datetime) -> str:
    said = f"Read nitrate on {day_words(nitrate_day)}"
    if before.scrape_every.p10 is not None and before.scrape_every.p10 < LONGEST_D:
        return f"{said} and count the scrapings until {day_words(panes_day)}"
    return said


def _warm_enough(tank: Tank, t: Tried) -> float:
    """Return how warm the new water has to be for the water to fall no further than it may. [°C]"""
    cold = tank.source_water.temperature_c if tank.source_water.temperature_c is not None else TAP_COLD_C
    share = t.routine.litres / (tank.water_litres or np.inf)
    return float(cold + (t.cooling_k - most_cooling(tank)) / share)


def _moves(t: Tried) -> str:
    return (
        f"{-t.cooling_k:+.1f} K if the new water is not warmed, pH by {t.ph_step:+.1f}, KH by {t.kh_step_dkh:+.1f} dKH"
    )


def _ammonia(tank: Tank, t: Tried) -> list[str]:
    if t.free_ammonia_up <= (FREE_NOTICED if has_fish(tank) else max(FREE_NOTICED, 0.1 * t.free_before)):
        return []
    said = f"  It raises the highest free ammonia from {number(t.free_before)} to {number(t.free_after)} mg/L NH3"
    limit = limit_of(tank, "ammonia_free")
    if has_fish(tank) and limit is not None:
        return [f"{said}, and fish live in this tank: {limit.value:g} is the line for them. Read ammonia twice a week."]
    return [f"{said}."]


def _why_nothing(before: Tried, tried: Sequence[Tried], goals: Goals) -> list[str]:
    """Say why no change is proposed: all is well, or nothing that may be done comes near enough."""
    every = before.scrape_every.p50
    hungry = (before.nitrate.p50 or 0.0) < hungry_nitrate()
    if before.kept >= 0.8 and not hungry and every is not None and every >= goals.scrape_every_d:
        short = (before.nitrate.p50 or 0.0) > 1.1 * goals.liked_nitrate_mg_l
        return [
            "Go on as before: the limits are kept, and what is left to your good weeks no single change would show."
            if short
            else "Go on as before: what is wanted is what this tank does already."
        ]
    allowed = sorted((t for t in tried if not t.against), key=lambda t: t.loss)
    if not allowed:
        return ["Go on as before: every single change that was tried breaks a limit."]
    best = allowed[0]
    return [
        "Go on as before: no single change gains as much as a keeper would notice.",
        f"The most would come from this: {best.do} Then: {_state(best, goals)}.",
    ]
