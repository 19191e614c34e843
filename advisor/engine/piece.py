"""Which facts are about the piece in hand: those of the groups in which what is asked hangs on where one looks."""

from __future__ import annotations

from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import LOOKED_AT


def on_the_piece(rule_base: RuleBase, name: str) -> bool:
    """Whether a fact is about the piece, or what it was worked with: not the room, and not the history of the lot."""
    return name in rule_base.facts and rule_base.facts[name].entry.group in rule_base.once(_groups)


def seen_on_it(rule_base: RuleBase, name: str) -> bool:
    """Whether a fact is seen of the piece itself."""
    look = rule_base.facts.get(LOOKED_AT)
    return on_the_piece(rule_base, name) and (look is None or rule_base.facts[name].entry.group != look.entry.group)


def _groups(rule_base: RuleBase) -> frozenset[str]:
    look = rule_base.facts.get(LOOKED_AT)
    if look is None:
        return frozenset()
    asked_there = (
        fact.entry.group
        for fact in rule_base.facts.values()
        if fact.ask_if is not None and not fact.ask_if.variables.isdisjoint(look.variables)
    )
    return frozenset((look.entry.group, *asked_there))
