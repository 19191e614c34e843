"""The option that a decision takes in each completion of a block."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from advisor.engine.ask.blocks import MAY, MUST, Block
from advisor.engine.decide import Tally
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN

Planes = list[int]
"""A number for each completion, as masks: plane ``p`` holds the bit worth ``2 ** p`` of each.

Sums are kept modulo a power of two that is above twice every support, and raised by half of it, so that none is below 0
and what was added can be taken away again.
"""


@frozen
class Standing:
    """How a decision stands in each completion of a block.

    What stays open within a completion counts as in the advice: an open constraint strikes, an open argument against
    counts and an open argument for does not.

    Attributes:
        tally: How it stands in all these completions together.
        block: The completions.
        options: Positions of the options that may still win; the others are known to lose everywhere.
        supports: Least support of each of them in each completion.
    """

    tally: Tally
    block: Block
    options: Sequence[int]
    supports: Mapping[int, Planes]

    def taken(self) -> dict[int, int]:
        """For each option that is taken at all, the completions in which the decision takes it."""
        prepared, valid = self.tally.prepared, self.block.valid
        allowed = _unstruck(self.tally, self.block, self.options)
        best: Planes = []
        taken: dict[int, int] = {}
        decided = 0
        for option in sorted(self.options, key=lambda option: (prepared.rank[option], option)):
            if not allowed[option]:
                continue
            support = self.supports[option]
            mask = allowed[option] & (_above(support, best, valid) | ~decided)
            if mask:
                for other in taken:
                    taken[other] &= ~mask
                taken[option] = mask
                best = _chosen(support, best, mask) if decided else support
                decided |= mask
        left = valid & ~decided
        if left:
            fallback = prepared.decision.options.index(prepared.decision.fallback)
            taken[fallback] = taken.get(fallback, 0) | left
        return {option: mask for option, mask in taken.items() if mask}

    def put(self, variable: int, domain: int) -> Standing:
        """How it stands in the same completions with one variable put into some cells; only what hangs on it is summed.

        Args:
            variable: The variable.
            domain: The cells.
        """
        prepared, before, valid = self.tally.prepared, self.block, self.block.valid
        block = before.put(variable, domain, valid)
        sums = {option: _Sum(prepared.width, valid, self.supports[option]) for option in self.options}
        if variable in prepared.tables:
            for option, least, _ in prepared.bounds(variable, domain):
                if option in sums:
                    sums[option].constant += least
            for cells, mask in before.column(variable):
                for option, least, _ in prepared.bounds(variable, cells):
                    if option in sums:
                        sums[option].add(-least, mask & valid)
        for position in prepared.mixed_of.get(variable, ()):
            if self.tally.mixed_truths[position] == OPEN:
                argument, vector = prepared.mixed[position]
                mode = MUST if argument.weight > 0 else MAY
                was, now = before.holds(argument.condition, mode) & valid, block.holds(argument.condition, mode) & valid
                if was != now:
                    for option in self.options:
                        sums[option].add(vector[option], now & ~was)
                        sums[option].add(-vector[option], was & ~now)
        return Standing(self.tally, block, self.options, {option: some.planes() for option, some in sums.items()})


def standing_of(tally: Tally, block: Block, options: Sequence[int]) -> Standing:
    """How a decision stands in each completion of a block; the arguments are those that the standing keeps."""
    prepared, valid = tally.prepared, block.valid
    sums = {option: _Sum(prepared.width, valid) for option in options}
    for option in options:
        sums[option].constant = prepared.base[option] + (1 << prepared.width - 1)
    for variable in prepared.tables:
        for domain, mask in block.column(variable):
            for option, least, _ in prepared.bounds(variable, domain):
                if option in sums:
                    sums[option].add(least, mask & valid)
    for (argument, vector), truth in zip(prepared.mixed, tally.mixed_truths, strict=True):
        if truth != FAILS:
            mode = MUST if argument.weight > 0 else MAY
            mask = valid if truth == HOLDS else block.holds(argument.condition, mode) & valid
            for option in options:
                sums[option].add(vector[option], mask)
    return Standing(tally, block, options, {option: some.planes() for option, some in sums.items()})


def _unstruck(tally: Tally, block: Block, options: Sequence[int]) -> dict[int, int]:
    """For each of some options, the completions in which no constraint strikes it."""
    prepared = tally.prepared
    allowed = {option: 0 if tally.surely_out[option] else block.valid for option in options}
    for argument, struck, truth in zip(
        prepared.constraints, prepared.struck_options, tally.constraint_truths, strict=True
    ):
        if truth == OPEN:
            touched = [option for option in struck if allowed.get(option)]
            if touched:
                keep = ~block.holds(argument.condition, MAY)
                for option in touched:
                    allowed[option] &= keep
    return allowed


class _Sum:
    """A sum of weights, each counted in some completions.

    Attributes:
        constant: What counts in all of them.
    """

    __slots__ = ("_planes", "_valid", "_waiting", "_width", "constant")

    def __init__(self, width: int, valid: int, planes: Planes | None = None) -> None:
        self._width, self._valid, self._planes = width, valid, planes
        self._waiting: list[list[int]] = [[] for _ in range(width)]
        self.constant = 0

    def add(self, weight: int, mask: int) -> None:
        """Count a weight where the mask says so."""
        if not weight or not mask:
            return
        if mask == self._valid:
            self.constant += weight
            return
        if weight < 0:
            # Taken away where it counts is taken away everywhere and given back where it does not.
            self.constant += weight
            weight, mask = -weight, self._valid & ~mask
        self._put(weight, mask)

    def _put(self, weight: int, mask: int) -> None:
        for place in _places(weight):
            self._waiting[place].append(mask)

    def planes(self) -> Planes:
        """The sum; three masks of one worth at a time become one and a carry."""
        width, waiting = self._width, self._waiting
        if self._planes is not None:
            if not self.constant and not any(waiting):
                return self._planes
            for masks, plane in zip(waiting, self._planes, strict=True):
                masks.append(plane)
        self._put(self.constant % (1 << width), self._valid)
        found: Planes = []
        for place, masks in enumerate(waiting):
            carries = []
            while len(masks) > 2:
                a, b, c = masks.pop(), masks.pop(), masks.pop()
                either = a ^ b
                masks.append(either ^ c)
                carries.append(a & b | either & c)
            if len(masks) == 2:
                a, b = masks
                masks = [a ^ b]
                carries.append(a & b)
            found.append(masks[0] if masks else 0)
            if place + 1 < width:
                waiting[place + 1] += [carry for carry in carries if carry]
        return found


@cache
def _places(weight: int) -> tuple[int, ...]:
    return tuple(place for place in range(weight.bit_length()) if weight >> place & 1)


def _above(left: Planes, right: Planes, valid: int) -> int:
    """The completions in which the left number is greater than the right one."""
    above, equal = 0, valid
    for place in range(max(len(left), len(right)) - 1, -1, -1):
        a = left[place] if place < len(left) else 0
        b = right[place] if place < len(right) else 0
        above |= equal & a & ~b
        equal &= ~(a ^ b)
        if not equal:
            break
    return above


def _chosen(left: Planes, right: Planes, mask: int) -> Planes:
    """The left number where the mask says so, elsewhere the right one."""
    size = max(len(left), len(right))
    wide_left = left + [0] * (size - len(left))
    wide_right = right + [0] * (size - len(right))
    return [(a & mask) | (b & ~mask) for a, b in zip(wide_left, wide_right, strict=True)]
