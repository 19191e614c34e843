"""Builds the diagnosis of one piece from what was seen."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from advisor.advice.documents.common import OptionNote, OutcomeKind, StepNote
from advisor.advice.documents.diagnosis import (
    CauseNote,
    ChangedPlan,
    Diagnosis,
    RemedyNote,
    Sureness,
)
from advisor.advice.next_batch import Plan, changed_plan, plan_lines
from advisor.advice.notes.arguments import argument_note, source_notes
from advisor.advice.notes.changes import diagnosis_change_notes
from advisor.advice.notes.common import shared_parts, step_notes
from advisor.advice.notes.decisions import decision_note, reason_paragraph
from advisor.advice.notes.figures import words_for
from advisor.advice.notes.likely import begun_cold, likely_note, tied_note
from advisor.advice.notes.phases import phase_notes
from advisor.advice.notes.preparations import way_without
from advisor.advice.plan.correction import Corrections
from advisor.engine import (
    ABSENT,
    PRESENT,
    Conclusions,
    ContradictionError,
    Outcome,
    SeveralOutcome,
    Support,
    at_work,
    done_cold,
    likeliest,
    own_steps,
    seen_on_it,
    tie_of,
)
from advisor.metallurgy.common.document import Citer, FigureNote
from advisor.metallurgy.common.tables import Tables
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.model import Argument, Cause
from advisor.rulebase.reading.expand_causes import CAUSE, HOLD, LOOKED_AT, NOTHING, REMEDY
from advisor.words import tr


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
    rule_base, tie = conclusions.rule_base, tie_of(conclusions)
    best = likeliest(conclusions, conclusions.outcomes[REMEDY])
    cold = done_cold(conclusions, best)
    conclusions = cold or conclusions
    cause_outcome, outcome = conclusions.several[CAUSE], conclusions.outcomes[REMEDY]
    acting = at_work(conclusions)
    taken = causes_taken(conclusions)
    corrections = Corrections(conclusions, Tables(rule_base))
    # While something has to be found out first nothing is weighed and nothing is lit.
    planned = acting.kind != "find_out"
    shared = shared_parts(conclusions, title, acting, words_for(acting, corrections))
    begun, dangers = ((), ()) if planned else begun_cold(conclusions, acting, best)
    steps = _steps(acting, corrections) if planned else begun
    shared["hazards"] += tuple(one for one in dangers if one.id not in {other.id for other in shared["hazards"]})
    return Diagnosis(
        **shared,
        looked_at=_looked_at(conclusions),
        causes=tuple(_cause_notes(conclusions, cause_outcome)),
        remedy=_remedy_note(conclusions, outcome, acting.kind),
        likely=likely_note(conclusions, best) if acting.kind == "find_out" or outcome.chosen == HOLD else None,
        tied=None if tie is None else tied_note(conclusions, tie),
        no_heat_before=tuple(rule_base.facts[name].label for name in best.hangs_on) if cold and best else (),
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
    taken = set(cause_outcome.taken) - _beside_a_fault(conclusions, cause_outcome)
    for name in cause_outcome.ranked():
        support = cause_outcome.supports[name]
        notes = [argument_note(conclusions, argument) for argument in cause_outcome.prepared[name].speaking]
        cause = conclusions.rule_base.causes[name]
        yield CauseNote(
            id=name,
            title=cause.entry.title,
            means=cause.entry.means,
            taken=name in taken,
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


def _beside_a_fault(conclusions: Conclusions, several: SeveralOutcome) -> set[str]:
    """The causes that say that the whole is as it should be, beside a fault."""
    causes = conclusions.rule_base.causes
    if all(is_harmless(causes[name]) for name in several.taken):
        return set()
    return {name for name in several.taken if causes[name].entry.all_well}


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
    return step_notes(acting, own_steps(acting), words_for(acting, corrections))


def _figures(acting: Conclusions, corrections: Corrections) -> dict[str, FigureNote]:
    """What was computed for the steps; what only steps need that are done if it comes to that is named as such."""
    rule_base, citer = acting.rule_base, Citer(acting.rule_base.sources)
    notes = {}
    steps = own_steps(acting)
    sure = {name for step in steps if not step.entry.not_counted for name in step.placeholders}
    for name in dict.fromkeys(name for step in steps for name in step.placeholders if name in rule_base.figures):
        figure = corrections.figure(name)
        if figure is not None:
            title = rule_base.figures[name].entry.title
            notes[name] = citer.note(
                replace(figure, title=title if name in sure else tr("{title}, if needed", title=title))
            )
    return notes
