"""What to find out when something that decides is not known, and what may come out then."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from itertools import chain
from typing import Literal

from advisor.engine.ask.question import Question
from advisor.engine.ask.questions import deciding_questions
from advisor.engine.conclude import Conclusions, Outcome, conclude
from advisor.engine.state import NotKnown
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import OPEN, Condition
from advisor.rulebase.model import Several, Value
from advisor.units import Range

Purpose = Literal["stop", "decides", "weights"]


@frozen
class ToFindOut:
    """A fact that is not known, and what it is wanted for."""

    fact: str
    purpose: Purpose


@frozen
class StillPossible:
    """An option that may still be taken, with the facts that may yet strike it."""

    decision: str
    option: str
    hangs_on: tuple[str, ...]


def looks(conclusions: Conclusions) -> list[ToFindOut]:
    """The facts that are not known and can still change what is done, what tells most first.

    What can stop the work comes before what decides otherwise, and that before what only weights hang on.
    """
    found: dict[str, Purpose] = {}
    for doubtful in (_not_known, _not_sure, _not_exact):
        for question, purpose in _deciding(_without(conclusions, doubtful)):
            found.setdefault(question.fact, purpose)
        if found:
            break
    for name in conclusions.wanted():
        found.setdefault(name, "weights")
    return [ToFindOut(fact, purpose) for fact, purpose in found.items()]


def _not_known(answer: Value | NotKnown) -> bool:
    return isinstance(answer, NotKnown)


def _not_sure(answer: Value | NotKnown) -> bool:
    """Not known, or an item that is only perhaps there."""
    return _not_known(answer) or (isinstance(answer, Several) and bool(answer.unsure))


def _not_exact(answer: Value | NotKnown) -> bool:
    """Not sure, or a range."""
    return _not_sure(answer) or (isinstance(answer, Range) and not answer.is_exact)


def _without(conclusions: Conclusions, doubtful: Callable[[Value | NotKnown], bool]) -> Conclusions:
    """What follows from the answers without the doubtful ones, as if they had not been asked for yet."""
    answers, facts = conclusions.answers, conclusions.rule_base.facts
    # In the order of the rules: in what order others were answered must not show.
    given = {name: answers[name] for name in facts if name in answers and not doubtful(answers[name])}
    return conclude(conclusions.rule_base, given)


def _deciding(conclusions: Conclusions) -> Iterator[tuple[Question, Purpose]]:
    for outcome in conclusions.outcomes.values():
        kinds = list(deciding_questions(conclusions, outcome))
        for question in chain.from_iterable(kinds):
            yield question, "stop" if question.purpose == "stop" else "decides"
        if kinds:
            return


def still_possible(conclusions: Conclusions, most: int = 3) -> list[StillPossible]:
    """The options of the first open decision that work may go on with, the best supported first.

    Args:
        conclusions: What follows from the answers.
        most: How many at most.
    """
    for outcome in conclusions.outcomes.values():
        if not outcome.settled or outcome.chosen not in outcome.decision.entry.stops:
            return _options_left(conclusions, outcome)[:most]
    return []


def likeliest(conclusions: Conclusions, outcome: Outcome) -> StillPossible | None:
    """What would be taken if nothing that is open struck it, with the facts that may yet strike it.

    None where what is known strikes all that anything speaks for.
    """
    decision, tally = outcome.decision, outcome.tally
    fallback = outcome.support[decision.options.index(decision.fallback)][0]
    left = [
        place
        for place, option in enumerate(decision.options)
        if option not in (*decision.entry.stops, outcome.chosen)
        and not tally.surely_out[place]
        and outcome.support[place][0] > fallback
    ]
    if not left:
        return None
    best = min(left, key=lambda place: (-outcome.support[place][0], tally.prepared.rank[place]))
    return StillPossible(decision.name, decision.options[best], _hangs_on(conclusions, outcome, best))


def _options_left(conclusions: Conclusions, outcome: Outcome) -> list[StillPossible]:
    decision = outcome.decision
    left = [
        (place, option)
        for place, option in enumerate(decision.options)
        if outcome.possible >> place & 1 and option not in decision.entry.stops
    ]
    left.sort(key=lambda one: (-outcome.support[one[0]][1], -outcome.support[one[0]][0], one[0]))
    return [StillPossible(decision.name, option, _hangs_on(conclusions, outcome, place)) for place, option in left]


def _hangs_on(conclusions: Conclusions, outcome: Outcome, place: int) -> tuple[str, ...]:
    """The facts by which constraints that are open may still strike an option, in the order of the rules."""
    prepared, tally = outcome.tally.prepared, outcome.tally
    names: dict[str, None] = {}
    for argument, struck, truth in zip(
        prepared.constraints, prepared.struck_options, tally.constraint_truths, strict=True
    ):
        if truth == OPEN and place in struck:
            names |= dict.fromkeys(_open_facts(conclusions, argument.condition))
    return tuple(name for name in conclusions.rule_base.facts if name in names)


def _open_facts(conclusions: Conclusions, condition: Condition) -> Iterator[str]:
    rule_base = conclusions.rule_base
    for variable in condition.open_variables(conclusions.state):
        name = rule_base.variables[variable].name
        if name in rule_base.facts:
            yield from _asked_behind(conclusions, name)


def _asked_behind(conclusions: Conclusions, name: str) -> Iterator[str]:
    """The fact itself, or for a computed one the facts not exactly known that it is worked out from."""
    fact = conclusions.rule_base.facts[name]
    if not fact.computed:
        yield name
        return
    for used in sorted(fact.used & conclusions.rule_base.facts.keys()):
        if isinstance(conclusions.answers.get(used), NotKnown | None):
            yield from _asked_behind(conclusions, used)
