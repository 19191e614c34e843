"""Which facts, quantities and limits the weights in a plan are computed from, over all answers."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World


class Needs:
    """For each name in a formula, where the plan needs its value."""

    def __init__(self, world: World) -> None:
        self._world = world
        self._users: dict[str, list[Bit]] = {}
        for names, bit in self._uses():
            for name in names:
                self._users.setdefault(name, []).append(bit)

    def names(self) -> set[str]:
        """Every name that any formula of the rules mentions."""
        cases = (case for quantity in self._world.rule_base.quantities.values() for case in quantity.cases)
        return {*self._users, *(name for case in cases for name in case.formula.names)}

    def needed(self, name: str) -> Bit:
        """Where a plan needs a name; quantities and materials pass it on to what they are computed from."""
        logic = self._world.logic
        direct = list(self._users.get(name, ()))
        for user, quantity in self._world.rule_base.quantities.items():
            if any(name in case.formula.names for case in quantity.cases):
                used = logic.either(self._cases_with(user, name))
                direct.append(logic.every([self.needed(user), used]))
        return logic.either(direct)

    def _cases_with(self, quantity: str, name: str) -> Iterator[Bit]:
        earlier: list[Bit] = []
        for case in self._world.rule_base.quantities[quantity].cases:
            reached = self._world.logic.every([self._world.truths.may(case.condition), *earlier])
            if case.condition is not None:
                earlier.append(self._world.logic.opposite(self._world.holds(case.condition)))
            if name in case.formula.names:
                yield reached

    def _uses(self) -> Iterator[tuple[Iterable[str], Bit]]:
        world, rule_base = self._world, self._world.rule_base
        for amount_name, amount in rule_base.amounts.items():
            shown = world.shown("amounts", amount_name)
            price = rule_base.materials[amount.entry.material].entry.price
            yield (*amount.of.names, *([price] if price else [])), shown
        for name, expectation in rule_base.expectations.items():
            if expectation.formula is not None:
                yield expectation.formula.names, world.shown("expectations", name)
        for name, step in rule_base.steps.items():
            yield (*step.placeholders, *step.entry.needs), world.shown("steps", name)
        for check in rule_base.checks.values():
            if check.formula is not None:
                yield check.formula.names, True
