"""What a diagnosis changes in the plan of the next batch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from typing import TypedDict

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import SourceNote, Span
from advisor.advice.documents.diagnosis import ChangedPlan, Diagnosis, PlanLine
from advisor.advice.experience import Lesson, Way, lessons_from
from advisor.advice.notes.arguments import only_if, source_notes
from advisor.advice.notes.spans import span
from advisor.advice.plan.weighing import as_known, weight_words
from advisor.engine import Answers, Conclusions, NotKnown, conclude, value_words
from advisor.frozen import frozen
from advisor.rulebase.language.conditions import FAILS
from advisor.rulebase.model import Cause, NextBatch, RuleBase, Value
from advisor.units import Range


@frozen
class Plan:
    """The plan a batch was worked by.

    Attributes:
        conclusions: What followed from the answers it rests on.
        advice: The advice that was given.
        weighed_g: What was weighed out of it, by material, where that is known.
    """

    conclusions: Conclusions
    advice: Advice
    weighed_g: Mapping[str, float] = field(default_factory=dict)

    @property
    def rule_base(self) -> RuleBase:
        """The rules of the route."""
        return self.conclusions.rule_base

    @property
    def answers(self) -> Answers:
        """The answers it rests on."""
        return self.conclusions.answers


def planned_answers(plan: Plan | None, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What a plan answers of a diagnosis: its own facts, and what it decided and told.

    Args:
        plan: The plan; without one nothing is answered.
        rule_base: The rules of the diagnosis.
    """
    if plan is None:
        return {}
    answers: dict[str, Value | NotKnown] = dict(plan.answers)
    for fact in rule_base.facts.values():
        kind, _, name = (fact.entry.from_plan or "").partition(".")
        if kind == "decision" and name in plan.conclusions.outcomes:
            chosen = plan.conclusions.outcomes[name].chosen
            if chosen in fact.entry.options:
                answers[fact.name] = chosen
        elif kind == "quantity" and name in plan.advice.quantities:
            told = plan.advice.quantities[name]
            ends = (told.low, told.likely, told.high)
            answers[fact.name] = Range(*map(plan.rule_base.quantities[name].unit.inside, ends))
    return answers


class _Common(TypedDict):
    """What every kind of changed line says."""

    do: str
    only_if: str | None
    because: str
    sources: tuple[SourceNote, ...]


def plan_lines(conclusions: Conclusions, causes: Iterable[Cause], plan: Plan | None) -> tuple[PlanLine, ...]:
    """The changed lines of the plan, cause by cause; of two that change one weight the better supported gives it."""
    lines: list[PlanLine] = []
    for cause in causes:
        for change in cause.next_batch:
            if change.condition is None or conclusions.truth(change.condition) != FAILS:
                line = _line(conclusions, cause, change, plan)
                given = any(one.id == line.id and one.factor and not one.only_if for one in lines)
                if line.factor is not None and given:
                    line = replace(line, was=None, becomes=None, was_g=None, becomes_g=None, factor=None)
                lines.append(line)
    return tuple(lines)


def _line(conclusions: Conclusions, cause: Cause, change: NextBatch, plan: Plan | None) -> PlanLine:
    entry, rule_base = change.entry, conclusions.rule_base
    common: _Common = {
        "do": entry.do,
        "only_if": only_if(conclusions, change.condition),
        "because": cause.entry.title,
        "sources": source_notes(change.sources),
    }
    if entry.amount is not None:
        title = rule_base.materials[entry.amount].entry.title
        factor = entry.factor
        was_g, becomes_g = _weights(entry.amount, change, plan)
        return PlanLine(
            kind="amount",
            id=entry.amount,
            title=title,
            was=None if was_g is None else weight_words(was_g),
            becomes=None if becomes_g is None else weight_words(becomes_g),
            was_g=None if was_g is None else span(was_g),
            becomes_g=None if becomes_g is None else span(becomes_g),
            factor=None if factor is None else Span(low=factor.low, likely=factor.likely, high=factor.high),
            **common,
        )
    if entry.step is not None:
        was = next((step.do for step in plan.advice.steps if step.id == entry.step), None) if plan else None
        title = rule_base.stages[rule_base.steps[entry.step].entry.stage]
        return PlanLine(kind="step", id=entry.step, title=title, was=was, becomes=entry.do if was else None, **common)
    if entry.fact is not None:
        fact = rule_base.facts[entry.fact]
        known = value_words(fact, plan.answers.get(entry.fact)) if plan else None
        return PlanLine(kind="answer", id=entry.fact, title=fact.label, was=known, **common)
    return PlanLine(kind="note", id="note", title=entry.note or "", **common)


