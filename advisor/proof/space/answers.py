"""All sets of answers at once: a bit for each cell that a variable may lie in.

With *full* answers each variable lies in exactly one cell. With *partial* answers it lies in a set of cells such as a
person can give: one option of a choice or all, present, absent or unsure for each item of a list, a stretch of a
quantity. What follows from other answers is applied as the inference applies it; contradictions are excluded.
"""

from __future__ import annotations

from advisor.engine import full_domains
from advisor.proof.space.counting import rounds_needed
from advisor.proof.space.logic import Bit, Logic
from advisor.proof.space.truths import Truths
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, RuleBase, Value
from advisor.rulebase.values import domains_of_value


class Space:
    """The cells of every fact in one set of answers.

    Attributes:
        logic: The solver.
        rule_base: The rules.
        partial: Whether things may be unknown.
        given: For each variable, whether the answers leave each cell possible.
        answered: For each fact, whether the answers say anything about it.
        forced: For each fact with implied values, whether one of them follows.
        truths: Truths of conditions, with all that follows applied.
    """

    def __init__(
        self,
        logic: Logic,
        rule_base: RuleBase,
        *,
        partial: bool,
        beside: Space | None = None,
        apart: frozenset[str] = frozenset(),
    ) -> None:
        """Declare the answers.

        Args:
            logic: The solver.
            rule_base: The rules.
            partial: Whether things may be unknown.
            beside: Other answers of the same solver, from which these differ only in some facts.
            apart: Those facts.
        """
        self.logic = logic
        self.rule_base = rule_base
        self.partial = partial
        self.given: list[tuple[Bit, ...]] = [() for _ in rule_base.variables]
        self.answered: dict[str, Bit] = {}
        self.forced: dict[str, Bit] = {}
        for fact in rule_base.facts.values():
            if beside is not None and fact.name not in apart:
                self.answered[fact.name] = beside.answered[fact.name]
                for variable in fact.variables:
                    self.given[variable] = beside.given[variable]
                continue
            declared = [self._declare(fact, *domain) for domain in full_domains(rule_base, fact)]
            self.answered[fact.name] = logic.either(declared)
        variables = frozenset(v for fact in rule_base.facts.values() for v in fact.variables)
        self.truths = Truths(logic, list(self.given), variables if partial else frozenset())
        for _ in range(rounds_needed(rule_base) if partial else 1):
            for fact in rule_base.facts.values():
                if fact.implied:
                    self._apply_implied(fact)
        if partial:
            self.truths.forget()

    def _declare(self, fact: Fact, variable: int, full: int) -> Bit:
        """Declare the cells of a variable; returns whether something is said about it."""
        size = len(self.rule_base.variables[variable].domain)
        possible = [cell.bit_length() - 1 for cell in single_cells(full)]
        name = f"{fact.name}.{variable}"
        if len(possible) == 1:
            bits = {possible[0]: True}
        elif len(possible) == 2 and not self.partial:
            second = self.logic.bit(name)
            bits = {possible[0]: self.logic.opposite(second), possible[1]: second}
        else:
            bits = {place: self.logic.bit(f"{name}.{place}") for place in possible}
            if not self.partial:
                self.logic.exactly_one(list(bits.values()))
        self.given[variable] = tuple(bits.get(place, False) for place in range(size))
        if not self.partial:
            return True
        return self._shape(fact, list(bits.values()))

    def _shape(self, fact: Fact, bits: list[Bit]) -> Bit:
        """What a person can say about a variable; returns whether something is said."""
        logic = self.logic
        everything = logic.every(bits)
        logic.require(logic.either(bits))
        if fact.entry.kind == "quantity":
            for place in range(len(bits) - 2):
                gap = logic.every([bits[place], logic.opposite(bits[place + 1])])
                for later in bits[place + 2 :]:
                    logic.require(logic.either([logic.opposite(gap), logic.opposite(later)]))
        elif len(bits) > 2:
            few = logic.at_most_of(bits, 1)
            logic.require(logic.either([everything, few]))
        return logic.opposite(everything)

    def _apply_implied(self, fact: Fact) -> None:
        logic, truths = self.logic, self.truths
        if self.partial:
            truths.forget()
        earlier: list[tuple[Value, Bit]] = []
        forced: list[Bit] = []
        bound: dict[int, list[Bit]] = {}
        for implied in fact.implied:
            holds, may = truths.pair(implied.condition)
            others = (logic.opposite(bit) for value, bit in earlier if value != implied.value)
            follows = logic.every([holds, *others])
            earlier.append((implied.value, may))
            forced.append(follows)
            for variable, domain in domains_of_value(fact, implied.value, self.rule_base.variables):
                for place, bit in enumerate(truths.domain[variable]):
                    if bit is not False and not domain >> place & 1:
                        bound.setdefault(variable, []).append(logic.every([follows, bit]))
                        self._strike(variable, place, follows)
        self.forced[fact.name] = logic.either(forced)
        for variable in bound:
            logic.require(logic.either(truths.domain[variable]))

    def _strike(self, variable: int, place: int, follows: Bit) -> None:
        """Take a cell away where something else follows; with full answers that is a contradiction."""
        logic, domain = self.logic, list(self.truths.domain[variable])
        free = logic.opposite(follows)
        if self.partial:
            domain[place] = logic.every([domain[place], free])
            self.truths.domain[variable] = tuple(domain)
        else:
            logic.require(logic.either([logic.opposite(domain[place]), free]))
