"""The shapes of the API's JSON: the contract of the command line, described for whoever reads the OpenAPI."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field


class Shape(BaseModel):
    """A JSON object with these fields and no others."""

    model_config = ConfigDict(extra="forbid", populate_by_name=True)


class Range(Shape):
    """Tenth, half and nine tenths of the possible tanks; null where nothing can be said."""

    p10: float | None
    p50: float | None
    p90: float | None


class NotYetAnswer(Shape):
    """There is no honest answer yet: why, and what would help most."""

    tank: str
    outcome: str
    wanted: list[str]


class UnderWay(Shape):
    """The answer is being worked out; ask again."""

    outcome: str
    said: str
    share: float | None
    """How far it is, 0 to 1, where that is known."""


class Refusal(Shape):
    """Why something was not done, and what to do."""

    outcome: str


class Flow(Shape):
    """One way in or out of the water."""

    flow: str
    element: Literal["N", "P"]
    mg_per_week: Range


class BalanceAnswer(Shape):
    """Where nitrogen and phosphorus come from and go."""

    tank: str
    begin: str = Field(alias="from")
    to: str
    flows: list[Flow]
    closure: dict[str, float | None]


class Line(Shape):
    """One line of the log that a number rests on."""

    when: str
    text: str


class NumberAnswer(Shape):
    """How one number is known."""

    title: str
    value: str
    range: str
    known: Literal["own", "est", "asm"]
    word: str
    rests_on: str
    used: list[Line]
    more_used: int
    steps: list[str]
    assumptions: list[str]
    changes: list[str]


class Series(Shape):
    """One quantity over the days to come."""

    quantity: str
    unit: str
    times: list[str]
    p10: list[float | None]
    p50: list[float | None]
    p90: list[float | None]


class Due(Shape):
    """When something is due; null beyond the horizon."""

    what: str
    p10: str | None
    p50: str | None
    p90: str | None


class ForecastAnswer(Shape):
    """Readings to come."""

    tank: str
    begin: str = Field(alias="from")
    members: int
    seed: int
    outcome: str
    series: list[Series]
    due: list[Due]
    assumptions: list[dict[str, Any]]


class ComparisonAnswer(Shape):
    """The difference two plans make on the same possible tanks."""

    tank: str
    begin: str = Field(alias="from")
    days: int
    plans: list[str]
    members: int
    differences: list[dict[str, Any]]
    scrape_days: dict[str, Any]


class Test(Shape):
    """The cheapest next test."""

    do: str
    minutes: int
    tells: str


class Cause(Shape):
    """One possible cause with what speaks for and against it."""

    cause: str
    chance: float
    speaks_for: list[str] = Field(alias="for")
    against: list[str]
    test: Test


class CausesAnswer(Shape):
    """What feeds a trouble, ranked."""

    tank: str
    of: str
    since: str | None
    causes: list[Cause]
    unknown: float


class PlanAnswer(BaseModel):
    """The one change of routine worth making first."""

    tank: str
    begin: str = Field(alias="from")
    days: int
    proposed: dict[str, Any] | None
    before: dict[str, Any] | None
    tried: list[dict[str, Any]]


class NowAnswer(Shape):
    """What needs doing today, why, and what can wait."""

    tank: str
    day: str
    today: list[dict[str, Any]]
    can_wait: list[dict[str, Any]]


class CheckAnswer(Shape):
    """Hazards found, and the facts that would be needed to look for more."""

    tank: str
    found: list[dict[str, Any]]
    asks: list[dict[str, Any]]


class Step(Shape):
    """One step of the upkeep."""

    step: str
    text: str
    danger: str
    needs: list[str]
    amount: float | None
    unit: str
    minutes: float


class UpkeepAnswer(Shape):
    """This week's maintenance in a safe order."""

    tank: str
    minutes: float
    steps: list[Step]


class TankNames(Shape):
    """The tanks of the store."""

    tanks: list[str]


class LogLine(Shape):
    """One line of the log, in the cells of log.csv; `standing` is false where it was taken back."""

    id: int
    time: str
    kind: str
    what: str
    amount: str
    unit: str
    note: str
    standing: bool


class LogAnswer(Shape):
    """Lines of the log, oldest first."""

    tank: str
    lines: list[LogLine]


class Entry(BaseModel):
    """A line as it would be typed; the receipt makes sending it again harmless."""

    text: str = Field(min_length=1, max_length=4000, examples=["fed 1.4 pellet; no3 40 mg/L; changed 36 L"])
    receipt: str | None = Field(default=None, min_length=8, max_length=200)


class Written(Shape):
    """What stands in the log now, what is asked first, and what was not understood."""

    tank: str
    added: list[str]
    questions: list[dict[str, Any]]
    problems: list[str]
    twice: bool


class Plans(BaseModel):
    """One plan to compare with going on as before, or two; each is the text of a plan.csv."""

    plans: list[str] = Field(min_length=1, max_length=2)
    days: int = Field(default=56, ge=1, le=182)


class Planned(BaseModel):
    """A forecast under the text of a plan.csv."""

    plan: str = Field(max_length=2_000_000)
    days: int = Field(default=56, ge=1, le=182)
