"""What every document of the advisor says: rules used, answers, hazards with their controls, steps, referrals."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypedDict

from advisor import __version__
from advisor.advice.documents.common import (
    Answer,
    ControlNote,
    HazardNote,
    Lift,
    Look,
    Missing,
    OutcomeKind,
    OverrideNote,
    PreparationNote,
    ReferralNote,
    Remaining,
    RulesNote,
    StepNote,
)
from advisor.advice.notes.arguments import only_if, source_notes
from advisor.advice.notes.decisions import lifts
from advisor.advice.notes.hazards import SEVERITIES, hazards_of
from advisor.advice.notes.preparations import kind_with, look_notes, preparation_notes, remaining_notes
from advisor.advice.notes.spans import span
from advisor.engine import (
    Conclusions,
    NotKnown,
    computed_ranges,
    implied_value,
    needed_names,
    on_the_piece,
    open_questions,
    value_words,
)
from advisor.rulebase.language.conditions import FAILS, HOLDS
from advisor.rulebase.model import Fact, Hazard, Preparation, Step
from advisor.rulebase.reading.texts import fill
from advisor.units import Range, format_measure
from advisor.words import tr


class SharedParts(TypedDict):
    """What the advice and the diagnosis both say, under the names it has in both."""

    program: str
    rules: RulesNote
    title: str | None
    outcome: OutcomeKind
    stop: bool
    first: tuple[PreparationNote, ...]
    looks: tuple[Look, ...]
    remaining: tuple[Remaining, ...]
    settled: bool
    unasked: tuple[Missing, ...]
    answers: tuple[Answer, ...]
    lifts: tuple[Lift, ...]
    hazards: tuple[HazardNote, ...]
    referrals: tuple[ReferralNote, ...]


def shared_parts(
    conclusions: Conclusions,
    title: str | None,
    acting: Conclusions,
    words: Callable[[str], str],
    also: Sequence[Preparation] = (),
) -> SharedParts:
    """The parts that every document has.

    Args:
        conclusions: What follows from the answers.
        title: What the batch is called.
        acting: The same, of the work that will be done, which hazards, preparations and referrals go by.
        words: What stands in a text for the name of an amount.
        also: What stands under FIRST because the plan itself asks for it.
    """
    kind = kind_with(acting, also)
    return SharedParts(
        program=f"advisor {__version__}",
        rules=rules_note(conclusions),
        title=title,
        outcome=kind,
        stop=kind == "stop",
        first=preparation_notes(acting, words, also) if kind == "first" else (),
        looks=look_notes(acting),
        remaining=remaining_notes(acting),
        settled=conclusions.settled,
        unasked=_unasked(conclusions),
        answers=tuple(answer_notes(conclusions)),
        lifts=lifts(conclusions, kind),
        hazards=hazard_notes(acting),
        referrals=referral_notes(acting),
    )


def _unasked(conclusions: Conclusions) -> tuple[Missing, ...]:
    """The facts that could still change something; in what order others were answered must not show in a document."""
    facts, answers = conclusions.rule_base.facts, conclusions.answers
    ordered = replace(conclusions, answers={name: answers[name] for name in facts if name in answers})
    return tuple(Missing(fact=q.fact, label=facts[q.fact].label) for q in open_questions(ordered))


def step_notes(
    conclusions: Conclusions,
    steps: Iterable[Step],
    words: Callable[[str], str],
    uses: Callable[[str], bool] = lambda _: True,
    heat: Callable[[str], Range | None] = lambda _: None,
) -> tuple[StepNote, ...]:
    """Steps, numbered as they come.

    Args:
        conclusions: What follows from the answers.
        steps: The steps in order.
        words: What stands in a step for the name of an amount, a figure or a threshold.
        uses: Whether a material is really used.
        heat: The temperature in °C that a quantity tells.
    """
    return tuple(_step_note(conclusions, number, step, words, uses, heat) for number, step in enumerate(steps, 1))


def _step_note(
    conclusions: Conclusions,
    number: int,
    step: Step,
    words: Callable[[str], str],
    uses: Callable[[str], bool],
    heat: Callable[[str], Range | None],
) -> StepNote:
    entry = step.entry
    heat_c = heat(step.heat) if step.heat else step.temperature_c
    return StepNote(
        number=number,
        id=entry.id,
        stage=entry.stage,
        called=entry.called,
        stage_title=conclusions.rule_base.stages[entry.stage],
        do=fill(entry.do, words),
        brief=fill(entry.brief, words) if entry.brief else None,
        look_for=fill(entry.look_for, words) if entry.look_for else None,
        temperature_c=span(heat_c) if heat_c else None,
        time_min=span(step.time_min) if step.time_min else None,
        uses=tuple(name for name in entry.uses if uses(name)),
        hazards=hazards_of(conclusions, step),
        only_if=only_if(conclusions, step.condition),
        reason=entry.reason,
        sources=source_notes(step.sources),
    )


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


def answer_notes(conclusions: Conclusions) -> Iterable[Answer]:
    prices = {material.entry.price for material in conclusions.rule_base.materials.values()}
    tested = (needed_names(conclusions) - prices) | {
        conclusions.rule_base.variables[index].name
        for argument in conclusions.rule_base.arguments.values()
        for index in argument.condition.variables
    }
    for fact in conclusions.rule_base.facts.values():
        answer = conclusions.answers.get(fact.name)
        if fact.computed and (amount := weighed_amount(conclusions, fact)) is not None:
            assert fact.unit is not None
            value = format_measure(amount, fact.unit, 3)
            yield Answer(fact=fact.name, label=fact.label, value=value, origin="worked out")
            continue
        if answer is not None and not isinstance(answer, NotKnown):
            yield Answer(fact=fact.name, label=fact.label, value=value_words(fact, answer), origin="given")
            continue
        found = implied_value(fact, list(conclusions.state))
        if found is not None and fact.name in tested:
            value = tr("{answer} (because {condition})", answer=value_words(fact, found[0]), condition=found[1].words)
            yield Answer(fact=fact.name, label=fact.label, value=value, origin="follows")
        elif answer is not None:
            yield Answer(fact=fact.name, label=fact.label, value=tr("not known"), origin="not known")


def weighed_amount(conclusions: Conclusions, fact: Fact) -> Range | None:
    """What a figure of the piece comes to, where every weight that it is worked out from was told."""
    rule_base, answers = conclusions.rule_base, conclusions.answers
    told = all(isinstance(answers.get(name), Range) for name in fact.used if name in rule_base.facts)
    if not told or not on_the_piece(rule_base, fact.name):
        return None
    return computed_ranges(rule_base, answers, conclusions.state)[fact.name]


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
        called=entry.called or entry.title,
        sign=entry.sign or entry.stop_if[0].rstrip("."),
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
        ReferralNote(
            id=r.entry.id,
            who=r.entry.who,
            called=r.entry.called or r.entry.who.rstrip("."),
            decides=r.entry.decides,
            certain=conclusions.truth(r.condition) == HOLDS,
            sources=source_notes(r.sources),
        )
        for r in conclusions.rule_base.referrals.values()
        if conclusions.truth(r.condition) != FAILS
    )
