"""The lamps as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lentic.advice.findings import date_words
from lentic.advice.words import counted
from lentic.cli.show_findings import finding_lines

if TYPE_CHECKING:
    from lentic.advice.lamps import Lamps


def lamps_lines(view: Lamps) -> list[str]:
    """Return the lamps of a tank, the animal's first."""
    found = [f"{view.tank}, {date_words(view.day)}"]
    for each in view.ultraviolet:
        found += ["", f"{each.lamp}, for the animal ({counted(each.readings, 'UV reading')} since it was fitted)"]
        found += finding_lines(each.findings)
        if each.next_reading is not None:
            found.append(
                f"  Measure next: {'today' if each.next_reading <= view.day else date_words(each.next_reading)}"
            )
    if not view.ultraviolet:
        found += ["", view.always]
    if view.basking:
        found += ["", "Basking place", *finding_lines(view.basking)]
    if view.plants:
        found += ["", "Plants", *(f"  {each.sentence}" for each in view.plants)]
    return [*found, "", "Lamps together", *finding_lines(view.findings)]
