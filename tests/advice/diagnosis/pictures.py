"""Textbook pictures of causes: the answers that speak for one cause most, found from the rules themselves."""

from __future__ import annotations

from random import Random

from advisor.engine.conclude import Conclusions, conclude, prepared_decisions
from advisor.engine.state import ContradictionError, state_of
from advisor.rulebase.model import Argument, RuleBase, Value
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT
from advisor.training.drills.textbook import Cells, answers_from, satisfying

_TRIES = 40


def picture_of(rule_base: RuleBase, cause: str) -> tuple[dict[str, Value], Conclusions]:
    """The answers of the textbook picture of a cause, and what follows from them.

    Signs are taken up one by one as long as they fit the ones before, the strongest first; where another cause then
    has more support, they are taken up in other orders.
    """
    random = Random(cause)
    signs = [a for a in prepared_decisions(rule_base).for_several[CAUSE][cause].speaking if a.weight > 0]
    best: tuple[int, dict[str, Value], Conclusions] | None = None
    for stage in rule_base.causes[cause].entry.stages:
        for number in range(_TRIES):
            order = sorted(signs, key=lambda a: -a.weight) if number == 0 else random.sample(signs, len(signs))
            if number > 1:
                order = order[: random.randint(1, len(order))]
            answers = _answers_for(rule_base, stage, order)
            conclusions = conclude(rule_base, answers)
            lead = _lead(conclusions, cause)
            if best is None or lead > best[0]:
                best = (lead, answers, conclusions)
            if lead > 0:
                return answers, conclusions
    assert best is not None
    return best[1], best[2]


def _lead(conclusions: Conclusions, cause: str) -> int:
    """How far a cause is before all others; below zero when it is not taken at all."""
    several = conclusions.several[CAUSE]
    if cause not in several.taken:
        return -1000
    others = [several.supports[name].now for name in several.taken if name != cause]
    return several.supports[cause].now - max(others, default=0)


def _answers_for(rule_base: RuleBase, stage: str, signs: list[Argument]) -> dict[str, Value]:
    looked_at = rule_base.facts[LOOKED_AT].variables[0]
    settled: Cells = {looked_at: 1 << rule_base.variables[looked_at].domain.index(stage)}
    for argument in signs:
        state = state_of(rule_base, answers_from(rule_base, settled))
        found = satisfying(argument.condition, state, rule_base)
        if found is None:
            continue
        try:
            state_of(rule_base, answers_from(rule_base, {**settled, **found}))
        except ContradictionError:
            continue
        settled.update(found)
    return answers_from(rule_base, settled)
