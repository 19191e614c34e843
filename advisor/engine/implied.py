"""What the value of a fact follows to be from other answers."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.rulebase.language.conditions import HOLDS, OPEN, Condition
from advisor.rulebase.model import Fact, Value


def implied_value(fact: Fact, state: Sequence[int]) -> tuple[Value, Condition] | None:
    """The value of a fact that follows in this state, with the condition, or None.

    The first condition that holds decides, but only once no earlier one with another value may still come to hold:
    so a further answer never takes back what has followed.
    """
    earlier: list[Value] = []
    for implied in fact.implied:
        truth = implied.condition.truth(state)
        if truth == HOLDS:
            sure = all(value == implied.value for value in earlier)
            return (implied.value, implied.condition) if sure else None
        if truth == OPEN:
            earlier.append(implied.value)
    return None
