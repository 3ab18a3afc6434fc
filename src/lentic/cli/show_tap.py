"""A tap card as text."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from lentic.advice.tap_card import TapCard


def tap_lines(view: TapCard) -> list[str]:
    """Return a tap card in words."""
    found = ["What your tap brings, by this report", *([""] if view.rows else [])]
    for row in view.rows:
        less = "below " if "less than" in row.known.origin else ""
        found.append(f"  {row.name}: {less}{row.known.text}")
    if view.asked:
        found += ["", "To be asked first:", *(f"  {each}" for each in view.asked)]
        found.append("  Write the answer into its row and read the report again.")
    found += ["", *view.sentences]
    if view.missing:
        found += ["", f"Not in the report: {', '.join(view.missing)}. Test them, or ask the supplier."]
    if view.source_water:
        found += ["", "For tank.toml, once the questions are answered:", "[source_water]", *view.source_water]
    if view.passed_over:
        found += ["", "Rows not used:", *(f"  {each}" for each in view.passed_over)]
    return found
