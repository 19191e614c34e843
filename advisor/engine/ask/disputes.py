"""A decision that bounds leave open: what can still tell its options apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import lru_cache

from advisor.engine.ask.blocks import Block
from advisor.engine.ask.completions import Outlook
from advisor.engine.ask.narrowing import cautious, firmly_unsure, narrowed, unsure_variables, with_least
from advisor.engine.ask.winners import unstruck, winners
from advisor.engine.decide import Standing, Weights, standing
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import OPEN, Condition, single_cells


@frozen
class Dispute:
    """A decision that bounds leave open.

    Attributes:
        outlook: The outlook of the rule base.
        state: What is possible, earlier decisions fixed.
        free: The variables of the facts that were not asked and do not follow.
        unsure: The variables of facts that were answered but stay open.
        stand: How the decision stands; what stays open in the advice counts as it does there.
        options: The options that may still win.
        stops: Whether it is only about stopping: all options that stop are alike, and so are all others.
        striking: Whether work stops exactly where every option that does not stop is struck.
    """

    outlook: Outlook
    state: tuple[int, ...]
    free: frozenset[int]
    unsure: frozenset[int]
    stand: Standing
    options: tuple[int, ...]
    stops: bool
    striking: bool

    @property
    def weights(self) -> Weights:
        """The prepared decision."""
        return self.stand.weights

    @property
    def over(self) -> bool:
        """Whether bounds leave one outcome only."""
        return len({self.comes_to(option) for option in self.options}) < 2

    def comes_to(self, option: int) -> int:
        """The outcome when an option is taken: whether work stops (0 or 1), or the option itself."""
        return int(stops_with(self.weights, option)) if self.stops else option


def stops_with(weights: Weights, option: int) -> bool:
    """Whether work stops when an option is taken."""
    return weights.decision.options[option] in weights.decision.entry.stops


def dispute_of(
    outlook: Outlook, stand: Standing, state: Sequence[int], free: frozenset[int], stops: bool = False
) -> Dispute:
    """A decision as it stands in a state.

    Args:
        outlook: The outlook of the rule base.
        stand: How the decision stands there.
        state: What is possible, earlier decisions fixed.
        free: The variables of the facts that were not asked and do not follow.
        stops: Whether only stopping is looked at.
    """
    unsure = unsure_variables(outlook, state, free)
    if unsure:
        firm = firmly_unsure(outlook, state, unsure)
        stand = cautious(with_least(stand, state, firm), outlook, state, firm)
    return _dispute(outlook, stand, tuple(state), free, unsure, stops)


def _dispute(
    outlook: Outlook,
    stand: Standing,
    state: tuple[int, ...],
    free: frozenset[int],
    unsure: frozenset[int],
    stops: bool,
) -> Dispute:
    possible = stand.possible()
    options = tuple(option for option in range(len(stand.weights.base)) if possible >> option & 1)
    return Dispute(outlook, state, free, unsure, stand, options, stops, stops and _by_striking(stand, options))


def _by_striking(stand: Standing, options: tuple[int, ...]) -> bool:
    weights = stand.weights
    stopping = [option for option in options if stops_with(weights, option)]
    if stopping != [weights.decision.options.index(weights.decision.fallback)]:
        return False
    row = stopping[0] * len(weights.base)
    return all(stand.lead[row + option] < 0 for option in options if option not in stopping)


def about_stopping(dispute: Dispute) -> Dispute:
    """The same decision, only stopping looked at."""
    return _dispute(dispute.outlook, dispute.stand, dispute.state, dispute.free, dispute.unsure, True)


def split_by(dispute: Dispute, variable: int, cells: Iterable[int]) -> Iterator[Dispute]:
    """The dispute once a variable is in each of some cells, unless that contradicts what was answered."""
    for cell in cells:
        part = _put(dispute, variable, cell)
        if part is not None:
            yield part


def _put(dispute: Dispute, variable: int, cell: int) -> Dispute | None:
    """The dispute once a variable is in a cell, with what follows from it; None if that cannot be."""
    outlook, stand, state = dispute.outlook, dispute.stand, list(dispute.state)
    free, unsure = dispute.free, dispute.unsure
    waiting = [(variable, cell)]
    while waiting:
        index, bits = waiting.pop()
        before = state[index]
        state[index] &= bits
        if not state[index]:
            return None
        if state[index] != before:
            stand = narrowed(stand, index, before, state)
            if not state[index] & (state[index] - 1):
                free, unsure = free - {index}, unsure - {index}
            for follow in outlook.follows_of.get(index, ()):
                if follow.sure(state):
                    waiting += follow.cells
    if unsure:
        stand = cautious(stand, outlook, state, firmly_unsure(outlook, state, unsure))
    return _dispute(outlook, stand, tuple(state), free, unsure, dispute.stops)


def fresh(outlook: Outlook, weights: Weights, state: Sequence[int], free: frozenset[int]) -> Dispute:
    """A dispute whose standing is not known yet."""
    return dispute_of(outlook, standing(weights, list(state)), state, free)


def open_conditions(dispute: Dispute) -> Iterator[Condition]:
    """The conditions that can still tell the possible options apart."""
    weights, stand = dispute.weights, dispute.stand
    options = set(dispute.options)
    if dispute.striking:
        options = {option for option in options if not stops_with(weights, option)}
    for argument, struck, truth in zip(weights.rulings, weights.ruled_options, stand.ruling_truths, strict=True):
        if truth == OPEN and not options.isdisjoint(struck):
            yield argument.condition
    if not dispute.striking:
        for (argument, vector), truth in zip(weights.mixed, stand.mixed_truths, strict=True):
            if truth == OPEN and len({vector[option] for option in options}) > 1:
                yield argument.condition


def _kinds(dispute: Dispute, variable: int) -> tuple[int, ...]:
    """The cells of a variable, parted by what the arguments about it alone say about the possible options."""
    key = (dispute.weights.decision.name, variable, dispute.state[variable], dispute.options)
    found: tuple[int, ...] | None = dispute.outlook.memory.get(key)
    if found is None:
        table, options = dispute.weights.tables[variable], dispute.options
        kinds: dict[tuple[int, ...], int] = {}
        for cell in single_cells(dispute.state[variable]):
            row = table[cell.bit_length() - 1]
            leads = tuple(row[option] - row[options[0]] for option in options)
            kinds[leads] = kinds.get(leads, 0) | cell
        found = dispute.outlook.memory[key] = tuple(kinds.values())
    return found


def disputed(dispute: Dispute) -> set[int]:
    """The free variables that may still turn the decision, as far as bounds tell."""
    found: set[int] = set()
    for condition in open_conditions(dispute):
        found |= dispute.outlook.book.open_variables(condition, dispute.state)
    found &= dispute.free
    if not dispute.striking:
        for variable in dispute.weights.tables:
            if variable in dispute.free and len(_kinds(dispute, variable)) > 1:
                found.add(variable)
    return found


def classes_of(dispute: Dispute, variables: set[int]) -> dict[int, tuple[int, ...]]:
    """For each variable one cell of each kind: cells that no open condition tells apart are of one kind."""
    book, tables = dispute.outlook.book, {} if dispute.striking else dispute.weights.tables
    conditions = set(open_conditions(dispute))
    splits: dict[int, set[int]] = {variable: set() for variable in sorted(variables)}
    for variable in splits:
        for follow in dispute.outlook.follows_of.get(variable, ()):
            conditions.update((follow.condition, *follow.unless))
            for tied, bits in follow.cells:
                if tied in splits:
                    splits[tied].add(bits)
        if variable in tables:
            splits[variable].update(_kinds(dispute, variable))
    for condition in conditions:
        for variable, inside in book.tests(condition):
            if variable in splits:
                splits[variable].add(inside)
    return {variable: representatives(dispute.state[variable], found) for variable, found in splits.items()}


def representatives(cells: int, splits: Iterable[int]) -> tuple[int, ...]:
    """One cell of each kind, cells being of one kind when no split parts them."""
    return _parted(cells, tuple(sorted(splits)))


@lru_cache(maxsize=8192)
def _parted(cells: int, splits: tuple[int, ...]) -> tuple[int, ...]:
    kinds = [cells]
    for inside in splits:
        kinds = [part for kind in kinds for part in (kind & inside, kind & ~inside) if part]
    return tuple(kind & -kind for kind in kinds)


def outcomes(dispute: Dispute, block: Block) -> dict[int, int]:
    """The completions of a block by what the decision comes to: an option, or whether work stops (0 or 1)."""
    if dispute.striking:
        standing_options = [option for option in dispute.options if not stops_with(dispute.weights, option)]
        left = 0
        for mask in unstruck(dispute.stand, block, standing_options).values():
            left |= mask
        return {0: left, 1: block.valid & ~left}
    taken = winners(dispute.stand, block, dispute.options)
    if not dispute.stops:
        return taken
    found = {0: 0, 1: 0}
    for option, mask in taken.items():
        found[int(stops_with(dispute.weights, option))] |= mask
    return found
