"""Turns rules into notes of the advice: sources, tests with what was seen, arguments."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from advisor.advice.documents.common import ArgumentNote, SourceNote, Test
from advisor.engine import Conclusions, NotKnown, value_words
from advisor.rulebase.language.conditions import OPEN, TRUTH_NAMES, Condition, Leaf, leaves, tree_truth
from advisor.rulebase.language.words import spoken
from advisor.rulebase.model import Argument, Source
from advisor.rulebase.values import cell_words
from advisor.words import one_of, tr


def source_notes(sources: Iterable[Source]) -> tuple[SourceNote, ...]:
    """The sources of a rule."""
    return tuple(_source_note(source) for source in sources)


@lru_cache(maxsize=4096)
def _source_note(source: Source) -> SourceNote:
    # Many rules have the same source, and a note never changes.
    return SourceNote(kind=source.kind, text=source.text)


def only_if(conclusions: Conclusions, condition: Condition | None) -> str | None:
    """The condition in words when it is still open, so that the reader can tell; otherwise nothing."""
    if condition is None or conclusions.truth(condition) != OPEN:
        return None
    return condition.words


def tests_of(conclusions: Conclusions, condition: Condition) -> tuple[Test, ...]:
    """Every test of a condition with what was seen."""
    notes = []
    for leaf in leaves(condition.tree):
        notes.append(
            Test(
                words=spoken(leaf.said, condition.table),
                seen=seen_words(conclusions, leaf),
                truth=TRUTH_NAMES[tree_truth(leaf, conclusions.state)],
            )
        )
    return tuple(dict.fromkeys(notes))


def seen_words(conclusions: Conclusions, leaf: Leaf) -> str:
    """What was seen of the variable a test looks at."""
    rule_base = conclusions.rule_base
    variable = rule_base.variables[leaf.variable]
    domain = conclusions.state[leaf.variable]
    if variable.name in conclusions.several:
        return {1: tr("not shown"), 2: tr("shown"), 3: tr("may be")}[domain]
    if variable.name in rule_base.decisions:
        decision = rule_base.decisions[variable.name]
        return one_of(decision.title_of(o) for place, o in enumerate(decision.options) if domain >> place & 1)
    fact = rule_base.facts[variable.name]
    answer = conclusions.answers.get(variable.name)
    if (answer is None or isinstance(answer, NotKnown)) and domain and not domain & (domain - 1):
        cell = domain.bit_length() - 1
        found = cell_words(fact, cell) if fact.entry.kind == "quantity" else variable.domain[cell]
        return tr("{answer} (follows from other answers)", answer=found)
    return value_words(fact, answer)


def argument_note(conclusions: Conclusions, argument: Argument) -> ArgumentNote:
    """An argument as it stands with these answers."""
    entry = argument.entry
    return ArgumentNote(
        id=entry.id,
        says=entry.says,
        strength=entry.strength,
        truth=TRUTH_NAMES[conclusions.truth(argument.condition)],
        reason=entry.reason,
        condition=argument.condition.words,
        tests=tests_of(conclusions, argument.condition),
        lifted_by=entry.lifted_by,
        limits=entry.limits,
        sources=source_notes(argument.sources),
        file=argument.origin.file,
        line=argument.origin.line,
    )
