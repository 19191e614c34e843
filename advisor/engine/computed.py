"""The range of each computed fact, as far as the answers tell it; known before any decision is taken.

The ranges of what is not known reach from the least to the greatest sensible value, so a further answer only narrows
what follows.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.engine.implied import implied_value
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.language.formulas import Formula
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import cell_range, domain_of_range, possible_domain
from advisor.units import Range


def computed_ranges(rule_base: RuleBase, answers: Mapping[str, object], state: Sequence[int]) -> dict[str, Range]:
    """The range of each computed fact.

    Args:
        rule_base: The rules.
        answers: The answers; one for a computed fact stands in place of the computation, as a proof gives it.
        state: What is possible, with what follows from the answers.
    """
    known: dict[str, Range] = {}
    for fact in rule_base.facts.values():
        if fact.computed:
            given = answers.get(fact.name)
            known[fact.name] = given if isinstance(given, Range) else _computed(rule_base, fact, answers, state, known)
    return known


def narrowed(rule_base: RuleBase, answers: Mapping[str, object], state: list[int]) -> None:
    """Narrow the computed facts of a state to the cells that their ranges reach."""
    for name, amount in computed_ranges(rule_base, answers, state).items():
        fact = rule_base.facts[name]
        state[fact.variables[0]] = domain_of_range(fact, amount) & possible_domain(fact) & state[fact.variables[0]]


def formula_range(rule_base: RuleBase, formula: Formula, answers: Mapping[str, object], state: Sequence[int]) -> Range:
    """The range of a formula; what has no answer may be every amount that is possible.

    Raises:
        ZeroDivisionError: If it divides by what may be nothing.
        ValueError: If it grows beyond all numbers.
    """
    known = computed_ranges(rule_base, answers, state)
    return formula.value({name: _range_of(rule_base, name, answers, state, known) for name in formula.names})


def _computed(
    rule_base: RuleBase, fact: Fact, answers: Mapping[str, object], state: Sequence[int], known: Mapping[str, Range]
) -> Range:
    possible: list[Range] = []
    for case in fact.computed:
        truth = HOLDS if case.condition is None else case.condition.truth(state)
        if truth == FAILS:
            continue
        used = {name: _range_of(rule_base, name, answers, state, known) for name in case.formula.names}
        try:
            possible.append(case.formula.value(used))
        except (ZeroDivisionError, ValueError, OverflowError):
            return Range.between(fact.least, fact.most)
        if truth == HOLDS:
            break
    if not possible:
        return Range.exact(fact.least)
    return _inside(fact, Range.hull(possible))


def _inside(fact: Fact, amount: Range) -> Range:
    low, likely, high = (min(max(value, fact.least), fact.most) for value in (amount.low, amount.likely, amount.high))
    return Range(low, likely, high)


def _range_of(
    rule_base: RuleBase,
    name: str,
    answers: Mapping[str, object],
    state: Sequence[int],
    known: Mapping[str, Range],
) -> Range:
    """The range of a name that a formula uses: as answered, or as wide as what is possible."""
    if name in known:
        return known[name]
    if name in rule_base.thresholds:
        return rule_base.thresholds[name].amount
    given = answers.get(name)
    if isinstance(given, Range):
        return given
    fact = rule_base.facts[name]
    follows = implied_value(fact, state)
    if follows is not None and isinstance(follows[0], Range):
        return follows[0]
    return range_of_cells(fact, state[fact.variables[0]])


def range_of_cells(fact: Fact, domain: int) -> Range:
    """The amounts in some cells of a quantity, from the least to the greatest."""
    cells = [cell_range(fact, cell) for cell in range(2 * len(fact.breakpoints) + 1) if domain >> cell & 1]
    return Range.between(min(cell.low for cell in cells), max(cell.high for cell in cells))
