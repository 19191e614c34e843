"""The truth of conditions as bits: whether they hold for certain, and whether they may hold."""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.proof.space.logic import Bit, Logic
from advisor.proof.space.trees import alike_cells, fixed, repeated
from advisor.rulebase.language.conditions import MOST_SPLITS, AllOf, Condition, Leaf, Named, Tree, leaves, single_cells

Pair = tuple[Bit, Bit]
"""Holds for certain, and may hold (holds or is open)."""


class Truths:
    """Conditions over the cells of one set of answers.

    With full answers both bits of a pair are the same. With partial answers a condition that tests a variable in
    several places is split over the cells of that variable, exactly as far as the inference does it.

    Attributes:
        logic: The solver.
        domain: For each variable, whether it may lie in each cell; may be refined while it is built.
        uncertain: The variables that may lie in several cells at once.
    """

    def __init__(self, logic: Logic, domain: list[tuple[Bit, ...]], uncertain: frozenset[int]) -> None:
        self.logic = logic
        self.domain = domain
        self.uncertain = uncertain
        self._known: dict[Tree, Pair] = {}
        # What is left of a condition when some of its variables are fixed is mostly the same along many ways, and
        # so is how many combinations the cells of those after them may still make.
        self._split_already: dict[tuple[Tree, tuple[int, ...]], Pair] = {}
        self._few_already: dict[tuple[tuple[int, ...], int], Bit] = {}

    def forget(self) -> None:
        """Cells have been narrowed; truths found before no longer count."""
        self._known.clear()
        self._split_already.clear()
        self._few_already.clear()

    def holds(self, condition: Condition) -> Bit:
        """Whether a condition holds for certain."""
        return self.pair(condition)[0]

    def may(self, condition: Condition | None) -> Bit:
        """Whether a condition holds or is open; no condition always holds."""
        return True if condition is None else self.pair(condition)[1]

    def fails(self, condition: Condition) -> Bit:
        """Whether a condition fails for certain."""
        return self.logic.opposite(self.pair(condition)[1])

    def pair(self, condition: Condition) -> Pair:
        """Both bits of a condition."""
        return self._pair(condition.merged)

    def inside(self, variable: int, domain: int) -> Bit:
        """Whether a variable may lie in one of some cells."""
        return self.logic.either(self.domain[variable][cell.bit_length() - 1] for cell in single_cells(domain))

    def _pair(self, tree: Tree | bool) -> Pair:
        if isinstance(tree, bool):
            return tree, tree
        found = self._known.get(tree)
        if found is None:
            again = repeated(tree, sorted(self.uncertain))
            found = self._known[tree] = self._split(tree, again) if again else self._plain(tree)
        return found

    def _plain(self, tree: Tree) -> Pair:
        """Truth part by part: exact when no variable is tested twice."""
        if isinstance(tree, Named):
            return self._plain(tree.inner)
        if isinstance(tree, Leaf):
            return self._leaf(tree)
        pairs = [self._plain(part) for part in tree.parts]
        join = self.logic.every if isinstance(tree, AllOf) else self.logic.either
        return join(pair[0] for pair in pairs), join(pair[1] for pair in pairs)

    def _leaf(self, leaf: Leaf) -> Pair:
        inside, outside = leaf.inside & leaf.full, leaf.full & ~leaf.inside
        if leaf.variable in self.uncertain:
            return self.logic.opposite(self.inside(leaf.variable, outside)), self.inside(leaf.variable, inside)
        if inside.bit_count() <= outside.bit_count():
            bit = self.inside(leaf.variable, inside)
        else:
            bit = self.logic.opposite(self.inside(leaf.variable, outside))
        return bit, bit

    def _split(self, tree: Tree, again: Sequence[int]) -> Pair:
        """Truth by trying the cells of the variables tested twice, where the inference tries them too."""
        fulls = {leaf.variable: leaf.full for leaf in leaves(tree)}
        exact = self._exact(tree, list(again), fulls)
        if math.prod(len(self.domain[variable]) for variable in again) <= MOST_SPLITS:
            return exact
        few = self._few(list(again), MOST_SPLITS)
        plain = self._plain(tree)
        logic = self.logic
        holds = logic.either([plain[0], logic.every([few, exact[0]])])
        may = logic.every([plain[1], logic.either([logic.opposite(few), exact[1]])])
        return holds, may

    def _exact(self, tree: Tree | bool, again: list[int], fulls: dict[int, int]) -> Pair:
        again = [] if isinstance(tree, bool) else repeated(tree, again)
        if isinstance(tree, bool) or not again:
            return (tree, tree) if isinstance(tree, bool) else self._plain(tree)
        key = (tree, tuple(again))
        if key not in self._split_already:
            self._split_already[key] = self._over_cells(tree, again, fulls)
        return self._split_already[key]

    def _over_cells(self, tree: Tree, again: list[int], fulls: dict[int, int]) -> Pair:
        variable, rest = again[0], again[1:]
        holds, may = [], []
        for group in alike_cells(tree, variable, fulls[variable]):
            possible = self.inside(variable, group)
            inner = self._exact(fixed(tree, variable, group & -group), rest, fulls)
            holds.append(self.logic.either([self.logic.opposite(possible), inner[0]]))
            may.append(self.logic.every([possible, inner[1]]))
        return self.logic.every(holds), self.logic.either(may)

    def _few(self, variables: list[int], most: int) -> Bit:
        """Whether the variables together lie in no more than so many combinations of cells."""
        if most < 1 or not variables:
            return most >= 1
        key = (tuple(variables), most)
        if key not in self._few_already:
            domain = [bit for bit in self.domain[variables[0]] if bit is not False]
            choices = []
            for count in range(1, len(domain) + 1):
                fits = self.logic.at_most_of(domain, count) if count < len(domain) else True
                choices.append(self.logic.every([fits, self._few(variables[1:], most // count)]))
            self._few_already[key] = self.logic.either(choices)
        return self._few_already[key]
