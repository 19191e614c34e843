"""From answers and rules to settled and open conclusions: pure functions on frozen data.

What stands here is what others use; the rest is inside.
"""

from advisor.engine.ask.cause_questions import cause_questions
from advisor.engine.ask.details import needed_names
from advisor.engine.ask.looks import StillPossible, ToFindOut, likeliest, looks, still_possible
from advisor.engine.ask.question import Question
from advisor.engine.ask.questions import next_question, open_questions
from advisor.engine.ask.stakes import Stakes, stakes
from advisor.engine.ask.together import asked_together, look_in_one_go
from advisor.engine.causes import ABSENT, PRESENT, SeveralOutcome, Support
from advisor.engine.cold import cold_beginning, done_cold, taken_instead
from advisor.engine.computed import computed_ranges, formula_range
from advisor.engine.conclude import (
    Conclusions,
    Outcome,
    OutcomeKind,
    conclude,
    conclude_forced,
    conclude_state,
    prepared_decisions,
)
from advisor.engine.correction import at_work, needed_observations, own_steps
from advisor.engine.implied import implied_value
from advisor.engine.piece import on_the_piece, seen_on_it
from advisor.engine.state import (
    NOT_KNOWN,
    Answers,
    ContradictionError,
    NotKnown,
    full_domains,
    state_of,
    state_with,
    value_words,
)
from advisor.engine.ties import Tie, tie_of
from advisor.engine.what_if import OtherAnswer, Target, other_answers

__all__ = [
    "ABSENT",
    "NOT_KNOWN",
    "PRESENT",
    "Answers",
    "Conclusions",
    "ContradictionError",
    "NotKnown",
    "OtherAnswer",
    "Outcome",
    "OutcomeKind",
    "Question",
    "SeveralOutcome",
    "Stakes",
    "StillPossible",
    "Support",
    "Target",
    "Tie",
    "ToFindOut",
    "asked_together",
    "at_work",
    "cause_questions",
    "cold_beginning",
    "computed_ranges",
    "conclude",
    "conclude_forced",
    "conclude_state",
    "done_cold",
    "formula_range",
    "full_domains",
    "implied_value",
    "likeliest",
    "look_in_one_go",
    "looks",
    "needed_names",
    "needed_observations",
    "next_question",
    "on_the_piece",
    "open_questions",
    "other_answers",
    "own_steps",
    "prepared_decisions",
    "seen_on_it",
    "stakes",
    "state_of",
    "state_with",
    "still_possible",
    "taken_instead",
    "tie_of",
    "value_words",
]
