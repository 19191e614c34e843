"""Cells that no rule tells apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.rulebase.language.conditions import Condition, leaves, single_cells
from advisor.rulebase.model import RuleBase
from advisor.rulebase.values import domains_of_value

Kinds = tuple[tuple[int, ...], ...]
"""For each variable, its cells parted into those that are told apart."""


def alike_cells(rule_base: RuleBase) -> Kinds:
    """For each variable, its cells parted into those that no decision, hazard or implied value tells apart.

    Each cell of an amount that something is worked out from is told apart: other amounts may follow from it.
    """
    return rule_base.once(_told_apart)


def _told_apart(rule_base: RuleBase) -> Kinds:
    tests: list[set[int]] = [set() for _ in rule_base.variables]
    for condition in _conditions(rule_base):
        for leaf in leaves(condition.tree):
            tests[leaf.variable].add(leaf.inside)
    for fact in rule_base.facts.values():
        for implied in fact.implied:
            for variable, domain in domains_of_value(fact, implied.value, rule_base.variables):
                tests[variable].add(domain)
        for name in fact.used & rule_base.facts.keys():
            (variable,) = rule_base.facts[name].variables
            tests[variable].update(single_cells(rule_base.variables[variable].full))
    return tuple(_parted(variable.full, tests[variable.index]) for variable in rule_base.variables)


def _conditions(rule_base: RuleBase) -> Iterator[Condition]:
    for decision in rule_base.decisions.values():
        yield from (argument.condition for argument in decision.arguments)
    yield from (hazard.condition for hazard in rule_base.hazards.values())
    yield from (implied.condition for fact in rule_base.facts.values() for implied in fact.implied)
    yield from (condition for fact in rule_base.facts.values() for condition in fact.choosing)


def _parted(full: int, tests: Iterable[int]) -> tuple[int, ...]:
    parts = [full]
    for inside in tests:
        parts = [part for whole in parts for part in (whole & inside, whole & ~inside) if part]
    return tuple(sorted(parts, key=lambda part: part & -part))
