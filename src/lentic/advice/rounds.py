"""A round of many tanks: what each should show by food and changes, an order that carries nothing on, the litres."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from lentic.advice.hazards import Situation, Verdict, doing, gate
from lentic.advice.hazards.law import notes_for
from lentic.advice.limits import nitrate_aim
from lentic.advice.words import listed, number
from lentic.catalogue import Record, common, conditioners, resolve
from lentic.catalogue.hazards import Facts, Known, hazards
from lentic.logbook.tank import Tank
from lentic.science.change import steady_peak
from lentic.science.constants import NITROGEN, WEEK_D
from lentic.science.food import food_nitrogen, nitrate_rise
from lentic.science.hardness import HARDNESS_UNITS, nitrate_from_nitrogen
from lentic.science.winter import resting_energy

KCAL_PER_G_PELLET: Final = 3.3
"""Usable energy of a complete pellet where its label gives none; common practice, no source. [kcal/g]"""
OVERFED: Final = 1.5
"""Food over need from which it is called too much; the level of hazard FEED-01. [-]"""
CUT_TO: Final = (1.1, 1.3)
"""Where an overfed animal is brought to, over its need; common practice, no source. [-]"""
CONSISTENT: Final = (0.7, 1.4)
"""Measured over expected nitrate that a kit and a weekly rhythm explain; common practice, no source. [-]"""
WHOLE_GRAMS: Final = 3.0
"""Above it a ration is said in whole grams, above a tenth of it in tenths. [g]"""
KH_STEP_DKH: Final = 1.0
"""One drop of a KH kit. [dKH]"""
NITRIFIED_EQ, FROM_FOOD_EQ = 2.0, 1.0
"""Alkalinity that goes with a mole of nitrogen: from ammonium to nitrate, and from food protein to nitrate. [eq/mol]"""
CAREFUL_SHARE: Final = 0.25
"""A tank whose readings do not fit is changed by so much at once, twice a week; common practice, no source. [-]"""
LIGHT_LOAD: Final = 30.0
"""Nitrogen fed up to which a change may be skipped while nitrate is low; common practice, no source. [mg/100 L/d]"""
TANK_MIN, HOSE_L_MIN = 10.0, 15.0
"""Minutes a tank takes besides its water, and the flow of a hose; common practice, no source. [min, L/min]"""
MANY_TANKS: Final = "Many tanks"
"""Group of the hazard rules that speak of more than one tank."""
FINE, RECHECK, WASTE, NOT_CYCLED = "fine", "recheck", "waste", "not cycled"


@dataclass(frozen=True, kw_only=True)
class Tap:
    """The water all tanks get; chlorine free and bound, as Cl2, None where it is not known."""

    nitrate_mg_l: float
    kh_dkh: float
    chlorine_mg_l: float | None


@dataclass(frozen=True, kw_only=True)
class Kept:
    """One tank of a refuge: water, animals, food, changes, last readings; None is not known."""

    name: str
    litres: float
    masses_g: tuple[float, ...]
    water_c: float
    food_g_d: float
    protein: float
    change_share: float
    nitrate_mg_l: float | None = None
    kh_dkh: float | None = None
    growing: bool = False
    """Young animals need more than upkeep; their ration is not judged here."""
    quarantine: bool = False
    sick: bool = False
    species: str | None = None
    gear: str | None = None
    tap: Tap | None = None
    """The new water of this tank where it is not that of the round."""


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """What one tank should show, what it shows, what follows; ranges are of the share of nitrogen that dissolves."""

    tank: Kept
    need_g_d: float
    fed_over_need: float
    load_mg_100l_d: float
    nitrate: float
    nitrate_range: tuple[float, float]
    kh: float
    kh_high: float
    change_seen: float | None
    finding: str
    overfed: bool
    litres: float
    times_a_week: int
    said: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class Round:
    """The round of a day: tests before it, the tanks in order, water and conditioner, hygiene, what to hand over."""

    tests_first: tuple[str, ...]
    order: tuple[Outlook, ...]
    litres: float
    thiosulfate_g: float | None
    minutes: float
    hygiene: tuple[str, ...]
    law: tuple[str, ...]
    handover: tuple[str, ...]
    verdict: Verdict


def outlook_of(tank: Kept, tap: Tap) -> Outlook:
    """Return what a tank should show just before a weekly change, and what its readings say beside that."""
    tap = tank.tap or tap
    need = need_g_d(tank)
    eaten_g_d = tank.food_g_d * float(food_nitrogen(tank.protein))
    share = common("foods")["n_to_water_share"]
    peaks = [_nitrate(eaten_g_d * each, tank, tap) for each in (share.bounds[0], share.middle, share.bounds[1])]
    settled = share.middle * float(nitrate_rise(eaten_g_d, tank.litres)) * WEEK_D / tank.change_share
    lost = settled / NITROGEN / HARDNESS_UNITS["°dH"]
    kh, kh_high = tap.kh_dkh - NITRIFIED_EQ * lost, tap.kh_dkh - FROM_FOOD_EQ * lost
    finding = _finding(tank, peaks[1], kh)
    rise = (peaks[1] - tap.nitrate_mg_l) * tank.change_share
    seen = tank.nitrate_mg_l
    careful = finding == WASTE
    outlook = Outlook(
        tank=tank, need_g_d=need, fed_over_need=tank.food_g_d / need, nitrate=peaks[1],
        load_mg_100l_d=1e5 * eaten_g_d / tank.litres, nitrate_range=(peaks[0], peaks[2]), kh=kh, kh_high=kh_high,
        change_seen=rise / (seen - tap.nitrate_mg_l) if seen is not None and seen > tap.nitrate_mg_l else None,
        finding=finding, overfed=tank.food_g_d / need > OVERFED and not tank.growing, times_a_week=2 if careful else 1,
        litres=tank.litres * (CAREFUL_SHARE if careful else tank.change_share), said=(),
    )  # fmt: skip
    return _with_words(outlook, rise)


def need_g_d(tank: Kept) -> float:
    """Return the pellets that meet the need of all animals of a tank. [g/d]"""
    facts = common("turtles")
    base, exponent, q10, active = (
        facts[key].middle
        for key in ("smr_kcal_per_day_1_kg_20_C", "smr_mass_exponent", "smr_q10", "active_multiplier_usual")
    )
    rest = sum(float(resting_energy(mass, tank.water_c, base, exponent, q10)) for mass in tank.masses_g)
    return active * rest / KCAL_PER_G_PELLET


def _nitrate(to_water_g_d: float, tank: Kept, tap: Tap) -> float:
    daily = float(nitrate_from_nitrogen(nitrate_rise(to_water_g_d, tank.litres)))
    return float(steady_peak(tap.nitrate_mg_l, daily, tank.change_share, WEEK_D))


def _finding(tank: Kept, nitrate: float, kh: float) -> str:
    """Return what nitrate and KH say together: one alone asks for a repeat, both name a cause."""
    if tank.nitrate_mg_l is None:
        return RECHECK
    ratio = tank.nitrate_mg_l / nitrate
    if ratio < CONSISTENT[0]:
        return NOT_CYCLED
    if ratio <= CONSISTENT[1]:
        return FINE
    low = tank.kh_dkh is not None and tank.kh_dkh < kh - KH_STEP_DKH
    return WASTE if low else RECHECK


def _with_words(outlook: Outlook, rise: float) -> Outlook:
    tank, said = outlook.tank, [_compared(outlook)]
    aim = nitrate_aim(Tank(name=tank.name))
    match outlook.finding:
        case "fine":
            said.append("Nitrate and food agree.")
            skipped = (tank.nitrate_mg_l or outlook.nitrate) + rise
            if outlook.load_mg_100l_d < LIGHT_LOAD and skipped < aim and not (tank.quarantine or tank.sick):
                said.append(f"One change may be skipped: nitrate would come to about {number(skipped)} mg/L.")
        case "recheck":
            said.append(
                "Nitrate is high for this food while KH does not show it: repeat the reading, and look for a change"
                " that was missed."
            )
        case "waste":
            seen = f" (as if {100 * outlook.change_seen:.0f} % were changed)" if outlook.change_seen else ""
            said.append(
                f"Nitrate and KH both say more waste or less change than is written{seen}: open the filter today."
            )
        case _:
            said.append(
                "Nitrate is too low for this food: the filter may not work yet. Test ammonia now, before the round."
            )
    if outlook.overfed:
        low, high = (outlook.need_g_d * each for each in CUT_TO)
        digits = 0 if high > WHOLE_GRAMS else 1 if high > WHOLE_GRAMS / 10.0 else 2
        span = f"{low:.{digits}f} to {high:.{digits}f} g"
        said.append(f"Fed {outlook.fed_over_need:.1f} times its need: bring it down to {span} a day.")
    return Outlook(**{**vars(outlook), "said": tuple(said)})


def _compared(outlook: Outlook) -> str:
    tank, (low, high) = outlook.tank, outlook.nitrate_range
    measured = "not measured" if tank.nitrate_mg_l is None else f"measured {number(tank.nitrate_mg_l)}"
    kh = "not measured" if tank.kh_dkh is None else f"measured {number(tank.kh_dkh)}"
    return (
        f"Before the change: nitrate {outlook.nitrate:.0f} mg/L NO3 expected ({low:.0f} to {high:.0f}), {measured}; "
        f"KH {outlook.kh:.1f} to {outlook.kh_high:.1f} dKH expected, {kh}."
    )


def round_of(tanks: Sequence[Kept], tap: Tap, country: str | None = None) -> Round:
    """Return the round: healthy tanks before doubtful ones, quarantine and sick last, light loads first."""
    found = [outlook_of(tank, tap) for tank in tanks]
    order = tuple(sorted(found, key=lambda each: (_place(each), each.load_mg_100l_d, each.tank.name)))
    litres = sum(each.litres for each in order)
    chlorine = _chlorine_mg(order, tap)
    dose = conditioners()["thiosulfate"].dose
    grams = chlorine * dose.middle / 1000.0 if dose is not None and chlorine is not None else None
    minutes = TANK_MIN * len(order) + litres / HOSE_L_MIN
    return Round(
        tests_first=tuple(f"{o.tank.name}: ammonia, with its own kit" for o in order if o.finding == NOT_CYCLED),
        order=order, litres=litres, thiosulfate_g=grams, minutes=minutes, hygiene=_hygiene(order),
        law=_law(tanks, country), handover=_handover(order), verdict=_gated(order, country),
    )  # fmt: skip


def _chlorine_mg(order: Sequence[Outlook], tap: Tap) -> float | None:
    """Return the chlorine in all new water; None while it is not known for one tank. [mg]"""
    known = [(each.litres, (each.tank.tap or tap).chlorine_mg_l) for each in order]
    parts = [litres * strength for litres, strength in known if strength is not None]
    return sum(parts) if len(parts) == len(known) else None


def _place(outlook: Outlook) -> int:
    """Return the class of hygiene: healthy, doubtful, quarantine, sick."""
    if outlook.tank.sick:
        return 3
    if outlook.tank.quarantine:
        return 2
    return 1 if outlook.finding in (WASTE, NOT_CYCLED) else 0


def _gated(order: Sequence[Outlook], country: str | None) -> Verdict:
    """Return what the gate says of the order and the gear of the round; each tank has its own check besides."""
    places = [_place(each) for each in order]
    kept_apart = {each.tank.gear for each in order if _place(each) >= 2 and each.tank.gear}
    shared = kept_apart & {each.tank.gear for each in order if _place(each) < 2}
    known: dict[str, Known] = {"plan.sick_before_healthy": places != sorted(places)}
    if shared or all(each.tank.gear for each in order):
        known["home.faults"] = frozenset({"gear_shared_with_quarantine"} if shared else {"none"})
    facts: dict[str, Known] = {"turtle.any": True}
    if country:
        facts["keeper.country"] = country
    question = doing("the round", known=known, touches=("home.faults",))
    rules = [rule for rule in hazards().values() if rule.group == MANY_TANKS]
    return gate(Situation(tank="the round", facts=Facts(known=facts)), question, rules=rules)


def _hygiene(order: Sequence[Outlook]) -> tuple[str, ...]:
    apart = [each.tank.name for each in order if _place(each) >= 2]
    said = ["Hands are washed with soap between tanks, gear is rinsed and never passes the kitchen."]
    if apart:
        said.append(
            f"{listed(tuple(apart))} last, with its own net, hose and bucket; hands and apron are washed after it."
        )
    return tuple(said)


def _law(tanks: Sequence[Kept], country: str | None) -> tuple[str, ...]:
    """Return what notes of the catalogue say of the species kept; it is for the authority to judge."""
    said = []
    for name in dict.fromkeys(tank.species for tank in tanks if tank.species):
        record = resolve("turtle", name)
        notes = notes_for(record, country) if isinstance(record, Record) else ()
        if isinstance(record, Record) and notes:
            text = "; ".join(re.sub(r" \([a-z0-9_, ]+\)", "", note) for note in notes)
            said.append(f"{record.name}: {text}. Ask the authority before it is moved, bred or given away.")
    return (*said, "Health offices advise visitors under 5 and other people at risk not to touch turtles.")


def _handover(order: Sequence[Outlook]) -> tuple[str, ...]:
    lines = []
    for each in order:
        times = " twice this week" if each.times_a_week == 2 else ""
        lines.append(f"{each.tank.name}: {each.litres:.0f} L{times}. {' '.join(each.said)}")
    return tuple(lines)
