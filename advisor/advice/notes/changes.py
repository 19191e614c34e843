"""What would change the advice, as notes: answers with what they were, and what comes out otherwise."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.advice.documents.advice import Change, OtherAnswerNote
from advisor.engine.conclude import Conclusions
from advisor.engine.state import value_words
from advisor.engine.what_if.cause_changes import single_changes
from advisor.engine.what_if.changes import OtherAnswers, Target, smallest_changes
from advisor.engine.what_if.stretches import OtherAnswer
from advisor.frozen import frozen
from advisor.rulebase.reading.expand_causes import LOOKED_AT


@frozen
class ChangeNotes:
    """What would change the advice.

    Attributes:
        single: Every single answer that changes the route or the collector.
        together: For targets that no single answer reaches, the smallest sets.
        hazards: The smallest sets that take away or bring a hazard.
        complete: False when the search was broken off.
    """

    single: tuple[Change, ...]
    together: tuple[Change, ...]
    hazards: tuple[Change, ...]
    complete: bool


NOT_LOOKED_FOR = ChangeNotes((), (), (), complete=False)
"""Where nobody looked, changes may be missing."""


def change_notes(conclusions: Conclusions) -> ChangeNotes:
    """What would change the route, the collector or a hazard."""
    names = tuple(name for name in ("route", "collector") if name in conclusions.rulings)
    changes = smallest_changes(conclusions, names)
    decisions = list(changes.of_decisions())
    return ChangeNotes(
        _notes(conclusions, (one for one in decisions if len(one.answers) == 1)),
        _notes(conclusions, (one for one in decisions if len(one.answers) > 1)),
        _notes(conclusions, changes.of_hazards()),
        changes.complete,
    )


def diagnosis_change_notes(conclusions: Conclusions) -> tuple[Change, ...]:
    """Every single thing seen otherwise that would change what to do with a piece, or which causes are taken.

    What is looked at is left as it is: another piece is another diagnosis.
    """
    return _notes(conclusions, single_changes(conclusions, frozenset({LOOKED_AT})))


def _notes(conclusions: Conclusions, found: Iterable[OtherAnswers]) -> tuple[Change, ...]:
    return tuple(_note(conclusions, one) for one in found)


def _note(conclusions: Conclusions, one: OtherAnswers) -> Change:
    first, *rest = (_answer(conclusions, answer) for answer in one.answers)
    return Change(**dict(first), also=tuple(rest), more=one.more, **_outcome(conclusions, one.target))


def _answer(conclusions: Conclusions, answer: OtherAnswer) -> OtherAnswerNote:
    fact = conclusions.rule_base.facts[answer.fact]
    was = value_words(fact, conclusions.answers.get(fact.name))
    return OtherAnswerNote(fact=fact.name, label=fact.label, was=was, answer=answer.words)


def _outcome(conclusions: Conclusions, target: Target) -> dict[str, Any]:
    if target.hazard:
        entry = conclusions.rule_base.hazards[target.name].entry
        return {
            "decision": "hazard",
            "decision_title": "Hazard",
            "to": target.to,
            "to_title": f"{entry.title} {target.to}",
            "hazard": target.name,
            "effect": target.to,
            "severity": entry.severity,
        }
    decision = conclusions.rule_base.decisions[target.name]
    return {
        "decision": target.name,
        "decision_title": decision.entry.title,
        "to": target.to,
        "to_title": decision.title_of(target.to),
        "effect": target.effect,
    }
