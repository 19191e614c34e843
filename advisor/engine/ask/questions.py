"""Which questions can still change the advice, and which to ask next.

In the route consultation a question is asked only when it is *needed*: when there is some completion of everything
else that was not asked, and two answers that fit it and what was answered, with which the advice differs. Once the
work stops, that it stops is the whole advice. Otherwise the advice is the option of each decision, and the hazards,
controls, steps, weights, expected results and referrals that are shown. A fact also counts when in some completion a
weight, quantity or cost that is shown is computed from it, or when its answer still decides whether the value of such
a fact follows. A fact with a list of items is needed when one item is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import cache

from advisor.engine.ask.by_bounds import bounded_questions
from advisor.engine.ask.completions import outlook_of
from advisor.engine.ask.details import Details, details_of, needed_names
from advisor.engine.ask.disputes import Dispute, about_stopping, dispute_of
from advisor.engine.ask.grids import Turn
from advisor.engine.ask.question import Question
from advisor.engine.ask.scoring import Score, score_of
from advisor.engine.ask.settling import Look, free_variables, look_at, too_many_rules
from advisor.engine.conclude import Conclusions, Ruling
from advisor.rulebase.language.conditions import OPEN

__all__ = ["Question", "needed_names", "needed_questions", "next_question", "open_questions", "turn_for"]


def open_questions(conclusions: Conclusions) -> list[Question]:
    """The questions to ask now, the best first; empty when no answer can change the advice.

    Questions that can stop the work come first, then those that bear on the decisions in their order, then those that
    bear on hazards, steps and weights. Later kinds are listed only when the earlier ones are used up.
    """
    return list(needed_questions(conclusions))


def next_question(conclusions: Conclusions) -> Question | None:
    """The question to ask next, or None when no answer can change the advice."""
    return next(needed_questions(conclusions), None)


def needed_questions(conclusions: Conclusions, stop_first: bool = True) -> Iterator[Question]:
    """The questions to ask now, each looked for only when it is wanted.

    Args:
        conclusions: What follows from the answers.
        stop_first: Whether questions that can stop the work come first; only for comparing orders otherwise.
    """
    if conclusions.verdicts or too_many_rules(conclusions.rule_base):
        yield from bounded_questions(conclusions)
        return
    for ruling in conclusions.rulings.values():
        none = True
        for question in _deciding(conclusions, ruling, stop_first):
            none = False
            yield question
        if ruling.stops or not none:
            return
    yield from _detailing(_details(conclusions), _group_now(conclusions))


def turn_for(conclusions: Conclusions, question: Question) -> Turn | None:
    """A change of the fact asked for that shows why it is asked.

    For a fact that enters a weight both cells are the same: every change of its value matters there.
    """
    fact = conclusions.rule_base.facts[question.fact]
    if question.purpose != "details":
        stops = question.purpose == "stop"
        rulings = conclusions.rulings
        ruling = next(r for r in rulings.values() if r.decision.entry.stops) if stops else rulings[question.purpose]
        dispute = _dispute(conclusions, ruling)
        look = look_at(about_stopping(dispute) if stops else dispute)
        variables = look.in_play.intersection(fact.variables)
        return look.drawn_turn(variables) or look.searched_turn(variables)
    details = _details(conclusions)
    entry = details.entry_of(fact)
    cells = conclusions.state[fact.variables[0]]
    return details.turn_of(fact) if entry is None else Turn(fact.variables[0], cells & -cells, cells & -cells, entry)


def _details(conclusions: Conclusions) -> Details:
    return details_of(outlook_of(conclusions.rule_base), conclusions.answers, conclusions.state)


def _deciding(conclusions: Conclusions, ruling: Ruling, stop_first: bool) -> Iterator[Question]:
    """The questions that bear on one decision, all before it being settled."""
    if ruling.settled:
        return
    dispute = _dispute(conclusions, ruling)

    @cache
    def score() -> Score:
        return _staying(conclusions, score_of(conclusions, look_at(dispute)))

    if stop_first and ruling.decision.entry.stops:
        none = True
        for question in _turning(look_at(about_stopping(dispute)), _stopping(dispute), score, "stop"):
            none = False
            yield question
        if not none:
            return
    look = look_at(dispute)
    yield from _turning(look, look.in_play, score, ruling.decision.name)


STAY = 2.0
"""How much better a question about something else has to be than one of the group that was asked about last."""


def _group_now(conclusions: Conclusions) -> str:
    """The group of facts that was asked about last, if any was."""
    facts = conclusions.rule_base.facts
    return next((facts[name].entry.group for name in reversed(list(conclusions.answers)) if name in facts), "")


def _staying(conclusions: Conclusions, score: Score) -> Score:
    """A score that stays with one subject for a while: who asks about one thing after another tires the other."""
    facts, now = conclusions.rule_base.facts, _group_now(conclusions)

    def stayed(name: str, variables: Iterable[int]) -> float:
        return score(name, variables) * (STAY if facts[name].entry.group == now else 1.0)

    return stayed


def _dispute(conclusions: Conclusions, ruling: Ruling) -> Dispute:
    """The decision with itself and all later ones open."""
    rule_base, state = conclusions.rule_base, list(conclusions.state)
    opened = False
    for name, other in conclusions.rulings.items():
        opened = opened or name == ruling.decision.name
        if opened:
            state[other.decision.variable] = rule_base.variables[other.decision.variable].full
    free = free_variables(rule_base, conclusions.answers, state)
    return dispute_of(outlook_of(rule_base), ruling.standing, state, free)


def _stopping(dispute: Dispute) -> frozenset[int]:
    """The variables that rules which make the work stop still hang on."""
    stops = set(dispute.weights.decision.entry.stops)
    return frozenset(
        variable
        for argument, truth in zip(dispute.weights.rulings, dispute.stand.ruling_truths, strict=True)
        if truth == OPEN and argument.entry.says == "require" and stops & set(argument.options)
        for variable in dispute.outlook.book.open_variables(argument.condition, dispute.state)
    )


def _turning(look: Look, variables: frozenset[int], score: Callable[[], Score], purpose: str) -> Iterator[Question]:
    """The facts of which some variable turns a dispute, the best first.

    Those for which a drawn completion shows it come first, then those for which only the whole search does.
    """
    if look.settled() is not None:
        return
    facts: dict[str, set[int]] = {}
    for variable in sorted((variables & look.in_play) - look.idle):
        facts.setdefault(look.dispute.outlook.rule_base.variables[variable].name, set()).add(variable)
    left: list[Question] = []
    for question in _ranked(look, facts, score, purpose):
        if look.drawn_turn(facts[question.fact]) is not None:
            yield question
        else:
            left.append(question)
    for question in left:
        if look.searched_turn(facts[question.fact]) is not None or look.budget.spent:
            yield question


def _ranked(look: Look, facts: dict[str, set[int]], score: Callable[[], Score], purpose: str) -> Iterator[Question]:
    """The best first; where work may have to stop, the dangers before all, in the order of the rule base.

    The dangers are the first group of facts.
    """
    rule_base = look.dispute.outlook.rule_base
    dangers = next(iter(rule_base.groups), "") if purpose == "stop" else None
    in_order = [fact for name, fact in rule_base.facts.items() if name in facts]
    yield from (Question(fact.name, purpose, 0.0) for fact in in_order if fact.entry.group == dangers)
    others = [fact.name for fact in in_order if fact.entry.group != dangers]
    scored = [Question(name, purpose, score()(name, facts[name])) for name in others]
    yield from sorted(scored, key=lambda question: -question.score)


def _detailing(details: Details, group: str) -> Iterator[Question]:
    """The questions that bear on details, one group of facts after another; what others may spare comes last."""
    rule_base = details.outlook.rule_base
    driving = details.driving()
    drivers = set().union(*driving.values())
    likelihoods = {name: details.likelihood(rule_base.facts[name]) for name in details.unasked}
    names = [name for name in rule_base.facts if name in drivers or likelihoods.get(name)]
    for name in sorted(names, key=lambda name: (name in driving, rule_base.facts[name].entry.group != group)):
        if name in drivers or details.needs(rule_base.facts[name]):
            yield Question(name, "details", likelihoods[name])
