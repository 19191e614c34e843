"""Everything that follows from a set of answers: decisions, hazards, steps and what is still open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from advisor.engine.causes import Ballot, Verdict, judge, prepare_ballots
from advisor.engine.decide import Standing, Weights, cautious_choice, prepare, standing
from advisor.engine.state import Answers, state_of
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS, Condition
from advisor.rulebase.model import Decision, RuleBase


@frozen
class Prepared:
    """The decisions of one consultation, prepared for fast evaluation.

    Attributes:
        weights: Those of which one option is taken, by name.
        ballots: Those of which several options may be taken, by name.
    """

    weights: Mapping[str, Weights]
    ballots: Mapping[str, dict[str, Ballot]]


def prepared(rule_base: RuleBase) -> Prepared:
    """The prepared decisions of a rule base, prepared on first use."""
    return rule_base.once(_prepare)


def _prepare(rule_base: RuleBase) -> Prepared:
    agenda = rule_base.agenda
    return Prepared(
        {name: prepare(rule_base, decision) for name, decision in agenda.items() if not decision.entry.several},
        {name: prepare_ballots(rule_base, decision) for name, decision in agenda.items() if decision.entry.several},
    )


def weights_of(rule_base: RuleBase) -> Mapping[str, Weights]:
    """The prepared decisions for one option of a rule base, prepared on first use."""
    return prepared(rule_base).weights


@frozen
class Ruling:
    """How one decision comes out.

    Attributes:
        decision: The decision.
        standing: How its arguments stand.
        possible: The options that may still win, as bits.
        chosen: The option to take now, cautious about what is not known.
        support: Least and greatest support of each option.
    """

    decision: Decision
    standing: Standing
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


@frozen
class Conclusions:
    """What follows from a set of answers.

    Attributes:
        rule_base: The rules.
        answers: The answers.
        open_state: What is possible, with each decision left open as far as it is.
        state: The same with every decision fixed to what is chosen now.
        rulings: The decisions for one option, by name.
        verdicts: The decisions for several options, by name.
    """

    rule_base: RuleBase
    answers: Answers
    open_state: tuple[int, ...]
    state: tuple[int, ...]
    rulings: Mapping[str, Ruling]
    verdicts: Mapping[str, Verdict] = field(default_factory=dict)

    @property
    def stops(self) -> bool:
        """Whether work stops."""
        return any(ruling.stops for ruling in self.rulings.values())

    @property
    def settled(self) -> bool:
        """Whether every decision is settled."""
        return all(r.settled for r in self.rulings.values()) and all(v.settled for v in self.verdicts.values())

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
    rulings: dict[str, Ruling] = {}
    verdicts: dict[str, Verdict] = {}
    ready = prepared(rule_base)
    for name in rule_base.agenda:
        if name in ready.ballots:
            verdict = verdicts[name] = judge(rule_base.decisions[name], ready.ballots[name], fixed)
            for index, one in zip(verdict.decision.variables, verdict.supports.values(), strict=True):
                open_state[index], fixed[index] = one.cells(verdict.taken_at), one.acted_on(verdict.taken_at)
            continue
        weights = ready.weights[name]
        cautious = standing(weights, fixed)
        stand = cautious if open_state == fixed else standing(weights, open_state)
        support = cautious.support()
        choice = cautious_choice(cautious, support)
        if name in forced:
            choice = weights.decision.options.index(forced[name])
        possible = stand.possible()
        open_state[weights.decision.variable] = possible
        fixed[weights.decision.variable] = 1 << choice
        chosen = weights.decision.options[choice]
        rulings[name] = Ruling(weights.decision, cautious, possible, chosen, tuple(support))
    return Conclusions(rule_base, answers, tuple(open_state), tuple(fixed), rulings, verdicts)
