"""Two sets of answers beside each other that differ in one fact only, and in what follows from it."""

from __future__ import annotations

from collections.abc import Iterator

from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World
from advisor.rulebase.model import Fact


def same(before: World, after: World, variable: int) -> Bit:
    """Whether a variable lies in the same cell in both."""
    pairs = zip(before.space.given[variable], after.space.given[variable], strict=True)
    return before.logic.every(before.logic.same(one, other) for one, other in pairs)


def others_same(before: World, after: World, moved: Fact) -> Iterator[Bit]:
    """For each other fact that it is the same in both, or follows from the moved one and is not made better."""
    logic, rule_base = before.logic, before.rule_base
    for fact in rule_base.facts.values():
        if fact.name == moved.name:
            continue
        unchanged = logic.every(same(before, after, variable) for variable in fact.variables)
        if any(implied.condition.variables & set(moved.variables) for implied in fact.implied):
            follows = logic.every([after.space.forced[fact.name], *_not_better(before, after, fact)])
            unchanged = logic.either([unchanged, follows])
        yield unchanged


def _not_better(before: World, after: World, fact: Fact) -> Iterator[Bit]:
    """Where a fact has an order of danger: that it has not moved towards the harmless end."""
    for worse in before.rule_base.worse.values():
        if worse.entry.fact == fact.name:
            for variable, order in worse.orders:
                better = moved_along(before, after, variable, order[::-1])
                yield before.logic.opposite(better)


def moved_along(before: World, after: World, variable: int, order: tuple[int, ...]) -> Bit:
    """Whether a variable moves to a later cell of an order."""
    places = [cell.bit_length() - 1 for cell in order]
    return before.logic.either(
        before.logic.every([before.space.given[variable][low], after.space.given[variable][high]])
        for position, low in enumerate(places)
        for high in places[position + 1 :]
    )
