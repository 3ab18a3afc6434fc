"""A check of the panes of a tank that stands or is offered: never a licence to build one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from lentic.advice.findings import Finding, ask
from lentic.logbook.tank import Glass
from lentic.science.plate import (
    ACRYLIC_POISSON,
    CORNER_RATIO,
    GLASS_POISSON,
    deflection_coefficient,
    pane_deflection,
    pane_stress,
    partly_filled_coefficient,
    stress_coefficient,
)

BREAKING_PA = 19.2e6
"""Bending stress at which annealed glass is reckoned to break in a published table for tanks (read). [Pa]"""
LONGEST = 4.0
"""Length over water height at which the table of coefficients ends."""
USUAL_FACTOR, LEAST_FACTOR = 3.8, 3.0
"""Safety factor of that table, and the one below which no water goes in (common practice)."""
ACRYLIC_PA, ACRYLIC_MODULUS, ACRYLIC_SAG = 5e6, 1.5e9, 1.0 / 150.0
"""Long-term stress, creeping modulus and bending over the water height for acrylic; from memory."""
ENGINEER = "A check of what stands, not a design. Chips, scratches, a missing brace or hardened seams void it."
METHOD = (
    "thin plate, sides and bottom held; annealed glass; published plate solution (Timoshenko), checked against Roark"
)


@dataclass(frozen=True, kw_only=True)
class Factor:
    """Safety factor of a pane at a depth, rounded down to a tenth."""

    depth_cm: float
    usual: float
    """As in the usual table: a pane as high as the water."""
    true: float | None
    """With the pane's own height; None where it is not known or the top is free."""

    @property
    def counts(self) -> float:
        """The lower of the two."""
        return self.usual if self.true is None else min(self.usual, self.true)


@dataclass(frozen=True, kw_only=True)
class Panes:
    """The panes at the asked depth, at others, and the deepest water with the usual margin."""

    at: Factor | None
    others: tuple[Factor, ...]
    deepest_cm: float | None
    finding: Finding


def floored(value: float) -> float:
    """Return a safety factor rounded down to a tenth."""
    return math.floor(10.0 * value + 1e-9) / 10.0


def factor_of(glass: Glass, depth_cm: float, braced: bool) -> Factor | None:
    """Return the safety factor of the longest pane of glass at a depth; None while a measure is missing."""
    if glass.length_cm is None or glass.pane_mm is None or not glass.is_box:
        return None
    long, deep, thick = max(glass.length_cm, glass.width_cm or 0.0) / 100.0, depth_cm / 100.0, glass.pane_mm / 1000.0
    whole = long + 2.0 * thick  # the trade's tables take the length of the tank; the pane's own span is the clear one
    beta = float(stress_coefficient(whole / deep, "glass", braced))
    if braced and whole / deep > LONGEST:
        beta = float(partly_filled_coefficient(whole, deep, deep, GLASS_POISSON))
    if math.isnan(beta):
        return None
    usual = BREAKING_PA / float(pane_stress(beta, deep, thick))
    true = None
    if braced and glass.height_cm is not None and glass.height_cm >= depth_cm:
        own = partly_filled_coefficient(long, glass.height_cm / 100.0, deep, GLASS_POISSON)
        true = floored(BREAKING_PA / float(pane_stress(own, deep, thick)))
    return Factor(depth_cm=depth_cm, usual=floored(usual), true=true)


def deepest_of(glass: Glass, braced: bool) -> float | None:
    """Return the deepest water at which the usual margin holds, in whole centimetres; None where none can be said."""
    top = int(glass.height_cm or 100.0)
    good = [
        depth for depth in range(5, top + 1)
        if (found := factor_of(glass, float(depth), braced)) is not None and found.counts >= USUAL_FACTOR
    ]  # fmt: skip
    return float(max(good)) if good else None


def panes_of(glass: Glass, depth_cm: float | None, others: tuple[float, ...] = ()) -> Panes:
    """Return how the panes stand at a depth, and at others that are worth comparing."""
    missing = [
        name for name, value in (
            ("length_cm", glass.length_cm), ("pane_mm", glass.pane_mm), ("water_depth_cm", depth_cm),
            ("pane", glass.pane),
        ) if value is None
    ]  # fmt: skip
    if not glass.is_box:
        asked = ask("panes", "Bent and six-sided panes are not reckoned here. Ask the maker, or a glazier.")
        return Panes(at=None, others=(), deepest_cm=None, finding=asked)
    if missing or depth_cm is None:
        asked = ask("panes", f"Missing for a check of the panes: {', '.join(missing)} under [tank].")
        return Panes(at=None, others=(), deepest_cm=None, finding=asked)
    if glass.pane == "acrylic":
        return Panes(at=None, others=(), deepest_cm=None, finding=_acrylic(glass, depth_cm))
    braced = glass.braced is True
    at = factor_of(glass, depth_cm, braced)
    if at is None:
        asked = ask("panes", "So short or so long a pane without a brace lies outside the table: ask a glazier.")
        return Panes(at=None, others=(), deepest_cm=None, finding=asked)
    found = [factor for depth in others if (factor := factor_of(glass, depth, braced)) is not None]
    deepest = deepest_of(glass, braced)
    return Panes(at=at, others=tuple(found), deepest_cm=deepest, finding=_glass(glass, at, deepest, braced))


