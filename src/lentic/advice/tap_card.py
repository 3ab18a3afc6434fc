"""The tap of a keeper on one card: what the report says, what follows, what to write into tank.toml."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from lentic.advice.estimate import Estimate, between
from lentic.advice.words import listed, number
from lentic.catalogue.targets import target
from lentic.logbook.report import Report, TapValue
from lentic.logbook.tank import SourceWater
from lentic.logbook.units import NITRATE, NITRITE, PHOSPHATE
from lentic.science.hardness import HARDNESS_UNITS, hardness_from_ions

LEAST_METAL: Final = 0.01
"""Copper, zinc or lead from which the pipe is worth flushing; good copper for fish ends here, read. [mg/L]"""
FAR: Final = 0.2
"""An own test that differs by more from the report is asked about; common practice, no source. [-]"""
DKH: Final = HARDNESS_UNITS["°dH"]
_SHOWN: Final[Mapping[str, tuple[str, str, float]]] = {
    "kh": ("KH", "dKH", 1.0 / DKH), "gh": ("GH", "dGH", 1.0 / DKH), "ph": ("pH", "", 1.0),
    "nitrate": ("nitrate", "mg/L NO3", 1.0 / NITRATE["mg/lno3"].factor),
    "nitrite": ("nitrite", "mg/L NO2", 1.0 / NITRITE["mg/lno2"].factor), "ammonia": ("ammonia", "mg/L N", 1.0),
    "phosphate": ("phosphate", "mg/L PO4", 1.0 / PHOSPHATE["mg/lpo4"].factor),
    "conductivity": ("conductivity", "µS/cm", 1.0),
    "chlorine": ("free chlorine", "mg/L", 1.0), "total_chlorine": ("total chlorine", "mg/L", 1.0),
    "chloramine": ("chloramine", "mg/L", 1.0), "chlorine_dioxide": ("chlorine dioxide", "mg/L", 1.0),
    "temperature": ("temperature", "°C", 1.0),
}  # fmt: skip
_FIELDS: Final[Mapping[str, tuple[str, str]]] = {
    "ph": ("ph", ".2g"), "kh": ("kh_dkh", ".3g"), "gh": ("gh_dgh", ".3g"), "nitrate": ("no3_mg_l", ".3g"),
    "phosphate": ("po4_mg_l", ".2g"), "ammonia": ("tan_mgn_l", ".2g"), "chlorine": ("chlorine_mg_l", ".2g"),
    "chloramine": ("chloramine_mg_l", ".2g"),
}  # fmt: skip
"""Keys of [source_water] in tank.toml and how many digits are worth writing."""
_METALS: Final = ("copper", "zinc", "lead")


@dataclass(frozen=True, kw_only=True)
class CardRow:
    """One value of the card in a keeper's unit."""

    quantity: str
    name: str
    known: Estimate
    written: str
    note: str = ""


@dataclass(frozen=True, kw_only=True)
class TapCard:
    """What is known of a tap from one report."""

    rows: tuple[CardRow, ...]
    sentences: tuple[str, ...]
    asked: tuple[str, ...]
    missing: tuple[str, ...]
    passed_over: tuple[str, ...]
    source_water: tuple[str, ...]
    """Lines for [source_water] of tank.toml."""


def tap_card(report: Report, own: SourceWater | None = None) -> TapCard:
    """Return the card of a report, held against what the keeper said of the tap before."""
    rows = [_row(each) for each in report.values]
    if report.get("gh") is None and (hard := _from_ions(report)) is not None:
        rows.append(hard)
    found = {row.quantity: row for row in rows}
    asked = [
        f"{q.text} ({q.written})" + (f" Choices: {'; '.join(q.choices)}." if q.choices else "")
        for q in report.questions
    ]
    asked += _against_own(found, own)
    wanted = {"kh": "KH (alkalinity)", "gh": "GH (total hardness)", "nitrate": "nitrate", "ph": "pH"}
    open_ = {q for q in wanted if any(question.text.casefold().startswith(_start(q)) for question in report.questions)}
    return TapCard(
        rows=tuple(rows), sentences=tuple(_sentences(found)), asked=tuple(asked),
        missing=tuple(name for q, name in wanted.items() if q not in found and q not in open_),
        passed_over=report.passed_over, source_water=tuple(_lines(found)),
    )  # fmt: skip


def _start(quantity: str) -> str:
    return {"kh": "alkalinity", "gh": "hardness"}.get(quantity, quantity)


def _row(value: TapValue) -> CardRow:
    name, unit, factor = _SHOWN.get(value.quantity, (value.quantity.replace("_", " "), value.unit, 1.0))
    origin = "water report, less than" if value.below else "water report"
    known = between(value.low * factor, value.value * factor, value.high * factor, unit, origin)
    return CardRow(quantity=value.quantity, name=name, known=known, written=value.written)


