"""What a turned routine does to the possible tanks: goals kept or missed, work, and the limits it breaks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from lentic.advice.forecast import shown
from lentic.advice.limits import has_fish, hungry_nitrate, limit_of
from lentic.advice.refill import refills
from lentic.advice.routine import BUCKET_L, SCRAPE_MINUTES, Goals, Routine
from lentic.advice.words import Spread, number, spread_of
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures, scraping_interval
from lentic.logbook.tank import Tank

Array = npt.NDArray[np.float64]

COOLING_WITH_FISH_K, COOLING_K, KH_STEP, PH_STEP = 2.0, 4.0, 2.0, 0.5
"""How far one change may move the water [K, K, dKH, -]; common practice, no source."""
SETTLE_D = 14
"""A change of routine is judged from so many days on. [d]"""
LONGEST_D = 60.0
"""Panes that stay clean so long are not told apart. [d]"""
WORTH = 0.08
"""A change is proposed only if it gains so much; less is within what nobody would notice. [-]"""
FREE_NOTICED = 0.001
"""A rise of free ammonia below which nothing is said. [mg/L NH3]"""
PLANT_FLOOR_G = 20.0
"""Fewer plants than this are as good as none. [g]"""
MINUTES_PER_LOSS, PLANT_WEIGHT, LIKED_WEIGHT, HUNGRY_WEIGHT, MOST_GAP = 300.0, 0.5, 0.5, 0.3, 1.5
"""Minutes a week that weigh as much as a goal missed by the factor e; weights of plants lost, of nitrate within the
limit but above this tank's good weeks, and of hungry plants; most that a gap counts: choices of ours. [min, -, ...]"""
NOTICED_GAP = 0.05
"""A goal missed by less is met. [-]"""
LEAST_LASTING = 0.33
"""Of plants put in so much must last to the end of the time, or they rot. [-]"""


@dataclass(frozen=True, kw_only=True)
class Measured:
    """What futures come to, per member; NaN in members that did not stay possible.

    Parameters
    ----------
    nitrate : Array
        Mean of the last two weeks. [mg/L NO3]
    every : Array
        Days from one scraping to the next, once the routine has settled. [d]
    thick : Array
        Film beyond this keeper's own limit, mean logarithm: a keeper who looks seldom scrapes seldom. [-]
    plants : Array
        Wet mass at the end. [g]
    free : Array
        Highest free ammonia, at noon or just after a change. [mg/L NH3]
    cooling, ph_step, kh_step : Array
        The most a change moves the water: a fall where the new water is not warmed, and both ways. [K, -, dKH]
    """

    nitrate: Array
    every: Array
    thick: Array
    plants: Array
    free: Array
    cooling: Array
    ph_step: Array
    kh_step: Array

    @property
    def known(self) -> npt.NDArray[np.bool_]:
        """Members that stayed possible."""
        return np.isfinite(self.nitrate)


@dataclass(frozen=True, kw_only=True)
class Tried:
    """What a routine does in the possible tanks; `better` is the share that miss less of those that miss now."""

    do: str
    routine: Routine
    nitrate: Spread
    kept: float
    scrape_every: Spread
    minutes_a_week: float
    plants: Spread
    better: float
    free_before: float
    free_after: float
    cooling_k: float
    ph_step: float
    kh_step_dkh: float
    against: tuple[str, ...]
    loss: float

    @property
    def free_ammonia_up(self) -> float:
        """How much higher the highest free ammonia stands than as before. [mg/L NH3]"""
        return self.free_after - self.free_before


