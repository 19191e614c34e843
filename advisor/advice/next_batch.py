"""What a diagnosis changes in the plan of the next batch."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TypedDict

from advisor.advice.documents.advice import Advice
from advisor.advice.documents.common import SourceNote
from advisor.advice.documents.diagnosis import ChangedPlan, PlanLine
from advisor.advice.notes.arguments import only_if, source_notes
from advisor.advice.notes.spans import span
from advisor.advice.plan.weighing import weight_words
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
    """

    conclusions: Conclusions
    advice: Advice

    @property
    def rule_base(self) -> RuleBase:
        """The rules of the route."""
        return self.conclusions.rule_base

    @property
    def answers(self) -> Answers:
        """The answers it rests on."""
        return self.conclusions.answers


def planned_answers(plan: Plan | None, rule_base: RuleBase) -> dict[str, Value | NotKnown]:
    """What a plan answers of a diagnosis: its own facts, and what it decided.

    Args:
        plan: The plan; without one nothing is answered.
        rule_base: The rules of the diagnosis.
    """
    if plan is None:
        return {}
    answers: dict[str, Value | NotKnown] = dict(plan.answers)
    for fact in rule_base.facts.values():
        outcome = plan.conclusions.outcomes.get((fact.entry.from_plan or "").removeprefix("decision."))
        if outcome is not None and outcome.chosen in fact.entry.options:
            answers[fact.name] = outcome.chosen
    return answers


class _Common(TypedDict):
    """What every kind of changed line says."""

    do: str
    only_if: str | None
    because: str
    sources: tuple[SourceNote, ...]


def plan_lines(conclusions: Conclusions, causes: Iterable[Cause], plan: Plan | None) -> tuple[PlanLine, ...]:
    """The changed lines of the plan, cause by cause."""
    lines = []
    for cause in causes:
        for change in cause.next_batch:
            if change.condition is None or conclusions.truth(change.condition) != FAILS:
                lines.append(_line(conclusions, cause, change, plan))
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
        was_g, becomes_g = _weights(entry.amount, change, plan)
        return PlanLine(
            kind="amount",
            id=entry.amount,
            title=title,
            was=None if was_g is None else weight_words(was_g),
            becomes=None if becomes_g is None else weight_words(becomes_g),
            was_g=None if was_g is None else span(was_g),
            becomes_g=None if becomes_g is None else span(becomes_g),
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
    """The planned weight of a material and what it becomes; None without a plan or where only words change."""
    planned = plan.advice.amounts.get(material) if plan else None
    factor = change.entry.factor
    if planned is None or factor is None:
        return None, None
    was = Range(planned.low_g, planned.likely_g, planned.high_g)
    return was, was * Range(factor.low, factor.likely, factor.high)


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
        route_before=plan.advice.route,
        route_after=route.chosen,
        route_after_title=route.decision.title_of(route.chosen),
        collector_after=after.outcomes["collector"].chosen,
        stop=after.stops,
    )
