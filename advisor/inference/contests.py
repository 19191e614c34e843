"""A decision that bounds leave open: what can still tell its options apart."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from advisor.inference.blocks import Block
from advisor.inference.completions import Outlook
from advisor.inference.deciding import Standing, Weights, standing
from advisor.inference.winners import unstruck, winners
from advisor.knowledge.conditions import HOLDS, OPEN, Condition, single_cells


@dataclass(frozen=True, slots=True)
class Contest:
    """A decision that bounds leave open.

    Attributes:
        outlook: The outlook of the rule base.
        state: What is possible, earlier decisions fixed.
        free: The variables of the facts that were not asked and do not follow.
        stand: How the decision stands.
        options: The options that may still win.
        stops: Whether it is only about stopping: all options that stop are alike, and so are all others.
        striking: Whether work stops exactly where every option that does not stop is struck.
    """

    outlook: Outlook
    state: tuple[int, ...]
    free: frozenset[int]
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


def contest_of(
    outlook: Outlook, stand: Standing, state: Sequence[int], free: frozenset[int], stops: bool = False
) -> Contest:
    """A decision as it stands in a state.

    Args:
        outlook: The outlook of the rule base.
        stand: How the decision stands there.
        state: What is possible, earlier decisions fixed.
        free: The variables of the facts that were not asked and do not follow.
        stops: Whether only stopping is looked at.
    """
    possible = stand.possible()
    options = tuple(option for option in range(len(stand.weights.base)) if possible >> option & 1)
    return Contest(outlook, tuple(state), free, stand, options, stops, stops and _by_striking(stand, options))


def _by_striking(stand: Standing, options: tuple[int, ...]) -> bool:
    weights = stand.weights
    stopping = [option for option in options if stops_with(weights, option)]
    if stopping != [weights.decision.options.index(weights.decision.fallback)]:
        return False
    row = stopping[0] * len(weights.base)
    return all(stand.lead[row + option] < 0 for option in options if option not in stopping)


def about_stopping(contest: Contest) -> Contest:
    """The same decision, only stopping looked at."""
    return contest_of(contest.outlook, contest.stand, contest.state, contest.free, stops=True)


def split_by(contest: Contest, variable: int, cells: Iterable[int]) -> Iterator[tuple[int, Contest]]:
    """The contest once a variable is in each of some cells, unless that contradicts what was answered."""
    for cell in cells:
        state = list(contest.state)
        before, state[variable] = state[variable], cell
        if not any(follow.denied(state) for follow in contest.outlook.follows_of.get(variable, ())):
            stand = narrowed(contest.stand, variable, before, state)
            yield cell, contest_of(contest.outlook, stand, state, contest.free - {variable}, contest.stops)


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
        if truth != ruling_truths[position]:
            ruling_truths[position] = truth
            for option in weights.ruled_options[position]:
                maybe[option] -= 1
                surely[option] += truth == HOLDS
    for position in weights.mixed_of.get(variable, ()):
        truth = weights.mixed[position][0].condition.truth(state)
        if truth != mixed_truths[position]:
            spans = weights.mixed_spans[position]
            _shift(lead, spans[mixed_truths[position]], spans[truth])
            mixed_truths[position] = truth
    return Standing(weights, ruling_truths, mixed_truths, surely, maybe, lead)


def _shift(lead: list[int], before: tuple[int, ...], after: tuple[int, ...]) -> None:
    for place, (old, new) in enumerate(zip(before, after, strict=True)):
        lead[place] += new - old


def fresh(outlook: Outlook, weights: Weights, state: Sequence[int], free: frozenset[int]) -> Contest:
    """A contest whose standing is not known yet."""
    return contest_of(outlook, standing(weights, list(state)), state, free)


def open_conditions(contest: Contest) -> Iterator[Condition]:
    """The conditions that can still tell the possible options apart."""
    weights, stand = contest.weights, contest.stand
    options = set(contest.options)
    if contest.striking:
        options = {option for option in options if not stops_with(weights, option)}
    for argument, struck, truth in zip(weights.rulings, weights.ruled_options, stand.ruling_truths, strict=True):
        if truth == OPEN and not options.isdisjoint(struck):
            yield argument.condition
    if not contest.striking:
        for (argument, vector), truth in zip(weights.mixed, stand.mixed_truths, strict=True):
            if truth == OPEN and len({vector[option] for option in options}) > 1:
                yield argument.condition


def _kinds(contest: Contest, variable: int) -> tuple[int, ...]:
    """The cells of a variable, parted by what the arguments about it alone say about the possible options."""
    key = (contest.weights.decision.name, variable, contest.state[variable], contest.options)
    found: tuple[int, ...] | None = contest.outlook.memory.get(key)
    if found is None:
        table, options = contest.weights.tables[variable], contest.options
        kinds: dict[tuple[int, ...], int] = {}
        for cell in single_cells(contest.state[variable]):
            row = table[cell.bit_length() - 1]
            leads = tuple(row[option] - row[options[0]] for option in options)
            kinds[leads] = kinds.get(leads, 0) | cell
        found = contest.outlook.memory[key] = tuple(kinds.values())
    return found


def contested(contest: Contest) -> set[int]:
    """The free variables that may still turn the decision, as far as bounds tell."""
    found: set[int] = set()
    for condition in open_conditions(contest):
        found |= contest.outlook.book.open_variables(condition, contest.state)
    found &= contest.free
    if not contest.striking:
        for variable in contest.weights.tables:
            if variable in contest.free and len(_kinds(contest, variable)) > 1:
                found.add(variable)
    return found


def classes_of(contest: Contest, variables: set[int]) -> dict[int, list[int]]:
    """For each variable one cell of each kind: cells that no open condition tells apart are of one kind."""
    book, tables = contest.outlook.book, {} if contest.striking else contest.weights.tables
    conditions = set(open_conditions(contest))
    splits: dict[int, set[int]] = {variable: set() for variable in sorted(variables)}
    for variable in splits:
        for follow in contest.outlook.follows_of.get(variable, ()):
            conditions.update((follow.condition, *follow.unless))
            for tied, bits in follow.cells:
                if tied in splits:
                    splits[tied].add(bits)
        if variable in tables:
            splits[variable].update(_kinds(contest, variable))
    for condition in conditions:
        for variable, inside in book.tests(condition):
            if variable in splits:
                splits[variable].add(inside)
    return {variable: representatives(contest.state[variable], found) for variable, found in splits.items()}


def representatives(cells: int, splits: Iterable[int]) -> list[int]:
    """One cell of each kind, cells being of one kind when no split parts them."""
    kinds = [cells]
    for inside in splits:
        kinds = [part for kind in kinds for part in (kind & inside, kind & ~inside) if part]
    return [kind & -kind for kind in kinds]


def outcomes(contest: Contest, block: Block) -> dict[int, int]:
    """The completions of a block by what the decision comes to: an option, or whether work stops (0 or 1)."""
    if contest.striking:
        standing_options = [option for option in contest.options if not stops_with(contest.weights, option)]
        left = 0
        for mask in unstruck(contest.stand, block, standing_options).values():
            left |= mask
        return {0: left, 1: block.valid & ~left}
    taken = winners(contest.stand, block, contest.options)
    if not contest.stops:
        return taken
    found = {0: 0, 1: 0}
    for option, mask in taken.items():
        found[int(stops_with(contest.weights, option))] |= mask
    return found
