"""Little told, something useful: what people tell of a piece ends in an act that is named, or a danger that is."""

from __future__ import annotations

from io import StringIO
from pathlib import Path
from typing import Any

import pytest
import yaml
from rich.console import Console

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_diagnosis import build_diagnosis, is_harmless
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.plan.correction import Corrections
from advisor.engine import (
    Conclusions,
    at_work,
    conclude,
    conclude_forced,
    implied_value,
    open_questions,
    own_steps,
    state_of,
)
from advisor.metallurgy.common.tables import Tables
from advisor.present.text.diagnosis import print_diagnosis
from advisor.present.text.page import Page
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, REMEDY
from tests.advice import piece_laws
from tests.batches import answers_of
from tests.conftest import ROOT
from tests.present.screens.screen_laws import first_lines
from tests.terminal.program import flat

EXPECTED = {
    *("told", "causes", "never_causes", "possible", "act", "act_in", "never", "asks", "asks_one_of"),
    *("waits_for", "begins", "tied", "test", "follows"),
}
TOLD: dict[str, dict[str, Any]] = {
    name: piece
    for path in sorted((ROOT / "tests" / "advice" / "diagnosis").glob("told*.yaml"))
    for name, piece in yaml.safe_load(path.read_text(encoding="utf-8")).items()
}


def follows(diagnosing: RuleBase, told: dict[str, Any]) -> Conclusions:
    return conclude(diagnosing, answers_of(diagnosing, told))


def act_of(diagnosis: Diagnosis) -> str:
    """What is done, or is likely right while something that can hurt is not answered."""
    likely = "" if diagnosis.likely is None else diagnosis.likely.remedy
    return likely or diagnosis.remedy.chosen


@pytest.mark.parametrize("name", TOLD)
def test_what_people_tell_ends_in_an_act_or_a_danger_that_is_named(diagnosing: RuleBase, name: str) -> None:
    expected = TOLD[name]
    assert set(expected) <= EXPECTED
    conclusions = follows(diagnosing, expected["told"])
    diagnosis = build_diagnosis(conclusions, look_for_changes=False)
    taken = conclusions.several[CAUSE].taken
    assert set(expected.get("causes", [])) <= set(taken), taken
    assert not set(expected.get("never_causes", [])) & set(taken), taken
    shown = flat(" ".join(first_lines(diagnosis)))
    for cause in expected.get("possible", []):
        assert cause not in taken
        assert diagnosing.causes[cause].entry.title in shown
    act = act_of(diagnosis)
    assert act == expected.get("act", act), (taken, diagnosis.remedy.reason)
    assert act in expected.get("act_in", [act])
    assert act not in expected.get("never", [])
    assert diagnosis.remedy.chosen not in expected.get("never", []) or diagnosis.likely is not None
    questions = [question.fact for question in open_questions(conclusions)]
    if "asks" in expected:
        assert questions[0] == expected["asks"]
    if "asks_one_of" in expected:
        assert questions[0] in expected["asks_one_of"]
    if "waits_for" in expected:
        assert diagnosis.likely is not None
        assert diagnosing.facts[expected["waits_for"]].label in diagnosis.likely.waits_for
    if "begins" in expected:
        assert expected["begins"] in {step.id for step in diagnosis.steps}
        assert diagnosis.outcome == "find_out"
    if "tied" in expected:
        assert diagnosis.tied is not None
        assert [rival.cause for rival in diagnosis.tied.rivals] == expected["tied"]
        assert diagnosis.tied.test == diagnosing.facts[expected["test"]].entry.ask
    for law in piece_laws.LAWS:
        assert list(law(diagnosis)) == []
    for fact, value in expected.get("follows", {}).items():
        found = implied_value(diagnosing.facts[fact], list(conclusions.state))
        assert found is not None
        assert found[0] == value


@pytest.mark.parametrize(
    "name", ["shots in thick slag", "hot pot and nothing looked at", "spread dull bead, copper or collector"]
)
def test_the_whole_text_tells_what_the_first_screen_names_as_likely(diagnosing: RuleBase, name: str) -> None:
    diagnosis = build_diagnosis(follows(diagnosing, TOLD[name]["told"]), look_for_changes=False)
    screen = Console(file=StringIO(), width=80, force_terminal=False)
    print_diagnosis(Page(screen), diagnosis)
    whole = " ".join(screen.file.getvalue().split())  # type: ignore[attr-defined]
    assert diagnosis.likely is not None
    assert diagnosis.likely.title in whole
    assert all(taken in whole for taken in diagnosis.likely.takes)
    for rival in () if diagnosis.tied is None else diagnosis.tied.rivals:
        assert rival.if_wrong in whole
    if diagnosis.likely.title:
        assert "LIKELY, ONCE THE DANGERS ARE ANSWERED" in whole


@pytest.mark.parametrize("name", TOLD)
def test_no_piece_is_told_all_is_well_beside_a_fault(diagnosing: RuleBase, name: str) -> None:
    conclusions = follows(diagnosing, TOLD[name]["told"])
    faults = [n for n in conclusions.several[CAUSE].taken if not is_harmless(diagnosing.causes[n])]
    assert not (faults and conclusions.outcomes[REMEDY].chosen == "none_needed")


@pytest.mark.parametrize("path", sorted((ROOT / "cases" / "diagnosis").glob("*.yaml")), ids=lambda path: path.stem)
def test_nothing_that_a_correction_weighs_is_nothing_at_any_end(diagnosing: RuleBase, path: Path) -> None:
    """Whatever is known of its weight: of a piece that nobody weighed the figures are for ten grams of it."""
    batch = read_batch(path, diagnosing)
    assert batch.diagnosis is not None
    state = list(state_of(diagnosing, batch.answers))
    acting = at_work(conclude_forced(diagnosing, batch.answers, state, {REMEDY: batch.diagnosis.remedy}))
    corrections = Corrections(acting, Tables(diagnosing))
    for step in own_steps(acting):
        for name in step.placeholders if step.entry.stage == "weigh_out" else ():
            if name in diagnosing.figures and name not in INFORMATION:
                figure = corrections.figure(name)
                assert figure is None or figure.amount.low > 0, (step.entry.id, name)


INFORMATION = {"base_to_remove", "reachable_fineness", "collector_left"}
"""What a step tells beside what is weighed; it may be nothing."""
