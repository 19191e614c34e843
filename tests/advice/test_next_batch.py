"""What a diagnosis changes in the plan of the next batch: weights, steps, answers, and the route itself."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor.advice.batches.batch_file import batch_text, read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis, causes_taken
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.experience import Experience, Lesson, Way
from advisor.advice.next_batch import (
    Plan,
    answers_now,
    changed_plan,
    now_known,
    plan_lines,
    planned_answers,
    taught_by,
)
from advisor.engine.conclude import conclude
from advisor.engine.state import ContradictionError, NotKnown
from advisor.errors import InputError
from advisor.rulebase.model import Cause, RuleBase, Value
from advisor.units import Range
from tests.advice.document_laws import LAWS
from tests.batches import PYRITIC, ROOT, answers_of
from tests.benchmarks.questions import batch, rules
from tests.rulebase.small_base import compiled
from tests.rulebase.test_cause_faults import DIAGNOSIS, STEP

EATEN_ROD: dict[str, Any] = {
    "look_at": "cold_mould",
    "mould_layers": "matte_between",
    "matte_kind": "lead",
    "matte_rod": "eaten_through",
    "matte_depth": "layer",
    "matte_again": "no",
}
"""Matte on the button and nothing left of the rod. Invented."""


@pytest.fixture(scope="module")
def plan(shipped: RuleBase) -> Plan:
    """The plan of the ordinary batch: an iron smelt with lead."""
    answers = answers_of(shipped, PYRITIC)
    conclusions = conclude(shipped, answers)
    return Plan(conclusions, build_advice(conclusions, "Invented lot", look_for_changes=False))


def looked_at(
    diagnosing: RuleBase, plan: Plan | None, seen: dict[str, Any]
) -> tuple[Diagnosis, tuple[Cause, ...], dict[str, Value | NotKnown]]:
    """The diagnosis of what was seen, the causes taken, and all answers."""
    answers = {**planned_answers(plan, diagnosing), **answers_of(diagnosing, seen)}
    conclusions = conclude(diagnosing, answers)
    return (
        build_diagnosis(conclusions, "Invented", plan, look_for_changes=False),
        tuple(causes_taken(conclusions)),
        answers,
    )


def small() -> tuple[RuleBase, Cause]:
    """The small base with its one cause."""
    rule_base = compiled(DIAGNOSIS, STEP)
    return rule_base, rule_base.causes["metal_left"]


# Lines of the plan


def test_a_changed_weight_says_what_was_planned_and_what_it_becomes_in_grams(diagnosing: RuleBase, plan: Plan) -> None:
    diagnosis, causes, _ = looked_at(diagnosing, plan, EATEN_ROD)
    factors = {
        (change.entry.amount, cause.entry.title): change.entry.factor
        for cause in causes
        for change in cause.next_batch
        if change.entry.amount
    }
    lines = [line for line in diagnosis.next_batch if line.kind == "amount"]
    assert {line.id for line in lines} == {"iron"}
    assert sum(line.factor is not None for line in lines) == 1, "one weight becomes one weight"
    for line in (line for line in lines if line.factor is not None):
        planned, factor = plan.advice.amounts[line.id], factors[line.id, line.because]
        assert factor is not None
        assert line.was_g is not None
        assert line.becomes_g is not None
        assert line.was_g.likely == pytest.approx(planned.likely_g, rel=0.01)
        assert line.becomes_g.likely == pytest.approx(planned.likely_g * factor.likely, rel=0.02)
        assert (line.factor and line.factor.likely) == factor.likely
        assert line.becomes_g.low <= line.becomes_g.likely <= line.becomes_g.high
        assert " g" in str(line.was)
        assert " g" in str(line.becomes)


def test_a_changed_step_says_what_it_takes_the_place_of(diagnosing: RuleBase, plan: Plan) -> None:
    diagnosis, _, _ = looked_at(diagnosing, plan, EATEN_ROD)
    lines = [line for line in diagnosis.next_batch if line.kind == "step" and line.was]
    assert lines
    for line in lines:
        (planned,) = [step for step in plan.advice.steps if step.id == line.id]
        assert line.was == planned.do
        assert line.becomes == line.do


def test_without_a_plan_the_same_lines_stand_there_without_weights(diagnosing: RuleBase, plan: Plan) -> None:
    seen = {**EATEN_ROD, "work_done": "smelt_iron", "collector_used": "lead"}
    diagnosis, _, _ = looked_at(diagnosing, None, seen)
    with_plan, _, _ = looked_at(diagnosing, plan, seen)
    assert {line.do for line in diagnosis.next_batch} >= {
        line.do for line in with_plan.next_batch if line.kind in ("amount", "step")
    }
    assert all(line.was_g is None and line.becomes is None for line in diagnosis.next_batch)
    assert diagnosis.changed_plan is None


def test_every_line_names_the_cause_it_follows_from_and_a_source(diagnosing: RuleBase, plan: Plan) -> None:
    diagnosis, causes, _ = looked_at(diagnosing, plan, EATEN_ROD)
    titles = [cause.entry.title for cause in causes]
    assert [line.because for line in diagnosis.next_batch] == sorted(
        (line.because for line in diagnosis.next_batch), key=titles.index
    )
    assert all(line.sources for line in diagnosis.next_batch)


def test_a_line_whose_condition_is_open_says_so_and_one_whose_condition_fails_is_left_out() -> None:
    rule_base, cause = small()
    for answers, shown in (({}, "top of the bead is 'dull'"), ({"bead_top": "dull"}, None)):
        lines = plan_lines(conclude(rule_base, {"look_at": "bead", **answers}), [cause], None)
        assert [line.kind for line in lines] == ["amount", "step", "answer", "note"]
        assert lines[2].only_if == shown
    lines = plan_lines(conclude(rule_base, {"look_at": "bead", "bead_top": "bright"}), [cause], None)
    assert [line.kind for line in lines] == ["amount", "step", "note"]


def test_a_changed_answer_says_what_was_answered_before(diagnosing: RuleBase, plan: Plan) -> None:
    cause, change = next(
        (cause, change)
        for cause in diagnosing.causes.values()
        for change in cause.next_batch
        if change.entry.fact == "top_temperature" and change.condition is None
    )
    lines = plan_lines(conclude(diagnosing, {}), [cause], plan)
    (line,) = [line for line in lines if line.kind == "answer"]
    assert (line.id, line.title, line.was) == ("top_temperature", "top temperature", "1250 °C")
    assert line.do == change.entry.do


@pytest.mark.parametrize("taken", range(0, 160, 8))
def test_every_changed_step_and_material_of_a_cause_is_one_of_the_route(
    shipped: RuleBase, diagnosing: RuleBase, taken: int
) -> None:
    for cause in list(diagnosing.causes.values())[taken : taken + 8]:
        for change in cause.next_batch:
            entry = change.entry
            assert entry.amount is None or entry.amount in shipped.materials, cause.name
            assert entry.step is None or entry.step in shipped.steps, cause.name
            assert entry.fact is None or entry.fact in diagnosing.facts, cause.name
        for fact in cause.now_known:
            assert fact in shipped.facts, cause.name


# What is known now


def causes_that_teach(diagnosing: RuleBase, fact: str) -> list[Cause]:
    """The causes that teach a share of the concentrate."""
    return [cause for cause in diagnosing.causes.values() if isinstance(cause.now_known.get(fact), Range)]


def test_two_causes_that_teach_the_same_share_give_the_range_that_holds_both(diagnosing: RuleBase) -> None:
    one, two = causes_that_teach(diagnosing, "sulphide_share")[:2]
    first, second = one.now_known["sulphide_share"], two.now_known["sulphide_share"]
    known = now_known([one, two])["sulphide_share"]
    assert isinstance(known, Range)
    assert isinstance(first, Range)
    assert isinstance(second, Range)
    assert known.low == min(first.low, second.low)
    assert known.high == max(first.high, second.high)


def test_the_order_of_the_causes_does_not_matter_for_a_share(diagnosing: RuleBase) -> None:
    causes = causes_that_teach(diagnosing, "sulphide_share")
    assert len(causes) >= 2
    there, back = now_known(causes)["sulphide_share"], now_known(reversed(causes))["sulphide_share"]
    assert isinstance(there, Range)
    assert isinstance(back, Range)
    assert (there.low, there.high) == (back.low, back.high)


def test_of_two_words_the_best_supported_cause_has_the_say() -> None:
    text = DIAGNOSIS.replace("now_known: {share: 20 to 60 %}", "now_known: {place: shed}")
    cause = DIAGNOSIS[DIAGNOSIS.index("causes:") : DIAGNOSIS.index("corrections:")]
    second = cause.replace("metal_left", "other_left").replace(
        "now_known: {share: 20 to 60 %}", "now_known: {place: none}"
    )
    both = compiled(text, "consultation: diagnose\n" + second, STEP)
    assert now_known([both.causes["metal_left"], both.causes["other_left"]]) == {"place": "shed"}
    assert now_known([both.causes["other_left"], both.causes["metal_left"]]) == {"place": "none"}


def test_what_is_known_now_takes_the_place_of_what_was_planned_with(diagnosing: RuleBase, plan: Plan) -> None:
    cause = causes_that_teach(diagnosing, "sulphide_share")[0]
    answers = answers_now(plan, [cause], plan.rule_base)
    assert answers["sulphide_share"] == cause.now_known["sulphide_share"]
    assert {name for name in answers if answers[name] != plan.answers.get(name)} == set(cause.now_known)
    assert plan.answers["sulphide_share"] == Range.exact(0.25)
    assert answers_now(None, [cause], plan.rule_base) == dict(cause.now_known)


# The route reckoned anew


def test_nothing_new_about_the_concentrate_leaves_the_plan_alone(diagnosing: RuleBase, plan: Plan) -> None:
    cause = next(cause for cause in diagnosing.causes.values() if not cause.now_known)
    assert changed_plan(plan, [cause]) is None
    assert changed_plan(plan, []) is None


def test_a_concentrate_with_arsenic_after_all_stops_the_next_batch(diagnosing: RuleBase, plan: Plan) -> None:
    changed = changed_plan(plan, [diagnosing.causes["speiss_arsenic"]])
    assert changed is not None
    assert changed.route_before == "smelt_iron"
    assert changed.route_after != "smelt_iron"
    assert changed.answers == {"arsenic_signs": "yes"}
    assert changed.stop
    assert changed.route_after_title == plan.rule_base.decisions["route"].title_of(changed.route_after)


def test_more_sulphide_than_planned_is_shown_with_the_route_it_leads_to(diagnosing: RuleBase, plan: Plan) -> None:
    cause = causes_that_teach(diagnosing, "sulphide_share")[0]
    changed = changed_plan(plan, [cause])
    assert changed is not None
    assert "%" in changed.answers["sulphide_share"]
    after = conclude(plan.rule_base, answers_now(plan, [cause], plan.rule_base))
    assert changed.route_after == after.outcomes["route"].chosen
    assert changed.collector_after == after.outcomes["collector"].chosen
    assert changed.stop == after.stops


@pytest.fixture
def without_sulphide(shipped: RuleBase, diagnosing: RuleBase) -> tuple[Plan, Cause]:
    """A plan without any sulphide, and a cause that would teach a share of it which cannot be."""
    answers = answers_of(shipped, PYRITIC, sulphide_share=None, sulphide_minerals=[])
    conclusions = conclude(shipped, answers)
    plain = Plan(conclusions, build_advice(conclusions, look_for_changes=False))
    taught = {"sulphide_share": Range.exact(0.3)}
    return plain, replace(diagnosing.causes["speiss_arsenic"], now_known=taught)


def test_what_contradicts_another_answer_is_not_reckoned_with(without_sulphide: tuple[Plan, Cause]) -> None:
    plain, cause = without_sulphide
    with pytest.raises(ContradictionError) as caught:
        changed_plan(plain, [cause])
    assert "sulphide" in str(caught.value)


def test_a_diagnosis_that_contradicts_its_plan_still_comes_out_without_a_changed_plan(
    diagnosing: RuleBase, without_sulphide: tuple[Plan, Cause], monkeypatch: pytest.MonkeyPatch
) -> None:
    plain, cause = without_sulphide
    monkeypatch.setitem(diagnosing.causes, cause.name, cause)
    seen = {"look_at": "cold_mould", "mould_layers": "speiss_between"}
    diagnosis, causes, _ = looked_at(diagnosing, plain, seen)
    assert cause in causes
    assert diagnosis.wrong_route
    assert diagnosis.changed_plan is None
    assert diagnosis.next_batch


# What a plan answers


def test_the_plan_answers_what_was_worked_with_what_it_advised(diagnosing: RuleBase, plan: Plan) -> None:
    answers = planned_answers(plan, diagnosing)
    assert answers["work_done"] == plan.advice.route == "smelt_iron"
    assert answers["collector_used"] == plan.advice.collector
    assert {name: answers[name] for name in plan.answers} == dict(plan.answers)
    assert planned_answers(None, diagnosing) == {}


def test_every_answer_from_a_plan_names_a_decision_or_quantity_of_the_route(
    shipped: RuleBase, diagnosing: RuleBase
) -> None:
    named = [fact.entry.from_plan for fact in diagnosing.facts.values() if fact.entry.from_plan]
    assert len(named) >= 3
    for place in named:
        kind, _, name = place.partition(".")
        assert name in (shipped.decisions if kind == "decision" else shipped.quantities), place


# What was learned goes along with the answers


def test_a_changed_weight_goes_along_with_the_answers_of_the_next_batch(
    shipped: RuleBase, diagnosing: RuleBase, plan: Plan, tmp_path: Path
) -> None:
    diagnosis, _, _ = looked_at(diagnosing, plan, EATEN_ROD)
    taught = taught_by(diagnosis, plan, "batch 6")
    file = tmp_path / "next.yaml"
    file.write_text(batch_text("Next", plan.answers, shipped, learned=taught))
    read = read_batch(file, shipped)
    assert (read.learned, dict(read.answers)) == (taught, dict(plan.answers))
    advice = build_advice(
        conclude(shipped, read.answers), experience=Experience().with_lessons(read.learned), look_for_changes=False
    )
    (line,) = [one for one in diagnosis.next_batch if one.id == "iron" and one.factor]
    iron = advice.amounts["iron"]
    assert line.becomes_g is not None
    assert iron.likely_g == pytest.approx(line.becomes_g.likely)
    assert (iron.low_g, iron.high_g) == pytest.approx((line.becomes_g.low, line.becomes_g.high), rel=0.03)
    assert iron.learned is not None
    assert iron.learned.source == "batch 6"
    others = {name: amount for name, amount in advice.amounts.items() if name != "iron"}
    assert others == {name: amount for name, amount in plan.advice.amounts.items() if name != "iron"}


def test_with_changed_weights_every_law_of_the_document_holds() -> None:
    changed = set()
    for seed in range(0, 60, 2):
        conclusions = conclude(rules(), batch(seed))
        plain = build_advice(conclusions, look_for_changes=False)
        chosen = {name: conclusions.outcomes[name].chosen for name in ("route", "collector", "cupel")}
        factor = Range(1.2, 1.5, 2.0) if seed % 4 else Range(0.6, 0.8, 0.9)
        lessons = {name: Lesson("batch 6", factor, "Invented") for name in plain.amounts}
        taught = Experience().with_lessons({Way(**chosen): lessons})
        advice = build_advice(conclusions, experience=taught, look_for_changes=False)
        assert [said for law in LAWS for said in law(advice)] == []
        changed |= {(name, factor.likely) for name, one in advice.amounts.items() if one.learned is not None}
        assert advice.hazards == plain.hazards
    assert {(name, factor) for name in ("soda_ash", "iron") for factor in (0.8, 1.5)} <= changed


def test_no_batch_teaches_more_nitre_than_its_limit(shipped: RuleBase) -> None:
    case = read_batch(ROOT / "cases" / "nitre-within-the-old-limits.yaml", shipped)
    conclusions = conclude(shipped, case.answers)
    assert conclusions.outcomes["route"].chosen == "smelt_nitre"
    chosen = {name: conclusions.outcomes[name].chosen for name in ("route", "collector", "cupel")}
    plain = build_advice(conclusions, look_for_changes=False).amounts["nitre"]
    for factor, moved in ((Range(1.1, 1.3, 1.5), False), (Range(0.6, 0.8, 1.0), True)):
        taught = Experience().with_lessons({Way(**chosen): {"nitre": Lesson("batch 6", factor, "Invented")}})
        amount = build_advice(conclusions, experience=taught, look_for_changes=False).amounts["nitre"]
        assert (amount != plain) == moved
        assert amount.high_g <= plain.high_g


@pytest.mark.parametrize(
    ("wrong", "says"),
    [({"material": "irn"}, "is no material"), ({"factor": {"low": 2, "likely": 1, "high": 3}}, "does not rise")],
)
def test_a_changed_weight_that_cannot_be_is_told_with_its_line(
    shipped: RuleBase, tmp_path: Path, wrong: dict[str, Any], says: str
) -> None:
    right = {"material": "iron", "route": "smelt_iron", "collector": "lead", "cupel": "bone_ash", "source": "batch 6"}
    entry = {**right, "because": "Eaten up", "factor": {"low": 1, "likely": 1.2, "high": 1.4}, **wrong}
    file = tmp_path / "next.yaml"
    file.write_text(json.dumps({"answers": {"batch_mass": "100 g"}, "learned": [entry]}))
    with pytest.raises(InputError, match=rf"next\.yaml:1: learned: .*{says}"):
        read_batch(file, shipped)
