"""The home check as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from lentic.advice.findings import date_words
from lentic.cli.show_findings import finding_lines

if TYPE_CHECKING:
    from lentic.advice.home import HomeView
    from lentic.advice.moving import Schedule


def home_lines(view: HomeView) -> list[str]:
    """Return the home check, the most pressing first, then lists and plans."""
    head = "an offered tank for the animals of " if view.offered else ""
    found = [
        f"{head}{view.tank}, {date_words(view.day)}",
        "",
        *finding_lines([view.volume]),
        *finding_lines(view.findings),
    ]
    found += _other_depths(view)
    for schedule in view.schedules:
        found += ["", *_schedule(schedule)]
    if not view.offered:
        for title, lines in (("Electricity", view.electricity), ("Hygiene", view.hygiene), ("Lifting", view.lifting)):
            found += ["", title, *(f"  {line}" for line in lines)]
    return found


def _other_depths(view: HomeView) -> list[str]:
    factors = {each.depth_cm: each for each in view.panes.others}
    found = []
    for depth, load in view.loads:
        factor = factors.get(depth)
        own = "" if factor is None or factor.true is None else f" ({factor.true:g} with the pane's own height)"
        panes = "" if factor is None else f", safety factor {factor.usual:g}{own}"
        found.append(f"  At {depth:g} cm of water: {load.mass_kg:.0f} kg, {load.kn:.1f} kN{panes}.")
    return ["", "Other depths", *found] if found else []


def _schedule(schedule: Schedule) -> list[str]:
    found = [f"Plan: {schedule.what} (common practice)", *(f"  needed: {each}" for each in schedule.needs)]
    return [*found, *(f"  {stage.day:%Y-%m-%d}  {stage.do}" for stage in schedule.stages)]
