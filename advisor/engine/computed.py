"""The range of each computed fact, as far as the answers tell it; known before any decision is taken.

The ranges of what is not known reach from the least to the greatest sensible value, so a further answer only narrows
what follows.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from advisor.engine.implied import implied_value
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.language.formulas import Formula
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import cell_range, domain_of_range, possible_domain
from advisor.units import Range


@dataclass(slots=True)
class _Memory:
    """What one computed fact was worked out to last.

    Attributes:
        variables: The variables that it looks at.
        names: The facts that its formulas use.
        given: What these were.
        amount: What it came to.
    """

    variables: tuple[int, ...]
    names: tuple[str, ...]
    given: tuple[object, ...] | None = None
    amount: Range = field(default_factory=lambda: Range.exact(0.0))


def computed_ranges(rule_base: RuleBase, answers: Mapping[str, object], state: Sequence[int]) -> dict[str, Range]:
    """The range of each computed fact.

    From one question to the next little changes, so each is worked out anew only where something that it uses did.

    Args:
        rule_base: The rules.
        answers: The answers; one for a computed fact stands in place of the computation, as a proof gives it.
        state: What is possible, with what follows from the answers.
    """
    known: dict[str, Range] = {}
    for name, memory in rule_base.once(_memories).items():
        answer = answers.get(name)
        if isinstance(answer, Range):
            known[name] = answer
            continue
        given = (
            *[state[variable] for variable in memory.variables],
            *[known[used] if used in known else answers.get(used) for used in memory.names],
        )
        if given != memory.given:
            amount = _computed(rule_base, rule_base.facts[name], answers, state, known)
            # The same object as before where it came to the same, so that what uses it sees at once that it did.
            memory.given, memory.amount = given, memory.amount if amount == memory.amount else amount
        known[name] = memory.amount
    return known


def _memories(rule_base: RuleBase) -> dict[str, _Memory]:
    """An empty memory for each computed fact, in the order of the rules: each after those that it uses."""
    found = {}
    for fact in rule_base.facts.values():
        if fact.computed:
            used = [rule_base.facts[name] for name in sorted(fact.used) if name in rule_base.facts]
            conditions = [*fact.choosing, *(implied.condition for one in used for implied in one.implied)]
            tested = {variable for condition in conditions for variable in condition.variables}
            tested |= {one.variables[0] for one in used if not one.computed}
            found[fact.name] = _Memory(tuple(sorted(tested)), tuple(one.name for one in used))
    return found


def ranges_after(
    rule_base: RuleBase,
    before: Mapping[str, Range],
    answers: Mapping[str, object],
    state: Sequence[int],
    moved: Iterable[int],
    name: str,
) -> dict[str, Range]:
    """The range of each computed fact after one answer moved: only what the move bears on is worked out again.

    Args:
        rule_base: The rules.
        before: The ranges before.
        answers: The answers after the move.
        state: What is possible after it.
        moved: The variables that differ from what they were before.
        name: The fact whose answer moved.
    """
    known, changed, moved = dict(before), {name}, frozenset(moved)
    for computed, memory in rule_base.once(_memories).items():
        untouched = moved.isdisjoint(memory.variables) and changed.isdisjoint(memory.names)
        if untouched or isinstance(answers.get(computed), Range):
            continue
        amount = _computed(rule_base, rule_base.facts[computed], answers, state, known)
        if amount != known[computed]:
            known[computed] = amount
            changed.add(computed)
    return known


def narrowed_domain(fact: Fact, amount: Range, domain: int) -> int:
    """Those cells of a computed fact that its range reaches."""
    return domain_of_range(fact, amount) & possible_domain(fact) & domain


def narrowed(rule_base: RuleBase, answers: Mapping[str, object], state: list[int]) -> None:
    """Narrow the computed facts of a state to the cells that their ranges reach."""
    for name, amount in computed_ranges(rule_base, answers, state).items():
        fact = rule_base.facts[name]
        state[fact.variables[0]] = narrowed_domain(fact, amount, state[fact.variables[0]])


def formula_range(
    rule_base: RuleBase,
    formula: Formula,
    answers: Mapping[str, object],
    state: Sequence[int],
    known: Mapping[str, Range],
) -> Range:
    """The range of a formula; what has no answer may be every amount that is possible.

    Args:
        rule_base: The rules.
        formula: The formula.
        answers: The answers.
        state: What is possible.
        known: The range of each computed fact that it uses.

    Raises:
        ZeroDivisionError: If it divides by what may be nothing.
        ValueError: If it grows beyond all numbers.
    """
    return formula.value({name: _range_of(rule_base, name, answers, state, known) for name in formula.names})


def _computed(
    rule_base: RuleBase, fact: Fact, answers: Mapping[str, object], state: Sequence[int], known: Mapping[str, Range]
) -> Range:
    possible: list[Range] = []
    for case in fact.computed:
        truth = HOLDS if case.condition is None else case.condition.truth(state)
        if truth == FAILS:
            continue
        try:
            possible.append(formula_range(rule_base, case.formula, answers, state, known))
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
