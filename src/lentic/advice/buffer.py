"""KH in its meaning: how fast it is used, what the changes bring, the days to the floor, and a filter that starves."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from lentic.advice.ammonia_now import NH3_PER_N, aired, free_of
from lentic.advice.load import Load, kh_settles
from lentic.advice.present import Now
from lentic.advice.said import Said, said
from lentic.advice.words import amount, number
from lentic.catalogue.targets import target
from lentic.science.hardness import HARDNESS_UNITS, bicarbonate_dose

DKH: Final = HARDNESS_UNITS["°dH"]
BUCKET_L: Final = 25.0
BUCKET_KH: Final = 4.0
"""KH that the buckets for a starved filter are brought to, the lower end of good. [dKH]"""
DAILY: Final = (0.10, 0.12)
"""Share changed a day while a starved filter recovers; common practice, no source. [-]"""
MOST_DKH_A_DAY: Final = 1.0
"""Most that KH of a whole tank is raised in a day; common practice, no source. [dKH/d]"""
STARVED_AMMONIA: Final = 0.25
"""Total ammonia from which a filter without KH counts as starving, common practice. [mg/L N]"""
LAST_RISE: Final = 3.0
"""Degrees for which the whole-tank dose is told, so that nobody gives it at once. [dKH]"""


@dataclass(frozen=True, kw_only=True)
class Rescue:
    """How a filter without carbonate is fed again without waking the ammonia."""

    free_now: float
    """[mg/L NH3]"""
    free_if_raised: float
    """The same ammonium at the pH of the tap, in one go. [mg/L NH3]"""
    at_ph: float
    bucket_g: float
    """Sodium bicarbonate for a bucket of `BUCKET_L`. [g]"""
    daily_l: tuple[float, float]
    rise_a_day: float
    """What a daily change brings. [dKH/d]"""
    whole_tank_g: float
    """What would lift the whole tank by `LAST_RISE` degrees: to be known, not to be given at once. [g]"""


def rescue_of(known: Mapping[str, Now], litres: float | None, at_ph: float | None = None) -> Rescue | None:
    """Return the careful way back for a tank whose KH is gone while ammonium stands in soft, sour water."""
    if not litres or any(name not in known for name in ("kh", "ph", "ammonia", "temperature")):
        return None
    kh, ph, ammonia = (known[name].known.value for name in ("kh", "ph", "ammonia"))
    floor = target("kh.filter").low
    assert floor is not None and floor.watch is not None and floor.watch.value is not None
    if kh / DKH >= floor.watch.value or ph >= 7.0 or ammonia < STARVED_AMMONIA:
        return None
    tap_kh = known["tap_kh"].known.value if "tap_kh" in known else 0.0
    risen = at_ph if at_ph is not None else _tap_ph(known)
    free, raised = free_of(known, fish=False), aired(known, risen)
    assert free is not None and raised is not None
    return Rescue(
        free_now=free.free_n.value * NH3_PER_N, free_if_raised=raised.free_nh3, at_ph=risen,
        bucket_g=float(bicarbonate_dose(max(BUCKET_KH * DKH - tap_kh, 0.0), BUCKET_L)),
        daily_l=(DAILY[0] * litres, DAILY[1] * litres), rise_a_day=DAILY[1] * (BUCKET_KH - kh / DKH),
        whole_tank_g=float(bicarbonate_dose(LAST_RISE * DKH, litres)),
    )  # fmt: skip


def _tap_ph(known: Mapping[str, Now]) -> float:
    """Return the pH a big refill would lead to: a little below that of the aired tap; 7.9 where it is not known."""
    return known["tap_ph"].known.value - 0.2 if "tap_ph" in known else 7.9


def kh_said(known: Mapping[str, Now], load: Load | None, litres: float | None, fraction: float) -> list[Said]:
    """Say how KH goes on, and the careful way back where it is gone."""
    found = []
    if load is not None:
        found.append(said("kh", _course(known, load), load.kh_use, source="stoichiometry; food of the last four weeks"))
    rescue = rescue_of(known, litres)
    if rescue is not None:
        found += [said("kh", text, None, protects="filter") for text in rescue_sentences(rescue)]
    return found


def _course(known: Mapping[str, Now], load: Load) -> str:
    """Say use against supply, and the days to the floor."""
    gross, net = load.kh_of_nitrification, load.kh_use
    text = (
        f"Making nitrate from this food uses {gross.text}; the ammonium it starts from gave half of that back, so KH "
        f"loses {net.text}"
    )
    if "tap_kh" not in known:
        return f"{text}. What the changes bring in is not known without the KH of the tap."
    kh, tap = known["kh"].known.value / DKH, known["tap_kh"].known.value / DKH
    row = target("kh.filter").low
    assert row is not None and row.watch is not None and row.watch.value is not None
    floor = row.watch.value
    brought = load.kh_supply(tap, kh)
    text += f"; your changes {'bring' if brought >= 0.0 else 'take out'} {number(abs(brought))} dKH a week"
    settles, days = kh_settles(load, tap), load.days_to_kh(kh, floor, tap)
    if kh <= floor:
        return f"{text}. It is at or below {floor:g} dKH, where the filter film starves."
    if days is None or (settles is not None and settles.value >= floor):
        return (
            f"{text}. It stays above {floor:g} dKH, about {number(settles.value if settles else kh)} before a change."
        )
    reached = _days(days.low, days.value, days.high)
    return f"{text}. {floor:g} dKH, below which the filter film starves, is reached in {reached}."


def _days(low: float, middle: float, high: float) -> str:
    ends = f"{number(low)} to {number(high)}" if high < 1000.0 else f"{number(low)} days to never"
    return f"{number(middle)} days ({ends})"


def rescue_sentences(rescue: Rescue) -> list[str]:
    """Say what happened, what to leave, and what to do day by day."""
    low, high = rescue.daily_l
    return [
        "KH is gone, so the bacteria lack carbonate and ammonium builds up. At this pH nearly all of it is harmless "
        f"ammonium ({amount(rescue.free_now, 'mg/L NH3')} free).",
        f"No big change and nothing that raises pH: at pH {rescue.at_ph:.1f} the same ammonium would be "
        f"{amount(rescue.free_if_raised, 'mg/L NH3')} free ammonia.",
        f"For six days change {number(low)} to {number(high)} L a day with buckets at {BUCKET_KH:g} dKH: "
        f"{rescue.bucket_g:.1f} g of sodium bicarbonate in {BUCKET_L:g} L. That raises the tank by about "
        f"{number(rescue.rise_a_day)} dKH a day; never more than {MOST_DKH_A_DAY:g}.",
        f"({rescue.whole_tank_g:.1f} g would lift the whole tank by {LAST_RISE:g} dKH: not at once.)",
        "Test KH, pH and ammonia again in three days. If ammonia has not halved after a week, the film is weak: treat "
        "the tank as one that is being started.",
    ]
