"""A round through many tanks as text."""

from __future__ import annotations

from lentic.advice.hazards.words import found_lines
from lentic.keeper.rounds import Rounds


def rounds_lines(view: Rounds) -> list[str]:
    """Return tests, order, water, hygiene and hand-over as lines."""
    found = view.round
    lines = [f"A round of {len(found.order)} tanks, about {found.minutes:.0f} minutes."]
    if found.tests_first:
        lines += ["", "Before the round, test:", *(f"  {each}" for each in found.tests_first)]
    lines += ["", "In this order:", *(f"  {place}. {line}" for place, line in enumerate(found.handover, start=1))]
    lines += ["", f"Water in all {found.litres:.0f} L."]
    if found.thiosulfate_g is not None:
        lines.append(f"  Sodium thiosulfate for it, where that is the conditioner: {found.thiosulfate_g:.1f} g.")
    else:
        lines.append("  Conditioner as its label says for these litres: the chlorine of the tap is not known.")
    lines += ["", *found.hygiene]
    for each in found.verdict.found:
        lines += ["", *found_lines(each)]
    lines += ["", *found.law]
    if view.missing:
        lines += ["", "Not in the round:", *(f"  {each}" for each in view.missing)]
    return lines
