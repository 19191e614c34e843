"""Compiled conditions: three truth values over sets of possible values.

Every fact is split into a few *cells*: the options of a choice, yes and no, present and absent for each item
of a list, and for a quantity the stretches between the limits that rules compare it with. What is known of a
variable is the set of cells it may still be in, kept as the bits of one integer. A test is then itself a set
of cells: it *holds* when all possible cells are inside it, *fails* when none is, and is *open* otherwise.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache
from itertools import product
from math import prod
from typing import Any, Generic, Literal, TypeVar, Union

from advisor.frozen import kept
from advisor.rulebase.language.words import NO_WORDS, Said, Words, negated, spoken
from advisor.words import each_of, one_of

FAILS, OPEN, HOLDS = 0, 1, 2
"""The three truth values; conjunction is their minimum and disjunction their maximum."""

TruthName = Literal["fails", "open", "holds"]

TRUTH_NAMES: tuple[TruthName, ...] = ("fails", "open", "holds")

State = Sequence[int]
"""For each variable, the cells it may still be in, as bits."""

TruthFunction = Callable[[State], int]

Tests = tuple[tuple[int, int, int], ...]
"""Tests of single variables: the variable, the cells inside and those outside, as bits."""

MOST_SPLITS = 256
"""How many combinations of cells are tried at most; beyond that a truth may stay open."""


@kept
class Leaf:
    """One variable lies in a set of cells.

    Attributes:
        variable: Index of the variable.
        inside: The cells for which the test holds, as bits.
        full: All cells of the variable, as bits.
        said: What the test says.
        opposite: What its opposite says.
    """

    variable: int
    inside: int
    full: int
    said: Said
    opposite: Said

    def negated(self) -> Leaf:
        """The opposite test."""
        return Leaf(self.variable, self.full & ~self.inside, self.full, self.opposite, self.said)


Part = TypeVar("Part")


@kept
class AllOf(Generic[Part]):
    """Every part holds; the parts are tests as written, or compiled."""

    parts: tuple[Part, ...]


@kept
class AnyOf(Generic[Part]):
    """At least one part holds; the parts are tests as written, or compiled."""

    parts: tuple[Part, ...]


@kept
class Named:
    """A finding: a condition with a name and a meaning.

    Attributes:
        name: Name of the finding.
        said: What it means, or the opposite when negated.
        inner: The condition behind the name.
    """

    name: str
    said: Said
    inner: Tree


Tree = Union[Leaf, Named, "AllOf[Tree]", "AnyOf[Tree]"]
"""A compiled condition; what is negated was turned into its opposite test by test."""


def negation(tree: Tree) -> Tree:
    """The tree that holds exactly where this one fails."""
    if isinstance(tree, Leaf):
        return tree.negated()
    if isinstance(tree, AllOf):
        return AnyOf(tuple(negation(part) for part in tree.parts))
    if isinstance(tree, AnyOf):
        return AllOf(tuple(negation(part) for part in tree.parts))
    return Named(tree.name, negated(tree.said), negation(tree.inner))


def joined(kind: type[AllOf[Tree]] | type[AnyOf[Tree]], parts: Iterable[Tree | bool]) -> Tree | bool:
    """All of some parts, or any of them, without what is settled; true or false where nothing is left to test."""
    settling = kind is AnyOf
    left: list[Tree] = []
    for part in parts:
        if part is settling:
            return settling
        if not isinstance(part, bool):
            left.append(part)
    if len(left) > 1:
        return kind(tuple(left))
    return left[0] if left else not settling


def leaves(tree: Tree) -> Iterator[Leaf]:
    """Every test in the tree, left to right."""
    if isinstance(tree, Leaf):
        yield tree
    elif isinstance(tree, Named):
        yield from leaves(tree.inner)
    else:
        for part in tree.parts:
            yield from leaves(part)


def words_of(tree: Tree, words: Words) -> str:
    """The condition as a phrase for reading, in the words of its rule base."""
    if isinstance(tree, Leaf | Named):
        return spoken(tree.said, words)
    joined = each_of if isinstance(tree, AllOf) else one_of
    return joined(
        f"({words_of(part, words)})" if isinstance(part, AllOf | AnyOf) else words_of(part, words)
        for part in tree.parts
    )


def tree_truth(tree: Tree, state: State) -> int:
    """Truth of a tree, every part looked at."""
    if isinstance(tree, Leaf):
        domain = state[tree.variable]
        if not domain & ~tree.inside:
            return HOLDS
        return OPEN if domain & tree.inside else FAILS
    if isinstance(tree, Named):
        return tree_truth(tree.inner, state)
    truths = [tree_truth(part, state) for part in tree.parts]
    return min(truths) if isinstance(tree, AllOf) else max(truths)


def _open_variables(tree: Tree, state: State) -> Iterator[int]:
    if tree_truth(tree, state) != OPEN:
        return
    if isinstance(tree, Leaf):
        yield tree.variable
    elif isinstance(tree, Named):
        yield from _open_variables(tree.inner, state)
    else:
        for part in tree.parts:
            yield from _open_variables(part, state)


def _merged(tree: Tree) -> Tree:
    """The same condition with findings opened, nesting flattened and tests of one variable joined."""
    if isinstance(tree, Leaf):
        return tree
    if isinstance(tree, Named):
        return _merged(tree.inner)
    kind = type(tree)
    flat: list[Tree] = []
    for part in tree.parts:
        merged = _merged(part)
        flat.extend(merged.parts if isinstance(merged, kind) else (merged,))
    by_variable: dict[int, Leaf] = {}
    others: list[Tree] = []
    for part in flat:
        if not isinstance(part, Leaf):
            others.append(part)
            continue
        seen = by_variable.get(part.variable)
        if seen is not None:
            inside = seen.inside & part.inside if kind is AllOf else seen.inside | part.inside
            part = Leaf(part.variable, inside, part.full, "", "")
        by_variable[part.variable] = part
    parts: tuple[Tree, ...] = (*by_variable.values(), *others)
    return parts[0] if len(parts) == 1 else kind(parts)


def _function(tree: Tree) -> TruthFunction:
    if isinstance(tree, Leaf):
        return _leaf_function(tree.variable, tree.inside)
    if isinstance(tree, Named):
        return _function(tree.inner)
    if isinstance(tree, AllOf):
        tests = tuple([_test(part.variable, part.inside) for part in tree.parts if isinstance(part, Leaf)])
        if len(tests) == len(tree.parts):
            return _tests_function(tests)
        return _every_function(tuple([_function(part) for part in tree.parts]))
    return _either_function(tuple([_function(part) for part in tree.parts]))


def _tests_function(tests: Tests) -> TruthFunction:
    """All of some tests hold: by far the most frequent kind, so it is one function instead of one for each test."""

    def truth(state: State) -> int:
        result = HOLDS
        for variable, inside, outside in tests:
            domain = state[variable]
            if domain & outside:
                if not domain & inside:
                    return FAILS
                result = OPEN
        return result

    return truth


def _leaf_function(variable: int, inside: int) -> TruthFunction:
    outside = ~inside

    def truth(state: State) -> int:
        domain = state[variable]
        if not domain & outside:
            return HOLDS
        return OPEN if domain & inside else FAILS

    return truth


def _every_function(functions: tuple[TruthFunction, ...]) -> TruthFunction:
    def truth(state: State) -> int:
        result = HOLDS
        for function in functions:
            value = function(state)
            if not value:
                return FAILS
            if value < result:
                result = value
        return result

    return truth


def _either_function(functions: tuple[TruthFunction, ...]) -> TruthFunction:
    def truth(state: State) -> int:
        result = FAILS
        for function in functions:
            value = function(state)
            if value == HOLDS:
                return HOLDS
            if value > result:
                result = value
        return result

    return truth


def single_cells(domain: int) -> Iterator[int]:
    """Each single cell in a set of cells."""
    while domain:
        lowest = domain & -domain
        yield lowest
        domain ^= lowest


def _split_function(function: TruthFunction, repeated: tuple[int, ...]) -> TruthFunction:
    """Exact truth where a variable is tested in several places, by trying its cells one by one."""

    def truth(state: State) -> int:
        value = function(state)
        if value != OPEN:
            return value
        choices = [tuple(single_cells(state[variable])) for variable in repeated]
        combinations = 1
        for choice in choices:
            combinations *= len(choice)
        if combinations <= 1 or combinations > MOST_SPLITS:
            return value
        trial = list(state)
        seen: int | None = None
        for domain in product(*choices):
            for variable, cell in zip(repeated, domain, strict=True):
                trial[variable] = cell
            here = function(trial)
            if here == OPEN or (seen is not None and here != seen):
                return OPEN
            seen = here
        return OPEN if seen is None else seen

    return truth


def _combinations(tree: Tree, repeated: tuple[int, ...]) -> int:
    """How many combinations of cells may be tried for the variables that are tested in several places."""
    domain = {leaf.variable: leaf.full.bit_count() for leaf in leaves(tree)}
    combinations = prod(domain[variable] for variable in repeated)
    return combinations if combinations <= MOST_SPLITS else 1


class _WhenAsked:
    """Something about a condition that follows from its tree; one run needs it of but a part of the rules."""

    def __init__(self, make: Callable[[Condition], None], name: str) -> None:
        self.make, self.name = make, name

    def __get__(self, condition: Any, _: object = None) -> Any:
        self.make(condition)
        return condition.__dict__[self.name]


TOLD = ("text", "tree", "table")
"""What explains a condition, and what no evaluation looks at where it only joins tests."""
LATER = "_later"
"""The key under which such a condition keeps where these are, until they are first asked for."""


class Condition:
    """A compiled condition.

    Attributes:
        text: As it is written in the rule file.
        tree: The condition as a tree, for explaining.
        table: The words of its rule base.
        tests: Where it only joins tests of different variables, these; None where it is anything else.
        merged: The same condition with findings opened and tests of one variable joined, as it is evaluated.
        truth: From what is known of the variables to ``HOLDS``, ``FAILS`` or ``OPEN``.
        variables: The variables it depends on.
        single: The cells of its only variable for which it holds, or None when it has several variables.
        work: How many tests it takes at most to find its truth.
    """

    text: str
    tree: Tree
    table: Words
    tests: Tests | None
    merged: Tree
    single: tuple[int, int] | None
    truth: TruthFunction
    variables: frozenset[int]
    work: int

    def __init__(self, text: str, tree: Tree, table: Words = NO_WORDS) -> None:
        self.text = text
        self.tree = tree
        self.table = table
        self.tests = _plain_tests(tree)

    def _prepare(self) -> None:
        if self.tests is not None:
            # Most rules only join tests of different variables, and nothing is to be merged there.
            self.single, self.work = None, len(self.tests)
            self.truth = _tests_function(self.tests)
            return
        merged = self.merged
        tested = [leaf.variable for leaf in leaves(merged)]
        self.single = (merged.variable, merged.inside) if isinstance(merged, Leaf) else None
        function = _function(merged)
        counts = Counter(tested)
        repeated = tuple(sorted(variable for variable, count in counts.items() if count > 1))
        self.work = len(tested) * _combinations(merged, repeated)
        self.truth = _split_function(function, repeated) if repeated else function

    def _look(self) -> None:
        tests = self.tests
        self.variables = frozenset(
            [leaf.variable for leaf in leaves(self.merged)] if tests is None else [variable for variable, _, _ in tests]
        )

    def _tell(self) -> None:
        told, place = self.__dict__[LATER]
        self.__dict__.update(zip(TOLD, told[place], strict=True))

    def _merge(self) -> None:
        self.merged = self.tree if self.tests is not None else _merged(self.tree)

    @property
    def words(self) -> str:
        """The condition as a phrase for reading."""
        return words_of(self.tree, self.table)

    def hangs_on(self, variables: Iterable[int], state: State) -> bool:
        """Whether one of some variables can still change the truth in this state."""
        mine = self.variables.intersection(variables)
        return bool(mine) and not self.open_variables(state).isdisjoint(mine)

    def open_variables(self, state: State) -> frozenset[int]:
        """The variables whose cells can still change the truth in this state; empty unless it is open."""
        if self.truth(state) != OPEN:
            return frozenset()
        return frozenset(_open_variables(self.merged, state))


@cache
def _test(variable: int, inside: int) -> tuple[int, int, int]:
    # The same test stands in many rules, and is kept once.
    return variable, inside, ~inside


def _plain_tests(tree: Tree) -> Tests | None:
    """The tests of a tree that only joins tests of different variables."""
    if not isinstance(tree, AllOf):
        return None
    tests = tuple([_test(part.variable, part.inside) for part in tree.parts if isinstance(part, Leaf)])
    apart = len(tests) == len(tree.parts) == len({variable for variable, _, _ in tests})
    return tests if apart else None


for _name in ("single", "truth", "work"):
    setattr(Condition, _name, _WhenAsked(Condition._prepare, _name))
for _name in TOLD:
    setattr(Condition, _name, _WhenAsked(Condition._tell, _name))
Condition.variables = _WhenAsked(Condition._look, "variables")  # type: ignore[assignment]
Condition.merged = _WhenAsked(Condition._merge, "merged")  # type: ignore[assignment]
