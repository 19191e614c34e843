"""What one look tells is asked in one go: who counts grains counts all of them, and is not sent to count again."""

from __future__ import annotations

from advisor.engine.ask.question import askable
from advisor.engine.conclude import Conclusions
from advisor.engine.implied import implied_value
from advisor.rulebase.model import LookRule, RuleBase


def look_in_one_go(rule_base: RuleBase, name: str) -> LookRule | None:
    """The look that is asked in one go and tells this fact; None for a fact that is asked by itself."""
    return next((look for look in rule_base.looks.values() if look.entry.in_one_go and name in look.entry.tells), None)


def asked_together(conclusions: Conclusions, name: str) -> list[str]:
    """The facts to ask in one go, in the order of the look that tells them; the fact alone where no look does.

    What already follows from other answers is left out.

    Args:
        conclusions: What follows from the answers.
        name: The fact to ask for now.
    """
    look = look_in_one_go(conclusions.rule_base, name)
    if look is None or name in conclusions.answers:
        return [name]
    variables = [variable for fact in look.entry.tells for variable in conclusions.rule_base.facts[fact].variables]
    asked = {name, *askable(conclusions, variables)}
    facts = conclusions.rule_base.facts
    return [
        fact
        for fact in look.entry.tells
        if fact in asked and (fact == name or implied_value(facts[fact], conclusions.open_state) is None)
    ]