def _glass(glass: Glass, at: Factor, deepest: float | None, braced: bool) -> Finding:
    own = "" if at.true is None else f", {at.true:g} with the pane's own height of {glass.height_cm:g} cm"
    held = (
        "held at the top" if braced else "free at the top" if glass.braced is False else "brace not told: taken as none"
    )
    said = (
        f"{glass.pane_mm:g} mm glass, {held}, {at.depth_cm:g} cm of water: safety factor {at.usual:g} as the usual "
        f"table has it{own}; at least {USUAL_FACTOR:g} is usual."
    )
    limit = "" if deepest is None else f" Not above {deepest:g} cm."
    long = max(glass.length_cm or 0.0, glass.width_cm or 0.0)
    if not braced and long / at.depth_cm > CORNER_RATIO:
        limit += " Without a brace the corners of so long a pane twist; have a glazier look."
    if at.counts < LEAST_FACTOR:
        return Finding(what="panes", state="stop", sentence=said, source=METHOD,
                       do=f"Less water, or do not buy.{limit} {ENGINEER}")  # fmt: skip
    if at.counts < USUAL_FACTOR:
        return Finding(what="panes", state="watch", sentence=said, source=METHOD,
                       do=f"Lower the water until the usual margin holds.{limit} {ENGINEER}")  # fmt: skip
    return Finding(what="panes", state="fine", sentence=f"{said}{limit}", do=ENGINEER, source=METHOD)


def _acrylic(glass: Glass, depth_cm: float) -> Finding:
    long, deep = max(glass.length_cm or 0.0, glass.width_cm or 0.0) / 100.0, depth_cm / 100.0
    thick, braced = (glass.pane_mm or 0.0) / 1000.0, glass.braced is True
    stress = float(pane_stress(stress_coefficient(long / deep, "acrylic", braced), deep, thick))
    if braced and glass.height_cm is not None and glass.height_cm >= depth_cm:
        own = partly_filled_coefficient(long, glass.height_cm / 100.0, deep, ACRYLIC_POISSON)
        stress = max(stress, float(pane_stress(own, deep, thick)))
    sag = float(pane_deflection(deflection_coefficient(long / deep, "acrylic", braced), deep, thick, ACRYLIC_MODULUS))
    if math.isnan(stress) or math.isnan(sag):
        return ask("panes", "So short or so long a pane lies outside the table: ask the maker.")
    said = (
        f"{glass.pane_mm:g} mm acrylic, {depth_cm:g} cm of water: {stress / 1e6:.1f} N/mm² of {ACRYLIC_PA / 1e6:g} for "
        f"years of load, bending about {1000 * sag:.0f} mm of {1000 * ACRYLIC_SAG * deep:.0f} mm (limits from memory)."
    )
    over = stress > ACRYLIC_PA or sag > ACRYLIC_SAG * deep
    do = f"Lower the water, and ask the maker. {ENGINEER}" if over else ENGINEER
    return Finding(what="panes", state="watch" if over else "fine", sentence=said, do=do, source=METHOD)


def seams_of(age_years: float | None, peel: bool | None, chipped: bool | None) -> list[Finding]:
    """Return what age and looks of the seams ask for."""
    found: list[Finding] = []
    wet = "Wet test outdoors, 72 h at full height, before it comes indoors; reseal the inner fillet if in doubt."
    if peel:
        found.append(Finding(what="seams", state="act", sentence="The seams peel.", source="common practice",
                             do="Lower the water; the plan for resealing is in this check."))  # fmt: skip
    elif age_years is None:
        asked = "How old are the seams? Write seams_made under [home]."
        found.append(Finding(what="seams", state="ask", sentence=asked, do=f"Unknown counts as old. {wet}"))
    elif age_years > 12.0:
        found.append(Finding(what="seams", state="watch", sentence=f"The seams are {age_years:.0f} years old.",
                             do=wet, source="12 years: common practice"))  # fmt: skip
    if chipped:
        said, do = "An edge is chipped: the reckoned factor does not hold.", "A third less water; have a glazier look."
        found.append(Finding(what="edges", state="watch", sentence=said, do=do, source="common practice"))
    return found
