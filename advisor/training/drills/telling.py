"""What a learner is told of a batch: only what matters and differs from the usual; the rest is as usual."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from advisor.engine import Conclusions, NotKnown, value_words
from advisor.rulebase.language.conditions import Condition
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.training.drills.drill import DrillLine
from advisor.training.training_rules import TrainingRules
from advisor.words import tr

ALWAYS = ("batch_mass", "gold_share", "sulphide_share")
"""What somebody asks first about any concentrate."""


def tested_facts(rule_base: RuleBase, conditions: Iterable[Condition]) -> list[str]:
    """The facts that conditions test, in the order of the rules; for a computed one those it is worked out from."""
    tested: set[str] = set()
    waiting = {rule_base.variables[index].name for condition in conditions for index in condition.variables}
    while waiting:
        tested |= waiting
        facts = [rule_base.facts[name] for name in waiting & rule_base.facts.keys()]
        inputs = {name for fact in facts for name in fact.used}
        inputs |= {rule_base.variables[i].name for f in facts for choosing in f.choosing for i in choosing.variables}
        waiting = inputs - tested
    return [name for name, fact in rule_base.facts.items() if name in tested and not fact.computed]


def tested_decisions(rule_base: RuleBase, conditions: Iterable[Condition]) -> set[str]:
    """The decisions that conditions test."""
    tested = {rule_base.variables[index].name for condition in conditions for index in condition.variables}
    return tested & set(rule_base.decisions)


def differing(training: TrainingRules, answers: Mapping[str, Value | NotKnown], names: Iterable[str]) -> list[str]:
    """Those of the facts whose answer is not the usual one."""
    usual = training.syllabus.usual
    return [name for name in names if name in answers and answers[name] != usual.get(name)]


def lines(
    training: TrainingRules, rule_base: RuleBase, answers: Mapping[str, Value | NotKnown], names: Iterable[str]
) -> tuple[DrillLine, ...]:
    """The facts in words."""
    usual = training.syllabus.usual
    return tuple(
        DrillLine(rule_base.facts[name].label, _words(rule_base.facts[name], answers[name], usual.get(name)))
        for name in names
        if name in answers
    )


def rest_of(
    training: TrainingRules, rule_base: RuleBase, answers: Mapping[str, Value | NotKnown], told: Iterable[str]
) -> tuple[DrillLine, ...]:
    """What the learner was not told, in words."""
    left_out = {*told, "cost_wanted"}
    return lines(training, rule_base, answers, [n for n in rule_base.facts if n in answers and n not in left_out])


def decided_lines(conclusions: Conclusions, names: Iterable[str]) -> tuple[DrillLine, ...]:
    """Decisions that are given to the learner."""
    wanted = set(names)
    return tuple(
        DrillLine(outcome.decision.entry.title.lower(), outcome.decision.title_of(outcome.chosen))
        for name, outcome in conclusions.outcomes.items()
        if name in wanted
    )


def _words(fact: Fact, answer: Value | NotKnown, usual: Value | NotKnown | None) -> str:
    """An answer in words; of a long list only how it differs from the usual one."""
    if not (isinstance(answer, Several) and isinstance(usual, Several) and len(usual.present) > 3 and answer != usual):
        return value_words(fact, answer)
    labels = {name: option.label for name, option in fact.entry.options.items()}
    missing = [label for name, label in labels.items() if name in usual.present - answer.present - answer.unsure]
    extra = [label for name, label in labels.items() if name in answer.present - usual.present]
    parts = [tr("the usual") if len(missing) < len(usual.present) else tr("nothing of the usual")]
    if missing and len(missing) < len(usual.present):
        first, *more = missing
        parts += [tr("but NO {what}", what=first), *(tr("no {what}", what=one) for one in more)]
    if extra:
        parts.append(tr("and also {what}", what=", ".join(extra)))
    return ", ".join(parts)
