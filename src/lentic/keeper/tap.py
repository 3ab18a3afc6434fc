"""A water report into a tap card, held against what the keeper said of the tap."""

from __future__ import annotations

from lentic.advice.tap_card import TapCard, tap_card
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Where, open_record
from lentic.logbook.report import read_report


def tap(text: str, where: Where | None = None) -> Answer[TapCard] | NotYet:
    """Return the card of a report; with a tank, what differs from its description is asked about."""
    if not text.strip():
        raise AskError("The report is empty. Give a text file, or - and paste the table.")
    if text.lstrip().startswith("%PDF"):
        raise AskError("This is a PDF. Open it, copy its table, and paste it: lentic tap -")
    own = None
    if where is not None:
        opened = open_record(where)
        if isinstance(opened, NotYet):
            return opened
        own = opened.tank.source_water
    report = read_report(text)
    if not report.values and not report.questions:
        raise AskError(
            "No row of the report could be read. A row is a name, a number and a unit, such as: Nitrate (NO3) 12 mg/L."
        )
    return Answer(view=tap_card(report, own), problems=())
