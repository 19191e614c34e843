"""Builds the diagnosis of one piece from what was seen."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from advisor.advice.documents.common import OptionNote, OutcomeKind, StepNote
from advisor.advice.documents.diagnosis import CauseNote, ChangedPlan, Diagnosis, Likely, RemedyNote, Sureness
from advisor.advice.next_batch import Plan, changed_plan, plan_lines
from advisor.advice.notes.arguments import argument_note, source_notes
from advisor.advice.notes.changes import diagnosis_change_notes
from advisor.advice.notes.common import shared_parts, step_notes
from advisor.advice.notes.decisions import decision_note, reason_paragraph
from advisor.advice.notes.phases import phase_notes
from advisor.advice.notes.preparations import way_without
from advisor.advice.plan.correction import FOR_EACH, Corrections
from advisor.advice.plan.weighing import weight_words
from advisor.engine import (
    ABSENT,
    PRESENT,
    Conclusions,
    ContradictionError,
    Outcome,
    SeveralOutcome,
    Support,
    at_work,
    cause_questions,
    conclude_forced,
    likeliest,
    own_steps,
    seen_on_it,
    state_of,
)
from advisor.metallurgy.common.document import Citer, FigureNote
from advisor.metallurgy.common.figure import Figure
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Argument, Cause
from advisor.rulebase.reading.expand_causes import CAUSE, HOLD, LOOKED_AT, NOTHING, REMEDY
from advisor.units import format_measure, unit_named
from advisor.units.measures import MeasureError, format_number, symbol_shown


def build_diagnosis(
    conclusions: Conclusions, title: str | None = None, plan: Plan | None = None, *, look_for_changes: bool = True
) -> Diagnosis:
    """The diagnosis for these conclusions.

    Args:
        conclusions: What follows from the observations.
        title: What the batch is called.
        plan: The plan the batch was worked by, if there is one.
        look_for_changes: Whether to look for what else could have been seen that would change the diagnosis.
    """
    rule_base = conclusions.rule_base
    cause_outcome, outcome = conclusions.several[CAUSE], conclusions.outcomes[REMEDY]
    acting = at_work(conclusions)
    taken = causes_taken(conclusions)
    corrections = Corrections(conclusions, Tables(rule_base))
    # While something has to be found out first nothing is weighed and nothing is lit.
    planned = acting.kind != "find_out"
    shared = shared_parts(conclusions, title, acting, _words(acting, corrections))
    steps = _steps(acting, corrections) if planned else ()
    return Diagnosis(
        **shared,
        looked_at=_looked_at(conclusions),
        causes=tuple(_cause_notes(conclusions, cause_outcome)),
        remedy=_remedy_note(conclusions, outcome, acting.kind),
        likely=_likely(conclusions) if acting.kind == "find_out" or outcome.chosen == HOLD else None,
        without=way_without(conclusions, at_work) if acting.kind == "first" else None,
        steps=steps,
        phases=phase_notes(rule_base, shared["first"], steps, shared["hazards"]),
        figures=_figures(acting, corrections) if planned else {},
        not_computed=tuple(corrections.problems) if planned else (),
        next_batch=plan_lines(conclusions, taken, plan),
        wrong_route=any(cause.entry.wrong_route for cause in taken),
        changed_plan=_changed_plan(plan, taken),
        changes=diagnosis_change_notes(conclusions) if look_for_changes else (),
    )


def causes_taken(conclusions: Conclusions) -> list[Cause]:
    """The causes to act on, the best supported first; what does no harm only where there is no fault beside it."""
    taken = [conclusions.rule_base.causes[name] for name in conclusions.several[CAUSE].taken]
    return [cause for cause in taken if not is_harmless(cause)] or taken


def is_harmless(cause: Cause) -> bool:
    """Whether a cause says that all is well, or that it does no harm: nothing has to be corrected because of it."""
    return all(by.remedy == NOTHING for by in cause.entry.put_right if by.says in ("for", "require"))


def _looked_at(conclusions: Conclusions) -> str:
    answer = conclusions.answers.get(LOOKED_AT)
    return answer if isinstance(answer, str) else "not known"


def _changed_plan(plan: Plan | None, taken: list[Cause]) -> ChangedPlan | None:
    if plan is None:
        return None
    try:
        return changed_plan(plan, taken)
    except ContradictionError:
        # The route consultation asks for the contradicting answer again.
        return None


def _cause_notes(conclusions: Conclusions, cause_outcome: SeveralOutcome) -> Iterator[CauseNote]:
    for name in cause_outcome.ranked():
        support = cause_outcome.supports[name]
        notes = [argument_note(conclusions, argument) for argument in cause_outcome.prepared[name].speaking]
        cause = conclusions.rule_base.causes[name]
        yield CauseNote(
            id=name,
            title=cause.entry.title,
            means=cause.entry.means,
            taken=name in cause_outcome.taken,
            sure=_sure(support, cause_outcome.taken_at),
            support_low=support.low,
            support_now=support.now,
            support_high=support.high,
            taken_at=cause_outcome.taken_at,
            speaks_for=tuple(note for note in notes if note.truth == "holds" and note.says == "for"),
            speaks_against=tuple(note for note in notes if note.truth == "holds" and note.says == "against"),
            not_seen=tuple(note for note in notes if note.truth == "open"),
            wrong_route=cause.entry.wrong_route,
            harmless=is_harmless(cause),
            names_it=cause.entry.names_it,
            seen=any(_seen(conclusions, a) for a in cause_outcome.prepared[name].speaking),
            sources=source_notes(cause.sources),
        )


def _sure(support: Support, taken_at: int) -> Sureness:
    domain = support.domain(taken_at)
    if domain == PRESENT:
        return "clear"
    if domain == ABSENT:
        return "unlikely"
    return "likely" if support.now >= taken_at else "possible"


def _seen(conclusions: Conclusions, argument: Argument) -> bool:
    """Whether an argument for a cause holds by what was seen of the piece."""
    rule_base = conclusions.rule_base
    names = {rule_base.variables[variable].name for variable in argument.condition.variables}
    seen = any(seen_on_it(rule_base, name) for name in names)
    return argument.weight > 0 and seen and conclusions.truth(argument.condition) == HOLDS


def _likely(conclusions: Conclusions) -> Likely:
    """What is likely right while something that can hurt, or that parts the causes, is not answered."""
    rule_base, outcome = conclusions.rule_base, conclusions.outcomes[REMEDY]
    options = outcome.decision.entry.options
    look = next(iter(cause_questions(conclusions, conclusions.several[CAUSE])), None)
    fact = None if look is None else rule_base.facts[look.fact].entry
    parts, part_by = (fact.ask, fact.find_out) if fact else ("", "")
    now = options[outcome.chosen].summary
    best = likeliest(conclusions, outcome)
    if best is None:
        return Likely(now=now, parts=parts, part_by=part_by)
    forced = conclude_forced(
        rule_base, conclusions.answers, list(state_of(rule_base, conclusions.answers)), {REMEDY: best.option}
    )
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


def _remedy_note(conclusions: Conclusions, outcome: Outcome, kind: OutcomeKind) -> RemedyNote:
    decision = decision_note(conclusions, outcome, silent=False)
    chosen = decision.options[0]
    fallback = outcome.support[outcome.decision.options.index(outcome.decision.fallback)][0]
    called_for = [o for o in decision.options[1:] if o.state == "possible" and o.support_low > fallback and _speaks(o)]
    then = [option for option in called_for if option.id != NOTHING]
    return RemedyNote(
        chosen=outcome.chosen,
        title=chosen.title,
        summary=chosen.summary,
        settled=outcome.settled,
        reason=reason_paragraph(conclusions, decision, kind),
        then=() if outcome.stops else tuple(option.title for option in then),
        options=tuple(option for option in decision.options if option is chosen or _speaks(option)),
    )


def _speaks(option: OptionNote) -> bool:
    """Whether a cause that is shown speaks for an option."""
    return any(note.says in ("for", "require") and note.truth == "holds" for note in option.arguments)


def _steps(acting: Conclusions, corrections: Corrections) -> tuple[StepNote, ...]:
    return step_notes(acting, own_steps(acting), _words(acting, corrections))


def _words(acting: Conclusions, corrections: Corrections) -> Callable[[str], str]:
    rule_base = acting.rule_base

    def shown(name: str) -> str:
        if name in rule_base.figures:
            return figure_words(corrections.figure(name))
        if name in rule_base.thresholds:
            threshold = rule_base.thresholds[name]
            return format_measure(threshold.amount, threshold.unit, 6)
        return "enough"  # What a plan weighs for the batch says nothing of a piece.

    return shown


def figure_words(figure: Figure | None) -> str:
    """A figure of a correction in words."""
    if figure is None:
        return "not known before it is weighed"
    if figure.unit in ("g", FOR_EACH):
        return weight_words(figure.amount) + figure.unit[1:]
    low, high = (format_number(value) for value in (figure.amount.low, figure.amount.high))
    return f"{low if low == high else f'{low} to {high}'} {_symbol(figure.unit)}".rstrip()


def _symbol(unit: str) -> str:
    """A unit as it is printed beside a number; what a figure counts in words, such as rounds, stays as it is."""
    try:
        return symbol_shown(unit_named(unit))
    except MeasureError:
        return unit


def _figures(acting: Conclusions, corrections: Corrections) -> dict[str, FigureNote]:
    rule_base = acting.rule_base
    citer = Citer(rule_base.sources)
    notes = {}
    for step in own_steps(acting):
        for name in step.placeholders:
            if name in rule_base.figures:
                figure = corrections.figure(name)
                if figure is not None:
                    notes[name] = citer.note(replace(figure, title=rule_base.figures[name].entry.title))
    return notes
