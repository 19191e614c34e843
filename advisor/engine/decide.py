"""How a decision is taken from arguments of which some are still open.

The support of an option is the sum of its base and the weights of the arguments that hold. Open arguments make
it an interval. Arguments that test one variable only exclude each other (a share cannot be below and above a
limit at once), so they are summed cell by cell; this keeps the intervals tight. What decides between two
options is the greatest possible lead of one over the other, kept for every pair.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property

from advisor.engine.unsure import counted_truth
from advisor.engine.vectors import Vector, added_by, pair_span, spans_of, struck, summed
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, TruthFunction, single_cells
from advisor.rulebase.model import Argument, Decision, RuleBase


@dataclass
class PreparedDecision:
    """A decision prepared for fast evaluation.

    Attributes:
        decision: The decision.
        base: Base support of each option.
        rank: Place of each option in the tie order; options outside it share the last place.
        constraints: Arguments that require or rule out.
        tables: For each variable that single-variable arguments test, the support vector of each cell.
        mixed: Speaking arguments that test several variables, with the vector they add.
        struck_options: For each constraint, positions of the options that are out when it holds.
        mixed_spans: For each mixed argument, its pair spans when it fails, is open and holds.
        constraint_tests: The conditions of the constraints, as functions.
        mixed_tests: The conditions of the mixed arguments, as functions.
        spans: Memory of pair spans by variable and cells.
        extremes: Memory of least and greatest support by variable and cells.
    """

    decision: Decision
    base: Vector
    rank: Vector
    constraints: tuple[Argument, ...]
    tables: dict[int, tuple[Vector, ...]]
    mixed: tuple[tuple[Argument, Vector], ...]
    struck_options: tuple[Vector, ...]
    mixed_spans: tuple[tuple[Vector, Vector, Vector], ...]
    constraint_tests: tuple[TruthFunction, ...]
    mixed_tests: tuple[TruthFunction, ...]
    spans: dict[tuple[int, int], Vector] = field(default_factory=dict)
    extremes: dict[tuple[int, int], tuple[tuple[int, int, int], ...]] = field(default_factory=dict)

    # What a single conclusion does not look at is made when the first question is chosen.

    @cached_property
    def constraints_of(self) -> dict[int, tuple[int, ...]]:
        """For each variable, positions of the constraints that test it."""
        return _by_variable(self.constraints)

    @cached_property
    def mixed_of(self) -> dict[int, tuple[int, ...]]:
        """For each variable, positions of the mixed arguments that test it."""
        return _by_variable([argument for argument, _ in self.mixed])

    @cached_property
    def width(self) -> int:
        """Bits that hold every support, with its sign."""
        weights = [abs(argument.weight) for argument in self.decision.arguments]
        return (sum(weights) + max(map(abs, self.base))).bit_length() + 1

    @cached_property
    def variables(self) -> frozenset[int]:
        """Every variable that any argument tests."""
        return frozenset([v for argument in self.decision.arguments for v in argument.condition.variables])

    def span(self, variable: int, domain: int) -> Vector:
        """Greatest lead of each option over each other that this variable's arguments can give."""
        key = (variable, domain)
        found = self.spans.get(key)
        if found is None:
            found = self.spans[key] = pair_span(
                [self.tables[variable][cell.bit_length() - 1] for cell in single_cells(domain)]
            )
        return found

    def least_span(self, variable: int, domain: int) -> Vector:
        """Lead of each option over each other when this variable's arguments give each the least they can."""
        least = [0] * len(self.base)
        for option, low, _ in self.bounds(variable, domain):
            least[option] = low
        return pair_span([tuple(least)])

    def bounds(self, variable: int, domain: int) -> tuple[tuple[int, int, int], ...]:
        """Option, least and greatest support that this variable's arguments give it; zeros are left out."""
        key = (variable, domain)
        found = self.extremes.get(key)
        if found is None:
            columns = zip(*(self.tables[variable][cell.bit_length() - 1] for cell in single_cells(domain)), strict=True)
            extremes = ((option, min(column), max(column)) for option, column in enumerate(columns))
            found = self.extremes[key] = tuple(e for e in extremes if e[1] or e[2])
        return found


