"""Everything that follows from a set of answers: decisions, hazards, steps and what is still open."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field

from advisor.engine.ask.settling import exactly_settled, too_many_rules
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


_PREPARED: dict[int, tuple[RuleBase, Prepared]] = {}


def prepared(rule_base: RuleBase) -> Prepared:
    """The prepared decisions of a rule base, prepared on first use."""
    found = _PREPARED.get(id(rule_base))
    if found is None or found[0] is not rule_base:
        agenda = rule_base.agenda
        ready = Prepared(
            {name: prepare(rule_base, decision) for name, decision in agenda.items() if not decision.entry.several},
            {name: prepare_ballots(rule_base, decision) for name, decision in agenda.items() if decision.entry.several},
        )
        if len(_PREPARED) > 8:
            _PREPARED.clear()
        found = _PREPARED[id(rule_base)] = (rule_base, ready)
    return found[1]


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
        state: The state it was taken in.
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

    @property
    def by_bounds(self) -> str:
        """The option that bounds alone would take; another one only where bounds fall short of what is settled."""
        return self.decision.options[cautious_choice(self.standing, list(self.support))]


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
        half_settled: Whether a decision was settled beyond what bounds tell while another may still change.
    """

    rule_base: RuleBase
    answers: Answers
    open_state: tuple[int, ...]
    state: tuple[int, ...]
    rulings: Mapping[str, Ruling]
    verdicts: Mapping[str, Verdict] = field(default_factory=dict)
    half_settled: bool = False

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

    Where bounds leave a decision open though no fact that was not asked can change it, it is settled all the same.

    Raises:
        ContradictionError: If answers contradict each other.
    """
    return _conclude(rule_base, answers, state_of(rule_base, answers), {}, exactly=not too_many_rules(rule_base))


def to_act_on(conclusions: Conclusions) -> Conclusions:
    """What to advise now, with what was not asked taken for not known.

    A route may be settled for every answer that is still to come while what it needs, such as the cupel, is not. To go
    on asking, that is what counts; to act on it is not safe. Then all decisions go by bounds, which is what is proved.
    """
    if not conclusions.half_settled:
        return conclusions
    answers = conclusions.answers
    return conclude_state(conclusions.rule_base, answers, state_of(conclusions.rule_base, answers))


def conclude_state(rule_base: RuleBase, answers: Answers, state: list[int]) -> Conclusions:
    """What follows from a state that is already known, as far as bounds tell."""
    return conclude_forced(rule_base, answers, state, {})


def conclude_forced(rule_base: RuleBase, answers: Answers, state: list[int], forced: Mapping[str, str]) -> Conclusions:
    """What would follow if some decisions were taken otherwise, to lay routes side by side.

    Args:
        rule_base: The rules.
        answers: The answers.
        state: The state of the answers.
        forced: The option to take for some decisions, whatever speaks against it.
    """
    return _conclude(rule_base, answers, state, forced, exactly=False)


def _conclude(
    rule_base: RuleBase, answers: Answers, state: list[int], forced: Mapping[str, str], exactly: bool
) -> Conclusions:
    open_state, fixed = list(state), list(state)
    rulings: dict[str, Ruling] = {}
    verdicts: dict[str, Verdict] = {}
    ready = prepared(rule_base)
    exactly = exactly and not ready.ballots
    beyond_bounds = False
    for name in rule_base.agenda:
        if name in ready.ballots:
            verdict = verdicts[name] = judge(rule_base.decisions[name], ready.ballots[name], fixed)
            for index, one in zip(verdict.decision.variables, verdict.supports.values(), strict=True):
                open_state[index], fixed[index] = one.cells(verdict.taken_at), one.acted_on(verdict.taken_at)
            continue
        weights = ready.weights[name]
        variable = weights.decision.variable
        cautious = standing(weights, fixed)
        stand = cautious if open_state == fixed else standing(weights, open_state)
        support = cautious.support(fixed)
        choice = cautious_choice(cautious, support)
        if name in forced:
            choice = weights.decision.options.index(forced[name])
        possible = stand.possible()
        if exactly and possible & (possible - 1):
            settled = exactly_settled(rule_base, answers, cautious, fixed)
            # Later decisions are not looked at while this one may still change.
            exactly = settled is not None
            if settled is not None and settled.option is not None:
                beyond_bounds = beyond_bounds or choice != settled.option
                choice = settled.option
                if settled.for_good and stand is cautious:
                    possible = 1 << choice
        open_state[variable] = possible
        fixed[variable] = 1 << choice
        rulings[name] = Ruling(
            weights.decision,
            cautious,
            possible,
            weights.decision.options[choice],
            tuple(support),
        )
    half_settled = beyond_bounds and not exactly
    return Conclusions(rule_base, answers, tuple(open_state), tuple(fixed), rulings, verdicts, half_settled)
