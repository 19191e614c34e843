"""Draws realistic batches: a concentrate and a place whose properties go together, and no contradictions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.advice.checking import doubtful, impossible
from advisor.engine import Answers, Conclusions, ContradictionError, NotKnown, conclude
from advisor.rulebase.model import Fact, RuleBase, Several, Value
from advisor.rulebase.values import read_value
from advisor.training.drills.chance import Chance
from advisor.training.syllabus import Archetype, Pick
from advisor.training.training_rules import TrainingRules
from advisor.units import Range
from advisor.units.measures import format_number

_MOST_MENDED = 20
"""Every stock may have to follow the shelf, and a few facts more."""


def drawn_batch(training: TrainingRules, chance: Chance) -> dict[str, Value | NotKnown]:
    """Answers for every usual fact of a batch, some of them drawn; they may still contradict each other."""
    return _drawn(training, training.route, (training.syllabus.concentrates, training.syllabus.places), chance)


def drawn_place(training: TrainingRules, chance: Chance) -> dict[str, Value | NotKnown]:
    """The usual answers with the work that a piece came from and a drawn place."""
    return _drawn(training, training.pieces, (training.syllabus.works, training.syllabus.places), chance)


def drawn_work(training: TrainingRules, chance: Chance) -> dict[str, Value | NotKnown]:
    """The usual answers with the work that a piece came from."""
    return _drawn(training, training.pieces, (training.syllabus.works,), chance)


def _drawn(
    training: TrainingRules, rule_base: RuleBase, parts: Sequence[Sequence[Archetype]], chance: Chance
) -> dict[str, Value | NotKnown]:
    draws: dict[str, tuple[Pick, ...]] = {}
    for kinds in parts:
        draws.update(training.syllabus.draws[chance.weighted([(kind.weight, kind) for kind in kinds]).name])
    answers = usual_answers(training, rule_base)
    for fact in rule_base.facts.values():
        if fact.name in draws:
            answers[fact.name] = drawn_value(fact, draws[fact.name], chance)
    return answers


def usual_answers(training: TrainingRules, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What is as it should be, of the facts that a rule base knows."""
    return {name: value for name, value in training.syllabus.usual.items() if name in rule_base.facts}


def drawn_value(fact: Fact, picks: tuple[Pick, ...], chance: Chance) -> Value | NotKnown:
    """One value of a fact."""
    if fact.entry.kind == "several":
        present: set[str] = set()
        for tenths, value in picks:
            if chance.share() < tenths / 10 and isinstance(value, Several):
                present |= value.present
        return Several(frozenset(present))
    value = chance.weighted(picks)
    if isinstance(value, Range) and not value.is_exact:
        return _amount_between(fact, value, chance)
    return value


def _amount_between(fact: Fact, amount: Range, chance: Chance) -> Value:
    """An amount of two figures between two others, as somebody would read it off."""
    assert fact.unit is not None
    drawn = fact.unit.shown(amount.low + chance.share() * (amount.high - amount.low))
    return read_value(fact, f"{format_number(drawn, 2)} {fact.unit.symbol}")


def settled_batch(rule_base: RuleBase, answers: Mapping[str, Value | NotKnown]) -> Conclusions | None:
    """What follows from drawn answers; None when they cannot all be true.

    What contradicts the others and follows from them is left to follow from them.
    """
    left = dict(answers)
    for _ in range(_MOST_MENDED):
        conclusions = concluded(rule_base, left)
        if isinstance(conclusions, Conclusions):
            return None if impossible(conclusions) or doubtful(conclusions) else conclusions
        if left.pop(conclusions.fact, None) is None:
            return None
    return None


def concluded(rule_base: RuleBase, answers: Answers) -> Conclusions | ContradictionError:
    """What follows from answers, or how they contradict each other."""
    try:
        return conclude(rule_base, answers)
    except ContradictionError as problem:
        return problem
