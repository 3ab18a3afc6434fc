"""Readings in their meaning as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.advice.disinfected import NewWater
    from lentic.advice.readings import Meaning


def reading_lines(view: Meaning) -> list[str]:
    """Return the meaning of readings in words."""
    who = "fish live here" if view.fish else "turtles only"
    found = [f"{view.tank}, {view.at:%Y-%m-%d %H:%M}: what the readings mean ({who})"]
    if view.asked:
        found += ["", "To be asked first:", *(f"  {each}" for each in view.asked)]
    if view.repeat:
        found += ["", "Repeat before believing:", *(f"  {each}" for each in view.repeat)]
    about = ""
    for each in view.said:
        found += [*([""] if each.about != about else []), f"  {each.sentence}"]
        about = each.about
        if each.known is not None or each.source:
            origin = each.known.origin if each.known is not None else ""
            found.append(f"    ({'; '.join(part for part in (origin, each.source) if part)})")
    if view.odd_lines:
        found += ["", "Lines of the log that do not fit the others:", *(f"  {each}" for each in view.odd_lines)]
    return [*found, *_water(view.change)]


def _water(change: NewWater | None) -> list[str]:
    """Say what the new water of a change needs."""
    if change is None:
        return []
    kind = "chloramine" if change.chloramine else "chlorine"
    found = ["", f"New water for a change of {change.litres:.0f} L: {kind} {change.chlorine.told}"]
    for dose in change.doses:
        amounts = f"{dose.for_buckets.text} for the buckets, or {dose.for_tank.text} for the whole tank with a hose"
        found.append(f"  {dose.conditioner}: {amounts}" + (f" ({dose.note})" if dose.note else ""))
    found.append("  The packet's own dose goes before these; one of them is enough.")
    if change.ammonia_after is not None:
        left, shown = f"{change.ammonia_in_new_water:.2f} mg/L N", change.ammonia_after.text
        found.append(
            f"  Split chloramine leaves {left} of ammonia in the new water; a test right after the change should"
        )
        found.append(f"  show about {shown}. The filter takes it in a day.")
    return found
