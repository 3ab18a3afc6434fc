"""An answer to somebody who is no keeper of this household: their words in, what can honestly be said out."""

from __future__ import annotations

from lentic.advice.stranger import StrangerAnswer, answer_to
from lentic.keeper.answers import Answer
from lentic.keeper.opening import AskError


def answer(text: str) -> Answer[StrangerAnswer]:
    """Return the answer to a question in free words; no tank and no log is needed."""
    if not text.strip():
        raise AskError('Write the question in quotes, such as "cloudy water, 100 L, turtle 12 cm".')
    return Answer(view=answer_to(text), problems=())
