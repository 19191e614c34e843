"""What a diagnosis tells of what seen otherwise would have changed it."""

from __future__ import annotations

from advisor.advice.batches.batch_file import read_batch
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.engine import conclude
from advisor.rulebase.model import RuleBase
from advisor.rulebase.reading.expand_causes import CAUSE, LOOKED_AT, REMEDY
from tests.conftest import ROOT


def test_the_diagnosis_tells_what_would_take_its_cause_away(diagnosing: RuleBase) -> None:
    path = ROOT / "cases" / "diagnosis" / "spitting-from-a-fresh-cupel.yaml"
    diagnosis = build_diagnosis(conclude(diagnosing, read_batch(path, diagnosing).answers))
    gone = {change.to for change in diagnosis.changes if change.effect == "disappears"}
    assert gone & {cause.id for cause in diagnosis.causes if cause.taken}
    assert {change.decision for change in diagnosis.changes} <= {CAUSE, REMEDY}
    assert LOOKED_AT not in {change.fact for change in diagnosis.changes}
