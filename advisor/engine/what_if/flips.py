"""Which moves can turn the truth of a condition, read off its structure.

A condition is a tree of tests in which negation stands only at the tests themselves, so a part turns only when one of
its tests turns the same way. A conjunction fails as soon as one part does; a disjunction fails only when every part
does. From this follow, without trying anything, moves of which at least one is *needed*, and how many are needed at
least.
"""

from __future__ import annotations

from collections.abc import Iterable
from operator import itemgetter
from typing import Final

from advisor.engine.what_if.moves import Moves
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, AnyOf, Condition, Leaf, Named, State, Tree, leaves

NEVER: Final = 1 << 30
"""More moves than are ever looked at."""


@frozen
class Flip:
    """What it takes to turn a condition.

    Attributes:
        alone: Moves that may turn it alone; no other move does.
        needed: Moves of which at least one is in every set that turns it.
        scope: Every move that may have a part in turning it.
        least: So many moves are needed at least.
    """

    alone: int
    needed: int
    scope: int
    least: int


IMPOSSIBLE: Final = Flip(0, 0, 0, NEVER)


class Flips:
    """Works out flips and remembers them by the cells of the variables that a condition tests."""

    def __init__(self, moves: Moves) -> None:
        self._moves = moves
        self._known: dict[tuple[int, bool, object], Flip | None] = {}
        self._shapes: dict[int, tuple[itemgetter[object], tuple[int, ...]]] = {}

    def to_failing(self, condition: Condition, state: State) -> Flip | None:
        """What makes a condition fail; None when it fails already."""
        return self._flip(condition, state, True)

    def to_standing(self, condition: Condition, state: State) -> Flip | None:
        """What makes a condition hold or at least open; None when it does not fail."""
        return self._flip(condition, state, False)

    def _flip(self, condition: Condition, state: State, down: bool) -> Flip | None:
        shape = self._shapes.get(id(condition))
        if shape is None:
            shape = self._shapes[id(condition)] = _shape(condition)
        key = (id(condition), down, shape[0](state))
        if key not in self._known:
            self._known[key] = self._work_out(condition, state, down, shape[1])
        return self._known[key]

    def _work_out(self, condition: Condition, state: State, down: bool, repeated: tuple[int, ...]) -> Flip | None:
        if (condition.truth(state) == FAILS) is down:
            return None
        if any(state[v] & (state[v] - 1) or self._moves.drivers.get(v) for v in repeated):
            # What is tested twice and not known may cancel out; then any move of what is tested may turn it.
            reaching = self._moves.reaching(condition.variables)
            return Flip(reaching, reaching, reaching, 1) if reaching else IMPOSSIBLE
        return self._turned(condition.tree, state, down) or IMPOSSIBLE

    def _turned(self, tree: Tree, state: State, down: bool) -> Flip | None:
        if isinstance(tree, Leaf):
            return self._leaf(tree, state, down)
        if isinstance(tree, Named):
            return self._turned(tree.inner, state, down)
        parts = [self._turned(part, state, down) for part in tree.parts]
        open_parts = [part for part in parts if part is not None]
        if isinstance(tree, AnyOf) is down:
            return _all_of(open_parts) if open_parts else None
        return _one_of(open_parts) if len(open_parts) == len(parts) else None

    def _leaf(self, leaf: Leaf, state: State, down: bool) -> Flip | None:
        if bool(state[leaf.variable] & leaf.inside) is not down:
            return None
        wanted = leaf.full & ~leaf.inside if down else leaf.inside
        moves = self._moves.into(leaf.variable, wanted) | self._moves.drivers.get(leaf.variable, 0)
        return Flip(moves, moves, moves, 1) if moves else IMPOSSIBLE


def _shape(condition: Condition) -> tuple[itemgetter[object], tuple[int, ...]]:
    seen: set[int] = set()
    repeated: set[int] = set()
    for leaf in leaves(condition.tree):
        (repeated if leaf.variable in seen else seen).add(leaf.variable)
    return itemgetter(*sorted(seen)), tuple(sorted(repeated))


def _all_of(parts: list[Flip]) -> Flip:
    """Every part has to turn."""
    alone, scope, least = ~0, 0, 0
    for part in parts:
        alone &= part.alone
        least = max(least, part.least) if scope & part.scope else least + part.least
        scope |= part.scope
    if least >= NEVER:
        return IMPOSSIBLE
    needed = min((part.needed for part in parts), key=int.bit_count)
    return Flip(alone, needed, scope, least)


def _one_of(parts: list[Flip]) -> Flip:
    """One part has to turn."""
    alone = needed = scope = 0
    for part in parts:
        alone |= part.alone
        needed |= part.needed
        scope |= part.scope
    least = min(part.least for part in parts)
    return Flip(alone, needed, scope, least) if least < NEVER else IMPOSSIBLE


def union(flips: Iterable[Flip | None], most: int) -> int:
    """Moves of which one is needed to turn at least one of some conditions with at most so many moves."""
    moves = 0
    for flip in flips:
        if flip is not None and flip.least <= most:
            moves |= flip.alone if most == 1 else flip.needed
    return moves
