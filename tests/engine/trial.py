"""What changes an advice, found the slow way: every other answer is given, and everything is concluded anew."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import combinations

from advisor.engine.conclude import Conclusions, conclude_state
from advisor.engine.state import (
    NOT_KNOWN,
    Answers,
    ContradictionError,
    NotKnown,
    full_cells,
    state_of,
    state_with,
)
from advisor.engine.what_if.changes import Effect, Target
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.values import cell_range, cells_of_value, possible_cells
from advisor.units import Range

Place = tuple[int, int]
"""A variable and the cell it is put into."""

Sets = dict[Target, set[frozenset[Place]]]


def places(conclusions: Conclusions) -> list[Place]:
    """Every other cell of every variable of every fact."""
    rule_base = conclusions.rule_base
    found = []
    for fact in rule_base.facts.values():
        answer = conclusions.answers.get(fact.name, NOT_KNOWN)
        given = dict(
            full_cells(rule_base, fact)
            if isinstance(answer, NotKnown)
            else cells_of_value(fact, answer, rule_base.variables)
        )
        for variable in fact.variables:
            quantity = fact.entry.kind == "quantity"
            cells = possible_cells(fact) if quantity else rule_base.variables[variable].full
            found += [(variable, cell) for cell in single_cells(cells) if cell != given[variable]]
    return found


def given_otherwise(rule_base: RuleBase, answers: Answers, moved: Iterable[Place]) -> Answers:
    """The answers with some variables put into a cell, as answers that a person could give."""
    changed = dict(answers)
    for variable, cell in moved:
        about = rule_base.variables[variable]
        changed[about.name] = _value(rule_base, rule_base.facts[about.name], changed.get(about.name), variable, cell)
    return changed


def _value(rule_base: RuleBase, fact: Fact, before: Value | NotKnown | None, variable: int, cell: int) -> Value:
    position = cell.bit_length() - 1
    if fact.entry.kind == "quantity":
        return Range.exact(cell_range(fact, position).likely)
    if fact.entry.kind == "yes_no":
        return position == 1
    if fact.entry.kind == "choice":
        return rule_base.variables[variable].cells[position]
    item = rule_base.variables[variable].item
    if not isinstance(before, Several):
        before = Several(frozenset(), frozenset(fact.entry.options))
    return Several((before.present - {item}) | ({item} if position else set()), before.unsure - {item})


class Trial:
    """Tries other answers from some conclusions."""

    def __init__(self, conclusions: Conclusions, decisions: tuple[str, ...]) -> None:
        self.before = conclusions
        self._rule_base = conclusions.rule_base
        self._decisions = decisions
        self._stay = {
            name: {*decisions[:place], *self._depends_on(conclusions.rulings[name].standing.weights.variables)}
            for place, name in enumerate(decisions)
        }
        self._hazards = [
            (name, conclusions.attached(name), hazard.condition, self._depends_on(hazard.condition.variables))
            for name, hazard in self._rule_base.hazards.items()
        ]

    def _depends_on(self, variables: frozenset[int]) -> set[str]:
        """The decisions among some variables and those they depend on."""
        tested, found = set(variables), set()
        for name, ruling in reversed(self.before.rulings.items()):
            if ruling.decision.variable in tested:
                found.add(name)
                tested |= ruling.standing.weights.variables
        return found

    def reached(self, moved: tuple[Place, ...]) -> list[Target]:
        """The targets that some moves reach; none when the answers then contradict each other."""
        rule_base, answers = self._rule_base, self.before.answers
        try:
            if len(moved) == 1:
                ((variable, cell),) = moved
                fact = rule_base.facts[rule_base.variables[variable].name]
                state = state_with(rule_base, answers, fact, variable, cell)
            else:
                state = state_of(rule_base, given_otherwise(rule_base, answers, moved))
        except ContradictionError:
            return []
        return list(self._targets(conclude_state(rule_base, answers, state)))

    def _targets(self, now: Conclusions) -> Iterator[Target]:
        before = self.before.rulings
        changed = {name for name, ruling in now.rulings.items() if ruling.chosen != before[name].chosen}
        for name in self._decisions:
            if name in changed and not self._stay[name] & changed:
                yield Target(name, now.rulings[name].chosen)
        for name, attached, condition, stay in self._hazards:
            if (condition.truth(now.state) != 0) != attached and not stay & changed:
                effect: Effect = "disappears" if attached else "appears"
                yield Target(name, effect, True, effect)

    def smallest(self, most: int) -> Sets:
        """For every target the smallest sets of moves that reach it, up to so many."""
        every = places(self.before)
        found: Sets = {}
        for size in range(1, most + 1):
            here: Sets = {}
            for moved in combinations(every, size):
                if len({variable for variable, _ in moved}) < size:
                    continue
                for target in self.reached(moved):
                    if target not in found:
                        here.setdefault(target, set()).add(frozenset(moved))
            found.update(here)
        return found
