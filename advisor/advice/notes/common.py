"""Notes that every document of the advisor has: rules used, answers, hazards with their controls, referrals."""

from __future__ import annotations

from collections.abc import Iterable

from advisor.advice.documents.advice import Answer, ControlNote, HazardNote, OverrideNote, ReferralNote, RulesNote, Span
from advisor.advice.notes.arguments import only_if, source_notes
from advisor.engine.ask.details import needed_names
from advisor.engine.conclude import Conclusions
from advisor.engine.state import NotKnown, implied_value, value_words
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import Hazard
from advisor.units import Range
from advisor.units.measures import format_number

SEVERITIES = ("deadly", "grave", "moderate")


def rules_note(conclusions: Conclusions) -> RulesNote:
    rule_base = conclusions.rule_base
    return RulesNote(
        title=rule_base.title,
        fingerprint=rule_base.fingerprint,
        layers=rule_base.layers,
        overrides=tuple(
            OverrideNote(section=o.section, id=o.id, layer=o.layer, how=o.how, reason=o.reason)
            for o in rule_base.overrides
        ),
    )


def span(amount: Range) -> Span:
    """A range as a part of the advice, rounded to what a balance or thermometer can show."""
    return Span(low=shown_figure(amount.low), likely=shown_figure(amount.likely), high=shown_figure(amount.high))


def shown_figure(value: float) -> float:
    return float(format_number(value, 4))


def answer_notes(conclusions: Conclusions) -> Iterable[Answer]:
    prices = {material.entry.price for material in conclusions.rule_base.materials.values()}
    tested = (needed_names(conclusions) - prices) | {
        conclusions.rule_base.variables[index].name
        for argument in conclusions.rule_base.arguments.values()
        for index in argument.condition.variables
    }
    for fact in conclusions.rule_base.facts.values():
        answer = conclusions.answers.get(fact.name)
        if answer is not None and not isinstance(answer, NotKnown):
            yield Answer(fact=fact.name, label=fact.label, value=value_words(fact, answer), origin="given")
            continue
        found = implied_value(fact, list(conclusions.state))
        if found is not None and fact.name in tested:
            value = f"{value_words(fact, found[0])} (because {found[1]})"
            yield Answer(fact=fact.name, label=fact.label, value=value, origin="follows")
        elif answer is not None:
            yield Answer(fact=fact.name, label=fact.label, value="not known", origin="not known")


def hazard_notes(conclusions: Conclusions) -> tuple[HazardNote, ...]:
    notes = []
    for hazard in conclusions.rule_base.hazards.values():
        truth = conclusions.truth(hazard.condition)
        if truth != FAILS:
            notes.append(_hazard_note(conclusions, hazard, truth))
    notes.sort(key=lambda note: (SEVERITIES.index(note.severity), not note.certain))
    return tuple(notes)


def _hazard_note(conclusions: Conclusions, hazard: Hazard, truth: int) -> HazardNote:
    entry = hazard.entry
    controls = [
        ControlNote(
            do=control.do,
            only_if=only_if(conclusions, control.condition),
            sources=source_notes(control.sources) if control.sources != hazard.sources else (),
        )
        for control in hazard.controls
        if control.condition is None or conclusions.truth(control.condition) != FAILS
    ]
    if not controls:
        # A hazard never stands without its controls, even when each is meant for another situation.
        controls = [
            ControlNote(do=control.do, only_if=control.condition.words if control.condition else None)
            for control in hazard.controls
        ]
    return HazardNote(
        id=entry.id,
        title=entry.title,
        brief=entry.brief,
        severity=entry.severity,
        certain=truth == HOLDS,
        because=hazard.condition.words,
        harm=entry.harm,
        controls=tuple(controls),
        stop_if=tuple(entry.stop_if),
        authority=entry.authority,
        sources=source_notes(hazard.sources),
    )


def referral_notes(conclusions: Conclusions) -> tuple[ReferralNote, ...]:
    return tuple(
        ReferralNote(id=r.entry.id, who=r.entry.who, decides=r.entry.decides, sources=source_notes(r.sources))
        for r in conclusions.rule_base.referrals.values()
        if conclusions.truth(r.condition) != FAILS
    )