def prepare(rule_base: RuleBase, decision: Decision) -> PreparedDecision:
    """Prepare a decision; done once for each rule base."""
    options = decision.options
    order = decision.entry.tie_order
    # The weight tells them apart, so the entries of most arguments need not be looked at.
    constraints = tuple(a for a in decision.arguments if not a.weight)
    tables: dict[int, list[list[int]]] = {}
    mixed: list[tuple[Argument, Vector]] = []
    for argument in decision.arguments:
        if not argument.weight:
            continue
        vector = added_by(argument.weight, argument.options, options)
        if argument.condition.single is None:
            mixed.append((argument, vector))
            continue
        variable, inside = argument.condition.single
        table = tables.setdefault(variable, [[0] * len(options) for _ in rule_base.variables[variable].domain])
        for cell in single_cells(inside):
            row = table[cell.bit_length() - 1]
            for position, weight in enumerate(vector):
                row[position] += weight
    return PreparedDecision(
        decision=decision,
        base=tuple(decision.entry.options[option].base for option in options),
        rank=tuple(order.index(option) if option in order else len(order) for option in options),
        constraints=constraints,
        tables={variable: tuple(tuple(row) for row in table) for variable, table in tables.items()},
        mixed=tuple(mixed),
        struck_options=tuple(struck(argument.says, argument.options, options) for argument in constraints),
        mixed_spans=tuple(spans_of(vector) for _, vector in mixed),
        constraint_tests=tuple(argument.condition.truth for argument in constraints),
        mixed_tests=tuple(argument.condition.truth for argument, _ in mixed),
    )


def _by_variable(arguments: Iterable[Argument]) -> dict[int, tuple[int, ...]]:
    found: dict[int, list[int]] = {}
    for position, argument in enumerate(arguments):
        for variable in argument.condition.variables:
            found.setdefault(variable, []).append(position)
    return {variable: tuple(positions) for variable, positions in found.items()}


