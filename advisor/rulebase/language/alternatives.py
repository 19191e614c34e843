"""Many conditions of which one has to hold, written as few tests.

A condition is taken apart into *ways*: tests of single variables that hold together, and parts that are left as they
are. Ways that differ in one variable become one, and a way that holds only where another does is left out.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.frozen import frozen
from advisor.rulebase.language.conditions import AllOf, AnyOf, Leaf, Named, Tree, joined
from advisor.rulebase.language.words import together


@frozen
class Way:
    """Tests of single variables, and other parts, that hold together."""

    tests: Mapping[int, Leaf]
    others: frozenset[Tree]

    def within(self, other: Way) -> bool:
        """Whether it holds only where the other does."""
        if not other.others <= self.others:
            return False
        for variable, leaf in other.tests.items():
            own = self.tests.get(variable)
            narrower = own is not None and not own.inside & ~leaf.inside
            if not narrower and not any(_only_where(part, leaf) for part in self.others):
                return False
        return True

    def joined_with(self, other: Way) -> Way | None:
        """One way for both, where they differ in a single variable."""
        if self.others != other.others or self.tests.keys() != other.tests.keys():
            return None
        unlike = [v for v, leaf in self.tests.items() if leaf.inside != other.tests[v].inside]
        if len(unlike) != 1:
            return None
        leaf = _together(self.tests[unlike[0]], other.tests[unlike[0]], AnyOf)
        tests = {**self.tests, unlike[0]: leaf}
        if leaf.inside == leaf.full:
            del tests[unlike[0]]
        return Way(tests, self.others)

    def and_also(self, other: Way) -> Way | None:
        """The way in which both hold; none where they cannot hold together."""
        tests = dict(self.tests)
        for variable, leaf in other.tests.items():
            both = tests[variable] = _together(tests[variable], leaf, AllOf) if variable in tests else leaf
            if not both.inside:
                return None
        return Way(tests, self.others | other.others)

    @property
    def alone(self) -> Leaf | None:
        """The one test that it consists of, if it does."""
        return next(iter(self.tests.values())) if len(self.tests) == 1 and not self.others else None

    def replaced(self, leaf: Leaf) -> Way:
        """The way with another test of one variable."""
        return Way({**self.tests, leaf.variable: leaf}, self.others)

    @property
    def tree(self) -> Tree | bool:
        return joined(AllOf, (*self.tests.values(), *self.others))


def any_of(ways: Iterable[Way]) -> Tree | bool:
    """A condition that holds where one of these ways does; true or false where nothing is left to test."""
    kept: list[Way] = []
    for way in ways:
        kept = _added(kept, way)
    return joined(AnyOf, [way.tree for way in kept])


def ways_of(tree: Tree | bool) -> tuple[Way, ...]:
    """The ways in which a condition can hold."""
    return tuple(_ways(tree))


def _added(ways: list[Way], new: Way) -> list[Way]:
    if any(new.within(way) for way in ways):
        return ways
    kept = [way for way in ways if not way.within(new)]
    for place, way in enumerate(kept):
        both = way.joined_with(new)
        if both is not None:
            return _added(kept[:place] + kept[place + 1 :], both)
    return [*kept, new]


def _ways(tree: Tree | bool) -> Iterable[Way]:
    if isinstance(tree, bool):
        return [Way({}, frozenset())] if tree else []
    if isinstance(tree, Named):
        return _ways(tree.inner)
    if isinstance(tree, AnyOf):
        return [way for part in tree.parts for way in _ways(part)]
    way = _all_of(tree)
    return [] if way is None else [way]


def _all_of(tree: Tree) -> Way | None:
    """The one way that tests holding together make; none where they cannot hold together."""
    tests: dict[int, Leaf] = {}
    others: set[Tree] = set()
    waiting = [tree]
    while waiting:
        part = waiting.pop(0)
        if isinstance(part, Named):
            waiting.insert(0, part.inner)
        elif isinstance(part, AllOf):
            waiting[:0] = part.parts
        elif isinstance(part, Leaf):
            before = tests.get(part.variable)
            leaf = tests[part.variable] = part if before is None else _together(before, part, AllOf)
            if not leaf.inside:
                return None
        else:
            short = any_of(_ways(part))
            if short is False:
                return None
            if isinstance(short, AnyOf):
                others.add(short)
            elif short is not True:
                waiting.insert(0, short)
    return Way(tests, frozenset(others))


def _only_where(tree: Tree, leaf: Leaf) -> bool:
    """Whether a condition can be seen to hold only where a test does."""
    if isinstance(tree, Leaf):
        return tree.variable == leaf.variable and not tree.inside & ~leaf.inside
    if isinstance(tree, Named):
        return _only_where(tree.inner, leaf)
    every = any if isinstance(tree, AllOf) else all
    return every(_only_where(part, leaf) for part in tree.parts)


def _together(one: Leaf, other: Leaf, kind: type[AllOf[Tree]] | type[AnyOf[Tree]]) -> Leaf:
    """One test of a variable for two of it."""
    every = kind is AllOf
    inside = one.inside & other.inside if every else one.inside | other.inside
    for same in (one, other):
        if inside == same.inside:
            return same
    joint, opposite = ("and", "or") if every else ("or", "and")
    said = together(joint, one.said, other.said)
    return Leaf(one.variable, inside, one.full, said, together(opposite, one.opposite, other.opposite))
