"""Shows for many things at once that each of them can happen, with answers for each."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from advisor.engine import Answers
from advisor.proof.search.decoding import answers_found
from advisor.proof.space.logic import Bit
from advisor.proof.space.world import World

Witnesses = dict[str, Answers]
"""For each thing, answers that show it."""


def distinct(witnesses: Witnesses) -> list[Answers]:
    """The sets of answers, each once: one set often shows many things."""
    return list({id(answers): answers for answers in witnesses.values()}.values())


def sweep(world: World, pending: Mapping[str, Bit], witnesses: Witnesses) -> Iterator[str]:
    """Find answers for each thing, and yield those for which there are none.

    Answers that are found for one thing are looked at for all others too.

    Args:
        world: Where to look.
        pending: For each thing the bit that is true where it happens.
        witnesses: Filled with answers for each thing that can happen.
    """
    waiting = {name: bit for name, bit in pending.items() if name not in witnesses}
    while waiting:
        name, bit = next(iter(waiting.items()))
        if not world.logic.possible(bit):
            del waiting[name]
            yield name
            continue
        answers = answers_found(world.space)
        for other in [key for key, value in waiting.items() if world.logic.truth(value)]:
            witnesses[other] = answers
            del waiting[other]
