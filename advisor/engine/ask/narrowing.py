"""How a decision stands once more is known, and where an answer of not known counts as in the advice."""

from __future__ import annotations

import math
from collections.abc import Sequence

from advisor.engine.ask.blocks import MAY, MUST
from advisor.engine.ask.completions import Outlook
from advisor.engine.ask.grids import grid_of
from advisor.engine.decide import Standing
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, Condition, single_cells


def unsure_variables(outlook: Outlook, state: Sequence[int], free: frozenset[int]) -> frozenset[int]:
    """The variables of facts that were answered but stay open."""
    return frozenset(v for v in outlook.of_facts if state[v] & (state[v] - 1) and v not in free)


def firmly_unsure(outlook: Outlook, state: Sequence[int], unsure: frozenset[int]) -> frozenset[int]:
    """Those of the unsure variables whose value cannot come to follow from answers that are still missing."""
    return frozenset(
        v for v in unsure if all(f.condition.truth(state) != OPEN for f in outlook.follows_of.get(v, ()) if f.ties(v))
    )


def cautious(stand: Standing, outlook: Outlook, state: Sequence[int], firm: frozenset[int]) -> Standing:
    """The standing in which what stays open in the advice counts as it does there.

    A ruling or an argument against that only unsure variables leave open counts, an argument for does not.
    """
    weights = stand.weights
    surely, maybe, lead = stand.surely_out.copy(), stand.maybe_out.copy(), stand.lead.copy()
    ruling_truths, mixed_truths = stand.ruling_truths.copy(), stand.mixed_truths.copy()
    for position, truth in enumerate(ruling_truths):
        if truth == OPEN and _always(outlook, weights.rulings[position].condition, state, firm, MAY):
            _rule(surely, maybe, weights.ruled_options[position], HOLDS)
            ruling_truths[position] = HOLDS
    for position, truth in enumerate(mixed_truths):
        argument = weights.mixed[position][0]
        if truth == OPEN and _always(outlook, argument.condition, state, firm, MAY if argument.weight < 0 else MUST):
            mixed_truths[position] = HOLDS if argument.weight < 0 else FAILS
            _shift(lead, weights.mixed_spans[position][OPEN], weights.mixed_spans[position][mixed_truths[position]])
    return Standing(weights, ruling_truths, mixed_truths, surely, maybe, lead)


def _always(outlook: Outlook, condition: Condition, state: Sequence[int], firm: frozenset[int], mode: int) -> bool:
    """Whether an open condition may hold, or cannot be sure to hold, whatever the missing answers are."""
    left = outlook.book.open_variables(condition, state)
    if left.isdisjoint(firm) or left <= firm:
        return not left.isdisjoint(firm)
    key = (condition, mode, tuple([(state[v], v in firm) for v in outlook.around(condition)]))
    found: bool | None = outlook.memory.get(key)
    if found is None:
        cells = {v: list(single_cells(state[v])) for v in left - firm}
        found = False
        if math.prod(len(some) for some in cells.values()) <= _LARGEST:
            block = grid_of(outlook, state, frozenset(), cells).block
            holds = block.holds(condition, mode) & block.valid
            found = holds == (block.valid if mode == MAY else 0)
        outlook.memory[key] = found
    return found


_LARGEST = 1 << 12


def with_least(stand: Standing, state: Sequence[int], firm: frozenset[int]) -> Standing:
    """The standing in which arguments about one unsure variable alone give each option the least they can."""
    weights, lead = stand.weights, stand.lead.copy()
    size = len(weights.base)
    for variable in firm.intersection(weights.tables):
        least = [0] * size
        for option, low, _ in weights.bounds(variable, state[variable]):
            least[option] = low
        _shift(lead, weights.span(variable, state[variable]), [a - b for a in least for b in least])
    return Standing(weights, stand.ruling_truths, stand.mixed_truths, stand.surely_out, stand.maybe_out, lead)


def _rule(surely: list[int], maybe: list[int], options: Sequence[int], truth: int) -> None:
    """Count a ruling that was open as what it has come to."""
    for option in options:
        maybe[option] -= 1
        surely[option] += truth == HOLDS


def narrowed(stand: Standing, variable: int, before: int, state: list[int]) -> Standing:
    """How a decision stands once one variable is known better.

    Args:
        stand: How it stood.
        variable: The variable.
        before: The cells it could be in.
        state: The whole state after that.
    """
    weights = stand.weights
    surely, maybe, lead = stand.surely_out.copy(), stand.maybe_out.copy(), stand.lead.copy()
    ruling_truths, mixed_truths = stand.ruling_truths.copy(), stand.mixed_truths.copy()
    if variable in weights.tables:
        _shift(lead, weights.span(variable, before), weights.span(variable, state[variable]))
    for position in weights.rulings_of.get(variable, ()):
        truth = weights.rulings[position].condition.truth(state)
        if ruling_truths[position] == OPEN and truth != OPEN:
            ruling_truths[position] = truth
            _rule(surely, maybe, weights.ruled_options[position], truth)
    for position in weights.mixed_of.get(variable, ()):
        truth = weights.mixed[position][0].condition.truth(state)
        if mixed_truths[position] == OPEN and truth != OPEN:
            spans = weights.mixed_spans[position]
            _shift(lead, spans[OPEN], spans[truth])
            mixed_truths[position] = truth
    return Standing(weights, ruling_truths, mixed_truths, surely, maybe, lead)


def _shift(lead: list[int], before: Sequence[int], after: Sequence[int]) -> None:
    for place, (old, new) in enumerate(zip(before, after, strict=True)):
        lead[place] += new - old
