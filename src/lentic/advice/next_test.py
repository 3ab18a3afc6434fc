"""Which test next: readings in the order in which they could turn the decision, for their work and price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lentic.advice.judge import MINUTES_PER_LOSS
from lentic.advice.routine import Routine
from lentic.advice.trials.sight import NITRATE
from lentic.advice.words import chance
from lentic.learn.evidence import COLOUR_SD, FLOORS
from lentic.learn.fit import Fit
from lentic.learn.forecast import Futures
from lentic.learn.worth import Candidate, Worth, worth_of

Array = npt.NDArray[np.float64]

MINUTES: Mapping[str, float] = {
    "nitrate": 8.0, "phosphate": 6.0, "kh": 3.0, "ph": 3.0, "temperature": 1.0, "tap_nitrate": 8.0,
    "tap_phosphate": 6.0, "tap_kh": 3.0, "plants": 15.0, "panes": 1.0,
}  # fmt: skip
"""Work of one test; common practice, no source. [min]"""
PRICE: Mapping[str, float] = {
    "nitrate": 0.35, "phosphate": 0.3, "kh": 0.15, "ph": 0.1, "temperature": 0.0, "tap_nitrate": 0.35,
    "tap_phosphate": 0.3, "tap_kh": 0.15, "plants": 0.0, "panes": 0.0,
}  # fmt: skip
"""What one drop test uses up, in euro; an assumption of ours."""
MINUTES_PER_PRICE = 10.0
"""A euro weighs as much as so many minutes; ours to choose. [min]"""
LEAST_WORTH = 0.002
"""Below this no test is worth naming; ours to choose. [loss, as plans are judged by]"""
NAMES: Mapping[str, str] = {
    "kh": "KH", "ph": "pH", "tap_nitrate": "nitrate of the tap", "tap_phosphate": "phosphate of the tap",
    "tap_kh": "KH of the tap", "plants": "the plants, taken out and weighed", "panes": "a look at the panes",
}  # fmt: skip
LINEAR_SD: Mapping[str, float] = {"kh": 0.2, "ph": 0.2, "temperature": 0.4, "tap_kh": 0.2}
"""Errors on a plain scale; kh and tap_kh in meq/L, temperature in °C; common practice, no source."""
PLANTS_SD, PANES_SD = 0.15, 0.35
"""Errors as logarithms: of weighing wet plants, of judging algae by eye; common practice, no source. [-]"""


@dataclass(frozen=True, kw_only=True)
class NextTest:
    """One test, what it is for, and what it takes."""

    name: str
    what: str
    minutes: float
    price: float
    turns: float
    value: float
    why: str


@dataclass(frozen=True, kw_only=True)
class NextTests:
    """Tests in the order of their worth for one decision."""

    tank: str
    decision: str
    tests: tuple[NextTest, ...]
    sentence: str


def gain_of(now: Array, turned: Array, routines: tuple[Routine, Routine]) -> Array:
    """Return what a turned routine gains over going on, in each possible tank, its work counted."""
    extra = (routines[1].minutes_of_changes - routines[0].minutes_of_changes) / MINUTES_PER_LOSS
    return np.asarray(now - turned - extra, dtype=np.float64)


def candidates_of(fit: Fit, found: Futures) -> list[Candidate]:
    """Return the tests that could be taken today, with what each would show in the possible tanks."""
    shown: dict[str, tuple[Array, float]] = {}
    for quantity in (NITRATE, "phosphate"):
        kit = _row(fit, f"kit_{quantity}")
        value = found.values[quantity][0] * (1.0 if kit is None else kit) + FLOORS[quantity]
        shown[quantity] = (np.log(value), COLOUR_SD)
    shown["kh"] = (found.values["kh"][0], LINEAR_SD["kh"])
    shown["ph"] = (found.values["ph_dusk"][0], LINEAR_SD["ph"])
    shown["temperature"] = (found.values["temperature"][0], LINEAR_SD["temperature"])
    shown["panes"] = (np.log(found.values["algae_panes"][0] + 0.05), PANES_SD)
    if fit.description.slots:
        shown["plants"] = (np.log(found.values["plant_wet"][0] + 5.0), PLANTS_SD)
    for name, row, floor in (("tap_nitrate", "tap_nitrate", 0.1), ("tap_phosphate", "tap_phosphate", 0.01)):
        values = _row(fit, row)
        if values is not None:
            shown[name] = (np.log(np.maximum(values, 0.0) + floor), COLOUR_SD)
    alkalinity = _row(fit, "tap_alkalinity")
    if alkalinity is not None:
        shown["tap_kh"] = (alkalinity, LINEAR_SD["tap_kh"])
    return [
        Candidate(name=name, shows=values, sd=sd, minutes=MINUTES[name], price=PRICE[name])
        for name, (values, sd) in shown.items()
    ]


def _row(fit: Fit, name: str) -> Array | None:
    return fit.ensemble.gather(fit.ensemble[name]) if name in fit.ensemble.rows else None


def tests_of(fit: Fit, found: Futures, gain: Array, decision: str) -> NextTests:
    """Return which tests would tell most for a decision."""
    sound = found.sound & np.isfinite(gain)
    chosen = [
        Candidate(name=c.name, shows=c.shows[sound], sd=c.sd, minutes=c.minutes, price=c.price)
        for c in candidates_of(fit, found)
        if np.isfinite(c.shows[sound]).all()
    ]
    worth = [w for w in worth_of(gain[sound], chosen, None, MINUTES_PER_PRICE) if w.value >= LEAST_WORTH]
    tests = tuple(_test(each) for each in worth)
    return NextTests(
        tank=fit.description.tank.name, decision=decision, tests=tests, sentence=_sentence(tests, decision, gain[sound])
    )


def _test(worth: Worth) -> NextTest:
    name = worth.name
    why = f"In {chance(worth.turns)} cases it would turn the decision." if worth.turns >= 0.05 else (
        "It would seldom turn the decision, but makes it surer."
    )  # fmt: skip
    return NextTest(
        name=name, what=NAMES.get(name, name), minutes=MINUTES[name], price=PRICE[name], turns=worth.turns,
        value=worth.value, why=why,
    )  # fmt: skip


def _sentence(tests: Sequence[NextTest], decision: str, gain: Array) -> str:
    if not tests:
        side = "for" if float(gain.mean()) > 0.0 else "against"
        return f"No single test would change much: the possible tanks agree {side} it ({decision})."
    return f"Test {tests[0].what} first. The decision: {decision}."
