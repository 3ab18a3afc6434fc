"""A round through many tanks as JSON."""

from __future__ import annotations

from typing import Any

from lentic.advice.rounds import Outlook
from lentic.keeper.as_json import plain
from lentic.keeper.rounds import Rounds


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
