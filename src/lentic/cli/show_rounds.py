"""A round through many tanks as text and as JSON."""

from __future__ import annotations

from typing import Any

from lentic.advice.hazards.words import found_lines
from lentic.advice.rounds import Outlook
from lentic.keeper.as_json import plain
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


def rounds_json(view: Rounds) -> dict[str, Any]:
    """Return the round as JSON."""
    found = view.round
    order = [_tank(each) for each in found.order]
    return {
        "minutes": plain(found.minutes), "litres": plain(found.litres), "thiosulfate_g": plain(found.thiosulfate_g),
        "tests_first": list(found.tests_first), "order": order, "hygiene": list(found.hygiene), "law": list(found.law),
        "missing": list(view.missing),
    }  # fmt: skip


def _tank(each: Outlook) -> dict[str, Any]:
    low, high = each.nitrate_range
    return {
        "tank": each.tank.name, "finding": each.finding, "litres": plain(each.litres),
        "times_a_week": each.times_a_week, "fed_over_need": plain(each.fed_over_need),
        "nitrate": {
            "expected": plain(each.nitrate), "low": plain(low), "high": plain(high),
            "measured": plain(each.tank.nitrate_mg_l), "unit": "mg/L NO3",
        },
        "said": list(each.said),
    }  # fmt: skip
