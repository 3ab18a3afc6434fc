"""What to feed, as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.advice.food import Choice, Feeding
    from lentic.advice.ration import Ration


def feed_lines(view: Feeding) -> list[str]:
    """Return what to feed in words."""
    found = [f"{view.tank}, {view.now:%Y-%m-%d}"]
    for ration in view.rations:
        found += ["", *_ration_lines(ration)]
    found += ["", *view.missing] if view.missing else []
    found += ["", view.verdict]
    if view.fed_litres is not None:
        found.append(f"New water for what was fed, without plants: {view.fed_litres.told}.")
    found += ["", *_menu_lines(view), "", *_choice_lines(view), ""]
    return [*found, *(note.line for note in view.notes)]


def _ration_lines(ration: Ration) -> list[str]:
    days = ration.feeding_days
    found = [
        f"{ration.animal} ({ration.species}), {ration.age}: {ration.age_why}",
        f"  mass         {ration.mass.told}",
        f"  water        {ration.temperature.told}",
        f"  at rest      {ration.resting.told}",
        f"  spends       {ration.multiplier.told}",
    ]
    if ration.growth.high > 0.0:
        found.append(f"  growth       {ration.growth.times(100.0, '% more').told}")
    found += [
        f"  needs        {ration.need.told}",
        f"  feeding days {days.value:.0f} of 7, {days.origin}",
        f"  {ration.trend}",
    ]
    return [*found, *(f"  {caution}" for caution in ration.cautions)]


def _menu_lines(view: Feeding) -> list[str]:
    from lentic.advice.words import number

    if not view.menu.fed:
        return ["No food is logged in this time, so there is no menu to sum."]
    found = [f"Menu of the last {number(view.menu.weeks)} weeks, grams a week as fed:"]
    found += [f"  {row.name:<32} {number(row.grams):>6} g" for row in view.menu.fed]
    found += [f"  {each.line}" for each in view.menu.sums]
    return [*found, *(f"  - {each.line}" for each in view.menu.findings)]


def _choice_lines(view: Feeding) -> list[str]:
    from lentic.advice.words import number

    if not view.choices:
        return ["What each food would do cannot be said before the need is known."]
    need = "" if view.need is None else f" ({view.need.told})"
    found = [
        f"The whole need{need} in one food, and the new water that then holds {number(view.limit)} mg/L nitrate;",
        "* stands before what your log holds:",
    ]
    if view.source_nitrate is None:
        found.append("  (the nitrate of the tap is not known: one test, and the litres can be said)")
    return found + [line for choice in (*view.mixes, *view.choices) for line in _one_choice(choice)]


def _one_choice(choice: Choice) -> list[str]:
    from lentic.advice.words import number

    mark = "*" if choice.in_use else " "
    if choice.grams_per_day is None or choice.grams_per_feeding_day is None:
        return [f"{mark} {choice.name}: {'; '.join(choice.remarks)}"]
    parts = [f"{mark} {choice.name:<24} {choice.grams_per_day.text}"]
    parts.append(choice.grams_per_feeding_day.text)
    if choice.scoops is not None:
        parts.append(choice.scoops.text)
    if choice.nitrogen is not None:
        parts.append(f"{number(choice.nitrogen.value)} mg N a day")
    if choice.litres is not None:
        parts.append(choice.litres.text)
    found = ["; ".join(parts)]
    origin = "" if choice.energy is None else f" [energy of the food: {choice.energy.origin}]"
    return [*found, f"    {'; '.join(choice.remarks)}{origin}"]
