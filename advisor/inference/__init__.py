"""From answers and rules to settled and open conclusions: pure functions on frozen data."""

from advisor.inference.answers import NOT_KNOWN, Answers, NotKnown, state_of
from advisor.inference.conclusions import Conclusions, conclude
from advisor.inference.questions import next_question, open_questions

__all__ = [
    "NOT_KNOWN",
    "Answers",
    "Conclusions",
    "NotKnown",
    "conclude",
    "next_question",
    "open_questions",
    "state_of",
]
