"""Which questions can still change the advice, and which to ask next.

Bounds alone say what is still open, and every question that they leave open is asked until they settle it. Completions
drawn at random only put the questions in order: those that are shown to turn a decision come before those of which it
is only possible.

In a diagnosis what is seen comes first, the dangers before all else. Then, decision by decision, comes what can stop
the work, and what bears on the decision otherwise; last what bears on hazards, steps and weights. Later kinds are
asked only when the earlier ones are used up.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from advisor.engine.ask.cause_questions import cause_questions, gives_up
from advisor.engine.ask.contested import Contested, contested_of
from advisor.engine.ask.details import details_of
from advisor.engine.ask.order import by_gain, by_sample, group_now
from advisor.engine.ask.question import Question, askable, may_be_asked
from advisor.engine.conclude import Conclusions, Outcome
from advisor.engine.correction import needed_observations
from advisor.engine.implied import implied_value
from advisor.rulebase.model import RuleBase


def open_questions(conclusions: Conclusions) -> list[Question]:
    """The questions to ask now, the best first; empty when no answer can change the advice."""
    return list(_questions(conclusions))


def next_question(conclusions: Conclusions) -> Question | None:
    """The question to ask next, or None when no answer can change the advice."""
    return next(_questions(conclusions), None)


def _questions(conclusions: Conclusions) -> Iterator[Question]:
    """The questions of the first kind of which there are any."""
    for kind in () if _danger_now(conclusions) else _kinds(conclusions):
        some = False
        for question in kind:
            some = True
            yield question
        if some:
            return


def _danger_now(conclusions: Conclusions) -> bool:
    """Whether everybody is to stay away from a piece: then nobody is sent to look any further."""
    outcomes = conclusions.outcomes.values() if conclusions.several else ()
    return any(r.settled and r.stops and r.chosen != r.decision.entry.fallback for r in outcomes)


def _kinds(conclusions: Conclusions) -> Iterator[Iterable[Question]]:
    for several in conclusions.several.values():
        yield cause_questions(conclusions, several)
    if conclusions.several and gives_up(conclusions):
        return
    for outcome in conclusions.outcomes.values():
        yield from deciding_questions(conclusions, outcome)
        if outcome.stops:
            if not outcome.settled and not conclusions.several:
                # What is not known may be found out: then all the rest shall be known already.
                left = contested_of(conclusions, outcome, with_unknown=True)
                yield _turning(conclusions, left, left.in_play(), outcome.decision.name)
            return
    yield _detailing(conclusions)


def deciding_questions(conclusions: Conclusions, outcome: Outcome) -> Iterator[Iterable[Question]]:
    """The questions that bear on one decision: those that can stop the work, then all; none once it is settled."""
    contested = contested_of(conclusions, outcome)
    if contested.may_stop:
        yield _turning(conclusions, contested, contested.stopping() & contested.in_play(), "stop")
    if not contested.settled:
        yield _turning(conclusions, contested, contested.in_play(), outcome.decision.name)


def _turning(
    conclusions: Conclusions, contested: Contested, variables: Iterable[int], purpose: str
) -> Iterator[Question]:
    in_order = by_gain if too_many_rules(conclusions.rule_base) else by_sample
    return in_order(conclusions, contested, variables, purpose)


MOST_RULES = 600
"""With more arguments about one decision than this, looking at drawn completions takes too long."""


def too_many_rules(rule_base: RuleBase) -> bool:
    """Whether a rule base is too large for looking at completions."""
    return any(len(decision.arguments) > MOST_RULES for decision in rule_base.agenda.values())


def _detailing(conclusions: Conclusions) -> Iterator[Question]:
    """The questions that bear on details, one group of facts after another; what others may spare comes last."""
    rule_base = conclusions.rule_base
    if conclusions.several:
        facts = (rule_base.facts[name] for name in needed_observations(conclusions))
        variables = {v for f in facts if implied_value(f, list(conclusions.state)) is None for v in f.variables}
        yield from (Question(name, "details", 0.0) for name in askable(conclusions, variables))
        return
    details, now = details_of(rule_base, conclusions.answers, conclusions.state), group_now(conclusions)
    driving = details.driving()
    drivers = set().union(*driving.values())
    names = [
        name
        for name, fact in rule_base.facts.items()
        if not fact.computed and (name in drivers or details.needs(fact)) and may_be_asked(conclusions, name)
    ]
    for name in sorted(names, key=lambda name: (name in driving, rule_base.facts[name].entry.group != now)):
        yield Question(name, "details", details.likelihood(rule_base.facts[name]))
