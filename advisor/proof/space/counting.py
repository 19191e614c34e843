"""Which sets of answers there are: the cells of each fact, what follows from other answers, and how many there are."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import product

from advisor.engine import full_domains
from advisor.rulebase.language.conditions import HOLDS, single_cells
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import domains_of_value

_MOST_COUNTED = 200_000


def full_count(rule_base: RuleBase) -> int:
    """How many full sets of answers there are, as the product of all cells."""
    return math.prod(bits.bit_count() for fact in rule_base.facts.values() for _, bits in full_domains(rule_base, fact))


def partial_count(rule_base: RuleBase) -> int:
    """How many partial sets there are: what a person can answer, with "not known" and ranges."""
    return math.prod(_ways(rule_base, fact) for fact in rule_base.facts.values())


def _ways(rule_base: RuleBase, fact: Fact) -> int:
    counts = [bits.bit_count() for _, bits in full_domains(rule_base, fact)]
    if fact.entry.kind == "several":
        return int(3 ** len(counts))
    size = counts[0]
    if fact.entry.kind == "quantity":
        return size * (size + 1) // 2
    return size + 1 if size > 1 else 1


def consistent_count(rule_base: RuleBase) -> int | None:
    """How many full sets do not contradict themselves, or None when that takes too long to count.

    Facts that hang together through implied values are counted together, all others by themselves.
    """
    total, state = 1, rule_base.full_state
    for group in _groups(rule_base):
        domain = [list(single_cells(_cells_of(rule_base, variable))) for variable in group]
        if math.prod(len(choices) for choices in domain) > _MOST_COUNTED:
            return None
        total *= sum(_fits(rule_base, state, group, choice) for choice in product(*domain))
    return total


def _cells_of(rule_base: RuleBase, variable: int) -> int:
    fact = rule_base.facts[rule_base.variables[variable].name]
    return dict(full_domains(rule_base, fact))[variable]


def _groups(rule_base: RuleBase) -> list[tuple[int, ...]]:
    """The fact variables, in groups that implied values tie together."""
    group_of = {variable: {variable} for fact in rule_base.facts.values() for variable in fact.variables}
    for fact in rule_base.facts.values():
        bound = set(_bound_variables(rule_base, fact))
        tied = {v for implied in fact.implied for v in implied.condition.variables} | bound if bound else set()
        for variable in tied:
            joined = group_of[variable] | group_of[min(tied)]
            for member in joined:
                group_of[member] = joined
    return [tuple(sorted(group)) for group in {id(group): group for group in group_of.values()}.values()]


def _bound_variables(rule_base: RuleBase, fact: Fact) -> Iterator[int]:
    """The variables of a fact that an implied value narrows at all."""
    full = dict(full_domains(rule_base, fact))
    for implied in fact.implied:
        for variable, bits in domains_of_value(fact, implied.value, rule_base.variables):
            if full[variable] & ~bits:
                yield variable


def _fits(rule_base: RuleBase, full: list[int], group: tuple[int, ...], choice: tuple[int, ...]) -> bool:
    state = list(full)
    for variable, cell in zip(group, choice, strict=True):
        state[variable] = cell
    names = {rule_base.variables[variable].name for variable in group}
    return all(_agrees(rule_base, rule_base.facts[name], state, group) for name in names)


def _agrees(rule_base: RuleBase, fact: Fact, state: list[int], group: tuple[int, ...]) -> bool:
    for implied in fact.implied:
        if not implied.condition.variables <= set(group):
            return True
        if implied.condition.truth(state) == HOLDS:
            bound = domains_of_value(fact, implied.value, rule_base.variables)
            return all(state[variable] & bits for variable, bits in bound)
    return True


def rounds_needed(rule_base: RuleBase) -> int:
    """How often implied values must be applied until nothing can follow any more."""
    drivers = {
        fact.name: {rule_base.variables[v].name for implied in fact.implied for v in implied.condition.variables}
        for fact in rule_base.facts.values()
        if fact.implied
    }
    depth = dict.fromkeys(drivers, 1)
    for _ in range(len(drivers) + 1):
        deeper = {
            name: 1 + max((depth[other] for other in others if other in depth), default=0)
            for name, others in drivers.items()
        }
        if deeper == depth:
            return max(depth.values(), default=0)
        depth = deeper
    return len(rule_base.facts)  # Values that follow from each other in a circle.
