"""The questions that can still change the advice as far as bounds tell: in a diagnosis, and with very many rules.

Bounds never miss a question that matters; now and then they keep one that does not.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

from advisor.engine.ask.cause_questions import cause_questions
from advisor.engine.ask.details import needed_names
from advisor.engine.ask.question import Question
from advisor.engine.conclude import Conclusions, Ruling
from advisor.engine.correction import needed_observations
from advisor.engine.state import implied_value
from advisor.rulebase.language.conditions import FAILS, HOLDS, OPEN, Condition, single_cells
from advisor.rulebase.model import Fact


def bounded_questions(conclusions: Conclusions) -> list[Question]:
    """The questions to ask now, the most decisive first; empty when no answer can change the advice.

    In a diagnosis what is seen comes first, the dangers before all else. Then come questions that can stop the work,
    then those that bear on the decisions in their order, then those that bear on hazards, steps and weights. Later
    kinds are listed only when the earlier ones are used up.
    """
    if conclusions.verdicts and _danger_now(conclusions):
        return []
    for verdict in conclusions.verdicts.values():
        causes = cause_questions(conclusions, verdict, facts_to_ask)
        if causes:
            return [Question(*parts) for parts in causes]
    for ruling in conclusions.rulings.values():
        if ruling.decision.entry.stops and _undecided(ruling):
            asked = _stopping_questions(conclusions, ruling)
            if asked:
                return asked
    for ruling in conclusions.rulings.values():
        if _undecided(ruling):
            asked = _deciding_questions(conclusions, ruling)
            if asked:
                return asked
        if ruling.stops:
            return []
    return _detail_questions(conclusions)


def _danger_now(conclusions: Conclusions) -> bool:
    """Whether everybody is to stay away whatever else may be seen: then nobody is sent to look any further."""
    rulings = conclusions.rulings.values()
    return any(r.settled and r.stops and r.chosen != r.decision.entry.fallback for r in rulings)


def _undecided(ruling: Ruling) -> bool:
    possible = ruling.standing.possible()
    return bool(possible & (possible - 1))


def facts_to_ask(conclusions: Conclusions, variables: Iterable[int]) -> dict[str, set[int]]:
    """The facts behind variables that were not asked yet, in the order of the rule base."""
    rule_base = conclusions.rule_base
    found: dict[str, set[int]] = {}
    for index in variables:
        name = rule_base.variables[index].name
        if name in rule_base.facts and name not in conclusions.answers and _may_be_asked(conclusions, name):
            found.setdefault(name, set()).add(index)
    return {name: found[name] for name in rule_base.facts if name in found}


def _may_be_asked(conclusions: Conclusions, name: str) -> bool:
    """Whether the time to ask for a fact has come: nobody is sent to look at, or to test, what is not safe to."""
    ask_if = conclusions.rule_base.facts[name].ask_if
    return ask_if is None or conclusions.truth(ask_if) == HOLDS


def _stopping_questions(conclusions: Conclusions, ruling: Ruling) -> list[Question]:
    stops = set(ruling.decision.entry.stops)
    variables = {
        variable
        for argument, truth in zip(ruling.standing.weights.rulings, ruling.standing.ruling_truths, strict=True)
        if truth == OPEN and argument.entry.says == "require" and stops & set(argument.options)
        for variable in argument.condition.open_variables(_with_open(conclusions, ruling))
    }
    for name in facts_to_ask(conclusions, variables):
        variables |= _implying_variables(conclusions.rule_base.facts[name], list(conclusions.state))
    return [Question(name, "stop", 0.0) for name in facts_to_ask(conclusions, variables)]


def _with_open(conclusions: Conclusions, ruling: Ruling) -> list[int]:
    """The state in which this decision and later ones are still open."""
    state = list(conclusions.state)
    opened = False
    for name, other in conclusions.rulings.items():
        opened = opened or name == ruling.decision.name
        if opened:
            state[other.decision.variable] = (1 << len(other.decision.options)) - 1
    return state


def _deciding_variables(ruling: Ruling, state: list[int]) -> set[int]:
    """The variables that can still change which of the possible options wins."""
    stand = ruling.standing
    weights = stand.weights
    possible = stand.possible()
    options = [position for position in range(len(weights.base)) if possible >> position & 1]
    variables: set[int] = set()
    for position, truth in enumerate(stand.ruling_truths):
        if truth == OPEN and any(option in options for option in weights.ruled_options[position]):
            variables |= weights.rulings[position].condition.open_variables(state)
    for (argument, vector), truth in zip(weights.mixed, stand.mixed_truths, strict=True):
        if truth == OPEN and len({vector[option] for option in options}) > 1:
            variables |= argument.condition.open_variables(state)
    for variable, table in weights.tables.items():
        rows = [table[cell.bit_length() - 1] for cell in single_cells(state[variable])]
        if len({tuple(row[option] - row[options[0]] for option in options) for row in rows}) > 1:
            variables.add(variable)
    return variables


def _deciding_questions(conclusions: Conclusions, ruling: Ruling) -> list[Question]:
    rule_base = conclusions.rule_base
    state = _with_open(conclusions, ruling)
    facts = facts_to_ask(conclusions, _deciding_variables(ruling, state))
    scores = {name: _gain(rule_base.facts[name], variables, ruling, state) for name, variables in facts.items()}
    for name in list(scores):
        # What a fact follows from is asked before the fact itself, since the answer may make it needless.
        for driver in facts_to_ask(conclusions, _implying_variables(rule_base.facts[name], state)):
            scores[driver] = max(scores.get(driver, 0.0), scores[name] + _DRIVER_LEAD)
    order = {name: place for place, name in enumerate(rule_base.facts)}
    found = [Question(name, ruling.decision.name, score) for name, score in scores.items()]
    return sorted(found, key=lambda question: (-question.score, order[question.fact]))


_DRIVER_LEAD = 1e-6


def _implying_variables(fact: Fact, state: list[int]) -> set[int]:
    """The variables that can still decide whether the fact's value follows from other answers."""
    return {variable for implied in fact.implied for variable in implied.condition.open_variables(state)}


