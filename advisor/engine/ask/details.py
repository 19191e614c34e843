"""Whether an answer can still change the details of the advice: hazards with controls, steps, weights and the like."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from advisor.engine.ask.completions import outlook_of
from advisor.engine.ask.contested import Reach, free_variables, unsure_for_good
from advisor.engine.conclude import Conclusions
from advisor.engine.implied import implied_value
from advisor.engine.state import Answers
from advisor.engine.unsure import counting
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, OPEN, Condition
from advisor.rulebase.model import Fact, QuantityCase, RuleBase


@frozen
class Part:
    """Something that is shown or not by a condition.

    Attributes:
        condition: The condition.
        surely: Whether nothing else that is open has to come true before it is shown at all.
    """

    condition: Condition
    surely: bool


@frozen
class Entering:
    """A fact that enters a weight, a quantity or a cost; surely, or only where something open does not fail."""

    fact: str
    surely: bool


def needed_names(conclusions: Conclusions) -> set[str]:
    """The facts, quantities and materials that the weights and masses of this advice are computed from."""
    waiting = [name for _, name in _roots(conclusions.rule_base, conclusions.state)]
    needed: set[str] = set()
    while waiting:
        name = waiting.pop()
        if name not in needed:
            needed.add(name)
            for case in _cases(conclusions.rule_base, name):
                if case.condition is None or conclusions.truth(case.condition) != FAILS:
                    waiting += case.formula.names
    return needed


def _cases(rule_base: RuleBase, name: str) -> tuple[QuantityCase, ...]:
    """The formulas of a quantity or of a computed fact; none for anything else."""
    if name in rule_base.quantities:
        return rule_base.quantities[name].cases
    return rule_base.facts[name].computed if name in rule_base.facts else ()


def _shown_parts(rule_base: RuleBase, state: Sequence[int]) -> Iterator[Part]:
    """Everything in the advice that is shown or not by a condition, for what can still be shown."""
    for hazard in rule_base.hazards.values():
        yield Part(hazard.condition, True)
        truth = hazard.condition.truth(state)
        if truth != FAILS:
            for control in hazard.controls:
                if control.condition is not None:
                    yield Part(control.condition, truth != OPEN)
    shown = (rule_base.preparations, rule_base.steps, rule_base.amounts, rule_base.expectations, rule_base.referrals)
    for section in shown:
        for rule in section.values():
            yield Part(rule.condition, True)


def _reached(rule_base: RuleBase, state: Sequence[int]) -> Iterator[Part | Entering]:
    """The facts that the weights and masses may be computed from, and the conditions that choose the formulas."""
    waiting = _roots(rule_base, state)
    seen: set[tuple[bool, str]] = set()
    while waiting:
        surely, name = found = waiting.pop()
        if found in seen or (True, name) in seen:
            continue
        seen.add(found)
        if name in rule_base.facts and not rule_base.facts[name].computed:
            yield Entering(name, surely)
        for case in _cases(rule_base, name):
            if case.condition is None:
                waiting += [(surely, inner) for inner in sorted(case.formula.names)]
                continue
            yield Part(case.condition, surely)
            waiting += _from(state, case.condition, sorted(case.formula.names), surely)


def _roots(rule_base: RuleBase, state: Sequence[int]) -> list[tuple[bool, str]]:
    """What the weights, masses and texts that may be shown are computed from at first hand."""
    found: list[tuple[bool, str]] = []
    for amount in rule_base.amounts.values():
        price = rule_base.materials[amount.entry.material].entry.price
        found += _from(state, amount.condition, (*sorted(amount.of.names), *((price,) if price else ())))
    for expectation in rule_base.expectations.values():
        if expectation.formula is not None:
            found += _from(state, expectation.condition, sorted(expectation.formula.names))
    for step in rule_base.steps.values():
        found += _from(state, step.condition, (*step.placeholders, *step.entry.needs))
    for preparation in rule_base.preparations.values():
        found += _from(state, preparation.condition, preparation.placeholders)
    return found


def _from(
    state: Sequence[int], condition: Condition, names: Sequence[str], surely: bool = True
) -> list[tuple[bool, str]]:
    truth = condition.truth(state)
    return [] if truth == FAILS else [(surely and truth != OPEN, name) for name in names]


@frozen
class Details:
    """What the details of one advice still hang on, all decisions being settled, as far as bounds tell.

    Attributes:
        rule_base: The rules.
        state: What is possible.
        free: The variables of the facts that were not asked and do not follow.
        hanging: For each free variable, what may still be shown or not because of it.
        entering: For each fact that was not asked and may enter weights, whether it surely does.
    """

    rule_base: RuleBase
    state: tuple[int, ...]
    free: frozenset[int]
    hanging: Mapping[int, list[Part]]
    entering: Mapping[str, bool]

    def needs(self, fact: Fact) -> bool:
        """Whether the fact may enter a weight, or some value of it may change what is shown."""
        return fact.name in self.entering or any(variable in self.hanging for variable in fact.variables)

    def driving(self) -> dict[str, set[str]]:
        """For each fact that enters a weight and may come to follow from others, those that still decide that."""
        facts, variables = self.rule_base.facts, self.rule_base.variables
        found: dict[str, set[str]] = {}
        for name in self.entering:
            drivers = {v for i in facts[name].implied for v in i.condition.open_variables(self.state)} & self.free
            if drivers:
                found[name] = {variables[variable].name for variable in drivers}
        return found

    def likelihood(self, fact: Fact) -> float:
        """How likely it is, roughly, that the fact will have to be asked; 1 when nothing else can spare it."""
        if fact.name in self.entering:
            return 1.0 if self.entering[fact.name] else _PERHAPS
        alone = frozenset(fact.variables)
        hanging = [part for variable in fact.variables for part in self.hanging.get(variable, ())]
        if any(part.surely and part.condition.open_variables(self.state) <= alone for part in hanging):
            return 1.0
        return _PERHAPS if hanging else 0.0


_PERHAPS = 0.6


def details_of(rule_base: RuleBase, answers: Answers, state: Sequence[int]) -> Details:
    """What the details still hang on in a state with every decision fixed."""
    free = free_variables(rule_base, answers, state)
    unsure = unsure_for_good(rule_base, state, free)
    parts = list(_shown_parts(rule_base, state))
    entering: dict[str, bool] = {}
    for found in _reached(rule_base, state):
        if isinstance(found, Part):
            parts.append(found)
        elif found.fact not in answers and implied_value(rule_base.facts[found.fact], list(state)) is None:
            entering[found.fact] = entering.get(found.fact, False) or found.surely
    hanging: dict[int, list[Part]] = {}
    reach = Reach(outlook_of(rule_base), state, free)
    for part in dict.fromkeys(parts):
        counted = counting(part.condition, state, unsure, may=True)
        for variable in reach.deciding(part.condition.open_variables(counted)):
            hanging.setdefault(variable, []).append(part)
    return Details(rule_base, tuple(state), free, hanging, entering)
