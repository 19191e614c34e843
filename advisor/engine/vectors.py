"""Small sums over the options of a decision: what an argument adds to each, and how far that sets them apart."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

Vector = tuple[int, ...]
"""One whole number for each option, or for each pair of options."""


def summed(vectors: list[Vector]) -> list[int]:
    """The sum of some vectors, place by place."""
    return list(vectors[0]) if len(vectors) == 1 else list(map(sum, zip(*vectors, strict=True)))


def pair_span(vectors: Iterable[Vector]) -> Vector:
    """Greatest lead of each option over each other that one of some vectors gives."""
    leads = [[one - other for one in vector for other in vector] for vector in vectors]
    return tuple(leads[0] if len(leads) == 1 else map(max, *leads))


@lru_cache(maxsize=4096)
def added_by(weight: int, about: tuple[str, ...], options: tuple[str, ...]) -> Vector:
    """What an argument adds to each option."""
    return tuple(weight if option in about else 0 for option in options)


@lru_cache(maxsize=4096)
def spans_of(vector: Vector) -> tuple[Vector, Vector, Vector]:
    """Pair spans of an argument when it fails, is open and holds; many arguments have the same weights."""
    none = (0,) * len(vector)
    return pair_span([none]), pair_span([none, vector]), pair_span([vector])


@lru_cache(maxsize=4096)
def struck(says: str, about: tuple[str, ...], options: tuple[str, ...]) -> Vector:
    """Positions of the options that are out when an argument holds."""
    return tuple(i for i, option in enumerate(options) if (option in about) == (says == "rule_out"))
