"""Whether what must follow does: something is so for certain, or what mends it stands under FIRST.

What stands under FIRST is read before anything is lit. It stands there unless it is surely not lacking, so where it is
not known whether a thing is at hand, the advice says to get it, and the promise is kept.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from advisor.rulebase.language.conditions import AllOf, AnyOf, Condition, Named, Tree
from advisor.rulebase.language.words import is_negated

Truth = TypeVar("Truth")
_FIRST = "first has "


def follows(
    tree: Tree,
    holds: Callable[[Condition], Truth],
    may: Callable[[Condition], Truth],
    every: Callable[[Iterable[Truth]], Truth],
    either: Callable[[Iterable[Truth]], Truth],
) -> Truth:
    """Whether a condition is so for certain, with what may stand under FIRST counting as standing there.

    Args:
        tree: The condition.
        holds: Whether a condition holds for certain.
        may: Whether it holds or is open.
        every: Joins what must all be so.
        either: Joins that of which one must be so.
    """

    def judged(part: Tree) -> Truth:
        if isinstance(part, Named) and part.name.startswith(_FIRST) and not is_negated(part.said):
            return may(Condition("", part.inner))
        if isinstance(part, AllOf):
            return every([judged(inner) for inner in part.parts])
        if isinstance(part, AnyOf):
            # Two tests of one thing may leave nothing else, though neither holds for certain.
            return either([holds(Condition("", part)), *(judged(inner) for inner in part.parts)])
        return holds(Condition("", part))

    return judged(tree)