def _gain(fact: Fact, variables: set[int], ruling: Ruling, state: list[int]) -> float:
    """How many options an answer is expected to leave behind, for the time finding it out takes."""
    before = ruling.standing.possible().bit_count()
    gain = 0.0
    for variable in variables:
        old = state[variable]
        left = []
        for cell in single_cells(old):
            state[variable] = cell
            left.append(ruling.standing.moved([(variable, old, cell)], state).bit_count())
        state[variable] = old
        gain += before - sum(left) / len(left)
    return gain / math.sqrt(1 + fact.entry.minutes)


def detail_conditions(conclusions: Conclusions) -> Iterator[Condition]:
    """The conditions of everything in the advice besides the decisions, for what is attached now."""
    rule_base = conclusions.rule_base
    for hazard in rule_base.hazards.values():
        yield hazard.condition
        if conclusions.truth(hazard.condition) != FAILS:
            yield from (control.condition for control in hazard.controls if control.condition is not None)
    for section in (rule_base.steps, rule_base.amounts, rule_base.expectations, rule_base.referrals):
        yield from (rule.condition for rule in section.values())
    for name in needed_names(conclusions):
        if name in rule_base.quantities:
            yield from (case.condition for case in rule_base.quantities[name].cases if case.condition is not None)


def _detail_questions(conclusions: Conclusions) -> list[Question]:
    rule_base = conclusions.rule_base
    if conclusions.verdicts:
        facts = (rule_base.facts[name] for name in needed_observations(conclusions))
        open_facts = [fact for fact in facts if implied_value(fact, list(conclusions.state)) is None]
        needed = {variable for fact in open_facts for variable in fact.variables}
        return [Question(name, "details", 0.0) for name in facts_to_ask(conclusions, sorted(needed))]
    variables: set[int] = set()
    for condition in detail_conditions(conclusions):
        variables |= condition.open_variables(conclusions.state)
    for name in needed_names(conclusions):
        fact = rule_base.facts.get(name)
        if fact is not None and implied_value(fact, list(conclusions.state)) is None:
            variables.update(fact.variables)
            variables |= _implying_variables(fact, list(conclusions.state))
    return [Question(name, "details", 0.0) for name in facts_to_ask(conclusions, variables)]
