"""What would change the advice: the smallest changes of answers that change a decision, or take away or bring a hazard.

Aims are taken one by one: each other option of a decision, each hazard. For each the smallest sets of answers are
found exactly (``smallest.py``). A decision counts as changed to an option only while the decisions it depends on, and
those named before it, stay; the change of an earlier one is told instead. A hazard counts as taken away or brought by
the answers only while the decisions that its rule looks at stay, since with another route come other hazards.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Literal

from advisor.engine.conclude import Conclusions
from advisor.engine.what_if.contests import Contest
from advisor.engine.what_if.flips import Flips
from advisor.engine.what_if.moves import Moves, bits_of
from advisor.engine.what_if.smallest import Aim, Choice, Purse, Search, Turn
from advisor.engine.what_if.stretches import Block, OtherAnswer, blocks, other_answer, other_answers
from advisor.frozen import frozen

MOST_ANSWERS = 3
"""Sets of more answers are not looked for: nobody reads them as one change."""

MOST_SETS = 6
"""So many sets of several answers are listed for one aim; the rest is counted."""

_SPOTS = 20_000
"""So many spots are looked at for one list; far more than any shipped case needs."""

Effect = Literal["appears", "disappears"]


@frozen
class Target:
    """What comes out otherwise.

    Attributes:
        name: A decision, or a hazard.
        to: The option it changes to; for a hazard that it appears or disappears.
        hazard: Whether it is a hazard.
        effect: For an option of which several may be taken, and for a hazard, whether it appears or disappears.
    """

    name: str
    to: str
    hazard: bool = False
    effect: Effect | None = None


@frozen
class OtherAnswers:
    """Answers that, given otherwise together, change something; no part of them does so.

    Attributes:
        answers: The answers, each of another variable.
        target: What comes out otherwise.
        more: On the last one listed for its target, how many more sets of this size are not listed.
    """

    answers: tuple[OtherAnswer, ...]
    target: Target
    more: int = 0


@frozen
class Changes:
    """What would change the advice.

    Attributes:
        found: The single answers in the order of the facts, then the sets in the order of the targets.
        complete: False when the search was broken off, so that some may be missing.
    """

    found: tuple[OtherAnswers, ...]
    complete: bool

    def of_decisions(self) -> Iterator[OtherAnswers]:
        """Those that change a decision."""
        return (one for one in self.found if not one.target.hazard)

    def of_hazards(self) -> Iterator[OtherAnswers]:
        """Those that take away or bring a hazard."""
        return (one for one in self.found if one.target.hazard)


def smallest_changes(conclusions: Conclusions, decisions: tuple[str, ...], hazards: bool = True) -> Changes:
    """The smallest changes of answers for every other option of some decisions and for every hazard.

    All single answers are listed, and where no single answer reaches a target the sets of two, or else of three.

    Args:
        conclusions: What follows from the answers now.
        decisions: The decisions, in order; of those for one option only.
        hazards: Whether hazards are looked at too.
    """
    singles: list[tuple[int, OtherAnswers]] = []
    sets: list[OtherAnswers] = []
    complete = True
    for target, found in smallest_sets(conclusions, decisions, hazards):
        complete = complete and found.complete
        if found.size == 1:
            singles += _singles(conclusions, target, found.blocks)
        else:
            sets += _sets(conclusions, target, found.blocks)
    singles.sort(key=lambda placed: placed[0])
    return Changes((*(one for _, one in singles), *sets), complete)


@frozen
class SmallestSets:
    """The smallest changes that reach one target.

    Attributes:
        blocks: Variables with the cells each may be put into; of any variable whichever cell, all together.
        complete: False when the search was broken off.
    """

    blocks: tuple[Block, ...]
    complete: bool

    @property
    def size(self) -> int:
        """How many answers have to be other; 0 when nothing was found."""
        return len(self.blocks[0]) if self.blocks else 0


def smallest_sets(
    conclusions: Conclusions, decisions: tuple[str, ...], hazards: bool, spots: int = _SPOTS
) -> Iterator[tuple[Target, SmallestSets]]:
    """For every target the smallest changes, neighbouring cells joined.

    Args:
        conclusions: What follows from the answers now.
        decisions: The decisions, in order; of those for one option only.
        hazards: Whether hazards are looked at too.
        spots: How many spots may be looked at for all targets together.
    """
    if any(ruling.by_bounds != ruling.chosen for ruling in conclusions.rulings.values()):
        # The search goes by bounds; where they fall short of what is settled it would tell of changes that are none.
        spots = 0
    moves = Moves(conclusions)
    search = Search(moves, Purse(spots))
    for target, aim in _Aims(conclusions, moves).all(decisions, hazards):
        smallest = search.smallest(aim, MOST_ANSWERS)
        places = (tuple((moves.places[m][0], moves.cells[m]) for m in bits_of(one)) for one in smallest.sets)
        yield target, SmallestSets(tuple(blocks(places)), smallest.complete)


def _singles(conclusions: Conclusions, target: Target, found: tuple[Block, ...]) -> Iterator[tuple[int, OtherAnswers]]:
    for ((variable, cells),) in found:
        for answer in other_answers(conclusions.rule_base, variable, cells):
            yield variable, OtherAnswers((answer,), target)


def _sets(conclusions: Conclusions, target: Target, found: tuple[Block, ...]) -> Iterator[OtherAnswers]:
    for number, block in enumerate(found[:MOST_SETS], 1):
        answers = tuple(other_answer(conclusions.rule_base, variable, cells) for variable, cells in block)
        yield OtherAnswers(answers, target, max(0, len(found) - MOST_SETS) if number == MOST_SETS else 0)


class _Aims:
    """The aims of one consultation."""

    def __init__(self, conclusions: Conclusions, moves: Moves) -> None:
        self._conclusions = conclusions
        self._flips = Flips(moves)
        self._contests = {name: Contest(ruling, moves, self._flips) for name, ruling in conclusions.rulings.items()}
        self._deciding = {ruling.decision.variable: name for name, ruling in conclusions.rulings.items()}

    def all(self, decisions: tuple[str, ...], hazards: bool) -> Iterator[tuple[Target, Aim]]:
        """Every aim with its target: the options of the decisions first."""
        for place, name in enumerate(decisions):
            ruling = self._conclusions.rulings[name]
            stay = self._staying((*decisions[:place], *self._depends_on(ruling.standing.weights.variables)))
            for position, option in enumerate(ruling.decision.options):
                if option != ruling.chosen:
                    yield Target(name, option), Choice(self._contests[name], position, stay)
        for name, hazard in self._conclusions.rule_base.hazards.items() if hazards else ():
            attached = self._conclusions.attached(name)
            effect: Effect = "disappears" if attached else "appears"
            stay = self._staying(self._depends_on(hazard.condition.variables))
            yield Target(name, effect, True, effect), Turn(hazard.condition, attached, stay, self._flips)

    def _depends_on(self, variables: Iterable[int]) -> list[str]:
        """The decisions among some variables, and those that these depend on in turn."""
        found: set[str] = set()
        waiting = [self._deciding[v] for v in variables if v in self._deciding]
        while waiting:
            name = waiting.pop()
            if name not in found:
                found.add(name)
                tested = self._conclusions.rulings[name].standing.weights.variables
                waiting += [self._deciding[v] for v in tested if v in self._deciding]
        return [name for name in self._conclusions.rulings if name in found]

    def _staying(self, names: Iterable[str]) -> tuple[tuple[Contest, int], ...]:
        rulings = self._conclusions.rulings
        return tuple(
            (self._contests[name], rulings[name].decision.options.index(rulings[name].chosen))
            for name in dict.fromkeys(names)
        )
