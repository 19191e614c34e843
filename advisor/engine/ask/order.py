"""In which order to ask what bounds leave open about one decision."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from functools import partial

from advisor.engine.ask.contested import Contested
from advisor.engine.ask.question import Question, askable
from advisor.engine.ask.sample import sample_of
from advisor.engine.ask.scoring import score_of
from advisor.engine.conclude import Conclusions
from advisor.engine.decide import Tally, tally_of
from advisor.rulebase.language.conditions import single_cells
from advisor.rulebase.model import Fact

STAY = 2.0
"""How much better a question about something else has to be than one of the group that was asked about last."""


def group_now(conclusions: Conclusions) -> str:
    """The group of facts that was asked about last, if any was."""
    facts = conclusions.rule_base.facts
    return next((facts[name].entry.group for name in reversed(list(conclusions.answers)) if name in facts), "")


def by_sample(
    conclusions: Conclusions, contested: Contested, variables: Iterable[int], purpose: str
) -> Iterator[Question]:
    """Those that a drawn completion shows to turn the decision first, the best of them first; then the others.

    Where work may have to stop, the dangers come before all, in the order of the rule base; they are its first group.
    Otherwise it is better to stay with one subject for a while: who asks about one thing after another tires the other.
    """
    rule_base = conclusions.rule_base
    facts = askable(conclusions, variables)
    if not facts:
        return
    depending, looked_at = contested.outlook.depending, contested.prepared.variables
    # A drawn completion shows what an answer turns through what is worked out from it, where a rule looks at that.
    facts = {
        name: tested.union(*(looked_at.intersection(depending.get(v, ())) for v in tested))
        for name, tested in facts.items()
    }
    sample = sample_of(rule_base, contested)
    score, now = score_of(conclusions, sample), group_now(conclusions)
    dangers = next(iter(rule_base.groups), "") if purpose == "stop" else None

    def scored(name: str) -> float:
        group = rule_base.facts[name].entry.group
        if group == dangers:
            return math.inf
        return score(name, facts[name]) * (STAY if group == now else 1.0)

    questions = sorted((Question(name, purpose, scored(name)) for name in facts), key=lambda question: -question.score)
    turning = partial(sample.turn, stops=purpose == "stop")
    yield from _sparing_first(conclusions, contested, questions, lambda name: turning(facts[name]) is not None)


def _sparing_first(
    conclusions: Conclusions, contested: Contested, questions: Sequence[Question], turns: Callable[[str], bool]
) -> Iterator[Question]:
    """Those that turn the decision first, then the others; what can stop the work comes after what may yet spare it."""
    waiting = {question.fact: question for question in questions}
    spares = _sparing(conclusions, contested, waiting)

    def with_sparing(name: str) -> Iterator[Question]:
        question = waiting.pop(name, None)
        for other in spares.get(name, ()):
            if other in waiting:
                yield from with_sparing(other)
            elif other not in asked:
                yield Question(other, questions[0].purpose, math.inf)
                asked.add(other)
        if question is not None:
            yield question

    asked = set(waiting)
    for question in questions:
        if question.fact in waiting and turns(question.fact):
            yield from with_sparing(question.fact)
    for question in questions:
        if question.fact in waiting:
            yield from with_sparing(question.fact)


def _sparing(conclusions: Conclusions, contested: Contested, waiting: Mapping[str, Question]) -> dict[str, list[str]]:
    """For what can stop the work, and what may spare that: the facts that they may follow from.

    These are such as are to be asked all the same, and one that alone decides whether the value follows.
    """
    facts = conclusions.rule_base.facts
    found: dict[str, list[str]] = {}
    left = [name for name, question in waiting.items() if question.purpose == "stop"]
    while left:
        name = left.pop()
        if name in found:
            continue
        found[name] = []
        for implied in facts[name].implied:
            opens = askable(conclusions, implied.condition.open_variables(contested.state))
            names = [other for other in opens if other in waiting or len(opens) == 1]
            found[name] += [other for other in names if other not in found[name]]
        left += found[name]
    return found


def by_gain(
    conclusions: Conclusions, contested: Contested, variables: Iterable[int], purpose: str
) -> Iterator[Question]:
    """Those first that leave fewest options behind for the time they take, as far as bounds tell."""
    facts = conclusions.rule_base.facts
    found = askable(conclusions, variables)
    scores = dict.fromkeys(found, 0.0)
    if purpose != "stop":
        tally = tally_of(contested.prepared, contested.state)
        for name in _most_looked_at(contested, found):
            scores[name] = _gain(facts[name], found[name], contested, tally)
    for name in list(scores):
        # What a fact follows from is asked before the fact itself, since the answer may make it needless.
        drivers = {v for implied in facts[name].implied for v in implied.condition.open_variables(contested.state)}
        for driver in askable(conclusions, drivers):
            scores[driver] = max(scores.get(driver, 0.0), scores[name] + _DRIVER_LEAD)
    places = {name: place for place, name in enumerate(facts)}
    questions = [Question(name, purpose, score) for name, score in scores.items()]
    yield from sorted(questions, key=lambda question: (-question.score, places[question.fact]))


_DRIVER_LEAD = 1e-6

MOST_TRIED = 8
"""Of how many facts the answers are tried; of the others, that fewer rules look at, nobody waits to hear how much they
tell."""


def _most_looked_at(contested: Contested, facts: Mapping[str, set[int]]) -> Collection[str]:
    """The facts that most rules about the decision look at."""
    prepared = contested.prepared

    def rules(name: str) -> int:
        looking = (prepared.constraints_of.get(v, ()) + prepared.mixed_of.get(v, ()) for v in facts[name])
        return sum(map(len, looking)) + sum(variable in prepared.tables for variable in facts[name])

    return sorted(facts, key=rules, reverse=True)[:MOST_TRIED]


def _gain(fact: Fact, variables: set[int], contested: Contested, tally: Tally) -> float:
    """How many options an answer is expected to leave behind, for the time finding it out takes."""
    state, gain = list(contested.state), 0.0
    for variable in variables:
        before = state[variable]
        left = []
        for cell in single_cells(before):
            state[variable] = cell
            left.append(tally.after((variable,), state).possible().bit_count())
        state[variable] = before
        gain += len(contested.options) - sum(left) / len(left)
    return gain / math.sqrt(1 + fact.entry.minutes)
