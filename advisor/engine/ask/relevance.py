"""Whether an answer can still change a decision: exactly, not only as far as bounds tell.

A variable *turns* a decision when there is a completion of everything else that was not asked, and two cells of the
variable that fit it, for which the decision comes out otherwise. A completion that shows it is looked for among drawn
ones first. When none is found there, all completions of the variables that are disputed are gone through, split by
the values of some of them where they are too many for one grid, and cut short where bounds already settle it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from advisor.engine.ask.blocks import Block
from advisor.engine.ask.completions import agreeing, completion_in, pool_block
from advisor.engine.ask.disputes import Dispute, classes_of, disputed, open_conditions, outcomes, split_by
from advisor.engine.ask.grids import Turn, grid_of
from advisor.rulebase.language.conditions import OPEN

GRID_SIZE = 1 << 13
"""So many completions are gone through at once."""

MOST_PARTS = 150
"""After so many parts of the search, some 40 ms, a variable is kept as one that may turn the decision."""

Witness = dict[int, int]
"""For some variables, the cell that each is in in a completion."""


@dataclass(slots=True)
class Budget:
    """How many parts of the search may still be gone through."""

    parts: int = MOST_PARTS

    @property
    def spent(self) -> bool:
        """Whether there is nothing left."""
        return self.parts < 0


def drawn(dispute: Dispute) -> Block:
    """Drawn completions of a dispute; the last ones are remembered."""
    memory, key = dispute.outlook.memory, (dispute.state, dispute.free)
    last: tuple[object, Block] | None = memory.get("drawn")
    if last is None or last[0] != key:
        last = memory["drawn"] = (key, pool_block(dispute.outlook, dispute.state, dispute.free))
    return last[1]


def drawn_turn(dispute: Dispute, block: Block, parted: Mapping[int, int], variable: int) -> Turn | None:
    """A change of one variable that turns the decision in some completion of a block.

    Args:
        dispute: The decision.
        block: The completions.
        parted: The valid ones by what the decision comes to.
        variable: The variable.
    """
    column = block.columns.get(variable, ())
    for cell in classes_of(dispute, {variable})[variable]:
        trial = block.put(variable, cell, block.valid)
        left = agreeing(dispute.outlook, trial, (variable,))
        for outcome, mask in outcomes(dispute, trial).items():
            turned = left & mask & ~parted.get(outcome, 0)
            if turned:
                bit = turned & -turned
                before = next(cells for cells, where in column if where & bit)
                return Turn(variable, before, cell, completion_in(trial, bit))
    return None


def comes_to(dispute: Dispute, budget: Budget) -> dict[int, Witness]:
    """What a decision may come to, with a completion for each: every outcome if there is one, otherwise two or more.

    When the budget runs out, what was found until then is given.
    """
    found: dict[int, Witness] = {}
    _search(dispute, budget, {}, found)
    return found


def _search(dispute: Dispute, budget: Budget, put: Witness, found: dict[int, Witness]) -> None:
    budget.parts -= 1
    if dispute.over:
        found.setdefault(dispute.comes_to(dispute.options[0]), put)
        return
    in_play = disputed(dispute)
    classes = classes_of(dispute, in_play)
    if math.prod(len(cells) for cells in classes.values()) <= GRID_SIZE:
        grid = grid_of(dispute.outlook, dispute.state, dispute.unsure, classes)
        for outcome, mask in outcomes(dispute, grid.block).items():
            if mask & grid.block.valid and outcome not in found:
                found[outcome] = {**put, **grid.completion(mask & grid.block.valid)}
        return
    split = _telling(dispute, in_play)
    for part in split_by(dispute, split, classes[split]):
        _search(part, budget, {**put, **_put_by(dispute, part)}, found)
        if len(found) > 1 or budget.spent:
            return


def _put_by(dispute: Dispute, part: Dispute) -> Witness:
    """The cells of the variables that are known in a part of a dispute and were not before."""
    return {v: part.state[v] for v in dispute.free - part.free}


def turn_of(dispute: Dispute, variable: int, budget: Budget) -> Turn | None:
    """A change of one variable that turns the decision; that there is none is sure only while the budget lasts."""
    budget.parts -= 1
    in_play = set() if dispute.over or budget.spent else disputed(dispute)
    if variable not in in_play:
        return None
    classes = classes_of(dispute, in_play)
    if len(classes[variable]) < 2:
        return None
    if math.prod(len(cells) for cells in classes.values()) <= GRID_SIZE:
        grid = grid_of(dispute.outlook, dispute.state, dispute.unsure, classes)
        turns = (grid.turn(variable, mask) for mask in outcomes(dispute, grid.block).values())
        return next((turn for turn in turns if turn is not None), None)
    split = _telling(dispute, in_play - {variable})
    for part in split_by(dispute, split, classes[split]):
        turn = turn_of(part, variable, budget)
        if turn is not None:
            return replace(turn, rest={**turn.rest, **_put_by(dispute, part)})
    return None


def _telling(dispute: Dispute, variables: set[int]) -> int:
    """The variable to split by: one that much of the support hangs on, so that bounds grow tight, or many rulings."""
    marks = dict.fromkeys(sorted(variables), 0)
    for condition in open_conditions(dispute):
        for variable in condition.variables:
            if variable in marks:
                marks[variable] += 1
    if not dispute.striking:
        weights, options = dispute.weights, dispute.options
        for (argument, vector), truth in zip(weights.mixed, dispute.stand.mixed_truths, strict=True):
            if truth == OPEN:
                told = {vector[option] for option in options}
                for variable in argument.condition.variables.intersection(marks):
                    marks[variable] += _SUPPORT * (max(told) - min(told))
        for variable in marks.keys() & weights.tables.keys():
            span = weights.span(variable, dispute.state[variable])
            size = len(weights.base)
            marks[variable] += _SUPPORT * max(span[a * size + b] + span[b * size + a] for a in options for b in options)
    return max(marks, key=lambda variable: marks[variable])


_SUPPORT = 20
"""What a unit of support that hangs on a variable counts against one ruling."""
