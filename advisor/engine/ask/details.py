"""Whether an answer can still change the details of the advice: hazards with controls, steps, weights and the like."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from advisor.engine.ask.blocks import MAY
from advisor.engine.ask.completions import Outlook
from advisor.engine.ask.disputes import representatives
from advisor.engine.ask.grids import Turn, grid_of
from advisor.engine.ask.narrowing import unsure_variables
from advisor.engine.ask.settling import free_variables
from advisor.engine.conclude import Conclusions
from advisor.engine.state import Answers, implied_value
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, OPEN, Condition
from advisor.rulebase.model import Fact, RuleBase

Guards = tuple[Condition, ...]
"""Conditions none of which may fail."""


Looked = tuple[Mapping[int, int] | None, Mapping[int, Turn]]
"""A completion in which conditions hold together, and for each variable that can turn that, how."""


@frozen
class Shown:
    """Something that is shown when some conditions do not fail.

    Attributes:
        guards: The conditions under which it can be shown at all.
        condition: The condition that then decides.
    """

    guards: Guards
    condition: Condition


@frozen
class Entering:
    """A fact that enters a weight, a quantity or a cost when some conditions do not fail."""

    guards: Guards
    fact: str


def needed_names(conclusions: Conclusions) -> set[str]:
    """The facts, quantities and materials that the weights and masses of this advice are computed from."""
    waiting = [name for _, name in _roots(conclusions.rule_base, conclusions.state)]
    needed: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in needed:
            needed.add(name)
            quantity = conclusions.rule_base.quantities.get(name)
            for case in quantity.cases if quantity is not None else ():
                if case.condition is None or conclusions.truth(case.condition) != FAILS:
                    waiting += case.formula.names
    return needed


def shown_parts(rule_base: RuleBase, state: Sequence[int]) -> Iterator[Shown]:
    """Everything in the advice that is shown or not by a condition, for what can still be shown."""
    for hazard in rule_base.hazards.values():
        yield Shown((), hazard.condition)
        if hazard.condition.truth(state) != FAILS:
            for control in hazard.controls:
                if control.condition is not None:
                    yield Shown((hazard.condition,), control.condition)
    for section in (rule_base.steps, rule_base.amounts, rule_base.expectations, rule_base.referrals):
        for rule in section.values():
            yield Shown((), rule.condition)


def reached(rule_base: RuleBase, state: Sequence[int]) -> Iterator[Shown | Entering]:
    """The facts that the weights and masses may be computed from, and the conditions that choose the formulas."""
    waiting = _roots(rule_base, state)
    seen: set[tuple[Guards, str]] = set()
    while waiting:
        guards, name = found = waiting.pop()
        if found in seen or (guards and ((), name) in seen):
            continue
        seen.add(found)
        if name in rule_base.facts:
            yield Entering(guards, name)
        elif name in rule_base.quantities:
            for case in rule_base.quantities[name].cases:
                if case.condition is None:
                    waiting += [(guards, inner) for inner in sorted(case.formula.names)]
                    continue
                if case.condition.truth(state) == OPEN:
                    yield Shown(guards, case.condition)
                waiting += _from(state, case.condition, sorted(case.formula.names), guards)


def _roots(rule_base: RuleBase, state: Sequence[int]) -> list[tuple[Guards, str]]:
    """What the weights, masses and texts that may be shown are computed from at first hand."""
    found: list[tuple[Guards, str]] = []
    for amount in rule_base.amounts.values():
        price = rule_base.materials[amount.entry.material].entry.price
        found += _from(state, amount.condition, (*sorted(amount.of.names), *((price,) if price else ())))
    for expectation in rule_base.expectations.values():
        if expectation.formula is not None:
            found += _from(state, expectation.condition, sorted(expectation.formula.names))
    for step in rule_base.steps.values():
        found += _from(state, step.condition, (*step.placeholders, *step.entry.needs))
    return found


def _from(
    state: Sequence[int], condition: Condition, names: Sequence[str], guards: Guards = ()
) -> list[tuple[Guards, str]]:
    truth = condition.truth(state)
    if truth == FAILS:
        return []
    if truth == OPEN and condition not in guards:
        guards = (*guards, condition)
    return [(guards, name) for name in names]


@frozen
class Details:
    """What the details of one advice still hang on, all decisions being settled.

    Attributes:
        outlook: The outlook of the rule base.
        state: What is possible.
        free: The variables of the facts that were not asked and do not follow.
        unsure: The variables of facts that were answered but stay open.
        unasked: The facts that were not asked and do not follow.
        hanging: For each free variable, what may still be shown or not because of it.
        entering: For each fact that may enter weights, the guards of each way in.
    """

    outlook: Outlook
    state: tuple[int, ...]
    free: frozenset[int]
    unsure: frozenset[int]
    unasked: frozenset[str]
    hanging: Mapping[int, list[Shown]]
    entering: Mapping[str, list[Guards]]

    def needs(self, fact: Fact) -> bool:
        """Whether the fact enters a weight, or some value of it changes what is shown."""
        return self.entry_of(fact) is not None or self.turn_of(fact) is not None

    def entry_of(self, fact: Fact) -> Mapping[int, int] | None:
        """A completion in which the fact enters a weight, a quantity or a cost, as far as it bears on that."""
        ways = (self._looked_at(guards)[0] for guards in self.entering.get(fact.name, ()))
        return next((way for way in ways if way is not None), None)

    def turn_of(self, fact: Fact) -> Turn | None:
        """A change of the fact that changes what is shown."""
        for variable in fact.variables:
            for part in self.hanging.get(variable, ()):
                turn = self._looked_at((*part.guards, part.condition))[1].get(variable)
                if turn is not None:
                    return turn
        return None

    def driving(self) -> dict[str, set[str]]:
        """For each fact that enters a weight and may come to follow from others, those that still decide that."""
        facts, variables = self.outlook.rule_base.facts, self.outlook.rule_base.variables
        found: dict[str, set[str]] = {}
        for name, ways in self.entering.items():
            drivers = {v for i in facts[name].implied for v in self._open(i.condition)} & self.free
            if drivers and any(self._looked_at(guards)[0] is not None for guards in ways):
                found[name] = {variables[variable].name for variable in drivers}
        return found

    def likelihood(self, fact: Fact) -> float:
        """How likely it is, roughly, that the fact will have to be asked; 1 when nothing else can spare it."""
        ways = self.entering.get(fact.name)
        if ways:
            return 1.0 if () in ways else _PERHAPS
        alone = frozenset(fact.variables)
        hanging = [part for variable in fact.variables for part in self.hanging.get(variable, ())]
        if any(not part.guards and self._open(part.condition) <= alone for part in hanging):
            return 1.0
        return _PERHAPS if hanging else 0.0

    def _open(self, condition: Condition) -> frozenset[int]:
        return self.outlook.book.open_variables(condition, self.state)

    def _looked_at(self, conditions: Guards) -> Looked:
        """A completion in which conditions may hold together, and the changes of variables that turn that."""
        if not conditions:
            return {}, {}
        tested = sorted({v for condition in conditions for v in self.outlook.around(condition)})
        key = (conditions, tuple([(self.state[v], v in self.free) for v in tested]))
        found: Looked | None = self.outlook.memory.get(key)
        if found is None:
            if len(self.outlook.memory) > _MOST_REMEMBERED:
                self.outlook.memory.clear()
            found = self.outlook.memory[key] = self._worked_out(conditions)
        return found

    def _worked_out(self, conditions: Guards) -> Looked:
        variables = {v for condition in conditions for v in self._open(condition)} & self.free
        classes = self._classes(conditions, variables)
        if math.prod(len(cells) for cells in classes.values()) > _LARGEST:
            # Too many to go through: everything that is open may turn it.
            ends = {v: (self.state[v] & -self.state[v], 1 << self.state[v].bit_length() - 1) for v in variables}
            return {}, {v: Turn(v, first, last, {}) for v, (first, last) in ends.items()}
        grid = grid_of(self.outlook, self.state, self.unsure, classes)
        mask = grid.block.valid
        for condition in conditions:
            mask &= grid.block.holds(condition, MAY)
        return (grid.completion(mask) if mask else None), grid.turning(mask)

    def _classes(self, conditions: Guards, variables: set[int]) -> dict[int, tuple[int, ...]]:
        tied = [f for v in variables for f in self.outlook.follows_of.get(v, ())]
        every = [*conditions, *(c for follow in tied for c in (follow.condition, *follow.unless))]
        splits = set().union(*(self.outlook.book.tests(condition) for condition in every))
        splits |= {pair for follow in tied for pair in follow.cells}
        return {
            variable: representatives(self.state[variable], [inside for tested, inside in splits if tested == variable])
            for variable in sorted(variables)
        }


_MOST_REMEMBERED = 20_000
_PERHAPS = 0.6
_LARGEST = 1 << 18


def details_of(outlook: Outlook, answers: Answers, state: Sequence[int]) -> Details:
    """What the details still hang on in a state with every decision fixed."""
    rule_base = outlook.rule_base
    free = free_variables(rule_base, answers, state)
    unasked = frozenset(
        name
        for name, fact in rule_base.facts.items()
        if name not in answers and implied_value(fact, list(state)) is None
    )
    parts = [part for part in shown_parts(rule_base, state) if part.condition.truth(state) == OPEN]
    entering: dict[str, list[Guards]] = {}
    for found in reached(rule_base, state):
        if isinstance(found, Shown):
            parts.append(found)
        elif found.fact in unasked:
            entering.setdefault(found.fact, []).append(found.guards)
    hanging: dict[int, list[Shown]] = {}
    for part in dict.fromkeys(parts):
        for variable in outlook.book.open_variables(part.condition, state) & free:
            hanging.setdefault(variable, []).append(part)
    return Details(outlook, tuple(state), free, unsure_variables(outlook, state, free), unasked, hanging, entering)
