"""Draws that come out the same in every process and with every version of Python."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random
from typing import TypeVar

T = TypeVar("T")


class Chance:
    """A stream of draws fixed by words.

    Only ``Random.random`` is used: of everything in that module it alone is promised to give the same numbers for
    the same seed in later versions. A seed of text does not depend on the hash of this process.
    """

    def __init__(self, *words: str | int) -> None:
        self._random = Random("/".join(str(word) for word in words))

    def share(self) -> float:
        """A number from 0 up to but not including 1."""
        return self._random.random()

    def one(self, items: Sequence[T]) -> T:
        """One of several, each as likely."""
        return items[int(self.share() * len(items))]

    def weighted(self, items: Sequence[tuple[float, T]]) -> T:
        """One of several, each with its weight."""
        left = self.share() * sum(weight for weight, _ in items)
        for weight, item in items:
            left -= weight
            if left < 0:
                return item
        return items[-1][1]

    def some(self, items: Sequence[T], count: int) -> list[T]:
        """Several different ones, in the order of the draw; all of them when there are not more."""
        order = sorted((self.share(), place) for place in range(len(items)))
        return [items[place] for _, place in order[: max(0, count)]]
