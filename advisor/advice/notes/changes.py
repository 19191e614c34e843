"""What would change the advice, as notes: answers with what they were, and what would come out instead."""

from __future__ import annotations

from typing import Any

from advisor.advice.documents.common import Change
from advisor.engine import Conclusions, OtherAnswer, Target, other_answers, value_words
from advisor.rulebase.reading.expand_causes import LOOKED_AT, REMEDY
from advisor.words import tr


def change_notes(conclusions: Conclusions) -> tuple[Change, ...]:
    """Every single answer that would change the route, the collector or a hazard."""
    names = tuple(name for name in ("route", "collector") if name in conclusions.outcomes)
    return tuple(_note(conclusions, one) for one in other_answers(conclusions, names, hazards=True))


def diagnosis_change_notes(conclusions: Conclusions) -> tuple[Change, ...]:
    """Every single thing seen otherwise that would change what to do with a piece, or which causes are taken.

    What is looked at is left as it is: another piece is another diagnosis.
    """
    found = other_answers(conclusions, (REMEDY,), hazards=False, leave_out=frozenset({LOOKED_AT}))
    return tuple(_note(conclusions, one) for one in found)


def _note(conclusions: Conclusions, one: OtherAnswer) -> Change:
    fact = conclusions.rule_base.facts[one.fact]
    was = value_words(fact, conclusions.answers.get(fact.name))
    return Change(fact=fact.name, label=fact.label, was=was, answer=one.words, **_outcome(conclusions, one.target))


def _outcome(conclusions: Conclusions, target: Target) -> dict[str, Any]:
    if target.hazard:
        entry = conclusions.rule_base.hazards[target.name].entry
        comes, goes = tr("{hazard} appears", hazard=entry.title), tr("{hazard} disappears", hazard=entry.title)
        return {
            "decision": "hazard",
            "decision_title": tr("Hazard"),
            "to": target.to,
            "to_title": comes if target.to == "appears" else goes,
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
