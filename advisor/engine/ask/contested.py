"""A decision that is still open, and what can still turn it, as far as bounds tell.

Bounds never miss an answer that matters; now and then they keep one that does not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from advisor.engine.ask.completions import Outlook, outlook_of
from advisor.engine.conclude import Conclusions, Outcome
from advisor.engine.decide import PreparedDecision, Tally, tally_of
from advisor.engine.implied import implied_value
from advisor.engine.state import Answers
from advisor.engine.unsure import counting
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import OPEN, single_cells
from advisor.rulebase.model import Argument, RuleBase


@frozen
class Contested:
    """A decision with itself and all later ones open.

    Attributes:
        outlook: The outlook of the rule base.
        tally: How it stands; what was answered as not known counts as it does in the advice.
        state: What is possible, earlier decisions fixed.
        free: The variables of the facts that were not asked and do not follow.
        unsure: The variables of facts that were answered but stay open for good.
        options: Positions of the options that may still win.
    """

    outlook: Outlook
    tally: Tally
    state: tuple[int, ...]
    free: frozenset[int]
    unsure: frozenset[int]
    options: tuple[int, ...]

    @property
    def prepared(self) -> PreparedDecision:
        """The prepared decision."""
        return self.tally.prepared

    @property
    def settled(self) -> bool:
        """Whether only one option can still win."""
        return len(self.options) < 2

    def stops_with(self, option: int) -> bool:
        """Whether work stops when an option is taken."""
        decision = self.prepared.decision
        return decision.options[option] in decision.entry.stops

    @property
    def may_stop(self) -> bool:
        """Whether it is open that work stops."""
        return len({self.stops_with(option) for option in self.options}) > 1

    def in_play(self) -> frozenset[int]:
        """The free variables that can still change which of the possible options wins."""
        found = {v for argument in self._open_arguments() for v in self._open(argument)}
        found |= {v for v, table in self.prepared.tables.items() if v not in self.unsure and self._parts(v, table)}
        return self._deciding(found)

    def stopping(self) -> frozenset[int]:
        """Those that rules which make the work stop still hang on."""
        stops = set(self.prepared.decision.entry.stops)
        return self._deciding(
            variable
            for argument, truth in zip(self.prepared.constraints, self.tally.constraint_truths, strict=True)
            if truth == OPEN and argument.says == "require" and stops & set(argument.options)
            for variable in self._open(argument)
        )

    def _deciding(self, variables: Iterable[int]) -> frozenset[int]:
        return Reach(self.outlook, self.state, self.free).deciding(variables)

    def _open(self, argument: Argument) -> frozenset[int]:
        """The variables that can still change whether an argument counts."""
        condition = argument.condition
        return condition.open_variables(counting(condition, self.state, self.unsure, may=argument.weight <= 0))

    def _open_arguments(self) -> Iterator[Argument]:
        """The arguments that can still tell the possible options apart."""
        prepared, tally, options = self.prepared, self.tally, set(self.options)
        for argument, struck, truth in zip(
            prepared.constraints, prepared.struck_options, tally.constraint_truths, strict=True
        ):
            if truth == OPEN and not options.isdisjoint(struck):
                yield argument
        for (argument, vector), truth in zip(prepared.mixed, tally.mixed_truths, strict=True):
            if truth == OPEN and len({vector[option] for option in options}) > 1:
                yield argument

    def _parts(self, variable: int, table: Sequence[Sequence[int]]) -> bool:
        """Whether the cells of a variable say different things about the possible options."""
        rows = (table[cell.bit_length() - 1] for cell in single_cells(self.state[variable]))
        return len({tuple(row[option] - row[self.options[0]] for option in self.options) for row in rows}) > 1


def contested_of(conclusions: Conclusions, outcome: Outcome, *, with_unknown: bool = False) -> Contested:
    """A decision as it stands, with itself and all later ones open.

    Args:
        conclusions: What follows from the answers.
        outcome: How the decision comes out now.
        with_unknown: Whether what was answered as not known is left open, as if it were still to be found out.
    """
    rule_base, state = conclusions.rule_base, list(conclusions.state)
    names = list(conclusions.outcomes)
    for name in names[names.index(outcome.decision.name) :]:
        variable = rule_base.decisions[name].variable
        state[variable] = rule_base.variables[variable].full
    return contested_in(rule_base, conclusions.answers, outcome.tally, state, with_unknown=with_unknown)


def contested_in(
    rule_base: RuleBase, answers: Answers, tally: Tally, state: list[int], *, with_unknown: bool = False
) -> Contested:
    """A decision as it stands in a state; see :func:`contested_of`."""
    free = free_variables(rule_base, answers, state)
    unsure = frozenset() if with_unknown else unsure_for_good(rule_base, state, free)
    if unsure:
        tally = tally_of(tally.prepared, state, unsure)
    possible = tally.possible()
    options = tuple(option for option in range(len(tally.prepared.base)) if possible >> option & 1)
    return Contested(outlook_of(rule_base), tally, tuple(state), free, unsure, options)


def free_variables(rule_base: RuleBase, answers: Answers, state: Sequence[int]) -> frozenset[int]:
    """The variables of the facts that were not asked and whose value does not follow."""
    # No rule may tell the amounts of a fact apart, and it decides all the same through what is worked out from it.
    feeding = outlook_of(rule_base).depending
    return frozenset(
        variable
        for name, fact in rule_base.facts.items()
        if name not in answers and not fact.computed
        for variable in fact.variables
        if state[variable] & (state[variable] - 1) or (variable in feeding and implied_value(fact, state) is None)
    )


def unsure_for_good(rule_base: RuleBase, state: Sequence[int], free: frozenset[int]) -> frozenset[int]:
    """The variables of facts that were answered but stay open, and whose value cannot come to follow any more."""
    outlook, reach = outlook_of(rule_base), Reach(outlook_of(rule_base), state, free)
    found = {
        v
        for v in outlook.of_facts
        if state[v] & (state[v] - 1)
        and v not in free
        and not any(follows.open(state) for follows in outlook.follows_of.get(v, ()) if follows.ties(v))
    }
    # What is worked out stays open only where an answer can no longer narrow it.
    return frozenset(v for v in found if v not in outlook.inputs_of or not reach.hangs(v))


class Reach:
    """What decides about variables in one state."""

    def __init__(self, outlook: Outlook, state: Sequence[int], free: frozenset[int]) -> None:
        self._outlook, self._state, self._free = outlook, state, free
        self._nexts: dict[int, frozenset[int]] = {}

    def deciding(self, variables: Iterable[int]) -> frozenset[int]:
        """The free ones of some variables, and those from which the value of the others may still come to follow.

        What was answered as not known may follow yet from what was not asked; what is worked out hangs on its inputs.
        """
        return self._free.intersection(self._walk(variables))

    def hangs(self, variable: int) -> bool:
        """Whether anything decides about a variable."""
        return any(found in self._free for found in self._walk((variable,)))

    def _walk(self, variables: Iterable[int]) -> Iterator[int]:
        """Some variables and all from which their value may come, each once."""
        found = set(variables)
        waiting = list(found)
        while waiting:
            variable = waiting.pop()
            yield variable
            new = self._next(variable) - found
            found |= new
            waiting += new

    def _next(self, variable: int) -> frozenset[int]:
        """The variables that decide about one at first hand."""
        found = self._nexts.get(variable)
        if found is None:
            follows = self._outlook.follows_of.get(variable, ()) if variable not in self._free else ()
            open_ones = [f.open_variables(self._state) for f in follows if f.ties(variable) and f.open(self._state)]
            found = frozenset(self._outlook.inputs_of.get(variable, ())).union(*open_ones)
            self._nexts[variable] = found
        return found
