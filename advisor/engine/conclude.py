"""Everything that follows from a set of answers: decisions, hazards, steps and what is still open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Literal

from advisor.engine.causes import PreparedOption, SeveralOutcome, judge, prepare_options
from advisor.engine.decide import PreparedDecision, Tally, cautious_choice, prepare, tally_of
from advisor.engine.implied import implied_value
from advisor.engine.state import NOT_KNOWN, Answers, NotKnown, state_of
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, OPEN, Condition
from advisor.rulebase.model import Decision, Preparation, RuleBase

OutcomeKind = Literal["work", "first", "find_out", "stop"]
"""Work; work after preparations; find out first; stop."""


@frozen
class PreparedDecisions:
    """The decisions of one consultation, prepared for fast evaluation.

    Attributes:
        for_one: Those of which one option is taken, by name.
        for_several: Those of which several options may be taken, by name.
    """

    for_one: Mapping[str, PreparedDecision]
    for_several: Mapping[str, dict[str, PreparedOption]]


def prepared_decisions(rule_base: RuleBase) -> PreparedDecisions:
    """The prepared decisions of a rule base, prepared on first use."""
    return rule_base.once(_prepare)


def _prepare(rule_base: RuleBase) -> PreparedDecisions:
    agenda = rule_base.agenda
    return PreparedDecisions(
        {name: prepare(rule_base, decision) for name, decision in agenda.items() if not decision.entry.several},
        {name: prepare_options(rule_base, decision) for name, decision in agenda.items() if decision.entry.several},
    )


def prepared_for_one(rule_base: RuleBase) -> Mapping[str, PreparedDecision]:
    """The prepared decisions for one option of a rule base, prepared on first use."""
    return prepared_decisions(rule_base).for_one


@frozen
class Outcome:
    """How one decision comes out.

    Attributes:
        decision: The decision.
        tally: How its arguments stand.
        possible: The options that may still win, as bits.
        chosen: The option to take now, cautious about what is not known.
        support: Least and greatest support of each option.
    """

    decision: Decision
    tally: Tally
    possible: int
    chosen: str
    support: tuple[tuple[int, int], ...]

    @property
    def settled(self) -> bool:
        """Whether no open condition can still change it."""
        return not self.possible & (self.possible - 1)

    @property
    def stops(self) -> bool:
        """Whether the chosen option means that work stops."""
        return self.chosen in self.decision.entry.stops

    @property
    def stops_by_what_is_known(self) -> bool:
        """Whether work stops for what is known, and not only because something is not known.

        A danger that is seen stops the work, though what is not seen yet could still bring something better. The
        fallback stops only where nothing can change it any more.
        """
        if not self.stops or self.settled:
            return self.stops
        options = self.decision.options
        if self.chosen == self.decision.fallback:
            return False
        least = self.support[options.index(self.chosen)][0]
        held_back = (place for place in range(len(options)) if self.tally.ruled_out(place) == OPEN)
        return all(self.support[place][0] <= least for place in held_back)


@frozen
class Conclusions:
    """What follows from a set of answers.

    Attributes:
        rule_base: The rules.
        answers: The answers.
        open_state: What is possible, with each decision left open as far as it is.
        state: The same with every decision fixed to what is chosen now.
        outcomes: The decisions for one option, by name.
        several: The decisions for several options, by name.
    """

    rule_base: RuleBase
    answers: Answers
    open_state: tuple[int, ...]
    state: tuple[int, ...]
    outcomes: Mapping[str, Outcome]
    several: Mapping[str, SeveralOutcome] = field(default_factory=dict)

    @property
    def stops(self) -> bool:
        """Whether work stops."""
        return any(outcome.stops for outcome in self.outcomes.values())

    @property
    def kind(self) -> OutcomeKind:
        """What it comes to: a stop only where it is not merely for want of knowing."""
        stopping = [outcome for outcome in self.outcomes.values() if outcome.stops]
        if any(outcome.stops_by_what_is_known for outcome in stopping):
            return "stop"
        waiting = any(
            outcome.chosen in outcome.decision.entry.only_when_settled and not outcome.settled
            for outcome in self.outcomes.values()
        )
        if stopping or waiting or self.wanted():
            return "find_out"
        return "first" if self.preparations() else "work"

    def wanted(self) -> list[str]:
        """Names of the facts that are not known, and without which no work is planned."""
        return [
            name
            for name, fact in self.rule_base.facts.items()
            if fact.must_be_known is not None
            and isinstance(self.answers.get(name, NOT_KNOWN), NotKnown)
            and implied_value(fact, self.state) is None
            and self.truth(fact.must_be_known) != FAILS
        ]

    def preparations(self) -> list[Preparation]:
        """What has to be done first, in order; what is not known to be there counts as lacking."""
        found = [one for one in self.rule_base.preparations.values() if self.truth(one.condition) != FAILS]
        return sorted(found, key=lambda one: (not one.tonight, one.entry.order))

    @property
    def settled(self) -> bool:
        """Whether every decision is settled."""
        return all(r.settled for r in self.outcomes.values()) and all(v.settled for v in self.several.values())

    def truth(self, condition: Condition) -> int:
        """Truth of a condition with the decisions as chosen now."""
        return condition.truth(self.state)

    def attached(self, name: str) -> bool:
        """Whether a hazard is attached: unless it is excluded."""
        return self.truth(self.rule_base.hazards[name].condition) != FAILS

    def hazards(self) -> list[str]:
        """Names of the attached hazards, in the order of the rule base."""
        state = self.state
        return [n for n, hazard in self.rule_base.hazards.items() if hazard.condition.truth(state) != FAILS]


def conclude(rule_base: RuleBase, answers: Answers) -> Conclusions:
    """What follows from the answers.

    Raises:
        ContradictionError: If answers contradict each other.
    """
    return conclude_state(rule_base, answers, state_of(rule_base, answers))


def conclude_state(rule_base: RuleBase, answers: Answers, state: list[int]) -> Conclusions:
    """What follows from a state that is already known."""
    return conclude_forced(rule_base, answers, state, {})


def conclude_forced(rule_base: RuleBase, answers: Answers, state: list[int], forced: Mapping[str, str]) -> Conclusions:
    """What would follow if some decisions were taken otherwise, to lay routes side by side.

    Args:
        rule_base: The rules.
        answers: The answers.
        state: The state of the answers.
        forced: The option to take for some decisions, whatever speaks against it.
    """
    open_state, fixed = list(state), list(state)
    outcomes: dict[str, Outcome] = {}
    several: dict[str, SeveralOutcome] = {}
    ready = prepared_decisions(rule_base)
    for name in rule_base.agenda:
        if name in ready.for_several:
            outcome = several[name] = judge(rule_base.decisions[name], ready.for_several[name], fixed)
            for index, one in zip(outcome.decision.variables, outcome.supports.values(), strict=True):
                open_state[index], fixed[index] = one.domain(outcome.taken_at), one.acted_on(outcome.taken_at)
            continue
        prepared = ready.for_one[name]
        cautious = tally_of(prepared, fixed)
        tally = cautious if open_state == fixed else tally_of(prepared, open_state)
        support = cautious.support()
        choice = cautious_choice(cautious, support)
        if name in forced:
            choice = prepared.decision.options.index(forced[name])
        possible = tally.possible()
        open_state[prepared.decision.variable] = possible
        fixed[prepared.decision.variable] = 1 << choice
        chosen = prepared.decision.options[choice]
        outcomes[name] = Outcome(prepared.decision, cautious, possible, chosen, tuple(support))
    return Conclusions(rule_base, answers, tuple(open_state), tuple(fixed), outcomes, several)
