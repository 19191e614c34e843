"""The chosen correction as work: what it is like, its steps, and what has to be known to reckon it."""

from __future__ import annotations

from dataclasses import replace

from advisor.engine.conclude import Conclusions
from advisor.rulebase.compiling.inherited_constraints import like_work
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import Step
from advisor.rulebase.reading.expand_causes import REMEDY


def at_work(conclusions: Conclusions) -> Conclusions:
    """The conclusions as they are for the work of the chosen correction: what it is like, on the piece in hand."""
    outcome = conclusions.outcomes[REMEDY]
    option = outcome.decision.entry.options[outcome.chosen]
    state = like_work(conclusions.rule_base, option).state(conclusions.state)
    return replace(conclusions, state=tuple(state))


def own_steps(conclusions: Conclusions) -> list[Step]:
    """The steps of the chosen correction, in order."""
    rule_base = conclusions.rule_base
    own = {variable for decision in rule_base.agenda.values() for variable in decision.variables}
    stages = list(rule_base.stages)
    found = [
        step
        for step in rule_base.steps.values()
        if step.condition.variables & own and conclusions.truth(step.condition) != FAILS
    ]
    return sorted(found, key=lambda step: (stages.index(step.entry.stage), step.entry.order))


def needed_observations(conclusions: Conclusions) -> set[str]:
    """The facts that the figures of the chosen correction are reckoned from."""
    rule_base = conclusions.rule_base
    needed: set[str] = set()
    for step in own_steps(at_work(conclusions)):
        for name in step.placeholders:
            if name in rule_base.figures:
                inputs = rule_base.figures[name].correction.entry.inputs.values()
                needed |= {text for text in inputs if not text.startswith("=")}
    return needed
