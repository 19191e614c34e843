"""The shipped causes: enough of them, each with a picture that leads to it, and each with a way out."""

from __future__ import annotations

from collections import Counter

import pytest

from advisor.advice.build_diagnosis import build_diagnosis, causes_taken
from advisor.advice.next_batch import plan_lines
from advisor.engine.ask.questions import open_questions
from advisor.engine.conclude import conclude, prepared_decisions
from advisor.rulebase.language.conditions import HOLDS
from advisor.rulebase.loading import rule_files
from advisor.rulebase.locations import shipped as shipped_folder
from advisor.rulebase.locations import shown_name
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT, REMEDY
from advisor.rulebase.reading.yaml_reader import read_document
from tests.advice.diagnosis.pictures import picture_of

STAGES = ("crucible", "pour", "cold_mould", "cupelling", "cold_cupel", "bead", "bar", "scale", "fineness", "lump")
NAMES = sorted(
    name
    for path in rule_files(shipped_folder("rules"))
    for name in (read_document(path, shown_name(path)).data or {}).get("causes", {})
)


def test_there_are_at_least_seventy_causes_and_every_stage_has_some(diagnosing: RuleBase) -> None:
    stages = Counter(stage for cause in diagnosing.causes.values() for stage in cause.entry.stages)
    assert len(diagnosing.causes) >= 70
    assert set(stages) == set(STAGES)
    assert min(stages.values()) >= 6


def test_every_cause_and_every_sign_names_a_source(diagnosing: RuleBase) -> None:
    for cause in diagnosing.causes.values():
        assert cause.sources, cause.name
    for prepared in prepared_decisions(diagnosing).for_several[CAUSE].values():
        for argument in prepared.speaking:
            assert argument.sources, argument.id


@pytest.mark.parametrize("name", NAMES)
def test_its_textbook_picture_leads_to_the_cause_before_all_others_and_changes_the_next_plan(
    name: str, diagnosing: RuleBase
) -> None:
    cause = diagnosing.causes[name]
    assert any(by.says in ("for", "require") for by in cause.entry.put_right)
    assert cause.next_batch or cause.entry.names_it
    answers, conclusions = picture_of(diagnosing, name)
    several = conclusions.several[CAUSE]
    assert name in several.taken, (answers, several.supports[name])
    best = max(support.now for other, support in several.supports.items() if other in several.taken)
    assert several.supports[name].now == best, (answers, several.taken[:3])
    assert plan_lines(conclusions, causes_taken(conclusions), None) or cause.entry.names_it
    assert conclusions.outcomes[REMEDY].chosen in diagnosing.decisions[REMEDY].options
    if NAMES.index(name) % 4 == 0:
        whole = build_diagnosis(conclusions, look_for_changes=False)
        assert name in {note.id for note in whole.causes if note.taken}
        assert whole.next_batch or cause.entry.names_it


def test_no_two_causes_of_one_stage_have_the_same_signs(diagnosing: RuleBase) -> None:
    seen: dict[tuple[str, frozenset[tuple[str, int]]], str] = {}
    for name, cause in diagnosing.causes.items():
        signs = frozenset(
            (a.condition.text, a.weight) for a in prepared_decisions(diagnosing).for_several[CAUSE][name].speaking
        )
        for stage in cause.entry.stages:
            assert seen.setdefault((stage, signs), name) == name


def test_where_one_looks_is_asked_first(diagnosing: RuleBase) -> None:
    assert open_questions(conclude(diagnosing, {}))[0].fact == LOOKED_AT


@pytest.mark.parametrize("stage", STAGES)
def test_what_shows_elsewhere_is_neither_asked_nor_blamed(stage: str, diagnosing: RuleBase) -> None:
    conclusions = conclude(diagnosing, {LOOKED_AT: stage})
    several = conclusions.several[CAUSE]
    for name, support in several.supports.items():
        assert (support.out == HOLDS) == (stage not in diagnosing.causes[name].entry.stages)
    for question in open_questions(conclusions):
        ask_if = diagnosing.facts[question.fact].ask_if
        assert ask_if is None or ask_if.truth(conclusions.state) == HOLDS


def test_every_observation_says_when_it_is_asked(diagnosing: RuleBase) -> None:
    for fact in diagnosing.facts.values():
        if fact.entry.group.startswith("seen_"):
            assert fact.ask_if is not None or fact.computed, fact.name


def test_every_drawing_that_stands_beside_a_choice_is_one_of_several_that_can_be_told_apart(
    diagnosing: RuleBase,
) -> None:
    used = Counter(
        option.picture for fact in diagnosing.facts.values() for option in fact.entry.options.values() if option.picture
    )
    assert len(used) >= 25
    for fact in diagnosing.facts.values():
        pictures = [option.picture for option in fact.entry.options.values() if option.picture]
        assert len(pictures) == len(set(pictures)), fact.name
