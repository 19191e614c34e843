"""What is likely right while a danger is not answered, what of it is done cold, and causes that are as likely."""

from __future__ import annotations

from dataclasses import replace

from advisor.advice.documents.common import HazardNote, StepNote
from advisor.advice.documents.diagnosis import Likely, Rival, Tied
from advisor.advice.notes.common import hazard_notes, step_notes
from advisor.advice.notes.figures import figure_words, words_for
from advisor.advice.plan.correction import Corrections
from advisor.engine import (
    Conclusions,
    StillPossible,
    Tie,
    at_work,
    cause_questions,
    cold_beginning,
    own_steps,
    taken_instead,
)
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.reading.expand_causes import CAUSE, HOLD, REMEDY


def likely_note(conclusions: Conclusions, best: StillPossible | None) -> Likely:
    """What is likely right while something that can hurt, or that parts the causes, is not answered.

    Args:
        conclusions: What follows from what was seen.
        best: The likeliest correction.
    """
    rule_base, outcome = conclusions.rule_base, conclusions.outcomes[REMEDY]
    options = outcome.decision.entry.options
    look = next(iter(cause_questions(conclusions, conclusions.several[CAUSE])), None)
    fact = None if look is None else rule_base.facts[look.fact].entry
    parts, part_by = (fact.ask, fact.find_out) if fact else ("", "")
    now = options[outcome.chosen].summary
    if best is None:
        return Likely(now=now, parts=parts, part_by=part_by)
    forced = taken_instead(conclusions, best.option)
    acting = at_work(forced)
    corrections = Corrections(forced, Tables(rule_base))
    takes = (
        f"{rule_base.figures[name].entry.title}: {figure_words(figure)}"
        for step in own_steps(acting)
        if acting.truth(step.condition) == HOLDS
        for name in step.placeholders
        if name in rule_base.figures and (figure := corrections.figure(name)) is not None
    )
    return Likely(
        remedy=best.option,
        title=options[best.option].title,
        summary=options[best.option].summary,
        takes=tuple(dict.fromkeys(takes)),
        waits_for=tuple(rule_base.facts[name].label for name in best.hangs_on),
        now=now,
        parts=parts,
        part_by=part_by,
    )


def begun_cold(
    conclusions: Conclusions, acting: Conclusions, best: StillPossible | None
) -> tuple[tuple[StepNote, ...], tuple[HazardNote, ...]]:
    """What is done by hand of the likeliest correction while no heat is allowed, and what can hurt there."""
    if best is None or not conclusions.outcomes[REMEDY].stops:
        return (), ()
    forced = taken_instead(conclusions, best.option)
    likely, nothing_weighed = at_work(forced), Corrections(forced, Tables(conclusions.rule_base))
    begun = cold_beginning(forced)
    if not begun:
        return (), ()
    before = [step for step in own_steps(acting) if step.entry.stage == begun[0].entry.stage]
    notes = (
        *step_notes(acting, before, words_for(acting, nothing_weighed)),
        *step_notes(likely, begun, words_for(likely, nothing_weighed)),
    )
    brought = {name for note in notes for name in note.hazards}
    steps = tuple(replace(note, number=number) for number, note in enumerate(notes, 1))
    return steps, tuple(note for note in hazard_notes(likely) if note.id in brought)


def tied_note(conclusions: Conclusions, tie: Tie) -> Tied:
    """The causes that are as likely, what parts them, and what is right for all of them until then."""
    rule_base, outcome = conclusions.rule_base, conclusions.outcomes[REMEDY]
    options = outcome.decision.entry.options
    begun = [cold_beginning(taken_instead(conclusions, rival.remedy)) for rival in tie.rivals]
    for_all = [step.entry.brief or step.entry.do for step in begun[0] if all(step in others for others in begun)]
    waits = HOLD if outcome.chosen == HOLD else outcome.decision.entry.fallback
    fact = None if tie.fact is None else rule_base.facts[tie.fact].entry
    return Tied(
        rivals=tuple(
            Rival(
                cause=rival.cause,
                title=rule_base.causes[rival.cause].entry.title,
                remedy=rival.remedy,
                remedy_title=options[rival.remedy].title,
                if_wrong=options[rival.remedy].if_wrong or "",
                told_by=tuple(answer for answer, cause in tie.tells if cause == rival.cause),
            )
            for rival in tie.rivals
        ),
        test="" if fact is None else fact.ask,
        test_by="" if fact is None else fact.find_out,
        until_then=" ".join(for_all) or options[str(waits)].summary,
    )
