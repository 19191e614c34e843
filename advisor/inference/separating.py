"""The questions of a diagnosis: which observation separates the causes that may still be meant."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace

from advisor.inference.conclusions import Conclusions, Ruling
from advisor.inference.correcting import needed_observations
from advisor.inference.question import Question
from advisor.inference.verdicts import EITHER, Support, Verdict, open_evidence, support_in
from advisor.knowledge.conditions import HOLDS, OPEN, single_cells
from advisor.knowledge.rulebase import Fact


def diagnosis_questions(conclusions: Conclusions) -> list[Question]:
    """The questions to ask now in a diagnosis, the most decisive first; empty when no answer can change it.

    Questions that can stop the work come first, then those that separate causes, then those that bear on the
    decisions in their order, then what corrections need to know. Later kinds are listed only when the earlier ones
    are used up.
    """
    for ruling in conclusions.rulings.values():
        if ruling.decision.entry.stops and _undecided(ruling):
            asked = _stopping_questions(conclusions, ruling)
            if asked:
                return asked
    for verdict in conclusions.verdicts.values():
        asked = separating_questions(conclusions, verdict, _dangerous(conclusions, verdict))
        if asked:
            return [replace(question, purpose="stop") for question in asked]
        asked = separating_questions(conclusions, verdict, verdict.open)
        if asked:
            return asked
    for ruling in conclusions.rulings.values():
        if _undecided(ruling):
            asked = _deciding_questions(conclusions, ruling)
            if asked:
                return asked
        if ruling.stops:
            return []
    needed = {v for name in needed_observations(conclusions) for v in conclusions.rule_base.facts[name].variables}
    return [Question(name, "details", 0.0) for name in _facts_to_ask(conclusions, sorted(needed))]


def _undecided(ruling: Ruling) -> bool:
    possible = ruling.standing.possible()
    return bool(possible & (possible - 1))


def _facts_to_ask(conclusions: Conclusions, variables: Iterable[int]) -> dict[str, set[int]]:
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


def _dangerous(conclusions: Conclusions, verdict: Verdict) -> list[str]:
    """The open options of which a later decision makes a stop: what they need is looked for before all else."""
    found = set()
    for ruling in conclusions.rulings.values():
        entry = ruling.decision.entry
        stops = set(entry.stops) - {entry.fallback}
        for argument in ruling.decision.arguments:
            if stops & set(argument.options) and argument.entry.says in ("for", "require"):
                found |= {conclusions.rule_base.variables[variable].item for variable in argument.condition.variables}
    return [name for name in verdict.open if name in found]


def separating_questions(conclusions: Conclusions, verdict: Verdict, open_options: list[str]) -> list[Question]:
    """The questions that can still change which options are taken, the one that separates the leading ones first.

    Args:
        conclusions: What follows from the answers.
        verdict: The decision for several options.
        open_options: Those of its options that are looked into.
    """
    if not open_options:
        return []
    state = list(conclusions.state)
    evidence = {name: set(open_evidence(verdict.ballots[name], state)) for name in open_options}
    facts = _facts_to_ask(conclusions, sorted(set().union(*evidence.values())))
    leading = sorted(open_options, key=lambda name: (-verdict.supports[name].now, -verdict.supports[name].high))
    scores = {}
    for name, variables in facts.items():
        touched = [option for option in open_options if not variables.isdisjoint(evidence[option])]
        parted = max(_parting(verdict, leading[:_LEADING], variable, state) for variable in variables)
        minutes = conclusions.rule_base.facts[name].entry.minutes
        scores[name] = (parted + len(touched) / len(open_options)) / math.sqrt(1 + minutes)
    order = {name: place for place, name in enumerate(conclusions.rule_base.facts)}
    found = [Question(name, verdict.decision.name, score) for name, score in scores.items()]
    return sorted(found, key=lambda question: (-question.score, order[question.fact]))


_LEADING = 12
"""So many of the best supported causes are looked at when the next question is chosen; more would take too long."""


def _parting(verdict: Verdict, leading: list[str], variable: int, state: list[int]) -> float:
    """How far the answers about one variable part the leading options, and how many of them they settle."""
    cells = list(single_cells(state[variable]))
    before = state[variable]
    rows: list[list[Support]] = []
    for cell in cells:
        state[variable] = cell
        rows.append([support_in(verdict.ballots[name], state) for name in leading])
    state[variable] = before
    taken_at = verdict.taken_at
    settled = sum(support.cells(taken_at) != EITHER for row in rows for support in row) / len(rows)
    heights = ([support.now for support in column] for column in zip(*rows, strict=True))
    spread = sum(max(column) - min(column) for column in heights)
    return float(settled + spread / taken_at)


def _stopping_questions(conclusions: Conclusions, ruling: Ruling) -> list[Question]:
    stops = set(ruling.decision.entry.stops)
    variables = {
        variable
        for argument, truth in zip(ruling.standing.weights.rulings, ruling.standing.ruling_truths, strict=True)
        if truth == OPEN and argument.entry.says == "require" and stops & set(argument.options)
        for variable in argument.condition.open_variables(_with_open(conclusions, ruling))
    }
    for name in _facts_to_ask(conclusions, variables):
        variables |= _implying_variables(conclusions.rule_base.facts[name], list(conclusions.state))
    return [Question(name, "stop", 0.0) for name in _facts_to_ask(conclusions, variables)]


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
    facts = _facts_to_ask(conclusions, _deciding_variables(ruling, state))
    scores = {name: _gain(rule_base.facts[name], variables, ruling, state) for name, variables in facts.items()}
    for name in list(scores):
        # What a fact follows from is asked before the fact itself, since the answer may make it needless.
        for driver in _facts_to_ask(conclusions, _implying_variables(rule_base.facts[name], state)):
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
