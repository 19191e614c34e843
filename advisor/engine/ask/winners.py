"""The option that a decision takes in each completion of a block."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

from advisor.engine.ask.blocks import MAY, MUST, Block
from advisor.engine.decide import Tally
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN

Planes = list[int]
"""A number for each completion, as masks: plane ``p`` holds the bit worth ``2 ** p`` of each."""


def winners(tally: Tally, block: Block, options: Sequence[int]) -> dict[int, int]:
    """For each option that is taken at all, the completions in which the decision takes it.

    What stays open within a completion counts as in the advice: an open constraint strikes, an open argument against
    counts and an open argument for does not.

    Args:
        tally: How the decision stands in all these completions together.
        block: The completions.
        options: Positions of the options that may still win; the others are known to lose everywhere.
    """
    prepared = tally.prepared
    allowed = unstruck(tally, block, options)
    supports = _supports(tally, block, [option for option in options if allowed[option]])
    best: Planes = []
    taken: dict[int, int] = {}
    decided = 0
    for option in sorted(supports, key=lambda option: (prepared.rank[option], option)):
        mask = allowed[option] & (_above(supports[option], best, block.valid) | ~decided)
        if mask:
            for other in taken:
                taken[other] &= ~mask
            taken[option] = mask
            best = _chosen(supports[option], best, mask) if decided else supports[option]
            decided |= mask
    left = block.valid & ~decided
    if left:
        fallback = prepared.decision.options.index(prepared.decision.fallback)
        taken[fallback] = taken.get(fallback, 0) | left
    return {option: mask for option, mask in taken.items() if mask}


def unstruck(tally: Tally, block: Block, options: Sequence[int]) -> dict[int, int]:
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


def _supports(tally: Tally, block: Block, options: Sequence[int]) -> dict[int, Planes]:
    """Least support of each option in each completion, all of them raised by the same amount."""
    prepared, valid = tally.prepared, block.valid
    constant = {option: prepared.base[option] for option in options}
    waiting: dict[int, list[list[int]]] = {option: [] for option in options}
    for variable in prepared.tables:
        for domain, where in block.columns.get(variable, ((block.state[variable], valid),)):
            mask = where & valid
            for option, least, _ in prepared.bounds(variable, domain):
                if least and option in constant:
                    if mask == valid:
                        constant[option] += least
                    elif least > 0:
                        _put(waiting[option], least, mask)
                    else:
                        constant[option] += least
                        _put(waiting[option], -least, valid & ~mask)
    for (argument, vector), truth in zip(prepared.mixed, tally.mixed_truths, strict=True):
        if truth == FAILS:
            continue
        weight = argument.weight
        mask = valid if truth == HOLDS else block.holds(argument.condition, MUST if weight > 0 else MAY)
        if weight < 0:
            mask = valid & ~mask
        for option in options:
            if vector[option]:
                constant[option] += min(weight, 0)
                _put(waiting[option], abs(weight), mask)
    lowest = min(constant.values(), default=0)
    for option in options:
        _put(waiting[option], constant[option] - lowest, valid)
    return {option: _sum(waiting[option]) for option in options}


def _put(waiting: list[list[int]], weight: int, mask: int) -> None:
    """Add a weight, where its mask says so, to what waits to be summed: masks by the power of two they stand for."""
    for place in _places(weight):
        while len(waiting) <= place:
            waiting.append([])
        waiting[place].append(mask)


@cache
def _places(weight: int) -> tuple[int, ...]:
    return tuple(place for place in range(weight.bit_length()) if weight >> place & 1)


def _sum(waiting: list[list[int]]) -> Planes:
    """The sum of what is waiting; three masks of one worth at a time become one and a carry."""
    planes: Planes = []
    place = 0
    while place < len(waiting):
        masks, carries = waiting[place], []
        while len(masks) > 2:
            a, b, c = masks.pop(), masks.pop(), masks.pop()
            either = a ^ b
            masks.append(either ^ c)
            carries.append(a & b | either & c)
        if len(masks) == 2:
            a, b = masks
            masks = [a ^ b]
            carries.append(a & b)
        planes.append(masks[0] if masks else 0)
        carries = [carry for carry in carries if carry]
        if carries:
            if place + 1 == len(waiting):
                waiting.append([])
            waiting[place + 1] += carries
        place += 1
    return planes


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
