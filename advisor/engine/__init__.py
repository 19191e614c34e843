"""From answers and rules to settled and open conclusions: pure functions on frozen data."""

from advisor.engine.ask.questions import next_question, open_questions
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import NOT_KNOWN, Answers, NotKnown, state_of

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
