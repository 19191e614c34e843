"""Other answers in words, neighbouring ones with the same effect joined."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from advisor.frozen import frozen
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, RuleBase
from advisor.units import Range, format_measure

Block = tuple[tuple[int, int], ...]
"""For some variables, in order, the cells each may be put into; every combination has the same effect."""


@frozen
class OtherAnswer:
    """One answer given otherwise.

    Attributes:
        fact: The fact.
        words: The other answer in words.
    """

    fact: str
    words: str


def blocks(places: Iterable[Block]) -> list[Block]:
    """Sets of cells joined where they differ in one variable at a time, without adding or losing one."""
    by_variables: dict[tuple[int, ...], list[tuple[int, ...]]] = {}
    for place in places:
        by_variables.setdefault(tuple(v for v, _ in place), []).append(tuple(c for _, c in place))
    return [
        tuple(zip(variables, cells, strict=True)) for variables, rows in by_variables.items() for cells in _joined(rows)
    ]


def _joined(rows: Sequence[tuple[int, ...]]) -> list[tuple[int, ...]]:
    if not rows[0]:
        return [()]
    rest_of: dict[int, list[tuple[int, ...]]] = {}
    for row in rows:
        rest_of.setdefault(row[0], []).append(row[1:])
    alike: dict[tuple[tuple[int, ...], ...], int] = {}
    for cell, rest in rest_of.items():
        key = tuple(sorted(rest))
        alike[key] = alike.get(key, 0) | cell
    return [(cells, *tail) for rest, cells in alike.items() for tail in _joined(rest)]


def other_answers(rule_base: RuleBase, variable: int, cells: int) -> list[OtherAnswer]:
    """The cells of one variable as answers; each stretch of a quantity is an answer of its own."""
    about = rule_base.variables[variable]
    fact = rule_base.facts[about.name]
    return [OtherAnswer(fact.name, words) for words in _words(rule_base, fact, variable, cells)]


def other_answer(rule_base: RuleBase, variable: int, cells: int) -> OtherAnswer:
    """The cells of one variable as one answer."""
    found = other_answers(rule_base, variable, cells)
    return OtherAnswer(found[0].fact, " or ".join(answer.words for answer in found))


def _words(rule_base: RuleBase, fact: Fact, variable: int, cells: int) -> list[str]:
    about = rule_base.variables[variable]
    options = fact.entry.options
    if fact.entry.kind == "several":
        label = options[about.item].label
        return [label if cell == 2 else f"no {label}" for cell in single_cells(cells)]
    positions = [cell.bit_length() - 1 for cell in single_cells(cells)]
    if fact.entry.kind == "quantity":
        return [_stretch(fact, run) for run in _runs(positions)]
    names = [about.cells[position] for position in positions]
    return [" or ".join(options[name].label if options else name for name in names)]


def _runs(positions: list[int]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for position in positions:
        if runs and position == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], position)
        else:
            runs.append((position, position))
    return runs


def _stretch(fact: Fact, run: tuple[int, int]) -> str:
    """A run of cells of a quantity in words."""
    assert fact.unit is not None
    unit = fact.unit

    def shown(position: int) -> str:
        return format_measure(Range.exact(fact.cuts[position]), unit, 6)

    first, last = run
    top = 2 * len(fact.cuts)
    low = "" if first == 0 else (f"{shown(first // 2)} or more" if first % 2 else f"above {shown(first // 2 - 1)}")
    high = "" if last == top else (f"{shown(last // 2)} or less" if last % 2 else f"below {shown(last // 2)}")
    if first == last and first % 2:
        return shown(first // 2)
    if fact.cuts and fact.cuts[0] <= fact.least and first in (1, 2):
        low = ""
    if fact.cuts and fact.cuts[-1] >= fact.most and last == top - 1:
        high = ""
    return " and ".join(part for part in (low, high) if part) or "any amount"
