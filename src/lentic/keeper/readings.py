"""What readings mean in this tank: typed now, or the last of the log."""

from __future__ import annotations

from dataclasses import replace

from lentic.advice.readings import Meaning, meaning_of, odd_lines
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record
from lentic.logbook.cells import NUMBER
from lentic.logbook.doubts import SURE
from lentic.logbook.events import Reading
from lentic.logbook.problems import Problem
from lentic.logbook.quick import parse_quick
from lentic.logbook.tank import Tank
from lentic.logbook.units import VOLUME, fold


def readings(
    where: Where, text: str | None = None, change: str | None = None, whole_log: bool = False
) -> Answer[Meaning] | NotYet:
    """Return what a typed line of readings means, or the last readings of the log; `change` as `40 L` or `25 %`.

    With `whole_log` every line of the log that does not fit its neighbours is named too.
    """
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    moment = opened.end
    if text is not None and where.now_text is None and where.folder is None:
        moment = where.clock
    typed, asked, problems = _typed(opened, text, where) if text else ((), (), ())
    if text and not typed and not asked:
        raise AskError(f"{text!r} holds no reading. Write for example: no3 40 mg/L NO3; ph 7.8; nh4 0.5 mg/L NH4.")
    view = meaning_of(opened.tank, opened.events, typed, moment, _litres(change, opened.tank), asked)
    if whole_log:
        view = replace(view, odd_lines=odd_lines(opened.tank, opened.events))
    if not view.said and not asked and not view.odd_lines:
        return NotYet(
            tank=opened.tank.name, sentence="Not yet: no reading of the last days is in the log.",
            wanted=("pH, KH, nitrate and ammonia, typed as: no3 40 mg/L NO3; ph 7.8",), problems=opened.problems,
        )  # fmt: skip
    return Answer(view=view, problems=(*opened.problems, *problems), cautions=opened.cautions)


def _typed(opened: Opened, text: str, where: Where) -> tuple[tuple[Reading, ...], tuple[str, ...], tuple[Problem, ...]]:
    """Read a typed line; a doubted reading is explained all the same, and asked about."""
    now = opened.end if where.now_text is not None or where.folder is not None else where.clock
    quick = parse_quick(text, opened.tank, opened.events, now)
    found = [event for event in quick.events if isinstance(event, Reading)]
    asked: list[str] = []
    for question in quick.questions:
        offered = " or ".join(choice.replace(f" ({SURE})", "") for choice in question.choices)
        if question.choices and SURE in question.choices[-1]:
            again = parse_quick(question.choices[-1], opened.tank, opened.events, now)
            found += [replace(e, note="") for e in again.events if isinstance(e, Reading)]
        else:
            asked.append(f"{question.text}" + (f" Write {offered}." if offered else ""))
    return tuple(found), tuple(asked), quick.problems


def _litres(change: str | None, tank: Tank) -> float | None:
    """Return a planned change in litres."""
    if change is None:
        return None
    found = NUMBER.search(change)
    unit = fold(change[found.end() :]) if found else ""
    if found is None or not (unit in VOLUME or unit == "%"):
        raise AskError(f"A change is written as 40 L or 25 %, not as {change!r}.")
    number = float(found[0].replace(",", "."))
    if unit != "%":
        return VOLUME[unit].convert(number)
    if not tank.water_litres:
        raise AskError("A change in per cent needs the litres of the tank: water_l, or its inner measures.")
    return number / 100.0 * tank.water_litres
