"""What to do before anything is lit, and what to find out before that."""

from __future__ import annotations

from collections.abc import Callable

from advisor.advice.documents.common import Look, PreparationNote, Remaining
from advisor.advice.notes.arguments import source_notes
from advisor.advice.notes.spans import span
from advisor.engine import Conclusions, looks, still_possible
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Preparation
from advisor.rulebase.reading.texts import fill


def preparation_notes(conclusions: Conclusions, words: Callable[[str], str]) -> tuple[PreparationNote, ...]:
    """What stands under FIRST, in order.

    Args:
        conclusions: What follows from the answers, for the work that will be done.
        words: What stands in a text for the name of an amount.
    """
    return tuple(_note(conclusions, one, words) for one in conclusions.preparations())


def _note(conclusions: Conclusions, preparation: Preparation, words: Callable[[str], str]) -> PreparationNote:
    entry = preparation.entry
    facts = conclusions.rule_base.facts
    return PreparationNote(
        id=preparation.name,
        title=entry.title,
        certain=conclusions.truth(preparation.lacking) == HOLDS,
        do=fill(entry.do, words),
        done_when=entry.done_when,
        time_min=span(preparation.time_min),
        tonight=entry.tonight,
        waits=entry.waits,
        changes=tuple(facts[name].label for name in entry.changes),
        hazards=tuple(name for name in entry.hazards if conclusions.attached(name)),
        sources=source_notes(preparation.sources),
    )


def look_notes(conclusions: Conclusions) -> tuple[Look, ...]:
    """What to find out, what tells most first; nothing where the work can go on or has to stop."""
    if conclusions.kind != "find_out":
        return ()
    facts = conclusions.rule_base.facts
    notes = []
    for look in looks(conclusions):
        entry = facts[look.fact].entry
        notes.append(
            Look(
                fact=look.fact,
                label=entry.label,
                ask=entry.ask,
                find_out=entry.find_out,
                minutes=entry.minutes,
                purpose=look.purpose,
            )
        )
    return tuple(notes)


def remaining_notes(conclusions: Conclusions) -> tuple[Remaining, ...]:
    """The options that may come out once it is found out, three at most."""
    if conclusions.kind != "find_out":
        return ()
    facts, decisions = conclusions.rule_base.facts, conclusions.rule_base.decisions
    notes = []
    for one in still_possible(conclusions):
        entry = decisions[one.decision].entry.options[one.option]
        labels = tuple(facts[name].label for name in one.hangs_on)
        notes.append(Remaining(id=one.option, title=entry.title, summary=entry.summary, hangs_on=labels))
    return tuple(notes)
