"""The shipped rules, and what the worked cases come to with them. Each is made once in a process, for all tests.

Nobody changes what is handed out here; a test that needs rules of its own loads them itself.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

from advisor.advice.batches.batch_file import BatchFile, read_batch
from advisor.advice.build_advice import build_advice
from advisor.advice.build_diagnosis import build_diagnosis
from advisor.advice.documents.advice import Advice
from advisor.advice.documents.diagnosis import Diagnosis
from advisor.advice.next_batch import Plan, planned_answers
from advisor.engine.conclude import conclude
from advisor.rulebase.loading import load_rule_base
from advisor.rulebase.model import RuleBase

ROOT = Path(__file__).resolve().parent.parent
CASES = sorted((ROOT / "cases").glob("*.yaml"))
PIECES = sorted((ROOT / "cases" / "diagnosis").glob("*.yaml"))


@cache
def route_rules() -> RuleBase:
    """The shipped rules with their promises, freshly compiled."""
    return load_rule_base(use_cache=False, promises=True)


@cache
def piece_rules() -> RuleBase:
    """The same with the rules of the diagnosis."""
    return load_rule_base(use_cache=False, diagnosis=True, promises=True)


@cache
def batch_of(case: Path) -> BatchFile:
    """A worked batch as it is read."""
    return read_batch(case, route_rules())


@cache
def advice_of_case(case: Path) -> Advice:
    """The advice of a worked batch, without what would have changed it."""
    batch = batch_of(case)
    return build_advice(conclude(route_rules(), batch.answers), batch.title, look_for_changes=False)


@cache
def piece_of(case: Path) -> BatchFile:
    """A worked piece as it is read."""
    return read_batch(case, piece_rules())


@cache
def plan_of(case: Path) -> Plan | None:
    """The plan by which a worked piece was made, if it names one."""
    piece = piece_of(case)
    if piece.plan is None:
        return None
    return _planned((case.parent / piece.plan).resolve())


@cache
def _planned(batch: Path) -> Plan:
    return Plan(conclude(route_rules(), batch_of(batch).answers), advice_of_case(batch))


@cache
def diagnosis_of_case(case: Path) -> Diagnosis:
    """The diagnosis of a worked piece, without what would have changed it."""
    piece, plan = piece_of(case), plan_of(case)
    conclusions = conclude(piece_rules(), {**planned_answers(plan, piece_rules()), **piece.answers})
    return build_diagnosis(conclusions, piece.title, plan, look_for_changes=False)