@dataclass(slots=True)
class Tally:
    """How a decision stands in one state.

    Attributes:
        prepared: The prepared decision.
        state: What is possible.
        unsure: Variables that stay open for good; what hangs on them counts as it does in the advice.
        constraint_truths: Truth of each constraint.
        mixed_truths: Truth of each mixed argument.
        surely_out: For each option, whether a constraint that holds strikes it.
        maybe_out: For each option, whether an open constraint strikes it.
        before: The tally that it differs from in some variables only, if any, and at least these variables.
    """

    prepared: PreparedDecision
    state: Sequence[int]
    unsure: frozenset[int]
    constraint_truths: list[int]
    mixed_truths: list[int]
    surely_out: list[bool] = field(init=False)
    maybe_out: list[bool] = field(init=False)
    before: tuple[Tally, Collection[int]] | None = None
    _leads: list[int] | None = field(init=False, default=None)
    _held: Vector | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        """Work out which options are struck."""
        prepared = self.prepared
        self.surely_out, self.maybe_out = [False] * len(prepared.base), [False] * len(prepared.base)
        for truth, options in zip(self.constraint_truths, prepared.struck_options, strict=True):
            if truth:
                out = self.surely_out if truth == HOLDS else self.maybe_out
                for option in options:
                    out[option] = True

    def held(self) -> Vector:
        """The support of each option by its base and by the mixed arguments that hold."""
        if self._held is None:
            mixed = zip(self.prepared.mixed, self.mixed_truths, strict=True)
            vectors = [self.prepared.base, *(vector for (_, vector), truth in mixed if truth == HOLDS)]
            self._held = tuple(summed(vectors))
        return self._held

    def ruled_out(self, option: int) -> int:
        """Whether an option is ruled out: holds, open or fails."""
        if self.surely_out[option]:
            return HOLDS
        return OPEN if self.maybe_out[option] else FAILS

    def possible(self) -> int:
        """The options that may still win, as bits."""
        size, rank, leads = len(self.prepared.base), self.prepared.rank, self.leads()
        certain = [option for option in range(size) if not self.surely_out[option] and not self.maybe_out[option]]
        winners = 0
        for option in range(size):
            if self.surely_out[option]:
                continue
            row = option * size
            for other in certain:
                lead = leads[row + other]
                if other != option and (lead < 0 or (lead == 0 and rank[other] < rank[option])):
                    break
            else:
                winners |= 1 << option
        if not certain:
            # Everything may turn out to be struck, by requirements that exclude each other too; the fallback stands.
            winners |= 1 << self.prepared.decision.options.index(self.prepared.decision.fallback)
        return winners

    def leads(self) -> list[int]:
        """For each pair of options, the greatest possible lead of the first over the second."""
        if self._leads is None:
            self._leads = self._moved_leads(*self.before) if self.before else self._summed_leads()
        return self._leads

    def _summed_leads(self) -> list[int]:
        prepared, state = self.prepared, self.state
        # What holds adds up option by option; only what is open has to be looked at pair by pair.
        spans = [pair_span([self.held()])]
        for variable in prepared.tables:
            span = prepared.least_span if variable in self.unsure else prepared.span
            spans.append(span(variable, state[variable]))
        by_truth = zip(prepared.mixed_spans, self.mixed_truths, strict=True)
        return summed([*spans, *(some[OPEN] for some, truth in by_truth if truth == OPEN)])

    def support(self) -> list[tuple[int, int]]:
        """Least and greatest support of each option."""
        prepared = self.prepared
        low = list(self.held())
        high = low.copy()
        for variable in prepared.tables:
            for option, least, greatest in prepared.bounds(variable, self.state[variable]):
                low[option] += least
                high[option] += greatest
        for (_, vector), truth in zip(prepared.mixed, self.mixed_truths, strict=True):
            if truth == OPEN:
                for option, weight in enumerate(vector):
                    low[option] += min(weight, 0)
                    high[option] += max(weight, 0)
        return list(zip(low, high, strict=True))

    def after(self, moved: Collection[int], state: Sequence[int]) -> Tally:
        """How the decision stands in a state that differs in some variables only.

        Args:
            moved: At least the variables that differ.
            state: The whole state then.
        """
        prepared, constraint_truths, mixed_truths = (
            self.prepared,
            self.constraint_truths.copy(),
            self.mixed_truths.copy(),
        )
        for variable in moved:
            for position in prepared.constraints_of.get(variable, ()):
                constraint_truths[position] = prepared.constraint_tests[position](state)
            for position in prepared.mixed_of.get(variable, ()):
                mixed_truths[position] = prepared.mixed_tests[position](state)
        before = None if self.unsure else (self, moved)
        return Tally(prepared, state, frozenset(), constraint_truths, mixed_truths, before)

    def _moved_leads(self, before: Tally, moved: Collection[int]) -> list[int]:
        """The leads by what differs alone."""
        prepared, leads = self.prepared, before.leads()
        changes = [
            (prepared.span(variable, before.state[variable]), prepared.span(variable, self.state[variable]))
            for variable in moved
            if variable in prepared.tables
        ]
        for position in {position for variable in moved for position in prepared.mixed_of.get(variable, ())}:
            spans = prepared.mixed_spans[position]
            changes.append((spans[before.mixed_truths[position]], spans[self.mixed_truths[position]]))
        for was, now in changes:
            if was is not now:
                leads = [lead - old + new for lead, old, new in zip(leads, was, now, strict=True)]
        return leads


def tally_of(prepared: PreparedDecision, state: Sequence[int], unsure: frozenset[int] = frozenset()) -> Tally:
    """How a decision stands in a state.

    Args:
        prepared: The prepared decision.
        state: What is possible.
        unsure: Variables that stay open for good; what hangs on them counts as it does in the advice.
    """
    if unsure:
        constraint_truths = [counted_truth(a.condition, state, unsure, may=True) for a in prepared.constraints]
        mixed_truths = [counted_truth(a.condition, state, unsure, may=a.weight < 0) for a, _ in prepared.mixed]
    else:
        constraint_truths = [truth(state) for truth in prepared.constraint_tests]
        mixed_truths = [truth(state) for truth in prepared.mixed_tests]
    return Tally(prepared, tuple(state), unsure, constraint_truths, mixed_truths)


def cautious_choice(tally: Tally, support: list[tuple[int, int]]) -> int:
    """The option to take with what is known now: never one that may be ruled out, then the best least support.

    The fallback is never ruled out by itself, so there is always one.

    Args:
        tally: How the decision stands.
        support: Least and greatest support of each option.
    """
    prepared = tally.prepared
    fallback = prepared.decision.options.index(prepared.decision.fallback)
    allowed = [o for o in range(len(support)) if tally.ruled_out(o) == FAILS] or [fallback]
    return min(allowed, key=lambda option: (-support[option][0], prepared.rank[option], option))
