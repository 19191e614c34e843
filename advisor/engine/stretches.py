"""Cells of a variable in words, neighbouring ones joined."""

from __future__ import annotations

from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact, RuleBase
from advisor.units import Range, format_measure
from advisor.words import each_of, one_of, tr


def words_of_domain(rule_base: RuleBase, variable: int, domain: int) -> list[str]:
    """The cells of a variable of a fact as answers; each stretch of a quantity is an answer of its own."""
    about = rule_base.variables[variable]
    fact = rule_base.facts[about.name]
    options = fact.entry.options
    if fact.entry.kind == "several":
        label = options[about.item].label
        return [label if cell == 2 else tr("no {label}", label=label) for cell in single_cells(domain)]
    positions = [cell.bit_length() - 1 for cell in single_cells(domain)]
    if fact.entry.kind == "quantity":
        return [_stretch(fact, run) for run in _runs(positions)]
    names = [about.domain[position] for position in positions]
    return [one_of(options[name].label if options else name for name in names)]


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
        return format_measure(Range.exact(fact.breakpoints[position]), unit, 6)

    first, last = run
    top = 2 * len(fact.breakpoints)
    low = high = ""
    if first > 0:
        low = (
            tr("{amount} or more", amount=shown(first // 2))
            if first % 2
            else tr("above {amount}", amount=shown(first // 2 - 1))
        )
    if last < top:
        at_end = shown(last // 2)
        high = tr("{amount} or less", amount=at_end) if last % 2 else tr("below {amount}", amount=at_end)
    if first == last and first % 2:
        return shown(first // 2)
    if fact.breakpoints and fact.breakpoints[0] <= fact.least and first in (1, 2):
        low = ""
    if fact.breakpoints and fact.breakpoints[-1] >= fact.most and last == top - 1:
        high = ""
    return each_of(part for part in (low, high) if part) or tr("any amount")
