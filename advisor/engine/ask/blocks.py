"""Many completions of a consultation at once.

A *completion* gives every fact that was not asked a value. A block holds many of them side by side: bit ``i`` of a
mask belongs to completion ``i``. A condition is then worked out for all of them with a few operations on long
integers, and so is the option that a decision takes in each.

What was answered is the same in every completion. What was answered as not known, or only roughly, stays open in each:
the block then takes the cautious option, as the advice does.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from itertools import product

from advisor.rulebase.language.conditions import AllOf, Condition, Leaf, Named, Tree, leaves, single_cells

Column = tuple[tuple[int, int], ...]
"""One variable in a block: cells it may be in, with the completions in which these are the ones."""

Masked = Callable[["Block", int], int]
"""From a block and a mode to the completions in which a condition must or may hold."""

MUST, MAY = 0, 1
"""Whether a condition holds for sure, or may hold."""

_MOST_SPLITS = 256


class MaskBook:
    """The conditions of one rule base, compiled for blocks on first use."""

    def __init__(self) -> None:
        self._compiled: dict[Condition, tuple[Masked, tuple[int, ...]]] = {}

    def __getitem__(self, condition: Condition) -> tuple[Masked, tuple[int, ...]]:
        """The condition over blocks, and the variables that it tests in several places."""
        found = self._compiled.get(condition)
        if found is None:
            counts = Counter(leaf.variable for leaf in leaves(condition.tree))
            repeated = tuple(variable for variable, count in counts.items() if count > 1)
            found = self._compiled[condition] = (_masked(condition.tree), repeated)
        return found


class Block:
    """Some completions side by side.

    Attributes:
        book: The compiled conditions.
        state: For each variable, the cells it may be in where it is the same in all completions.
        columns: The variables that differ between completions.
        valid: The completions that do not contradict themselves.
    """

    __slots__ = ("_blurred", "_leaves", "_masks", "_moved", "_whole", "book", "columns", "state", "valid")

    def __init__(
        self,
        book: MaskBook,
        state: Sequence[int],
        columns: Mapping[int, Column],
        valid: int,
        whole: tuple[Block, frozenset[int]] | None = None,
        blurred: frozenset[int] | None = None,
    ) -> None:
        """A block.

        Args:
            book: The compiled conditions.
            state: For each variable, the cells it may be in where it is the same in all completions.
            columns: The variables that differ between completions.
            valid: The completions that do not contradict themselves.
            whole: A block with the same completions, all but some variables; what was worked out there is used.
            blurred: The variables that may be in several cells within one completion, if that is known.
        """
        self.book = book
        self.state = list(state)
        self.columns = columns
        self.valid = valid
        self._whole: Block | None = whole[0] if whole else None
        self._moved = whole[1] if whole else frozenset()
        self._blurred = _blurred(state, columns) if blurred is None else blurred
        self._masks: dict[tuple[Condition, int], int] = {}
        self._leaves: dict[tuple[int, int, int], int] = {}

    def column(self, variable: int) -> Column:
        """The cells that a variable may be in, with the completions; all of them where it is the same in each."""
        return self.columns.get(variable, ((self.state[variable], self.valid),))

    def leaf(self, variable: int, inside: int, mode: int) -> int:
        """The completions in which a variable must be, or may be, in some cells."""
        key = (variable, inside, mode)
        found = self._leaves.get(key)
        if found is None:
            found = 0
            for domain, mask in self.column(variable):
                if _is_inside(domain, inside, mode):
                    found |= mask
            self._leaves[key] = found
        return found

    def holds(self, condition: Condition, mode: int = MAY) -> int:
        """The completions in which a condition must hold, or may hold."""
        key = (condition, mode)
        found = self._masks.get(key)
        if found is None and self._whole is not None and self._moved.isdisjoint(condition.variables):
            found = self._masks[key] = self._whole.holds(condition, mode) & self.valid
        if found is None:
            masked, repeated = self.book[condition]
            if self._blurred.isdisjoint(condition.variables):
                found = self._masks[condition, 1 - mode] = masked(self, mode)
            else:
                found = self._split(masked, [v for v in repeated if v in self._blurred], mode)
            self._masks[key] = found
        return found

    def _split(self, masked: Masked, blurred: list[int], mode: int) -> int:
        """Exact where an open variable is tested in several places, by trying its cells one by one."""
        choices = [tuple(single_cells(self._cells(variable))) for variable in blurred]
        combinations = 1
        for choice in choices:
            combinations *= len(choice)
        if combinations == 1 or combinations > _MOST_SPLITS:
            return masked(self, mode)
        result = 0 if mode else self.valid
        for domain in product(*choices):
            trial = self
            for variable, cell in zip(blurred, domain, strict=True):
                trial = trial.narrowed(variable, cell)
            mask = masked(trial, mode) & trial.valid
            result = result | mask if mode else result & (mask | ~trial.valid)
        return result & self.valid

    def _cells(self, variable: int) -> int:
        result = 0
        for domain, _ in self.column(variable):
            result |= domain
        return result

    def narrowed(self, variable: int, cell: int) -> Block:
        """The completions in which a variable may be in a cell, with the variable in that cell."""
        return self.put(variable, cell, self.valid & self.leaf(variable, cell, MAY))

    def put(self, variable: int, domain: int, valid: int) -> Block:
        """The same completions with one variable put into some cells; only some of them are valid then."""
        state = list(self.state)
        state[variable] = domain
        columns = {index: column for index, column in self.columns.items() if index != variable}
        blurred = self._blurred | {variable} if domain & (domain - 1) else self._blurred - {variable}
        return Block(self.book, state, columns, valid, (self, frozenset((variable,))), blurred)


def _blurred(state: Sequence[int], columns: Mapping[int, Column]) -> frozenset[int]:
    same = {variable for variable, domain in enumerate(state) if domain & (domain - 1) and variable not in columns}
    return frozenset(
        same.union(v for v, column in columns.items() if any(domain & (domain - 1) for domain, _ in column))
    )


def _is_inside(domain: int, inside: int, mode: int) -> bool:
    return bool(domain & inside) if mode else not domain & ~inside


def _masked(tree: Tree) -> Masked:
    if isinstance(tree, Leaf):
        return _leaf_mask(tree.variable, tree.inside)
    if isinstance(tree, Named):
        return _masked(tree.inner)
    parts = tuple(_masked(part) for part in tree.parts)
    return _every_mask(parts) if isinstance(tree, AllOf) else _either_mask(parts)


def _leaf_mask(variable: int, inside: int) -> Masked:
    return lambda block, mode: block.leaf(variable, inside, mode)


def _every_mask(parts: tuple[Masked, ...]) -> Masked:
    def masked(block: Block, mode: int) -> int:
        result = block.valid
        for part in parts:
            result &= part(block, mode)
            if not result:
                break
        return result

    return masked


def _either_mask(parts: tuple[Masked, ...]) -> Masked:
    def masked(block: Block, mode: int) -> int:
        result = 0
        for part in parts:
            result |= part(block, mode)
        return result

    return masked
