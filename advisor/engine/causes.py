"""A decision of which several options may be taken at once, each by its own support: the causes of a fault.

The arguments, their weights and the three truth values are those of every decision. What differs is that options
do not exclude each other: an option is taken when its support reaches a stated height, whatever the others have.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, single_cells
from advisor.rulebase.model import Argument, Decision, RuleBase

ABSENT, PRESENT, EITHER = 1, 2, 3
"""What is known of an option, as the cells of its variable."""


@dataclass(slots=True)
class PreparedOption:
    """What speaks about one option, prepared.

    Attributes:
        base: Support before any argument speaks.
        tables: For each variable that single-variable arguments test, the support that each cell gives.
        mixed: Arguments that test several variables.
        constraints: Arguments that rule it out.
        speaking: Arguments that speak for or against it.
        extremes: Memory of least and greatest support by variable and cells.
    """

    base: int
    tables: dict[int, list[int]]
    mixed: list[Argument]
    constraints: list[Argument]
    speaking: list[Argument]
    extremes: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)

    @property
    def variables(self) -> frozenset[int]:
        """Every variable that any argument tests."""
        return frozenset(v for argument in (*self.constraints, *self.speaking) for v in argument.condition.variables)

    def bounds(self, variable: int, domain: int) -> tuple[int, int]:
        """Least and greatest support that the arguments about one variable give."""
        key = (variable, domain)
        found = self.extremes.get(key)
        if found is None:
            row = self.tables[variable]
            supports = [row[cell.bit_length() - 1] for cell in single_cells(domain)]
            found = self.extremes[key] = (min(supports), max(supports))
        return found


@frozen
class Support:
    """How one option stands.

    Attributes:
        low: Least support it can come to.
        high: Greatest support it can come to.
        now: Support from what holds already.
        out: Whether it is ruled out: holds, open or fails.
    """

    low: int
    high: int
    now: int
    out: int

    def domain(self, taken_at: int) -> int:
        """Whether the option is absent, present, or may be either."""
        if self.out == HOLDS or self.high < taken_at:
            return ABSENT
        return PRESENT if self.low >= taken_at and self.out == FAILS else EITHER

    def taken(self, taken_at: int) -> bool:
        """Whether enough speaks for it now, and nothing rules it out."""
        return self.out != HOLDS and self.now >= taken_at

    def acted_on(self, taken_at: int) -> int:
        """The cells by which later decisions go: what is taken counts as present, though more might still be seen.

        An option that nothing speaks for yet counts as absent: whatever is a danger is asked for by itself.
        """
        if self.taken(taken_at):
            return PRESENT
        return self.domain(taken_at) if self.now > 0 else ABSENT


@frozen
class SeveralOutcome:
    """How a decision for several stands.

    Attributes:
        decision: The decision.
        prepared: What speaks about each option.
        supports: How each option stands, by name.
    """

    decision: Decision
    prepared: dict[str, PreparedOption]
    supports: dict[str, Support]

    @property
    def taken_at(self) -> int:
        """The support from which an option is taken."""
        assert self.decision.entry.taken_at is not None
        return self.decision.entry.taken_at

    @property
    def open(self) -> list[str]:
        """The options that may still be taken or not."""
        return [name for name, support in self.supports.items() if support.domain(self.taken_at) == EITHER]

    @property
    def taken(self) -> list[str]:
        """The options that reach the height with what holds now and are not ruled out, the best supported first."""
        reached = [name for name, support in self.supports.items() if support.taken(self.taken_at)]
        return sorted(reached, key=lambda name: -self.supports[name].now)

    @property
    def settled(self) -> bool:
        """Whether no missing answer can change what is taken."""
        return not self.open

    def ranked(self) -> list[str]:
        """The options that are not ruled out, the best supported first."""
        left = [name for name, support in self.supports.items() if support.out != HOLDS]
        return sorted(left, key=lambda name: (-self.supports[name].now, -self.supports[name].high))


def prepare_options(rule_base: RuleBase, decision: Decision) -> dict[str, PreparedOption]:
    """What speaks about each option; done once for each rule base."""
    prepared = {name: PreparedOption(entry.base, {}, [], [], []) for name, entry in decision.entry.options.items()}
    for argument in decision.arguments:
        for option in argument.options:
            _add(prepared[option], argument, rule_base)
    return prepared


def _add(prepared: PreparedOption, argument: Argument, rule_base: RuleBase) -> None:
    if argument.says == "rule_out":
        prepared.constraints.append(argument)
        return
    prepared.speaking.append(argument)
    if argument.condition.single is None:
        prepared.mixed.append(argument)
        return
    variable, inside = argument.condition.single
    row = prepared.tables.setdefault(variable, [0] * len(rule_base.variables[variable].domain))
    for cell in single_cells(inside):
        row[cell.bit_length() - 1] += argument.weight


def judge(decision: Decision, prepared: dict[str, PreparedOption], state: list[int]) -> SeveralOutcome:
    """How a decision for several stands in a state."""
    return SeveralOutcome(
        decision, prepared, {name: support_in(prepared, state) for name, prepared in prepared.items()}
    )


def support_in(prepared: PreparedOption, state: list[int]) -> Support:
    """How one option stands in a state."""
    out = FAILS
    for argument in prepared.constraints:
        truth = argument.condition.truth(state)
        if truth == HOLDS:
            return Support(prepared.base, prepared.base, prepared.base, HOLDS)
        if truth > out:
            out = truth
    low = high = now = prepared.base
    for variable in prepared.tables:
        least, greatest = prepared.bounds(variable, state[variable])
        low += least
        high += greatest
    for argument in prepared.mixed:
        truth = argument.condition.truth(state)
        if truth == HOLDS:
            low += argument.weight
            high += argument.weight
        elif truth == OPEN:
            low += min(argument.weight, 0)
            high += max(argument.weight, 0)
    for argument in prepared.speaking:
        if argument.condition.truth(state) == HOLDS:
            now += argument.weight
    return Support(low, high, now, out)


def open_evidence(prepared: PreparedOption, state: list[int]) -> Iterator[int]:
    """The variables that can still change whether an option is taken."""
    for argument in (*prepared.constraints, *prepared.speaking):
        yield from argument.condition.open_variables(state)
