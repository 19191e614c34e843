"""Whole answers from cells, and the advice of whole answers as something to compare; all in the plainest way."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.engine.ask.details import needed_names
from advisor.engine.computed import range_of_cells
from advisor.engine.conclude import Conclusions, conclude
from advisor.engine.state import Answers, ContradictionError, NotKnown, implied_value
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.values import cell_range
from advisor.units import Range


def value_of(rule_base: RuleBase, fact: Fact, domain: Mapping[int, int]) -> Value:
    """A value of a fact that lies in one cell for each of its variables."""
    if fact.entry.kind == "several":
        present = frozenset(rule_base.variables[v].item for v in fact.variables if domain[v] == 2)
        return Several(present)
    position = domain[fact.variables[0]].bit_length() - 1
    if fact.computed:
        # What is worked out from something not known stays open.
        return range_of_cells(fact, domain[fact.variables[0]])
    if fact.entry.kind == "quantity":
        return Range.exact(cell_range(fact, position).likely)
    return bool(position) if fact.entry.kind == "yes_no" else rule_base.variables[fact.variables[0]].domain[position]


def concluded(rule_base: RuleBase, answers: Answers) -> Conclusions | None:
    """What follows from answers, or None when they contradict each other."""
    try:
        return conclude(rule_base, answers)
    except ContradictionError:
        return None


def advice_shown(conclusions: Conclusions) -> tuple[Any, ...]:
    """The advice as far as a question may bear on it; once the work stops, that is all of it."""
    if conclusions.stops:
        return ("stop",)
    entering = needed_names(conclusions)
    given = tuple((n, _given(conclusions, n)) for n in sorted(entering & set(conclusions.rule_base.facts)))
    return (*conditions_shown(conclusions), given)


def conditions_shown(conclusions: Conclusions) -> tuple[Any, ...]:
    """The same without what is known of the facts that enter a weight."""
    rule_base = conclusions.rule_base
    if conclusions.stops:
        return ("stop",)
    shown: list[tuple[Any, ...]] = [tuple(outcome.chosen for outcome in conclusions.outcomes.values())]
    shown.append((conclusions.kind,))
    shown.append(tuple(one.name for one in conclusions.preparations()))
    shown.append(tuple(conclusions.hazards()))
    shown.append(
        tuple(
            (name, place)
            for name in conclusions.hazards()
            for place, control in enumerate(rule_base.hazards[name].controls)
            if control.condition is None or conclusions.truth(control.condition) != FAILS
        )
    )
    for section in (rule_base.steps, rule_base.amounts, rule_base.expectations, rule_base.referrals):
        shown.append(tuple(n for n, rule in section.items() if conclusions.truth(rule.condition) != FAILS))
    entering = needed_names(conclusions)
    shown.append(
        tuple(
            (name, place)
            for name in sorted(entering & set(rule_base.quantities))
            for place, case in enumerate(rule_base.quantities[name].cases)
            if case.condition is None or conclusions.truth(case.condition) != FAILS
        )
    )
    return tuple(shown)


def _given(conclusions: Conclusions, name: str) -> tuple[Any, ...]:
    """What is known of a fact that enters a weight, however it came to be known."""
    fact, state = conclusions.rule_base.facts[name], list(conclusions.state)
    follows = implied_value(fact, state)
    answer = follows[0] if follows else conclusions.answers.get(name)
    domain = tuple(state[variable] for variable in fact.variables)
    return (*domain, None if answer is None or isinstance(answer, NotKnown) else str(answer))
