"""A proposal in a keeper's words: how it goes as before, the one change, when to look, what would come second."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta

from lentic.advice.judge import COOLING_K, COOLING_WITH_FISH_K, FREE_NOTICED, LONGEST_D, Tried
from lentic.advice.limits import has_fish, hungry_nitrate, limit_of
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
    most = COOLING_WITH_FISH_K if has_fish(tank) else COOLING_K
    if before.cooling_k > most:
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
        f"the panes scraped {_every(t.scrape_every)}; {t.minutes_a_week:.0f} minutes of work a week"
    )


def _every(spread: Spread) -> str:
    if spread.p10 is None or spread.p50 is None or spread.p90 is None:
        return "nobody can say how often"
    low, middle, high = (
        f"{LONGEST_D:.0f} or more" if x >= LONGEST_D else f"{x:.0f}" for x in (spread.p10, spread.p50, spread.p90)
    )
    return f"about every {middle} days (8 in 10: {low} to {high})"


def _first(tank: Tank, best: Tried, before: Tried, goals: Goals, begin: datetime, days: int) -> list[str]:
    nitrate_day, panes_day = (begin + timedelta(days=min(d, days)) for d in (NITRATE_LOOK_D, PANES_LOOK_D))
    lines = [
        f"One change first: {best.do}",
        f"  By {day_words(begin + timedelta(days=days))}: {_state(best, goals)}.",
        f"  Of the possible tanks that miss what is wanted as before, {_of_them(best.better)} come nearer to it.",
        f"  Read nitrate on {day_words(nitrate_day)} and count the scrapings until {day_words(panes_day)}; change"
        " nothing else until then. If neither moves that way, undo it.",
    ]
    if (best.routine.litres, best.routine.interval_d) != (before.routine.litres, before.routine.interval_d):
        lines.append(f"  Each change moves the water by {_moves(best)} at once.")
    return [*lines, *_ammonia(tank, best)]


def _of_them(share: float) -> str:
    return "nearly all" if share >= 0.95 else chance(share)


def _moves(t: Tried) -> str:
    return (
        f"{-t.cooling_k:+.1f} K if the new water is not warmed, pH by {t.ph_step:+.1f}, KH by {t.kh_step_dkh:+.1f} dKH"
    )


def _ammonia(tank: Tank, t: Tried) -> list[str]:
    if t.free_ammonia_up <= FREE_NOTICED:
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
