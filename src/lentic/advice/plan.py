"""The one change of routine that would do most, tried on the same possible tanks before it is proposed."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import shown
from lentic.advice.limits import has_fish, limit_of
from lentic.advice.words import Spread, buckets, chance, day_words, number, ranged, spread_of, waiting
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, futures, planned_events
from lentic.logbook.events import Change, Event, Feed, Lamp, Planted
from lentic.logbook.tank import Tank

Array = npt.NDArray[np.float64]

TARGET_NITRATE = 40.0
"""Upper end of what is commonly held in a planted tank; common practice, no source. [mg/L NO3]"""
HUNGRY_NITRATE = 5.0
"""Under it plants commonly go hungry; common practice, no source. [mg/L NO3]"""
CHANGE_MINUTES, BUCKET_MINUTES, SCRAPE_MINUTES = 12.0, 2.5, 10.0
"""What a session, a bucket and a scraping take; common practice, no source. [min]"""
COOLING_WITH_FISH_K, COOLING_K, KH_STEP, PH_STEP = 2.0, 4.0, 2.0, 0.4
TAP_COLD_C = 12.0
WORTH = 0.08
"""A change is proposed only if it gains so much; less is within what nobody would notice. [-]"""


@dataclass(frozen=True, kw_only=True)
class Option:
    """One single change of routine and the events it means."""

    name: str
    do: str
    events: tuple[Event, ...]
    litres: float
    interval_d: float


@dataclass(frozen=True, kw_only=True)
class Tried:
    """What an option does in the possible tanks."""

    name: str
    do: str
    nitrate: Spread
    kept: float
    scrape_days: Spread
    minutes_a_week: float
    free_ammonia_up: float
    against: tuple[str, ...]
    loss: float


@dataclass(frozen=True, kw_only=True)
class Proposal:
    """The change that is proposed first, or that none is worth it, beside everything tried."""

    tank: str
    begin: datetime
    days: int
    target_nitrate: float
    proposed: Tried | None
    before: Tried
    tried: tuple[Tried, ...]
    sentences: tuple[str, ...]


def proposal_of(fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int) -> Proposal:
    """Return the one change worth making first under the limits of this tank."""
    base = futures(fit, log, plan, begin, days)
    options = options_of(fit, log, plan, begin, days)
    now = _now_option(fit, log, plan, begin, days)
    before = judge(fit, base, base, now)
    tried = [judge(fit, futures(fit, log, o.events, begin, days), base, o) for o in options]
    allowed = [t for t in tried if not t.against]
    best = min(allowed, key=lambda t: (t.loss, t.name), default=None)
    if best is not None and before.loss - best.loss < WORTH:
        best = None
    ordered = tuple(sorted(tried, key=lambda t: (bool(t.against), t.loss, t.name)))
    start = datetime.combine(base.begin, time())
    return Proposal(
        tank=fit.description.tank.name, begin=start, days=days, target_nitrate=TARGET_NITRATE, proposed=best,
        before=before, tried=ordered, sentences=tuple(_sentences(best, before, ordered, start, days)),
    )  # fmt: skip


def _now_option(fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int) -> Option:
    events = planned_events(fit, log, plan, begin, days)
    litres, interval = rhythm(fit.description.tank, events, days)
    return Option(name="as before", do="Go on as before.", events=tuple(plan), litres=litres, interval_d=interval)


def rhythm(tank: Tank, events: Sequence[Event], days: int) -> tuple[float, float]:
    """Return the usual litres of a change and the days between changes; no change gives 0 and the horizon."""
    changes = [e for e in events if isinstance(e, Change)]
    if not changes:
        return 0.0, float(days)
    volume = tank.water_litres or 0.0
    litres = [e.litres if e.litres is not None else (e.percent or 0.0) / 100.0 * volume for e in changes]
    return float(np.median(litres)), days / len(changes)


def options_of(fit: Fit, log: Sequence[Event], plan: Sequence[Event], begin: datetime, days: int) -> list[Option]:
    """Return single changes: litres, interval, ration, plants and hours of plant light."""
    tank = fit.description.tank
    events = planned_events(fit, log, plan, begin, days)
    litres, interval = rhythm(tank, events, days)
    found: list[Option] = []
    volume = tank.water_litres or 0.0
    usual = litres or 0.2 * volume

    def add(name: str, do: str, changed: Sequence[Event], amount: float = litres, every: float = interval) -> None:
        rest = [e for e in plan if type(e) not in {type(c) for c in changed}]
        ordered = sorted([*rest, *changed], key=lambda e: e.time)
        found.append(Option(name=name, do=do, events=tuple(ordered), litres=amount, interval_d=every))

    for factor in (0.6, 0.8, 1.25, 1.5, 2.0):
        amount = max(5.0, round(usual * factor / 5.0) * 5.0)
        if litres and amount != litres and amount < 0.6 * volume:
            changed = [replace(e, litres=amount, percent=None) for e in events if isinstance(e, Change)]
            add(
                f"litres {amount:g}",
                f"Change {buckets(amount)} each time instead of {number(litres)} L.",
                changed,
                amount,
            )
    for every in (4, 7, 10, 14):
        if abs(every - interval) > 0.2 * interval:
            moments = [begin + timedelta(days=d, hours=18) for d in range(every - 1, days, every)]
            changed = [Change(time=t, litres=usual) for t in moments]
            add(f"every {every} d", f"Change {buckets(usual)} every {every} days.", changed, usual, every)
    feeds = [e for e in events if isinstance(e, Feed)]
    for share in (0.85, 0.7):
        eaten = sum(e.grams for e in feeds) / max(days, 1)
        add(f"ration {share:g}", f"Feed {100 * (1 - share):.0f} % less, {number(eaten * share)} g a day in all; weigh"
            " the animal every two weeks.", [replace(e, grams=e.grams * share) for e in feeds])  # fmt: skip
    _add_plants_and_light(fit, begin, add)
    return found


def _add_plants_and_light(fit: Fit, begin: datetime, add: Callable[..., None]) -> None:
    around, tank = fit.story.surroundings, fit.description.tank
    hours = around.lighting.hours(fit.story.last)
    for change in (-1.5, 1.5):
        if hours > 0.0 and 5.0 <= hours + change <= 11.0:
            event = Lamp(time=begin, use="plants", hours=hours + change)
            add(
                f"light {hours + change:g} h",
                f"Let the plant lamp burn {hours + change:g} h a day instead of {hours:g}.",
                [event],
            )
    species = next((p.species for p in tank.plants), None)
    if species is None:
        return
    for grams in (100.0, 250.0):
        add(
            f"plants {grams:g} g",
            f"Put in {grams:g} g more {species}, shaken dry.",
            [Planted(time=begin, species=species, grams=grams)],
        )


def judge(fit: Fit, found: Futures, base: Futures, option: Option) -> Tried:
    """Return what an option does, and which limits speak against it."""
    sound = found.sound & base.sound
    days = len(found.days)
    last = slice(max(0, days - 14), days)
    nitrate = shown("nitrate", found.values["nitrate"])[last][:, sound].mean(axis=0)
    kept = float(np.mean(nitrate <= TARGET_NITRATE)) if nitrate.size else 0.0
    wait = np.where(np.isfinite(found.scrape[sound]), found.scrape[sound], float(days))
    film = found.values["algae_panes"][:, sound].mean() if nitrate.size else np.inf
    film_before = base.values["algae_panes"][:, sound].mean() if nitrate.size else np.inf
    free = shown("ammonia_free", found.values["ammonia_free"])[:, sound]
    free_before = shown("ammonia_free", base.values["ammonia_free"])[:, sound]
    up = float(np.median(free.max(axis=0) - free_before.max(axis=0))) if nitrate.size else float("nan")
    sessions = 7.0 / option.interval_d if option.litres else 0.0
    minutes = sessions * (CHANGE_MINUTES + BUCKET_MINUTES * option.litres / 10.0)
    loss = 1.0 * (1.0 - kept) + 0.5 * float(np.log(max(film, 1e-6) / max(film_before, 1e-6))) + minutes / 300.0
    return Tried(
        name=option.name, do=option.do, nitrate=spread_of(nitrate, 3), kept=kept, scrape_days=spread_of(wait, 3),
        minutes_a_week=minutes, free_ammonia_up=up, loss=loss,
        against=_against(fit, found, option, free, up),
    )  # fmt: skip


def _against(fit: Fit, found: Futures, option: Option, free: Array, up: float) -> tuple[str, ...]:
    """Return the limits an option breaks: cooling, steps of KH and pH, free ammonia where fish live."""
    tank, sound = fit.description.tank, found.sound
    said: list[str] = []
    share = option.litres / (tank.water_litres or np.inf)
    tap = tank.source_water
    warm = float(np.median(found.values["temperature"][:, sound]))
    cooling = share * max(0.0, warm - (tap.temperature_c if tap.temperature_c is not None else TAP_COLD_C))
    most = COOLING_WITH_FISH_K if has_fish(tank) else COOLING_K
    if cooling > most and option.name != "as before" and option.name.startswith(("litres", "every")):
        said.append(
            f"cools the water by {cooling:.1f} K at once unless the new water is warmed; {most:g} K is the limit here"
        )
    if tap.kh_dkh is not None:
        step = share * abs(float(np.median(shown("kh", found.values["kh"])[:, sound])) - tap.kh_dkh)
        if step > KH_STEP:
            said.append(f"moves KH by {step:.1f} dKH at once")
    if tap.ph is not None and share * abs(float(np.median(found.values["ph_dusk"][:, sound])) - tap.ph) > PH_STEP:
        said.append("moves pH by more than 0.4 at once")
    left = float(np.median(shown("nitrate", found.values["nitrate"])[-14:][:, sound]))
    if left < HUNGRY_NITRATE and option.name.startswith(("plants", "light", "ration")):
        said.append(f"leaves nitrate at {number(left)} mg/L NO3, so little that plants go hungry")
    limit = limit_of(tank, "ammonia_free")
    if limit is not None and free.size and up > 0.001 and float(np.quantile(free.max(axis=0), 0.9)) > limit.value:
        said.append(f"raises free ammonia above {limit.value:g} {limit.unit}, which harms the fish")
    return tuple(said)


def _sentences(best: Tried | None, before: Tried, tried: Sequence[Tried], begin: datetime, days: int) -> list[str]:
    lines = [
        f"As before: nitrate {ranged(before.nitrate, 'mg/L NO3')} in the last two weeks, "
        f"{chance(before.kept)} at or under "
        f"{TARGET_NITRATE:g}; "
        f"first scraping: {waiting(before.scrape_days)}; "
        f"{before.minutes_a_week:.0f} minutes of water work a week."
    ]
    if best is None:
        lines.append("No single change that was tried is worth making: go on as before.")
    else:
        lines += [
            f"One change first: {best.do}",
            f"  By {day_words(begin + timedelta(days=days))} it should bring nitrate to "
            f"{ranged(best.nitrate, 'mg/L NO3')}, "
            f"{chance(best.kept)} at or under {TARGET_NITRATE:g}.",
            f"  First scraping: {waiting(best.scrape_days)}; "
            f"{best.minutes_a_week:.0f} minutes of water work a week.",
            f"  Look at nitrate after two weeks and at the panes after three, "
            f"from {day_words(begin + timedelta(days=14))}; "
            "change nothing else until then.",
        ]
        if best.free_ammonia_up > 0.001:
            lines.append(f"  It raises the highest free ammonia by about {number(best.free_ammonia_up)} mg/L NH3.")
    ruled_out = [t for t in tried if t.against]
    lines += [f"Ruled out: {t.do} It {'; '.join(t.against)}." for t in ruled_out]
    lines.append("Minutes, the nitrate target and the limits are common practice, not measured at this tank.")
    return lines
