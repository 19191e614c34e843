"""The support of options as sums: the least and the greatest that the open conditions leave possible."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise

from advisor.proof.space.logic import Bit, Sum
from advisor.proof.space.truths import Truths
from advisor.rulebase.model import Argument, Decision

RULINGS = ("require", "rule_out")

Pairs = Mapping[str, tuple[Bit, Bit]]
"""For each argument whether it holds for certain, and whether it may hold."""


def supports(truths: Truths, decision: Decision, pairs: Pairs) -> tuple[Sum, ...]:
    """The least support of each option."""
    return tuple(support(truths, decision, option, pairs, greatest=False) for option in decision.options)


def support(truths: Truths, decision: Decision, option: str, pairs: Pairs, *, greatest: bool) -> Sum:
    """The least or the greatest support of one option; arguments about one variable are summed cell by cell."""
    base = decision.entry.options[option].base
    parts: list[tuple[Bit, int]] = []
    tables: dict[int, list[Argument]] = {}
    for argument in decision.arguments:
        if argument.says in RULINGS or option not in argument.options or argument.id not in pairs:
            continue
        single = argument.condition.single
        if single is not None and single[0] in truths.uncertain:
            tables.setdefault(single[0], []).append(argument)
        else:
            certain = (argument.weight > 0) != greatest
            parts.append((pairs[argument.id][0 if certain else 1], argument.weight))
    for variable, arguments in tables.items():
        start, steps = _extreme_of_table(truths, variable, arguments, greatest=greatest)
        base += start
        parts += steps
    return base, tuple(parts)


def _extreme_of_table(
    truths: Truths, variable: int, arguments: list[Argument], *, greatest: bool
) -> tuple[int, list[tuple[Bit, int]]]:
    """The extreme over the possible cells: start at the other end, and step where a cell reaches further."""
    values: dict[int, int] = {}
    for place, bit in enumerate(truths.domain[variable]):
        if bit is not False:
            inside = [a for a in arguments if a.condition.single is not None and a.condition.single[1] >> place & 1]
            values[place] = sum(argument.weight for argument in inside)
    levels = sorted(set(values.values()), reverse=not greatest)
    steps = []
    for nearer, further in pairwise(levels):
        reaching = (p for p, value in values.items() if (value >= further if greatest else value <= further))
        steps.append((truths.inside(variable, sum(1 << place for place in reaching)), further - nearer))
    return (levels[0] if levels else 0), steps
