"""Which sets of answers there are: the cells of each fact, what follows from other answers, and how many there are."""

from __future__ import annotations

import math
from collections.abc import Iterator

from advisor.engine import full_domains
from advisor.proof.space.trees import alike_cells, fixed
from advisor.rulebase.language.conditions import AllOf, AnyOf, Leaf, Tree, negation
from advisor.rulebase.model import Fact, RuleBase
from advisor.rulebase.values import domains_of_value


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


def consistent_count(rule_base: RuleBase) -> int:
    """How many full sets do not contradict themselves.

    Facts that hang together through implied values are counted together, all others by themselves.
    """
    total = 1
    for group in _groups(rule_base):
        names = dict.fromkeys(rule_base.variables[variable].name for variable in group)
        agreeing = AllOf(tuple(tree for name in names for tree in _agreeing(rule_base, rule_base.facts[name], group)))
        total *= _counted(rule_base, agreeing, group, {})
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


def _agreeing(rule_base: RuleBase, fact: Fact, group: tuple[int, ...]) -> Iterator[Tree]:
    """What must hold so that a fact does not contradict the first of its implied values whose condition holds."""
    earlier: list[Tree] = []
    for implied in fact.implied:
        if not implied.condition.variables <= set(group):
            return
        bound = [
            Leaf(variable, bits, _cells_of(rule_base, variable), "", "")
            for variable, bits in domains_of_value(fact, implied.value, rule_base.variables)
        ]
        yield AnyOf((*earlier, negation(implied.condition.tree), AllOf(tuple(bound))))
        earlier.append(implied.condition.tree)


def _counted(
    rule_base: RuleBase, tree: Tree | bool, left: tuple[int, ...], known: dict[tuple[Tree, tuple[int, ...]], int]
) -> int:
    """How many choices of a cell for each variable left make a tree true; what is left of it is counted once."""
    if isinstance(tree, bool):
        return int(tree) * math.prod(_cells_of(rule_base, variable).bit_count() for variable in left)
    key = (tree, left)
    if key not in known:
        variable, rest = left[0], left[1:]
        known[key] = sum(
            cells.bit_count() * _counted(rule_base, fixed(tree, variable, cells & -cells), rest, known)
            for cells in alike_cells(tree, variable, _cells_of(rule_base, variable))
        )
    return known[key]


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
