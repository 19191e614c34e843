"""Conditions as trees: what they test repeatedly, and what is left of them when a variable is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from advisor.rulebase.language.conditions import Leaf, Named, Tree, joined, leaves, single_cells


def fixed(tree: Tree, variable: int, cell: int) -> Tree | bool:
    """What is left of a tree when one variable lies in one cell; True or False when nothing is."""
    if isinstance(tree, Named):
        return fixed(tree.inner, variable, cell)
    if isinstance(tree, Leaf):
        return bool(tree.inside & cell) if tree.variable == variable else tree
    return joined(type(tree), (fixed(part, variable, cell) for part in tree.parts))


def repeated(tree: Tree, among: Iterable[int]) -> list[int]:
    """Those of the given variables that are tested in more than one place."""
    counts = Counter(leaf.variable for leaf in leaves(tree))
    return [variable for variable in among if counts[variable] > 1]


def alike_cells(tree: Tree, variable: int, full: int) -> list[int]:
    """The cells of a variable in groups that no test of the tree tells apart."""
    tests = {leaf.inside for leaf in leaves(tree) if leaf.variable == variable}
    groups: dict[tuple[bool, ...], int] = {}
    for cell in single_cells(full):
        key = tuple(bool(test & cell) for test in tests)
        groups[key] = groups.get(key, 0) | cell
    return list(groups.values())