def measured(fit: Fit, found: Futures, litres: float, change_days: Sequence[int]) -> Measured:
    """Return what futures come to in every member."""
    sound, days = found.sound, len(found.days)
    settled = min(SETTLE_D, days // 2)
    at_once = refills(fit, found, litres, change_days, sound)
    late = {name: values[:, sound] for name, values in found.values.items()}
    free = late["ammonia_free"].max(axis=0)
    step = {"cooling": np.zeros_like(free), "ph_step": np.zeros_like(free), "kh_step": np.zeros_like(free)}
    if at_once is not None:
        free = np.maximum(free, at_once.free_after.max(axis=0))
        step = {name: _furthest(getattr(at_once, name)) for name in step}
    film, limit = late["algae_panes"][settled:], fit.ensemble.gather(fit.ensemble["scrape_threshold"])[sound]
    values = {
        "nitrate": shown("nitrate", late["nitrate"])[max(settled, days - 14) :].mean(axis=0),
        "thick": np.log(np.maximum(film / limit, 1.0)).mean(axis=0),
        "every": scraping_interval(film, LONGEST_D), "plants": late["plant_wet"][-1],
        "free": shown("ammonia_free", free), "cooling": step["cooling"], "ph_step": step["ph_step"],
        "kh_step": shown("kh", step["kh_step"]),
    }  # fmt: skip
    return Measured(**{name: _among(value, sound) for name, value in values.items()})


def _among(values: Array, sound: npt.NDArray[np.bool_]) -> Array:
    out = np.full(sound.shape, np.nan)
    out[sound] = values
    return out


def _furthest(values: Array) -> Array:
    """Return the value of the change that moves the water most, with its sign."""
    furthest: Array = np.take_along_axis(values, np.abs(values).argmax(axis=0)[None], axis=0)[0]
    return furthest


def judge(
    tank: Tank, found: Measured, base: Measured, routine: Routine, do: str, goals: Goals, before: Tried | None
) -> Tried:
    """Return what a routine does against going on as before, in the tanks that stay possible under both."""
    both = found.known & base.known
    gaps, gaps_before = (gaps_of(m, base, goals, bool(tank.plants))[both] for m in (found, base))
    every = found.every[both]
    minutes = routine.minutes_of_changes + (7.0 * SCRAPE_MINUTES * float(np.mean(1.0 / every)) if every.size else 0.0)
    free = found.free[both]
    tried = Tried(
        do=do, routine=routine, nitrate=spread_of(found.nitrate[both], 3), scrape_every=spread_of(every, 3),
        kept=_share(found.nitrate[both] <= goals.nitrate_mg_l), minutes_a_week=minutes,
        plants=spread_of(found.plants[both], 3), better=_better(gaps, gaps_before),
        free_before=_middle(base.free[both]), free_after=_middle(free), cooling_k=_middle(found.cooling[both]),
        ph_step=_middle(found.ph_step[both]), kh_step_dkh=_middle(found.kh_step[both]), against=(),
        loss=float(np.mean(gaps)) + minutes / MINUTES_PER_LOSS if gaps.size else float("inf"),
    )  # fmt: skip
    return tried if before is None else replace(tried, against=_against(tank, tried, before, goals, free))


def gaps_of(m: Measured, base: Measured, goals: Goals, planted: bool) -> Array:
    """Return by which factor, as a logarithm, each tank misses the goals, and half of what it loses in plants."""
    with np.errstate(invalid="ignore", divide="ignore"):
        over = np.log(m.nitrate / goals.nitrate_mg_l)
        liked = LIKED_WEIGHT * np.log(np.minimum(m.nitrate, goals.nitrate_mg_l) / goals.liked_nitrate_mg_l)
        scraping = np.log(goals.scrape_every_d / m.every)
        hungry = HUNGRY_WEIGHT * np.log(hungry_nitrate() / np.maximum(m.nitrate, 1e-3)) if planted else 0.0 * over
        plants = PLANT_WEIGHT * np.log((base.plants + PLANT_FLOOR_G) / (m.plants + PLANT_FLOOR_G))
    return np.asarray(
        sum(np.clip(gap, 0.0, MOST_GAP) for gap in (over, liked, scraping, m.thick, hungry, plants)), dtype=np.float64
    )


def _share(true: npt.NDArray[np.bool_]) -> float:
    return float(np.mean(true)) if true.size else float("nan")


def _better(gaps: Array, before: Array) -> float:
    missing = before > NOTICED_GAP
    return _share(gaps[missing] < before[missing] - 1e-9)


def _middle(values: Array) -> float:
    return float(np.median(values)) if values.size else float("nan")


def _against(tank: Tank, tried: Tried, before: Tried, goals: Goals, free: Array) -> tuple[str, ...]:
    """Return the limits a routine breaks; what the old routine does as well is no reason against the new one."""
    said = [*_at_once(tank, tried, before), *_work(tried, before, goals)]
    left = tried.nitrate.p50
    hungry = left is not None and left < hungry_nitrate() and left < 0.95 * (before.nitrate.p50 or 0.0)
    if hungry and tank.plants:
        said.append(f"leaves nitrate at {number(left or 0.0)} mg/L NO3, so little that plants go hungry")
    put_in = tried.routine.plants_g
    if put_in and (tried.plants.p50 or 0.0) - (before.plants.p50 or 0.0) < LEAST_LASTING * put_in:
        said.append("would rot in good part: this light carries hardly more than there is")
    limit = limit_of(tank, "ammonia_free")
    raised = limit is not None and free.size and tried.free_ammonia_up > FREE_NOTICED
    if limit is not None and raised and float(np.quantile(free, 0.9)) > limit.value:
        said.append(f"raises free ammonia from {number(tried.free_before)} to {number(tried.free_after)} mg/L NH3,"
                    f" in some of the possible tanks above {limit.value:g}, which harms the fish")  # fmt: skip
    return tuple(said)


def _at_once(tank: Tank, tried: Tried, before: Tried) -> list[str]:
    said: list[str] = []
    if tried.routine.litres <= before.routine.litres and tried.routine.interval_d >= before.routine.interval_d:
        return said  # as much or less water at once, as often or less: it does no more than it does now
    if abs(tried.kh_step_dkh) > max(KH_STEP, 1.02 * abs(before.kh_step_dkh)):
        said.append(f"moves KH by {tried.kh_step_dkh:+.1f} dKH at once")
    if abs(tried.ph_step) > max(PH_STEP, 1.02 * abs(before.ph_step)):
        said.append(f"moves pH by {tried.ph_step:+.1f} at once; {PH_STEP:g} is the limit here")
    return said


def most_cooling(tank: Tank) -> float:
    """Return by how much one change may cool the water of this tank. [K]"""
    return COOLING_WITH_FISH_K if has_fish(tank) else COOLING_K


def _work(tried: Tried, before: Tried, goals: Goals) -> list[str]:
    said: list[str] = []
    routine = tried.routine
    if goals.minutes_a_week is not None and tried.minutes_a_week > max(goals.minutes_a_week, before.minutes_a_week):
        said.append(
            f"takes {tried.minutes_a_week:.0f} minutes a week, more than the {goals.minutes_a_week:.0f} you have"
        )
    if goals.litres is not None and routine.litres > max(goals.litres, before.routine.litres):
        said.append(f"needs {routine.litres / BUCKET_L:.0f} buckets at once, more than you carry")
    return said
