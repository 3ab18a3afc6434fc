"""How do we know this: any number of the pages, by the name its link carries."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from lentic.advice.causes import SUBJECTS, Causes
from lentic.advice.decide import Decision
from lentic.advice.over_time import OverTime
from lentic.advice.sources import PLAN_ROWS, Source, cause_source, day_source, flow_source, plan_source, read_source
from lentic.advice.why import Why
from lentic.keeper.answers import Answer
from lentic.keeper.decide import decide
from lentic.keeper.fitted import Say
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_tank
from lentic.keeper.over_time import over_time
from lentic.keeper.reasons import causes
from lentic.keeper.why import why
from lentic.model.describe import Description, describe


@dataclass(frozen=True, kw_only=True)
class Question:
    """Which answer a number belongs to, and the page it stands on."""

    ask: str
    arguments: Mapping[str, Any]
    page: str
    title: str


def question_of(id: str) -> Question:
    """Return which answer a number belongs to; a name that is none of ours is told so."""
    kind, _, rest = id.partition(".")
    parts = rest.split(".")
    if kind == "flow" and len(parts) == 3 and re.fullmatch("all|[1-9][0-9]{0,3}", parts[2]):
        weeks = None if parts[2] == "all" else int(parts[2])
        return Question(ask="why", arguments={"weeks": weeks}, page=f"/why?weeks={parts[2]}", title="Balance")
    if kind in ("day", "read") and len(parts) == 2:
        return Question(ask="over_time", arguments={}, page=f"/why/readings#{parts[0]}", title="Readings")
    if kind == "cause" and len(parts) == 2 and parts[0] in SUBJECTS:
        return Question(ask="causes", arguments={"of": parts[0]}, page=f"/why/causes?of={parts[0]}", title="Causes")
    if kind == "plan" and len(parts) == 2:
        return Question(ask="decide", arguments={}, page="/decide", title="Decide")
    raise AskError(f"No number is called {id!r}. Follow the word beside a number, such as 'estimate', to its source.")


def number_from(opened: Opened, id: str, view: Any) -> Source:
    """Return the source of a number out of the answer it belongs to."""
    parts = id.split(".")
    found: Source | None = None
    if isinstance(view, Why) and any(r.key == parts[2] for r in view.rows) and parts[1] in ("N", "P"):
        found = flow_source(opened.tank, _described(opened), opened.events, view, parts[1], parts[2])
    elif isinstance(view, OverTime):
        moment = _moment(parts[2])
        if parts[0] == "read":
            found = read_source(view, parts[1], moment)
        else:
            found = day_source(view, parts[1], moment, _described(opened).assumptions)
    elif isinstance(view, Causes):
        found = cause_source(view, parts[2])
    elif isinstance(view, Decision) and parts[2] in PLAN_ROWS:
        column = view.column(parts[1])
        found = plan_source(view, column, parts[2]) if column else None
    if found is None:
        raise AskError(f"There is no number {id!r} any more: the log has moved on. Go back to the page and look again.")
    return found


def number(where: Where, id: str, say: Say | None = None) -> Answer[Source] | NotYet:
    """Return how one number is known: value, lines of the log, plain steps, assumptions, what would change it."""
    question = question_of(id)
    opened = open_tank(where)
    if isinstance(opened, NotYet):
        return opened
    ask = {"why": why, "over_time": over_time, "causes": causes, "decide": decide}[question.ask]
    answer: Answer[Any] | NotYet = ask(where, **question.arguments, say=say)  # type: ignore[operator]
    if isinstance(answer, NotYet):
        return answer
    return Answer(view=number_from(opened, id, answer.view), problems=answer.problems, cautions=answer.cautions)


def _described(opened: Opened) -> Description:
    return describe(opened.tank, opened.events, opened.tank.local_date(opened.events[0].time))


def _moment(text: str) -> datetime:
    try:
        return datetime.fromisoformat(text)
    except ValueError:
        raise AskError(f"{text!r} is no day; write it like 2026-05-01.") from None
