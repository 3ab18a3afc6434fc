"""Would something live here: tank mates, plants, a second turtle; with what the rules on danger say of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lentic.advice.company import NO, NONE, Fit, Survey, fit_of, here_of, survey_of
from lentic.advice.hazards import Verdict
from lentic.advice.planting import Planting, planting_of
from lentic.catalogue import Animal, Found, Plant, Record, Unknown, Which, find
from lentic.keeper.answers import Answer
from lentic.keeper.check import verdict_on
from lentic.keeper.opening import AskError, NotYet, Opened, Where, open_record

KINDS = ("tankmate", "plant", "turtle")


@dataclass(frozen=True, kw_only=True)
class Newcomer:
    """One thing asked about: whether it fits, and what the rules on danger say of bringing it in."""

    tank: str
    fit: Fit | Planting
    danger: Verdict

    @property
    def answer(self) -> str:
        """The answer; a rule that says stop turns any other into no."""
        return NO if self.danger.stopped and self.fit.answer != NONE else self.fit.answer


def fits(
    where: Where, thing: str, count: int = 1, size: float | None = None, grams: float | None = None
) -> Answer[Newcomer] | NotYet:
    """Return whether a fish, snail, shrimp, turtle or plant fits here; `size` is its length now [cm]."""
    _sane(count, size, grams)
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    found = find(thing, KINDS)
    if isinstance(found, Which):
        return NotYet(tank=opened.tank.name, sentence=found.question, wanted=("one of these names",))
    if isinstance(found, Unknown):
        raise AskError(found.sentence)
    fit = _fit(opened, found, count, size, grams)
    view = Newcomer(tank=opened.tank.name, fit=fit, danger=verdict_on(opened, [found.record], {}))
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def company(where: Where) -> Answer[Survey] | NotYet:
    """Return every tank mate of the catalogue held against this tank; the word none where none does."""
    opened = open_record(where)
    if isinstance(opened, NotYet):
        return opened
    view = survey_of(here_of(opened.tank, opened.events, opened.end))
    return Answer(view=view, problems=opened.problems, cautions=opened.cautions)


def _sane(count: int, size: float | None, grams: float | None) -> None:
    if not 1 <= count <= 1000:
        raise AskError("How many? A count lies between 1 and 1000.")
    if size is not None and not 0.1 <= size <= 200.0:
        raise AskError("A length lies between 0.1 and 200 cm; write it in centimetres.")
    if grams is not None and not 0.0 < grams <= 50000.0:
        raise AskError("A wet mass of plant lies above 0 and up to 50000 g.")


def _fit(opened: Opened, found: Found, count: int, size: float | None, grams: float | None) -> Fit | Planting:
    record: Record = found.record
    if isinstance(record, Plant):
        return planting_of(record, opened.tank, opened.events, opened.end, grams)
    if isinstance(record, Animal):
        return fit_of(record, here_of(opened.tank, opened.events, opened.end), count, size)
    raise AskError(f"{record.name} is neither an animal nor a plant.")


def parted(words: Sequence[str]) -> tuple[str, int]:
    """Return the thing and the count of what was typed: a whole number at the end is the count."""
    if len(words) > 1 and words[-1].isdigit():
        return " ".join(words[:-1]), int(words[-1])
    return " ".join(words), 1
