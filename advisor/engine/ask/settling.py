"""Whether a decision that bounds leave open is settled all the same, and what is known about the answers it needs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from advisor.engine.ask.blocks import Block
from advisor.engine.ask.completions import outlook_of, pool_block
from advisor.engine.ask.disputes import Dispute, about_stopping, dispute_of, disputed, outcomes
from advisor.engine.ask.grids import Turn
from advisor.engine.ask.relevance import Budget, Witness, comes_to, drawn, drawn_turn, turn_of
from advisor.engine.decide import Standing
from advisor.engine.state import Answers
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import OPEN
from advisor.rulebase.model import RuleBase

_PROOFS_KEPT = 8
_LOOKS_KEPT = 8


@frozen
class Proof:
    """Variables that were shown not to turn a decision.

    Attributes:
        state: What was possible then; it holds wherever less is possible.
        unsure: The variables that were answered but stay open.
        idle: The variables.
    """

    state: tuple[int, ...]
    unsure: frozenset[int]
    idle: frozenset[int]

    def covers(self, state: tuple[int, ...], unsure: frozenset[int]) -> bool:
        """Whether it still holds."""
        return unsure == self.unsure and not any(now & ~then for now, then in zip(state, self.state, strict=True))


@dataclass(slots=True)
class Look:
    """A dispute with what is known about it; made once for each state.

    Attributes:
        dispute: The dispute.
        in_play: The free variables that may still turn it, as far as bounds tell.
        idle: Variables that are known not to turn it.
        block: Drawn completions of it.
        parted: The drawn completions by outcome.
        budget: What may still be spent on searching.
        several: Whether the search has shown several outcomes, or was too long.
    """

    dispute: Dispute
    in_play: frozenset[int]
    idle: frozenset[int]
    block: Block
    parted: dict[int, int]
    budget: Budget = field(default_factory=Budget)
    several: bool = False

    def settled(self) -> int | None:
        """The outcome if it is the same for every completion, otherwise None.

        If the drawn completions do not show that it is not, they are drawn anew around one that does.
        """
        if len(self.parted) > 1 or self.several:
            return None
        if self.parted and self.in_play <= self.idle:
            return next(iter(self.parted))
        found = comes_to(self.dispute, self.budget)
        if len(found) == 1 and not self.budget.spent:
            self.learn(self.in_play)
            return next(iter(found))
        self.several = True
        for outcome, witness in found.items():
            if outcome not in self.parted and self._redrawn(witness):
                break
        return None

    def _redrawn(self, witness: Witness) -> bool:
        """Draw around a completion; keep that only if it shows several outcomes."""
        block = pool_block(self.dispute.outlook, self.dispute.state, self.dispute.free, witness)
        parted = _parted(self.dispute, block)
        if len(parted) < 2:
            return False
        self.block, self.parted = block, parted
        return True

    def drawn_turn(self, variables: Iterable[int]) -> Turn | None:
        """A change of one of some variables that turns the dispute in a drawn completion."""
        turns = (drawn_turn(self.dispute, self.block, self.parted, variable) for variable in sorted(variables))
        return next((turn for turn in turns if turn is not None), None)

    def searched_turn(self, variables: Iterable[int]) -> Turn | None:
        """A change of one of some variables that turns the dispute, by the whole search."""
        for variable in sorted(self.in_play.intersection(variables) - self.idle):
            turn = turn_of(self.dispute, variable, self.budget)
            if turn is not None:
                return turn
            if not self.budget.spent:
                self.learn(frozenset((variable,)))
        return None

    def learn(self, idle: frozenset[int]) -> None:
        """Remember that some variables do not turn the dispute, here and wherever less is possible."""
        if not idle <= self.idle:
            self.idle |= idle
            proofs = _proofs(self.dispute)
            proofs.insert(0, Proof(self.dispute.state, self.dispute.unsure, self.idle))
            del proofs[_PROOFS_KEPT:]


def look_at(dispute: Dispute) -> Look:
    """What is known about a dispute."""
    looks: dict[object, Look] = dispute.outlook.memory.setdefault("looks", {})
    key = (dispute.weights.decision.name, dispute.stops, dispute.state, dispute.free)
    found = looks.get(key)
    if found is None:
        if len(looks) >= _LOOKS_KEPT:
            del looks[next(iter(looks))]
        found = looks[key] = _new_look(dispute)
    return found


def _new_look(dispute: Dispute) -> Look:
    covering = (proof.idle for proof in _proofs(dispute) if proof.covers(dispute.state, dispute.unsure))
    block = drawn(dispute)
    return Look(
        dispute,
        frozenset(disputed(dispute)),
        frozenset().union(*covering),
        block,
        _parted(dispute, block),
    )


def _parted(dispute: Dispute, block: Block) -> dict[int, int]:
    found = ((outcome, mask & block.valid) for outcome, mask in outcomes(dispute, block).items())
    return {outcome: mask for outcome, mask in found if mask}


def _proofs(dispute: Dispute) -> list[Proof]:
    kept: list[Proof] = dispute.outlook.memory.setdefault(("proofs", dispute.weights.decision.name, dispute.stops), [])
    return kept


def free_variables(rule_base: RuleBase, answers: Answers, state: Sequence[int]) -> frozenset[int]:
    """The variables of the facts that were not asked and whose value does not follow."""
    return frozenset(
        variable
        for name, fact in rule_base.facts.items()
        if name not in answers
        for variable in fact.variables
        if state[variable] & (state[variable] - 1)
    )


def _for_good(dispute: Dispute, stand: Standing) -> bool:
    """Whether nothing that was answered as not known can bear on it either, as far as bounds tell."""
    weights, book = dispute.weights, dispute.outlook.book
    arguments = [*weights.rulings, *(argument for argument, _ in weights.mixed)]
    truths = [*stand.ruling_truths, *stand.mixed_truths]
    return dispute.unsure.isdisjoint(weights.tables) and all(
        dispute.unsure.isdisjoint(book.open_variables(argument.condition, dispute.state))
        for argument, truth in zip(arguments, truths, strict=True)
        if truth == OPEN
    )


@frozen
class Settled:
    """A decision that no fact that was not asked can change any more.

    Attributes:
        option: The option it takes; None when that is what bounds say already.
        for_good: Whether nothing that was answered as not known can change it either.
    """

    option: int | None
    for_good: bool


def exactly_settled(rule_base: RuleBase, answers: Answers, stand: Standing, state: Sequence[int]) -> Settled | None:
    """Whether no fact that was not asked can change a decision; None if some still can.

    Args:
        rule_base: The rules.
        answers: The answers.
        stand: How the decision stands.
        state: What is possible, earlier decisions fixed.
    """
    free = free_variables(rule_base, answers, state)
    dispute = dispute_of(outlook_of(rule_base), stand, state, free)
    if not disputed(dispute):
        return Settled(None, False)
    if dispute.weights.decision.entry.stops and len(look_at(about_stopping(dispute)).parted) > 1:
        return None
    option = look_at(dispute).settled()
    return None if option is None else Settled(option, _for_good(dispute, stand))


MOST_RULES = 600
"""With more arguments about one decision than this, looking at completions takes too long; bounds decide alone."""


def too_many_rules(rule_base: RuleBase) -> bool:
    """Whether a rule base is too large for looking at completions."""
    return any(len(decision.arguments) > MOST_RULES for decision in rule_base.agenda.values())