def _from_ions(report: Report) -> CardRow | None:
    """Return the hardness that calcium and magnesium make, where the report names both."""
    calcium, magnesium = report.get("calcium"), report.get("magnesium")
    if calcium is None or magnesium is None:
        return None
    ends = [
        float(hardness_from_ions(a, b)) / DKH
        for a, b in ((calcium.low, magnesium.low), (calcium.value, magnesium.value), (calcium.high, magnesium.high))
    ]
    known = between(ends[0], ends[1], ends[2], "dGH", "worked out from calcium and magnesium of the report")
    return CardRow(quantity="gh", name="GH", known=known, written="")


def _against_own(found: Mapping[str, CardRow], own: SourceWater | None) -> list[str]:
    """Ask where the report and what the keeper said before differ by more than a fifth."""
    asked = []
    for quantity, (key, _) in _FIELDS.items():
        said = getattr(own, key) if own is not None else None
        row = found.get(quantity)
        if said is None or row is None or quantity == "ph":
            continue
        if not row.known.low * (1 - FAR) <= said <= row.known.high * (1 + FAR) + 0.05:
            asked.append(
                f"{row.name}: the report says {row.known.text}, you said {number(said)}. Test again from a tap that "
                "ran for two minutes; which one holds now?"
            )
    return asked


def _sentences(found: Mapping[str, CardRow]) -> list[str]:
    """Say what follows for the new water, whom it concerns, and what the numbers hide."""
    lines = [_disinfectant(found)]
    kh, gh, nitrate = (found[q].known if q in found else None for q in ("kh", "gh", "nitrate"))
    levels = target("kh.filter").low
    good, floor = (bound.value if bound else None for bound in (levels and levels.good, levels and levels.watch))
    if kh is not None and good is not None and floor is not None and kh.value < good:
        lines.append(
            f"KH of {kh.text} is little: the filter film lives on it and is held back below {floor:g} dKH. Watch "
            "the KH of the tank every week."
        )
    if kh is not None and gh is not None and gh.value < 0.7 * kh.value:
        lines.append(
            "KH stands well above GH: such water is often softened with salt. Ask, and take a tap before the softener."
        )
    if nitrate is not None:
        lines.append(
            f"No change can bring nitrate of the tank below that of the tap, {nitrate.text}"
            + ("; the highest value counts in its month." if nitrate.high > 1.2 * nitrate.value else ".")
        )
    metals = [found[each] for each in _METALS if each in found and found[each].known.high > LEAST_METAL]
    if metals:
        named = listed([f"{row.name} {row.known.text}" for row in metals])
        lines.append(
            f"{named}: let the tap run for two minutes before you fill buckets; fish and snails mind metals first."
        )
    spread = [
        row.name for row in found.values() if row.known.high > 1.5 * row.known.low > 0.0 and row.quantity in _FIELDS
    ]
    if spread:
        lines.append(f"Over the year {listed(spread)} change by half or more: test the tap in spring and autumn.")
    lines.append("pH from the tap is that of water full of carbon dioxide: test again after a day of air.")
    return lines


def _disinfectant(found: Mapping[str, CardRow]) -> str:
    free, total, combined = (found.get(q) for q in ("chlorine", "total_chlorine", "chloramine"))
    dioxide = found.get("chlorine_dioxide")
    if combined is not None and combined.known.high > 0.0:
        return (
            f"Chloramine {combined.known.text}: standing does not remove it and vitamin C is not to be relied on; a "
            "conditioner splits it and leaves ammonia, so a test right after a change shows some."
        )
    if total is not None and free is not None and total.known.value > 1.5 * max(free.known.value, 0.05):
        return "Total chlorine stands well above free chlorine: that is chloramine. Ask, and dose for the total."
    if total is not None and free is None:
        return (
            f"Only total chlorine is given, {total.known.text}: ask the supplier whether it is chlorine or chloramine."
        )
    if free is not None and free.known.high > 0.0:
        most = f"Free chlorine up to {number(free.known.high)} mg/L"
        return f"{most}: a conditioner for the new water, or a day of open standing."
    if dioxide is not None and dioxide.known.high > 0.0:
        return "Chlorine dioxide: treat the new water; none of it may reach the tank."
    return "The report names no disinfectant: ask the supplier which one, and whether it changes in the year."


def _lines(found: Mapping[str, CardRow]) -> list[str]:
    return [
        f"{key} = {float(format(found[quantity].known.value, form))}"
        for quantity, (key, form) in _FIELDS.items()
        if quantity in found
    ]
