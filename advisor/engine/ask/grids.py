"""Every completion of a few variables, and the changes of one variable that turn something there."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from advisor.engine.ask.blocks import Block, Column
from advisor.engine.ask.completions import Outlook, agreeing, completion_in, followed
from advisor.frozen import frozen


@frozen
class Turn:
    """Two completions that differ in one variable only, and for which something comes out otherwise.

    Attributes:
        variable: The variable.
        first: A cell of it.
        second: Another one.
        rest: The cells of other variables, as far as they bear on it.
    """

    variable: int
    first: int
    second: int
    rest: Mapping[int, int]


@frozen
class Grid:
    """Every completion of a few variables, their cells alike in all that is looked at taken as one.

    Attributes:
        block: The completions.
        strides: For each variable, how far apart completions lie that differ in it by one class, and its classes.
    """

    block: Block
    strides: Mapping[int, tuple[int, int]]

    def completion(self, mask: int) -> dict[int, int]:
        """The cell of each variable in one of some completions."""
        return completion_in(self.block, mask)

    def turning(self, mask: int) -> dict[int, Turn]:
        """The variables of which some change, all else the same, takes a completion into or out of a mask."""
        found = {variable: self.turn(variable, mask) for variable in self.strides}
        return {variable: turn for variable, turn in found.items() if turn is not None}

    def turn(self, variable: int, mask: int) -> Turn | None:
        """A change of one variable, all else the same, that takes a completion into or out of a mask."""
        stride, classes = self.strides[variable]
        valid = self.block.valid
        column = self.block.columns[variable]
        for first in range(classes - 1):
            for second in range(first + 1, classes):
                step = stride * (second - first)
                here = column[first][1] & valid & ((valid & column[second][1]) >> step) & (mask ^ (mask >> step))
                if here:
                    return Turn(variable, column[first][0], column[second][0], self.completion(here))
        return None


def grid_of(
    outlook: Outlook, state: Sequence[int], unsure: frozenset[int], classes: Mapping[int, Sequence[int]]
) -> Grid:
    """Every completion of some variables.

    Args:
        outlook: The outlook of the rule base.
        state: What is possible; the other variables stay as they are.
        unsure: The variables of facts that were answered but stay open; where their value follows it is that.
        classes: For each variable, one cell for each class of cells that are told apart.
    """
    total = math.prod(len(cells) for cells in classes.values())
    every = (1 << total) - 1
    columns: dict[int, Column] = {}
    strides: dict[int, tuple[int, int]] = {}
    stride = 1
    for variable, cells in classes.items():
        period = stride * len(cells)
        repeat = every // ((1 << period) - 1)
        run = (1 << stride) - 1
        columns[variable] = tuple((cell, (run << stride * place) * repeat) for place, cell in enumerate(cells))
        strides[variable] = (stride, len(cells))
        stride = period
    block = Block(outlook.book, state, columns, every)
    valid = agreeing(outlook, block, classes)
    if valid != every:
        block = Block(outlook.book, state, columns, valid)
    for follow in outlook.follows if unsure else ():
        if any(follow.ties(variable) for variable in unsure):
            holds = follow.holds(block)
            if holds:
                block = Block(outlook.book, state, *followed(block, follow, holds))
    return Grid(block, strides)
