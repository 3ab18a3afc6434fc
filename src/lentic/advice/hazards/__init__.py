"""What is dangerous here and now, or in what is about to be done: rules tried on typed facts."""

from lentic.advice.hazards.facts import situation_of
from lentic.advice.hazards.gate import Ask, Found, NotChecked, Overruled, Question, Situation, Verdict, gate
from lentic.advice.hazards.question import doing, question_of, question_of_events

__all__ = [
    "Ask",
    "Found",
    "NotChecked",
    "Overruled",
    "Question",
    "Situation",
    "Verdict",
    "doing",
    "gate",
    "question_of",
    "question_of_events",
    "situation_of",
]
