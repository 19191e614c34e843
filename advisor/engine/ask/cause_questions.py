"""Which look or test parts the possible causes best: the dangers first, then what separates the leading ones."""

from __future__ import annotations

import math

from advisor.engine.ask.question import Question, askable
from advisor.engine.causes import EITHER, SeveralOutcome, Support, open_evidence, support_in
from advisor.engine.conclude import Conclusions
from advisor.rulebase.language.conditions import FAILS, single_cells
from advisor.rulebase.reading.expand_causes import LOOKED_AT


def cause_questions(conclusions: Conclusions, several: SeveralOutcome) -> list[Question]:
    """The questions that can still change which causes are acted on, the best first.

    Where one looks comes before all else, since it says what can be seen. Then comes what shows a danger.
    """
    where = conclusions.rule_base.facts.get(LOOKED_AT)
    if where is not None and several.open and LOOKED_AT in askable(conclusions, where.variables):
        return [Question(LOOKED_AT, several.decision.name, 0.0)]
    dangers = _separating(conclusions, several, _dangerous(conclusions, several))
    if dangers:
        # In the order of the rules, which looks from afar before it goes near.
        order = {name: place for place, name in enumerate(conclusions.rule_base.facts)}
        stops = (Question(question.fact, "stop", question.score) for question in dangers)
        return sorted(stops, key=lambda question: order[question.fact])
    return _separating(conclusions, several, several.open)


def _dangerous(conclusions: Conclusions, several: SeveralOutcome) -> list[str]:
    """The open options of which a later decision makes a stop: what they need is looked for before all else."""
    found = set()
    for outcome in conclusions.outcomes.values():
        entry = outcome.decision.entry
        stops = set(entry.stops) - {entry.fallback}
        for argument in outcome.decision.arguments:
            speaks = argument.entry.says in ("for", "require") and stops & set(argument.options)
            if speaks and conclusions.truth(argument.condition) != FAILS:
                found |= {conclusions.rule_base.variables[variable].item for variable in argument.condition.variables}
    return [name for name in several.open if name in found]


def _separating(conclusions: Conclusions, several: SeveralOutcome, open_options: list[str]) -> list[Question]:
    """The questions that can still change which options are taken, the one that separates the leading ones first.

    Args:
        conclusions: What follows from the answers.
        several: The decision for several options.
        open_options: Those of its options that are looked into.
    """
    if not open_options:
        return []
    state = list(conclusions.state)
    evidence = {name: set(open_evidence(several.prepared[name], state)) for name in open_options}
    facts = askable(conclusions, sorted(set().union(*evidence.values())))
    leading = sorted(open_options, key=lambda name: (-several.supports[name].now, -several.supports[name].high))
    scores = {}
    for name, variables in facts.items():
        touched = [option for option in open_options if not variables.isdisjoint(evidence[option])]
        parted = max(_parting(several, leading[:_LEADING], variable, state) for variable in variables)
        minutes = conclusions.rule_base.facts[name].entry.minutes
        scores[name] = (parted + len(touched) / len(open_options)) / math.sqrt(1 + minutes)
    order = {name: place for place, name in enumerate(conclusions.rule_base.facts)}
    found = [Question(name, several.decision.name, score) for name, score in scores.items()]
    return sorted(found, key=lambda question: (-question.score, order[question.fact]))


_LEADING = 12
"""So many of the best supported causes are looked at when the next question is chosen; more would take too long."""


def _parting(several: SeveralOutcome, leading: list[str], variable: int, state: list[int]) -> float:
    """How far the answers about one variable part the leading options, and how many of them they settle."""
    domain = list(single_cells(state[variable]))
    before = state[variable]
    rows: list[list[Support]] = []
    for cell in domain:
        state[variable] = cell
        rows.append([support_in(several.prepared[name], state) for name in leading])
    state[variable] = before
    taken_at = several.taken_at
    settled = sum(support.domain(taken_at) != EITHER for row in rows for support in row) / len(rows)
    heights = ([support.now for support in column] for column in zip(*rows, strict=True))
    spread = sum(max(column) - min(column) for column in heights)
    return float(settled + spread / taken_at)
