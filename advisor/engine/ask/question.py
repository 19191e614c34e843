"""What a question is, and what may be asked."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.engine.conclude import Conclusions
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import HOLDS


@frozen
class Question:
    """A question that can still change the advice.

    Attributes:
        fact: Name of the fact to ask for.
        purpose: ``stop`` (can stop the work), the name of a decision, or ``details`` (hazards, steps, weights).
        score: How much it is expected to decide for what it costs; greater is better.
    """

    fact: str
    purpose: str
    score: float


def askable(conclusions: Conclusions, variables: Iterable[int]) -> dict[str, set[int]]:
    """The facts behind variables that were not asked yet, in the order of the rule base, with these variables."""
    rule_base = conclusions.rule_base
    found: dict[str, set[int]] = {}
    for index in variables:
        name = rule_base.variables[index].name
        if name in rule_base.facts and name not in conclusions.answers and may_be_asked(conclusions, name):
            found.setdefault(name, set()).add(index)
    return {name: found[name] for name in rule_base.facts if name in found}


def may_be_asked(conclusions: Conclusions, name: str) -> bool:
    """Whether the time to ask for a fact has come: nobody is sent to look at, or to test, what is not safe to."""
    fact = conclusions.rule_base.facts[name]
    if fact.computed:
        return False
    ask_if = fact.ask_if
    return ask_if is None or conclusions.truth(ask_if) == HOLDS
