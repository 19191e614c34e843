"""What seen otherwise would have changed a diagnosis: the same as trying every other answer finds."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.engine.conclude import Conclusions, conclude, conclude_state
from advisor.engine.state import ContradictionError, state_with
from advisor.engine.what_if.cause_changes import single_changes
from advisor.engine.what_if.stretches import blocks, other_answers
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT, REMEDY
from tests.conftest import ROOT
from tests.engine.trial import Place, places

CASES = sorted((ROOT / "cases" / "diagnosis").glob("*.yaml"))

Told = tuple[str, str, str | None]
"""Decision, option, and for a cause whether it comes or goes."""


def told_after(before: Conclusions, now: Conclusions) -> set[Told]:
    was, taken = set(before.verdicts[CAUSE].taken), set(now.verdicts[CAUSE].taken)
    told: set[Told] = {(CAUSE, name, "appears") for name in taken - was}
    told |= {(CAUSE, name, "disappears") for name in was - taken}
    if now.rulings[REMEDY].chosen != before.rulings[REMEDY].chosen:
        told.add((REMEDY, now.rulings[REMEDY].chosen, None))
    return told


def by_trial(before: Conclusions) -> set[tuple[str, str, Told]]:
    rule_base = before.rule_base
    found: dict[Told, list[tuple[Place, ...]]] = {}
    for variable, cell in places(before):
        fact = rule_base.facts[rule_base.variables[variable].name]
        if fact.name == LOOKED_AT:
            continue
        try:
            state = state_with(rule_base, before.answers, fact, variable, cell)
        except ContradictionError:
            continue
        for told in told_after(before, conclude_state(rule_base, before.answers, state)):
            found.setdefault(told, []).append(((variable, cell),))
    return {
        (answer.fact, answer.words, told)
        for told, moved in found.items()
        for ((variable, cells),) in blocks(moved)
        for answer in other_answers(rule_base, variable, cells)
    }


@pytest.mark.parametrize("path", CASES[::20], ids=lambda path: path.stem)
def test_the_single_answers_are_those_that_trying_every_answer_finds(path: Path, diagnosing: RuleBase) -> None:
    conclusions = conclude(diagnosing, read_batch(path, diagnosing).answers)
    found = {
        (one.answers[0].fact, one.answers[0].words, (one.target.name, one.target.to, one.target.effect))
        for one in single_changes(conclusions, frozenset({LOOKED_AT}))
    }
    assert found
    assert found == by_trial(conclusions)


def test_with_nothing_seen_they_are_those_of_trial_too(diagnosing: RuleBase) -> None:
    conclusions = conclude(diagnosing, {})
    found = {
        (one.answers[0].fact, one.answers[0].words, (one.target.name, one.target.to, one.target.effect))
        for one in single_changes(conclusions, frozenset({LOOKED_AT}))
    }
    assert found == by_trial(conclusions)


def test_the_diagnosis_tells_what_would_take_its_cause_away(diagnosing: RuleBase) -> None:
    path = ROOT / "cases" / "diagnosis" / "spitting-from-a-fresh-cupel.yaml"
    diagnosis = build_diagnosis(conclude(diagnosing, read_batch(path, diagnosing).answers))
    gone = {change.to for change in diagnosis.changes if change.effect == "disappears"}
    assert gone & {cause.id for cause in diagnosis.causes if cause.taken}
    assert {change.decision for change in diagnosis.changes} <= {CAUSE, REMEDY}
    assert LOOKED_AT not in {change.fact for change in diagnosis.changes}
