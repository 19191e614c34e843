"""Answers that cannot all be true, and answers that hardly can."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.engine import Conclusions, computed_ranges, formula_range
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Check, Fact, RuleBase
from advisor.units import Range


def impossible(conclusions: Conclusions) -> list[Check]:
    """The checks that the answers break, and that nothing excuses."""
    return [check for check in _broken(conclusions) if not check.entry.ask_back]


def doubtful(conclusions: Conclusions) -> list[Check]:
    """The checks that the answers break though they may be true all the same: the person is asked back once."""
    return [check for check in _broken(conclusions) if check.entry.ask_back]


def facts_of(check: Check, rule_base: RuleBase) -> list[Fact]:
    """The facts that a check looks at, in the order of the rule base."""
    names = set() if check.formula is None else set(check.formula.names)
    if check.condition is not None:
        names |= {rule_base.variables[index].name for index in check.condition.variables}
    return [fact for name, fact in rule_base.facts.items() if name in names]


def _broken(conclusions: Conclusions) -> list[Check]:
    known = computed_ranges(conclusions.rule_base, conclusions.answers, conclusions.state)
    return [check for check in conclusions.rule_base.checks.values() if _breaks(conclusions, check, known)]


def _breaks(conclusions: Conclusions, check: Check, known: Mapping[str, Range]) -> bool:
    if check.condition is not None and conclusions.truth(check.condition) != HOLDS:
        return False
    if check.formula is None:
        return True
    try:
        amount = formula_range(conclusions.rule_base, check.formula, conclusions.answers, conclusions.state, known)
    except (ZeroDivisionError, ValueError, OverflowError):
        # With what is not known it may be anything.
        return False
    return check.is_beyond(amount)