def _weights(material: str, change: NextBatch, plan: Plan | None) -> tuple[Range | None, Range | None]:
    """What was weighed of a material, or else planned, and what it becomes; None without a plan or a factor."""
    planned = plan.advice.amounts.get(material) if plan else None
    factor = change.entry.factor
    if planned is None or factor is None:
        return None, None
    # The change is to what lay in this pot, not to all that the rules left open for it.
    was = Range.exact(plan.weighed_g.get(material, planned.likely_g)) if plan else None
    return was, None if was is None else as_known(was * Range(factor.low, factor.likely, factor.high))


def taught_by(diagnosis: Diagnosis, plan: Plan, source: str) -> dict[Way, dict[str, Lesson]]:
    """The weights that a diagnosis changes for the batches after, on the way in which its batch was worked.

    Args:
        diagnosis: The diagnosis.
        plan: The plan of its batch.
        source: Its batch, in words.
    """
    changes = [
        (line.id, Range(line.factor.low, line.factor.likely, line.factor.high), line.because)
        for line in diagnosis.next_batch
        if line.kind == "amount" and line.factor is not None and line.only_if is None
    ]
    amounts = plan.advice.amounts
    by_rules_g = {name: one.learned.by_rules_g.likely if one.learned else one.likely_g for name, one in amounts.items()}
    lay_g = {name: plan.weighed_g.get(name, one.likely_g) for name, one in amounts.items()}
    lessons = lessons_from(changes, by_rules_g, lay_g, source)
    chosen = {name: plan.conclusions.outcomes[name].chosen for name in ("route", "collector", "cupel")}
    return {Way(**chosen): lessons} if lessons else {}


def now_known(causes: Iterable[Cause]) -> Mapping[str, Value]:
    """What the causes teach about the concentrate; where two teach a share, the range that holds both."""
    known: dict[str, Value] = {}
    for cause in causes:
        for name, value in cause.now_known.items():
            before = known.get(name)
            if isinstance(value, Range) and isinstance(before, Range):
                value = Range.hull([before, value])
            elif before is not None:
                continue
            known[name] = value
    return known


def room_answers(answers: Answers, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What is taken over into the plan of another lot: the gold room, and nothing of the lot or of the night."""
    return {name: value for name, value in answers.items() if _belongs_to(name, rule_base) == "room"}


def without_tonight(answers: Answers, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """Answers that still hold on another night."""
    return {name: value for name, value in answers.items() if _belongs_to(name, rule_base) != "tonight"}


def _belongs_to(name: str, rule_base: RuleBase) -> str:
    fact = rule_base.facts.get(name)
    return "" if fact is None else fact.entry.belongs_to


def answers_now(plan: Plan | None, causes: Iterable[Cause], rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """The answers of the plan with what is known now of the same lot."""
    answers: dict[str, Value | NotKnown] = dict(plan.answers) if plan else {}
    for name, value in now_known(causes).items():
        if name in rule_base.facts:
            answers[name] = value
    return answers


def changed_plan(plan: Plan, causes: Iterable[Cause]) -> ChangedPlan | None:
    """The route computed again with what is known now; None when nothing new is known about the concentrate.

    Raises:
        ContradictionError: If what is known now contradicts other answers of the plan.
    """
    answers = answers_now(plan, causes, plan.rule_base)
    changed = {name: value for name, value in answers.items() if plan.answers.get(name) != value}
    if not changed:
        return None
    after = conclude(plan.rule_base, answers)
    route = after.outcomes["route"]
    return ChangedPlan(
        answers={name: value_words(plan.rule_base.facts[name], value) for name, value in changed.items()},
        labels={name: plan.rule_base.facts[name].label for name in changed},
        route_before=plan.advice.route,
        route_after=route.chosen,
        route_after_title=route.decision.title_of(route.chosen),
        collector_after=after.outcomes["collector"].chosen,
        stop=after.stops,
    )
