"""Which single answers would change a decision, and to what."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from advisor.inference.answers import ContradictionError, state_with
from advisor.inference.conclusions import Conclusions, conclude_state, weights_of
from advisor.knowledge.conditions import single_cells
from advisor.knowledge.facts import possible_cells
from advisor.knowledge.rulebase import Fact, RuleBase
from advisor.measures import Range, format_measure


@dataclass(frozen=True, slots=True)
class OtherAnswer:
    """One different answer and the decision it would change.

    Attributes:
        fact: The fact.
        words: The different answer in words.
        decision: The decision that would change.
        to: The option it would change to.
    """

    fact: str
    words: str
    decision: str
    to: str


def changing_answers(conclusions: Conclusions, decisions: tuple[str, ...]) -> list[OtherAnswer]:
    """Every single answer that would change one of the decisions, in the order of the facts.

    Neighbouring stretches of a quantity with the same effect are joined.
    """
    rule_base = conclusions.rule_base
    found: list[OtherAnswer] = []
    deciding = _deciding_facts(rule_base, decisions)
    for fact in rule_base.facts.values():
        if fact.name in deciding:
            found.extend(_changes_of(conclusions, fact, decisions))
    return found


def _deciding_facts(rule_base: RuleBase, decisions: tuple[str, ...]) -> set[str]:
    variables = {v for name in decisions for v in weights_of(rule_base)[name].variables}
    names = {rule_base.variables[v].name for v in variables}
    for fact in rule_base.facts.values():
        if fact.name in names:
            names |= {rule_base.variables[v].name for implied in fact.implied for v in implied.condition.variables}
    return names


def _implying_variables(rule_base: RuleBase) -> set[int]:
    """The variables from which the value of some fact follows."""
    return {v for fact in rule_base.facts.values() for implied in fact.implied for v in implied.condition.variables}


def _may_change(conclusions: Conclusions, decisions: tuple[str, ...], variable: int, cell: int) -> bool:
    """Whether a decision may come out otherwise; a quick look that spares most answers the whole reckoning.

    A decision whose only possible option after the change is the chosen one has not changed.
    """
    state = list(conclusions.state)
    before = state[variable]
    state[variable] = cell
    for name in decisions:
        ruling = conclusions.rulings[name]
        if variable not in ruling.standing.weights.variables:
            continue
        chosen = 1 << ruling.decision.options.index(ruling.chosen)
        if ruling.standing.moved([(variable, before, cell)], state) != chosen:
            return True
    return False


def _changes_of(conclusions: Conclusions, fact: Fact, decisions: tuple[str, ...]) -> Iterator[OtherAnswer]:
    rule_base = conclusions.rule_base
    effects: dict[tuple[str, str], list[tuple[int, int]]] = {}
    implying = _implying_variables(rule_base)
    for variable, cell in _alternatives(conclusions, fact):
        if variable not in implying and not _may_change(conclusions, decisions, variable, cell):
            continue
        outcome = _outcome(conclusions, fact, variable, cell)
        if outcome is None:
            continue
        for name in decisions:
            to = outcome.rulings[name].chosen
            if to != conclusions.rulings[name].chosen:
                effects.setdefault((name, to), []).append((variable, cell))
                break
    for (name, to), places in effects.items():
        for words in _words(rule_base, fact, places):
            yield OtherAnswer(fact.name, words, name, to)


def _alternatives(conclusions: Conclusions, fact: Fact) -> Iterator[tuple[int, int]]:
    """For each variable, the cells that differ from what is answered now."""
    for variable in fact.variables:
        now = conclusions.state[variable]
        single = not now & (now - 1)
        cells = (
            possible_cells(fact) if fact.entry.kind == "quantity" else conclusions.rule_base.variables[variable].full
        )
        for cell in single_cells(cells):
            if not (single and cell == now):
                yield variable, cell


def _outcome(conclusions: Conclusions, fact: Fact, variable: int, cell: int) -> Conclusions | None:
    try:
        state = state_with(conclusions.rule_base, conclusions.answers, fact, variable, cell)
    except ContradictionError:
        return None
    return conclude_state(conclusions.rule_base, conclusions.answers, state)


def _words(rule_base: RuleBase, fact: Fact, places: list[tuple[int, int]]) -> list[str]:
    if fact.entry.kind == "several":
        labels = fact.entry.options
        return [
            f"{'' if cell == 2 else 'no '}{labels[rule_base.variables[variable].item].label}"
            for variable, cell in places
        ]
    variable = places[0][0]
    cells = rule_base.variables[variable].cells
    if fact.entry.kind != "quantity":
        names = [cells[cell.bit_length() - 1] for _, cell in places]
        return [" or ".join(fact.entry.options[name].label if fact.entry.options else name for name in names)]
    return [_stretch(fact, run) for run in _runs(sorted(cell.bit_length() - 1 for _, cell in places))]


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
