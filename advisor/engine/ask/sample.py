"""What a decision comes to in drawn completions. They order the questions; that nothing is open they never show."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.engine.alike import alike_cells
from advisor.engine.ask.blocks import Block
from advisor.engine.ask.completions import Outlook, agreeing, completion_in, outlook_of, pool_block
from advisor.engine.ask.contested import Contested
from advisor.engine.ask.winners import Standing, standing_of
from advisor.frozen import frozen
from advisor.rulebase.model import RuleBase

Parted = Mapping[int, int]
"""Completions by what the decision comes to: the position of an option, or whether work stops (0 or 1)."""


@frozen
class Turn:
    """Two completions that differ in one variable only, and for which a decision comes out otherwise.

    Attributes:
        variable: The variable.
        first: A cell of it.
        second: Another one.
        rest: The cells of the other variables that were not asked.
    """

    variable: int
    first: int
    second: int
    rest: Mapping[int, int]


@frozen
class Sample:
    """A contested decision in drawn completions.

    Attributes:
        outlook: The outlook of the rule base.
        contested: The decision.
        standing: How it stands in each of them.
        parted: The valid ones by the option taken.
    """

    outlook: Outlook
    contested: Contested
    standing: Standing
    parted: Parted

    @property
    def block(self) -> Block:
        """The drawn completions."""
        return self.standing.block

    def turn(self, variables: Iterable[int], *, stops: bool) -> Turn | None:
        """A change of one of some variables that turns the decision in a drawn completion.

        Args:
            variables: The variables.
            stops: Whether the decision is turned only when work stops on one side and not on the other.
        """
        parted = self._merged(self.parted) if stops else self.parted
        turns = (self._turn_of(variable, parted, stops) for variable in sorted(variables))
        return next((turn for turn in turns if turn is not None), None)

    def _turn_of(self, variable: int, parted: Parted, stops: bool) -> Turn | None:
        if self._moves_others(variable):
            return None
        column = self.block.columns.get(variable, ())
        for kind in alike_cells(self.outlook.rule_base)[variable]:
            domain = kind & self.outlook.domain[variable] & self.contested.state[variable]
            if not domain:
                continue
            cell = domain & -domain
            trial = self.standing.put(variable, cell)
            left = agreeing(self.outlook, trial.block, (variable,))
            taken = trial.taken()
            for outcome, mask in (self._merged(taken) if stops else taken).items():
                turned = left & mask & ~parted.get(outcome, 0)
                if turned:
                    bit = turned & -turned
                    before = next(domain for domain, where in column if where & bit)
                    return Turn(variable, before, cell, completion_in(trial.block, bit))
        return None

    def _moves_others(self, variable: int) -> bool:
        """Whether what was answered but stays open may follow from a variable: a drawn completion is not its whole."""
        state, free = self.contested.state, self.contested.free
        return any(
            state[tied] & (state[tied] - 1) and tied not in free
            for follows in self.outlook.follows_of.get(variable, ())
            if not follows.ties(variable)
            for tied, _ in follows.domain
        )

    def _merged(self, parted: Parted) -> Parted:
        found = {0: 0, 1: 0}
        for option, mask in parted.items():
            found[int(self.contested.stops_with(option))] |= mask
        return found


def sample_of(rule_base: RuleBase, contested: Contested) -> Sample:
    """A contested decision in the drawn completions."""
    outlook = outlook_of(rule_base)
    state = contested.state
    worked_out = {v for v in outlook.inputs_of if state[v] & (state[v] - 1) and v not in contested.unsure}
    block = pool_block(outlook, state, contested.free | worked_out)
    standing = standing_of(contested.tally, block, contested.options)
    parted = {option: mask & block.valid for option, mask in standing.taken().items()}
    return Sample(outlook, contested, standing, {option: mask for option, mask in parted.items() if mask})
