"""The smallest sets of moves that reach an aim: all of them, by search over what stands in the way.

An aim names its obstacles: sets of moves of which every solution holds at least one. The search takes the smallest
obstacle and tries its moves in turn; a move that was tried is left out of the later ones, since every solution with it
has been found. With one move left, it must clear every obstacle at once, so only what all of them share is looked at.
Nothing is missed: a solution that holds the moves made so far must hold a move of each obstacle. Nothing wrong is
listed: each solution is checked where it leads. Obstacles that share no move need a move each, so a place with more of
them than moves left is given up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

from advisor.engine.what_if.contests import Contest
from advisor.engine.what_if.flips import Flips, union
from advisor.engine.what_if.moves import Moves, Spot, bits_of
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, Condition


class Aim(Protocol):
    """Something that moves may reach."""

    def reached(self, spot: Spot) -> bool:
        """Whether it is reached at a spot where the answers do not contradict each other."""
        ...

    def obstacles(self, spot: Spot, most: int) -> Iterator[int]:
        """What stands in the way, for at most so many further moves."""
        ...


@frozen
class Choice:
    """That one decision comes out otherwise and those it depends on stay.

    Attributes:
        contest: The decision.
        option: The option it is to come to.
        stay: The decisions that stay, with their options.
    """

    contest: Contest
    option: int
    stay: tuple[tuple[Contest, int], ...]

    def reached(self, spot: Spot) -> bool:
        """Whether the option is chosen and the other decisions stayed."""
        return self.contest.poll(spot).chosen == self.option and stayed(self.stay, spot)

    def obstacles(self, spot: Spot, most: int) -> Iterator[int]:
        """What stands in the way of the option, and of the other decisions staying."""
        yield from self.contest.obstacles(spot, self.option, most)
        for contest, option in self.stay:
            yield from contest.obstacles(spot, option, most)


@frozen
class Turn:
    """That a condition fails, or no longer fails, while the decisions it tests stay.

    Attributes:
        condition: The condition.
        failing: Whether it is to fail.
        stay: The decisions that stay, with their options.
        flips: What it takes to turn conditions.
    """

    condition: Condition
    failing: bool
    stay: tuple[tuple[Contest, int], ...]
    flips: Flips

    def reached(self, spot: Spot) -> bool:
        """Whether the condition is turned and the decisions stayed."""
        return (self.condition.truth(spot.state) == FAILS) is self.failing and stayed(self.stay, spot)

    def obstacles(self, spot: Spot, most: int) -> Iterator[int]:
        """What keeps the condition from turning, and the decisions from staying."""
        wanted = self.flips.to_failing if self.failing else self.flips.to_standing
        flip = wanted(self.condition, spot.state)
        if flip is not None:
            yield union((flip,), most)
        for contest, option in self.stay:
            yield from contest.obstacles(spot, option, most)


def stayed(stay: tuple[tuple[Contest, int], ...], spot: Spot) -> bool:
    """Whether decisions come out as before at a spot."""
    return all(contest.poll(spot).chosen == option for contest, option in stay)


@dataclass(slots=True)
class Purse:
    """How many more spots may be looked at; what is listed when it runs out may be incomplete."""

    left: int


@frozen
class Smallest:
    """The smallest sets of moves for one aim.

    Attributes:
        sets: Each set as bits, in the order of the moves; all of one size.
        complete: False when the search was broken off; then sets may be missing, or none found although there are.
    """

    sets: tuple[int, ...]
    complete: bool


class Search:
    """Looks for the smallest sets of moves."""

    def __init__(self, moves: Moves, purse: Purse) -> None:
        self._moves = moves
        self._purse = purse

    def smallest(self, aim: Aim, most: int) -> Smallest:
        """All sets of the least number of moves, up to so many moves, that reach an aim not reached now."""
        for size in range(1, most + 1):
            found: list[int] = []
            complete = self._visit(aim, 0, 0, size, found)
            if found or not complete:
                return Smallest(tuple(sorted(found, key=lambda moves: tuple(bits_of(moves)))), complete)
        return Smallest((), True)

    def _visit(self, aim: Aim, moves: int, tried: int, left: int, found: list[int]) -> bool:
        """Add every solution with these moves, so many more and none of those tried; False when broken off."""
        if self._purse.left <= 0:
            return False
        self._purse.left -= 1
        spot = self._moves.spot(moves)
        if left == 0:
            if spot.repairs is None and aim.reached(spot):
                found.append(moves)
            return True
        usable = ~(tried | spot.frozen)
        branch = self._branch(aim, spot, usable, left)
        for move in bits_of(branch):
            if not self._visit(aim, moves | 1 << move, tried, left - 1, found):
                return False
            tried |= 1 << move
        return True

    def _branch(self, aim: Aim, spot: Spot, usable: int, left: int) -> int:
        """Moves of which every solution holds one; none when there is no solution."""
        obstacles = iter((spot.repairs,)) if spot.repairs is not None else aim.obstacles(spot, left)
        if left == 1:
            shared = usable
            for obstacle in obstacles:
                shared &= obstacle
                if not shared:
                    return 0
            return shared if shared != usable else 0
        masks = []
        for obstacle in obstacles:
            mask = obstacle & usable
            if not mask:
                return 0
            masks.append(mask)
        masks.sort(key=int.bit_count)
        apart, covered = 0, 0
        for mask in masks:
            if not mask & covered:
                covered |= mask
                apart += 1
        return masks[0] if masks and apart <= left else 0
