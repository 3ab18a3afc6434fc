"""Where a number comes from, as text."""

from __future__ import annotations

from lentic.advice.sources import Source


def number_lines(view: Source) -> list[str]:
    """Return the source of a number in words."""
    found = [view.title, f"{view.value} {view.range}".rstrip() + f", {view.word}", "", view.rests_on]
    found += [f"  {each.when}: {each.text}" for each in reversed(view.used)]
    found += [f"  and {view.more_used} lines before these"] if view.more_used else []
    found += ["", "In plain steps:", *(f"  {each}" for each in view.steps)]
    found += ["", "Assumed:", *(f"  {each}" for each in view.assumptions)] if view.assumptions else []
    return [*found, "", "What would change it:", *(f"  {each}" for each in view.changes)]
